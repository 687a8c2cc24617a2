"""How true and how straight parts will be: the plan's figures against the same ones worked out anew from its cuts and
its rig.

A size is made of settings: each brings what its reading and the fence's zero may be off by, half a kerf for each edge,
marks, dressed edges. What is known to +-a has the standard uncertainty a/sqrt 3, parts that do not hang together add as
the root of the sum of their squares, twice that holds about 95 in 100 (JCGM 100:2008, 4.3.7, 5.1.2, 6.2); what acts
alike on every part is added outside the root.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

from stripplan.model.part import Part, Rectangle, Shape
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Accuracy, ExpectedBow, PartLine
from stripplan.model.rig import Process, Rig
from stripplan.replay import metal as m
from stripplan.replay.finding import Finding, figures
from stripplan.replay.lookup import Bench
from stripplan.replay.parts_made import lies
from stripplan.replay.sizes import Extents, extents, marked_from_the_right

NEAR = 0.0025
"""Slack for figures that are printed to a thousandth [mm]."""
COARSE = 0.011
"""Slack for figures that are printed to a hundredth [mm]."""

FENCE_U, KERF_SHARE, RAIL, MARK, DRESSED, PARALLEL, BEVEL = 0.10, 0.1, 0.15, 0.5, 0.1, 0.2, 3.0
"""What is assumed where nothing was measured: standard uncertainty of the fence's zero [mm]; half-widths of the kerf (a
share of it), the rail, a mark, a dressed edge, the fence out of parallel over a cut [mm]; bevel [deg]. As the guide has
them: common practice or none, no source."""

EDGE = 0.05
"""Nearer than so [mm] to where a rule turns over, either side of it is right: the plan's figures are rounded."""
SLENDER = 4.0
"""A part at least so many times as long as wide is looked at for its bow."""
HOT_C = 0.75 * 0.335 * 12e-6 / (600.0 * 7850.0) * 1e9
"""Bow constant for the heat left in an edge [mm for J/mm2]: 0.75 mu alpha/(c rho); mu Okerblom's, from memory; the rest
EN 1993-1-2."""
STRAIGHT = ((10, 0.1), (30, 0.2), (100, 0.4), (300, 0.8), (1000, 1.2), (3000, 1.6))
"""ISO 2768-2:1989 class L, straightness: up to a length, so much [mm]; from a reproduction, not seen in the
standard."""


@dataclass(frozen=True)
class Made:
    """What one size of a piece is made of: settings by fence and by marks, kerfs taken off, how often the fence's zero
    is in it, dressed edges."""

    fence: int = 0
    marked: int = 0
    kerfs: float = 0.0
    zero: int = 0
    dressed: int = 0

    def and_then(self, other: Made) -> Made:
        """The size of what is left: measured across what was there, less the other."""
        return Made(
            self.fence + other.fence,
            self.marked + other.marked,
            self.kerfs + other.kerfs,
            self.zero - other.zero,
            self.dressed + other.dressed,
        )


def _made(bench: Bench) -> dict[str, tuple[Made, Made]]:
    """Both sizes of every piece, along x and along y."""
    found = {piece.id: (Made(), Made()) for piece in bench.plan.pieces if piece.parent is None}
    for step in bench.steps:
        before = found.get(step.cut.piece)
        if before is None or m.aslant(step.torch):
            continue
        dx, dy = m.direction(step.torch)
        axis = 1 if abs(dx) > abs(dy) else 0
        by_fence = step.cut.located == "fence"
        near = Made(int(by_fence), int(not by_fence), 0.5, int(by_fence), int(bool(step.cut.setup.dress)))
        both = near, before[axis].and_then(near)
        for product, size in zip(step.cut.makes, both if marked_from_the_right(step) else both[::-1], strict=True):
            if product is not None:
                found[product] = (before[0], size) if axis else (size, before[1])
    return found


FINEST = 1e-3
"""The finest figure that outlines are made of [mm]."""


@dataclass(frozen=True)
class Lying:
    """A piece of a part: its sizes and what is known of them, as the part is called wide and long; which edges were
    cut."""

    piece: Piece
    wide: float
    long: float
    made: tuple[Made, Made]
    off: tuple[float, float]
    hot: tuple[tuple[bool, bool], tuple[bool, bool]]
    """(The long edges, the ends): whether each was cut on the rig."""


