"""How true and how straight the parts of a plan will be, and what is said where that is not enough."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from stripplan.errors import Fault, FiguresError, InputError
from stripplan.model.job import GeneralClass
from stripplan.model.part import Part, Rectangle, Shape
from stripplan.model.pattern import Leaf
from stripplan.model.plan.cut import Cut
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Accuracy, ExpectedBow
from stripplan.model.plan.size_chain import Size, SizeChain
from stripplan.model.polygon import edges as edges_of
from stripplan.model.polygon import line_of
from stripplan.model.rig import Process, Rig
from stripplan.planner.settled import Settled
from stripplan.rig.accuracy.forecast import bow_known, bow_remedy, expected_accuracy, expected_bow, touch_minutes
from stripplan.rig.accuracy.size_limits import size_limits
from stripplan.rig.process.camber import BowEstimate, straightness_limit
from stripplan.sequence import BenchPiece, PiecesAndCuts
from stripplan.wording.message import Facts, Message, speed
from stripplan.wording.message import length as mm
from stripplan.wording.show import worded

SLENDER = 4.0
"""A part at least so many times as long as it is wide is looked at for its bow."""
_EPS = 1e-6
ALIKE = 0.02
"""Pieces that differ by no more are alike [mm]: less than callipers tell on a cut edge (common practice, no source)."""
COARSE, OFF_BY_MARKS = 1.0, 0.4
"""A fence that is read to no finer steps, and by how much parts are off then before that is said [mm]: about half a
division of a rule in 1/32 in (common practice, no source)."""
MOST_NAMED = 4
"""So many pieces that differ are named one by one."""


Edges = tuple[bool, bool, bool, bool]
Leaves = Mapping[str, tuple[Leaf, BenchPiece]]
"""The pieces of a part by name."""


def accuracy_of(
    rig: Rig, part: Part, leaves: Leaves, expected: Mapping[str, Size], edges: Mapping[str, Edges]
) -> tuple[tuple[Accuracy, ...], list[Message]]:
    """How true width and length of a part come out, each at its least true piece, and what is said of a size not likely
    to be kept.

    A size that no cut makes is left out.
    """
    found: list[Accuracy] = []
    warnings: list[Message] = []
    for of in ("width", "length"):
        known: dict[tuple[object, ...], tuple[Accuracy, Message | None]] = {}
        for name, (leaf, lying) in leaves.items():
            along_x = leaf.turned if of == "width" else not leaf.turned
            size = expected[name]
            chain = size.of_x if along_x else size.of_y
            south, east, north, west = edges[name]
            cut_edges = east + west if along_x else south + north
            if chain == SizeChain():  # from edge to edge of the plate
                continue
            metal = (size.x if along_x else size.y) - _as_cut(part, lying, leaf, of)
            key = (chain, cut_edges, lying.conditions.process.name, round(metal, 3))
            if key not in known:
                known[key] = _accuracy(rig, part, lying, leaf, chain, of, cut_edges, metal)
        if known:
            accuracy, advice = max(known.values(), key=lambda each: each[0].likely)
            found.append(accuracy)
            if accuracy.met is False:
                warnings.append(_size_warning(part, accuracy, advice))
    return tuple(found), warnings


def bow_of(part: Part, leaves: Leaves, edges: Mapping[str, Edges]) -> tuple[ExpectedBow | None, list[Message]]:
    """The bow of a part that is long for its width, at its most bowed piece, and what is said where it is more than it
    may be.

    None where no long edge was cut, or nobody knows.
    """
    found: dict[tuple[bool, bool], tuple[str, Process, float, float]] = {}
    for name, (leaf, lying) in leaves.items():
        length, width = (
            (lying.workpiece.width, lying.workpiece.length)
            if leaf.turned
            else (lying.workpiece.length, lying.workpiece.width)
        )
        south, east, north, west = edges[name]
        one, other = (east, west) if leaf.turned else (south, north)
        if width > length:
            length, width, one, other = width, length, *((south, north) if leaf.turned else (east, west))
        if (one or other) and length >= SLENDER * width and bow_known(lying.conditions.process):
            found.setdefault((min(one, other), max(one, other)), (name, lying.conditions.process, length, width))
    estimates = [
        (expected_bow(process, length=length, width=width, hot=hot), name, process, length, width, hot)
        for hot, (name, process, length, width) in found.items()
    ]
    if not estimates:
        return None, []
    most, name, process, length, width, hot = max(estimates, key=lambda each: each[0].bow)
    return told_bow(part, most, piece=name, process=process, length=length, width=width, hot=hot)


def told_bow(
    part: Part, most: BowEstimate, *, piece: str, process: Process, length: float, width: float, hot: tuple[bool, ...]
) -> tuple[ExpectedBow, list[Message]]:
    """The bow of a part as that of its most bowed piece was estimated, beside its limit, and what is said where it is
    more than it may be.
    """
    limit = straightness_limit(length, part.straightness).value
    over = limit is not None and most.bow > limit
    remedy = bow_remedy(process, length=length, width=width, hot=hot, limit=part.straightness) if over else None
    found = ExpectedBow(
        piece=piece,
        bow=round(most.bow, 2),
        low=round(most.low, 2),
        high=round(most.high, 2),
        hot_edges=most.hot_edges,
        limit=limit,
        calibrated=most.calibrated,
        beyond_model=most.beyond_model,
        remedy="" if remedy is None else worded(remedy).text,
    )
    return found, _bow_warnings(part, found, remedy)


def touch_of(leaves: Leaves, edges: Mapping[str, Edges]) -> float | None:
    """How long the hottest piece of a part is too hot for a bare hand [min]; None where that is not known of some."""
    found: list[float | None] = []
    for name, (_, lying) in leaves.items():
        along_x, along_y = lying.workpiece.length, lying.workpiece.width
        south, east, north, west = edges[name]
        sides = [(along_x, south + north), (along_y, east + west)]
        (width, ends), (length, long_edges) = sorted(sides)
        found.append(
            touch_minutes(lying.conditions.process, length=length, width=width, long_edges=long_edges, ends=ends)
        )
    known = [each for each in found if each is not None]
    return round(max(known), 1) if known and len(known) == len(found) else None


def cut_edges_of(work: PiecesAndCuts) -> dict[str, Edges]:
    """Which edges of each piece (y low, x high, y high, x low) were cut on the rig;
    the others are edges of the plate.
    """
    plates = {piece.plate: piece.box for piece in work.pieces if piece.parent is None}
    found = {}
    for piece in work.pieces:
        (x0, y0, x1, y1), (px0, py0, px1, py1) = piece.box, plates[piece.plate]
        found[piece.id] = (y0 > py0 + _EPS, x1 < px1 - _EPS, y1 < py1 - _EPS, x0 > px0 + _EPS)
    return found


def evenness_warnings(settled: Settled, work: PiecesAndCuts, expected: Mapping[str, Size]) -> list[Message]:
    """Parts whose pieces differ from one another, and parts whose pieces are to be expected out of what they are asked
    within.
    """
    plates = {piece.id: piece.plate for piece in work.pieces}
    made: dict[int, dict[str, list[tuple[str, tuple[float, float]]]]] = defaultdict(lambda: defaultdict(list))
    for name, (leaf, _) in work.finished.items():
        if leaf.part is not None:
            made[leaf.part][plates[name]].append((name, expected[name].of_part(leaf.turned)))
    job, rig = settled.job, settled.rig
    step = rig.fence_step * rig.fence_scale
    found: list[Message] = []
    for index, by_plate in sorted(made.items()):
        part = job.parts[index]
        beyond: list[Message] = []
        off: list[Message] = []
        for at, of in enumerate(("width", "length") if isinstance(part, Rectangle) else ("width",)):
            some = [[(name, sizes[at]) for name, sizes in pieces] for pieces in by_plate.values()]
            found += _differing(part, of, some, step)
            every = [each for pieces in some for each in pieces]
            beyond += _out_of_class(part, of, every, job.options.general_class)
            off += _off_by_marks(part, of, [size for _, size in every], step)
        found += beyond or off[:1]
    return found


def _off_by_marks(part: Part, of: str, sizes: list[float], step: float) -> Iterator[Message]:
    """A size that is within what is asked, but off by so much as nobody expects who has not thought of his scale."""
    asked = part.length if of == "length" and isinstance(part, Rectangle) else part.width
    off = max((size - asked for size in sizes), key=abs)
    if part.allowance or step < COARSE - _EPS or abs(off) <= OFF_BY_MARKS or 0 < off <= (part.tolerance or 0.0) + _EPS:
        return
    facts = Facts(dimension=of, off=mm(abs(off)), step=mm(step), small=off < 0)
    yield Message("coarse_marks", part.name, facts)


def _differing(part: Part, of: str, by_plate: list[list[tuple[str, float]]], step: float) -> Iterator[Message]:
    """Within a plate pieces are alike to `ALIKE`, over all plates to a step of the scale."""
    sizes = [size for pieces in by_plate for _, size in pieces]
    most = max(max(size for _, size in pieces) - min(size for _, size in pieces) for pieces in by_plate)
    if most <= ALIKE and max(sizes) - min(sizes) <= step + ALIKE:
        return
    usual = Counter(round(size, 2) for size in sizes).most_common(1)[0][0]
    others = [(name, size) for pieces in by_plate for name, size in pieces if abs(size - usual) > ALIKE]
    *named, (last, size) = others[:MOST_NAMED]
    facts = Facts(
        dimension=of,
        usual=mm(usual),
        others=tuple(Message("size_of_piece", name, Facts(size=mm(each))) for name, each in named),
        last=Message("size_of_piece", last, Facts(size=mm(size)), "size_of_last_piece"),
        more=max(0, len(others) - MOST_NAMED),
    )
    yield Message("unequal", part.name, facts)


def bow_at_fence_warnings(settled: Settled, work: PiecesAndCuts) -> list[Message]:
    """Parts that are cut off against an edge which has bowed by more than a share of what they may be off, with the
    pieces and the cuts at which it is pressed to the fence."""
    parts = {piece.id: piece.part for piece in work.pieces}
    bowed: dict[str, list[Cut]] = defaultdict(list)
    for cut in work.cuts:
        if cut.edge_bow is not None:
            bowed[parts[cut.makes[0] or ""] or ""].append(cut)
    return [
        _bow_at_fence(part.name, bowed[part.name])
        for part in settled.job.parts
        if part.name in bowed and not isinstance(part, Shape)  # what may be off a shape no class of sizes says
    ]


def _bow_at_fence(part: str, cuts: Sequence[Cut]) -> Message:
    facts = Facts(
        count=len(cuts),
        narrower=mm(max(cut.edge_bow or 0.0 for cut in cuts)),
        pieces=tuple(cut.makes[0] or "" for cut in cuts[:MOST_NAMED]),
        more=max(0, len(cuts) - MOST_NAMED),
        cuts=tuple(cut.number for cut in cuts),
    )
    return Message("bow_at_fence", part, facts)


def _out_of_class(part: Part, of: str, sizes: list[tuple[str, float]], general: GeneralClass) -> Iterator[Message]:
    """Judged on the sizes to be expected, before all doubts."""
    asked = part.length if of == "length" and isinstance(part, Rectangle) else part.width
    limit = size_limits(part, general)[of == "length"]
    over = limit + (part.tolerance or 0.0)  # a surplus that the person puts up with
    off = [(abs(size - asked), name, size) for name, size in sizes if not -limit - _EPS <= size - asked <= over + _EPS]
    if off:
        _, name, size = max(off)
        facts = Facts(
            off=len(off),
            made=len(sizes),
            limit=mm(limit),
            general_class="" if part.plus_minus is not None else general,
            dimension=of,
            piece=name,
            size=mm(size),
            asked=mm(asked),
            alike=max(size for _, size in sizes) - min(size for _, size in sizes) <= ALIKE,
        )
        yield Message("size_class", part.name, facts)


def finish_metres(work: PiecesAndCuts) -> float:
    """Cut edges of all finished parts [m]."""
    edges = cut_edges_of(work)
    plates = {piece.plate: piece for piece in work.pieces if piece.parent is None}
    total = 0.0
    for piece in work.pieces:
        if piece.kind == "part" and not piece.is_rectangle:
            total += _cut_round(piece, plates[piece.plate])
        elif piece.kind == "part":
            x0, y0, x1, y1 = piece.box
            south, east, north, west = edges[piece.id]
            total += (x1 - x0) * (south + north) + (y1 - y0) * (east + west)
    return total / 1000


def _cut_round(piece: Piece, plate: Piece) -> float:
    """Edges of a piece that are none of its plate's [mm]."""
    sides = [line_of(edge) for edge in edges_of(plate.outline)]
    return sum(
        math.dist(one, other)
        for one, other in edges_of(piece.outline)
        if not any(abs(side.beside(one)) + abs(side.beside(other)) <= _EPS for side in sides)
    )