def _lying(bench: Bench) -> Iterator[tuple[PartLine, Part, list[list[Lying]]]]:
    """Each part with each of its pieces in every way that it may be called wide and long."""
    # Worked out once for all parts, or a list of many parts would take the square of its length.
    sizes, made = extents(bench), _made(bench)
    pieces: dict[str | None, list[Piece]] = defaultdict(list)
    for piece in bench.plan.pieces:
        if piece.kind == "part" and piece.id in sizes and piece.id in made:
            pieces[piece.part].append(piece)
    for line, want in _lines(bench):
        found = []
        for piece in pieces[line.name]:
            shape = bench.shape(piece)
            if shape is not None:
                ways = lies(bench, shape.bounds, want, bench.plates[piece.plate])
                found.append([_lie(bench, piece, sizes[piece.id], made[piece.id], turned=way) for way in ways])
        yield line, want, found


def _lie(bench: Bench, piece: Piece, sizes: Extents, made: tuple[Made, Made], *, turned: bool) -> Lying:
    plate, shape = bench.plates[piece.plate], bench.shape(piece)
    assert shape is not None
    x0, y0, x1, y1 = shape.bounds
    off = FINEST / 2  # beside an edge that the torch grazes the finest figure of a plan may be all that it has taken
    south_north, west_east = (y0 > off, y1 < plate.width - off), (x0 > off, x1 < plate.length - off)
    x, y, off_x, off_y = x1 - x0, y1 - y0, sizes[0].off, sizes[1].off
    if turned:
        return Lying(piece, x, y, made, (off_x, off_y), (west_east, south_north))
    return Lying(piece, y, x, (made[1], made[0]), (off_y, off_x), (south_north, west_east))


# --- accuracy -------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Doubtful:
    """One cause: half-width, standard uncertainty, whether it acts alike on all parts, whether it is assumed."""

    half: float
    u: float
    alike: bool
    assumed: bool


def check_accuracy(bench: Bench) -> Iterator[Finding]:
    """Each part's likely and worst deviation is that of its least true piece, with every cause; what is asked and met
    follows."""
    if not any(line.accuracy for line in bench.plan.parts):
        return  # a plan of an edition that had none; `check` says so
    for line, want, pieces in _lying(bench):
        if len(pieces) == line.made and all(pieces):
            for number, of in enumerate(("width", "length")):
                said = [each for each in line.accuracy if each.of == of]
                yield from _one_accuracy(bench, line, want, pieces, number, said)


def _lines(bench: Bench) -> Iterator[tuple[PartLine, Part]]:
    wants = {part.name: part for part in bench.plan.job.parts}
    known = (line for line in bench.plan.parts if line.name in wants)
    yield from ((line, wants[line.name]) for line in known if not isinstance(wants[line.name], Shape))


def _one_accuracy(
    bench: Bench, line: PartLine, want: Part, pieces: list[list[Lying]], number: int, said: list[Accuracy]
) -> Iterator[Finding]:
    of, about = ("width", "length")[number], f"{line.name}, accuracy of {('width', 'length')[number]}"
    # A square piece may be called either way; where its plan tells no more, either is right.
    found = [[_doubts(bench, want, way, number) for way in ways] for ways in pieces]
    known = [[each for each in ways if each is not None] for ways in found]
    if len(said) != 1:
        if len(said) > 1 or (
            all(len(ways) == len(each) and each for ways, each in zip(known, found, strict=True)) and found
        ):
            yield Finding("accuracy", about, f"{line.name}: how true its {of} is stands {len(said)} times in the list.")
        return
    likely = [_likely(shift, doubts) for ways in known for shift, doubts in ways]
    if not likely:
        yield Finding("accuracy", about, f"{line.name}: no cut makes its {of}, but the list says how true it is.")
        return
    # One that may lie so that no cut makes this size says nothing of it then.
    sure = (ways for ways, every in zip(known, found, strict=True) if ways and len(ways) == len(every))
    least = max((min(_likely(*each) for each in ways) for ways in sure), default=0.0)
    if not least - NEAR <= said[0].likely <= max(likely) + NEAR:
        right, given = figures(max(likely), said[0].likely)
        yield Finding("accuracy", about, f"{line.name}: its {of} is likely within {right} mm, not {given} mm.")
        return
    same = [(s, d) for ways in known for s, d in ways if abs(_likely(s, d) - said[0].likely) <= NEAR]
    if not any(_tells(said[0], shift, doubts) for shift, doubts in same):
        yield Finding("accuracy", about, f"{line.name}: the causes listed do not make its {of} as untrue as is said.")
    yield from _asked(line, want, said[0], about)


def _tells(said: Accuracy, shift: float, doubts: Mapping[str, Doubtful]) -> bool:
    worst = max(abs(shift) + sum(each.half for each in doubts.values()), _likely(shift, doubts))
    if abs(worst - said.worst) > NEAR or {each.cause for each in said.doubts} != set(doubts):
        return False
    return len(said.doubts) == len(doubts) and all(
        abs(each.plus_minus - doubts[each.cause].half) <= NEAR and each.assumed == doubts[each.cause].assumed
        for each in said.doubts
    )


def _asked(line: PartLine, want: Part, said: Accuracy, about: str) -> Iterator[Finding]:
    sized = said.of == "width" or isinstance(want, Rectangle)
    asked = want.plus_minus if sized and not want.allowance else None
    met = None if asked is None else said.likely <= asked + 6e-4
    close = asked is not None and abs(said.likely - asked) < 1e-3
    if said.asked != asked or (said.met != met and not close):
        yield Finding(
            "accuracy",
            f"{about}, asked",
            f"{line.name}: what is asked of its {said.of}, or whether it is met, is not so.",
        )


def _likely(shift: float, doubts: Mapping[str, Doubtful]) -> float:
    alone = math.sqrt(sum(each.u**2 for each in doubts.values() if not each.alike))
    return abs(shift) + 2 * alone + sum(each.half for each in doubts.values() if each.alike)


def _doubts(bench: Bench, want: Part, lying: Lying, number: int) -> tuple[float, dict[str, Doubtful]] | None:
    """The known error of one size and every cause of doubt; None where no cut makes it."""
    made, rig = lying.made[number], bench.plan.rig
    if made == Made():
        return None
    plate = bench.plates[lying.piece.plate]
    process = next(each for each in rig.processes if each.name == plate.process)
    found: dict[str, Doubtful] = {}
    if made.fence:
        found |= _of_fence(rig, made, (lying.long, lying.wide)[number])
    half, u = KERF_SHARE * plate.kerf * made.kerfs, process.kerf_u
    known = None if u is None else u * made.kerfs
    found["kerf"] = (
        Doubtful(half, half / math.sqrt(3), False, True) if known is None else Doubtful(2 * known, known, False, False)
    )
    found["rail straightness"] = _within(RAIL, 1)
    if made.marked:
        found["marking by hand"] = _within(MARK, made.marked)
    if made.dressed:
        found["dressing of the datum edge"] = _within(DRESSED, made.dressed)
    bevel = process.bevel
    if any(lying.hot[number]):
        wedge = math.tan(math.radians(abs(BEVEL if bevel is None else bevel))) * process.thickness
        found["bevel"] = Doubtful(wedge, 0.0, True, bevel is None)
    return _shift(want, lying, number), {name: each for name, each in found.items() if each.half > 0}


def _of_fence(rig: Rig, made: Made, length: float) -> dict[str, Doubtful]:
    repeat, zero, angle = rig.fence_repeat, rig.fence_u, rig.fence_angle
    step = rig.fence_step * rig.fence_scale / 2 if repeat is None else math.sqrt(3) * repeat
    found = {"fence reading": replace(_within(step, made.fence), assumed=False)}
    if made.zero:
        u = (FENCE_U if zero is None else zero) * abs(made.zero)
        found["fence zero"] = Doubtful(2 * u, u, False, zero is None)
    out = PARALLEL if angle is None else abs(length * math.tan(math.radians(angle)))
    found["fence parallel to travel"] = Doubtful(out, 0.0, True, angle is None)
    return found


def _within(half: float, times: int) -> Doubtful:
    """So many independent ones, each within its half-width, assumed."""
    return Doubtful(half * times, half / math.sqrt(3) * math.sqrt(times), False, True)


def _shift(want: Part, lying: Lying, number: int) -> float:
    """What is known to be wrong with a size: the readings, and what could not be cut off [mm]."""
    if number == 0:
        return float(lying.wide + lying.off[0] - want.width - 2 * want.allowance)
    over = lying.long - want.length - 2 * want.allowance if isinstance(want, Rectangle) else 0.0
    return float(over + lying.off[1])


# --- bow ------------------------------------------------------------------------------------------------------------


def check_bow(bench: Bench, foretold: Callable[[Process], bool]) -> Iterator[Finding]:
    """A part that is long for its width and was cut along has its bow, that of its most bowed piece; where it is
    `foretold` for the process at all."""
    if not any(line.accuracy or line.bow for line in bench.plan.parts):
        return
    for line, want, pieces in _lying(bench):
        if len(pieces) < line.made or not all(pieces):
            continue
        bows = (_bow(bench, want, ways[0]) for ways in pieces if foretold(_process(bench, ways[0].piece)))
        found = [bow for bow in bows if bow is not None]
        if any(
            abs(max(ways[0].long, ways[0].wide) - SLENDER * min(ways[0].long, ways[0].wide)) < EDGE for ways in pieces
        ):
            continue  # just as long as a part must be to be looked at: either is right
        if (line.bow is not None) != bool(found):
            words = (
                "will bow, and the list does not say so" if found else "has no bow to speak of, but the list has one"
            )
            yield Finding("bow", f"{line.name}, bow", f"{line.name} {words}.")
        elif line.bow is not None:
            yield from check_one_bow(line, line.bow, found)