def speed_warnings(rig: Rig, processes: Iterable[str]) -> list[Message]:
    """Where test cuts in the notebook of a rig speak against the travel speed, as given, of a process that is used."""
    book = rig.notebook
    if book is None:
        return []
    from stripplan.rig.notebook.test_cuts import trials_of  # few rigs have a notebook

    tested = {each.process for each in book.test_cuts}
    found = []
    for process in rig.processes:
        if process.name not in tested.intersection(processes):
            continue
        try:
            trials = trials_of(book, rig, process)
        except FiguresError as error:
            raise InputError(Fault("notebook", f"notebook {book.name}, test_cut", Facts(what=error.message))) from None
        window = trials.next.window
        if not window.low.value <= process.travel_speed <= window.high.value or trials.against(process.travel_speed):
            facts = Facts(
                speed=speed(process.travel_speed),
                low=speed(window.low.value),
                high=speed(window.high.value),
                best=speed(window.best),
            )
            found.append(Message("speed_doubted", process.name, facts))
    return found


def _size_warning(part: Part, found: Accuracy, advice: Message | None) -> Message:
    """A size that is not likely to be kept."""
    asked = {} if found.asked is None else {"asked": mm(found.asked)}
    facts = Facts(
        dimension=found.of, **asked, likely=mm(found.likely), **({} if advice is None else {"advice": advice})
    )
    return Message("plus_minus", part.name, facts)