@dataclass(frozen=True)
class Foretold:
    """The bow of one piece, worked out here; `limits` and `narrow` hold what is right on either side of an edge that is
    near."""

    piece: str
    bow: float
    low: float
    high: float
    hot_edges: int
    calibrated: bool
    limits: frozenset[float | None]
    narrow: frozenset[bool]


def check_one_bow(line: PartLine, said: ExpectedBow, found: list[Foretold]) -> Iterator[Finding]:
    """The bow that is told of a part is that of its most bowed piece, with its range, limit and remedy."""
    most = max(each.bow for each in found)
    own = next((each for each in found if each.piece == said.piece), None)
    if own is None or own.bow < most - COARSE:
        yield Finding("bow", f"{line.name}, bow", f"{line.name}: {said.piece} is not the piece of it that bows most.")
        return
    pairs = [("bow", own.bow, said.bow)]
    if not own.calibrated:  # the range of measured strips goes by Student's t, which is not worked out here
        pairs += [("least bow", own.low, said.low), ("greatest bow", own.high, said.high)]
    for what, right, given in pairs:
        if abs(right - given) > COARSE + 1e-6 * right:
            true, other = figures(right, given)
            yield Finding("bow", f"{line.name}, {what}", f"{line.name}: its {what} is {true} mm, not {other} mm.")
    known = (said.hot_edges, said.calibrated) == (own.hot_edges, own.calibrated)
    ordered = 0 <= said.low <= said.bow <= said.high
    if not (known and ordered and said.limit in own.limits and said.beyond_model in own.narrow):
        text = f"{line.name}: hot edges, limit, range of its bow, or how it is known, are not so."
        yield Finding("bow", f"{line.name}, bow, limit", text)
    if said.remedy and (said.limit is None or said.bow < said.limit - COARSE):
        yield Finding("bow", f"{line.name}, remedy", f"{line.name}: a remedy is named, but the limit is kept.")


def _bow(bench: Bench, want: Part, lying: Lying) -> Foretold | None:
    length, width, hot = lying.long, lying.wide, lying.hot[0]
    if width > length:
        length, width, hot = width, length, lying.hot[1]
    if not any(hot) or length < SLENDER * width:
        return None
    return bow_of_piece(want, lying.piece, _process(bench, lying.piece), length, width, both=all(hot))


def bow_of_piece(want: Part, piece: Piece, process: Process, length: float, width: float, *, both: bool) -> Foretold:
    """The bow of a piece of which one long edge was cut, or `both`."""
    calibrated, constant = process.bow_constant is not None, hot_constant(process)
    bow = (0.25 if both else 1.0) * constant * (length / width) ** 2
    nears = (-EDGE, 0.0, EDGE)
    void_below = 4 * constant * 210_000 / (0.75 * 235)  # four tension blocks: it yields right through
    return Foretold(
        piece=piece.id,
        bow=bow,
        low=0.0 if both else bow / 2,
        high=2 * bow,
        hot_edges=1 + both,
        calibrated=calibrated,
        limits=frozenset(_limit(want, length + near) for near in nears),
        narrow=frozenset(width + near < void_below for near in nears),
    )


def hot_constant(process: Process) -> float:
    """C of bow = C (length / width)² of one hot edge [mm]: as it was measured or given, else by the model."""
    given = process.bow_constant
    return float(given) if given is not None else HOT_C * _heat(process.travel_speed, process.kerf)


def _process(bench: Bench, piece: Piece) -> Process:
    name = bench.plates[piece.plate].process
    return next(each for each in bench.plan.rig.processes if each.name == name)


def _limit(want: Part, length: float) -> float | None:
    """What is asked, else class L."""
    asked: float | None = want.straightness
    return asked if asked is not None else next((figure for most, figure in STRAIGHT if length <= most), None)


def _heat(speed: float, kerf: float) -> float:
    """Heat left in one edge [J/mm2]: half the conductivity times the rise to melting, times 1.6/v + w/a (speed in
    mm/min, kerf in mm)."""
    conducted, rise, capacity, density = 30.0, 1480.0, 675.0, 7850.0
    return 0.5 * conducted * rise * (1.6 / (speed / 60_000) + kerf / 1000 * density * capacity / conducted) / 1e6