def _bow_warnings(part: Part, bow: ExpectedBow, remedy: Message | None) -> list[Message]:
    """A strip that will bow by more than it may."""
    if bow.limit is None or bow.bow <= bow.limit:
        return []
    helps = {} if remedy is None else {"remedy": remedy}
    if bow.beyond_model:
        return [Message("bow", part.name, Facts(**helps), "bow_beyond_model")]
    facts = Facts(
        bow=mm(bow.bow),
        low=mm(bow.low),
        high=mm(bow.high),
        calibrated=bow.calibrated,
        limit=mm(bow.limit),
        **helps,
    )
    return [Message("bow", part.name, facts)]


def _as_cut(part: Part, lying: BenchPiece, leaf: Leaf, of: str) -> float:
    """Size on the bench that is asked; of a strip's length what it is."""
    if of == "width":
        return part.width_asked_as_cut
    own = lying.workpiece.width if leaf.turned else lying.workpiece.length
    return part.length_as_cut if isinstance(part, Rectangle) else own


def _accuracy(
    rig: Rig, part: Part, lying: BenchPiece, leaf: Leaf, chain: SizeChain, of: str, cut_edges: int, off: float
) -> tuple[Accuracy, Message | None]:
    width, length = (
        (lying.workpiece.length, lying.workpiece.width)
        if leaf.turned
        else (lying.workpiece.width, lying.workpiece.length)
    )
    sized = of == "width" or isinstance(part, Rectangle)
    return expected_accuracy(
        rig,
        lying.conditions.process,
        chain,
        of=of,
        size=_as_cut(part, lying, leaf, of),
        width=width,
        length=length,
        cut_edges=cut_edges,
        off=off,
        asked=part.plus_minus if sized and not part.allowance else None,
    )
