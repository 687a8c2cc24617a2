"""Pictures of the order of work: a plate as it lies before one cut, and all its cuts played one after another.

Both stand on the picture of the plate (`draw`) and the rows of the sheet (`rows_cut`), and compute no figure of
their own. All pictures of one plate have the same box, so that they can be leafed through.

Meaning never hangs on colour: the piece to cut has a thick frame, its edge on the fence has teeth, the torch line
an arrowhead; a part is tinted and named, an offcut hatched, scrap crossed.

The animation is SMIL (SVG 1.1, chapter 19; today SVG Animations Level 2) without script, so that it plays as an
image in a page too. Its attributes say the last state: what knows no animation shows all pieces and numbers, and
so does a browser that is asked for less motion. That wish is read by a `<style>`, which a page that puts the SVG
into itself must allow (Content-Security-Policy, style-src); where it does not, the picture moves all the same.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from stripplan.model.plan.cut import Cut, Segment
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan, PlanPlate
from stripplan.sheets.picture.bevel_lines import BevelStep, bevel_steps
from stripplan.sheets.picture.lettering import Box, Taken, text_box, text_width
from stripplan.sheets.picture.palette import BLACK, STROKE
from stripplan.sheets.picture.piece_labels import as_labelled, fitted_label, greatest_height, piece_label, piece_size
from stripplan.sheets.picture.plate import (
    arrowhead,
    edge_letters,
    kerf_band,
    layer_of,
    plate_picture,
    point_along,
    torch_line,
)
from stripplan.sheets.picture.shapes import Bubble, Line, Outline, Picture, Point, Text
from stripplan.sheets.picture.svg import (
    bubble_svg,
    clean,
    framed,
    hatch_of,
    line_svg,
    outline_svg,
    paint,
    pen_of,
    plain_number,
    text_svg,
)
from stripplan.sheets.rows.cuts import cut_rows
from stripplan.sheets.rows.lookup import EDGE_LETTERS, Bench
from stripplan.sheets.rows.row_types import CutRow

LEAST_SECONDS = 0.5
"""Steps shorter than this could flash more than three times a second (W3C, WCAG 2.2, criterion 2.3.1) [s]."""

STEP_SECONDS = 2.0
"""How long a step lasts where nobody says [s]."""

CUT_SHARE = 0.7
"""Share of a step after which the torch has passed and the pieces lie apart."""

HOLD = 2
"""Steps for which the last state stays before the animation starts again."""

LEGEND = ("thick frame: to cut now", "teeth: edge on the fence", "tinted: part", "hatched: offcut", "crossed: scrap")

ON_BAR = tuple(each.replace("on the fence", "on fence or bar") for each in LEGEND)

_LINES = 1.7
"""From one line of a caption to the next, over the height of capitals."""

_FOOT = 0.5
"""Height of what stands below a plate over that of the caption."""


def step_svgs(plan: Plan) -> Iterator[tuple[int, str]]:
    """Number and SVG of every step, plate by plate."""
    for number, words, picture in step_pictures(plan):
        yield number, paint(picture, description=words)


def step_pictures(plan: Plan) -> Iterator[tuple[int, str, Picture]]:
    """Every step, plate by plate: its number, what is done in words,
    the plate as it lies before the cut and what is cut.
    """
    bench = Bench(plan)
    rows = cut_rows(bench)
    for plate in plan.plates:
        stage = _stage(bench, rows, plate.id)
        for cut in stage.cuts:
            words, picture = _step(stage, cut)
            yield cut.number, words, picture


def sequence_svg(plan: Plan, plate_id: str, *, seconds_a_step: float = STEP_SECONDS) -> str:
    """One animated SVG that plays the cuts of a plate and the bevels of its parts in the order of work, over and over.

    It starts with the whole plate for one step and ends with all pieces for two. ValueError if the plan has no such
    plate, or if the steps would be shorter than half a second.
    """
    if not (math.isfinite(seconds_a_step) and seconds_a_step >= LEAST_SECONDS):
        raise ValueError(
            f"A step of {seconds_a_step:g} s cannot be shown; it lasts at least {LEAST_SECONDS:g} s, so that nothing "
            "flashes."
        )
    bench = Bench(plan)
    stage = _stage(bench, cut_rows(bench), plate_id)
    return _played(stage, _Clock(seconds_a_step, len(stage.cuts), len(stage.bevels)))


def sequence_svgs(plan: Plan) -> Iterator[tuple[str, str]]:
    """Id and animated SVG of every plate that is cut: much quicker than one `sequence_svg` for each."""
    bench = Bench(plan)
    rows = cut_rows(bench)
    for plate in plan.plates:
        stage = _stage(bench, rows, plate.id)
        if stage.cuts:
            yield plate.id, _played(stage, _Clock(STEP_SECONDS, len(stage.cuts), len(stage.bevels)))


# --- the stage: what all pictures of one plate share --------------------------------------------------------------


@dataclass(frozen=True)
class _Stage:
    """A plate, its cuts with their rows, and the box with room for every caption; `size` is the longer side [mm]."""

    bench: Bench
    plate: PlanPlate
    cuts: tuple[Cut, ...]
    rows: tuple[CutRow, ...]
    size: float
    around: Box
    """The plate with all that reaches out of it."""
    most: int
    """Lines of the longest caption."""
    bevels: tuple[BevelStep, ...] = ()

    @property
    def plan(self) -> Plan:
        return self.bench.plan

    @property
    def height(self) -> float:
        """Height of capitals in a caption [mm]."""
        return self.size / 42

    @property
    def wide(self) -> float:
        return self.around[2] - self.around[0]

    @property
    def legend(self) -> tuple[str, ...]:
        shown = ON_BAR if any(cut.mitre is not None for cut in self.cuts) else LEGEND
        return _wrapped(shown, self.wide, _FOOT * self.height)

    @property
    def box(self) -> Box:
        x0, y0, x1, y1 = self.around
        below = (len(self.legend) + 0.5) * _LINES * _FOOT * self.height
        return x0, y0 - below, x1, y1 + (self.most + 0.5) * _LINES * self.height

    def caption(self, facts: Iterable[str]) -> list[Text]:
        """Facts as lines above the plate, from the top down."""
        lines = _wrapped(facts, self.wide, self.height)
        top = self.box[3] - 0.75 * _LINES * self.height
        return self._lines(lines, top, self.height, bold=True)

    def foot(self) -> list[Text]:
        """What the signs mean, below the plate."""
        return self._lines(self.legend, self.around[1] - _FOOT * self.height, _FOOT * self.height, bold=False)

    def _lines(self, lines: tuple[str, ...], top: float, height: float, *, bold: bool) -> list[Text]:
        middle = (self.around[0] + self.around[2]) / 2
        fits = [min(height, 0.98 * self.wide / text_width(line)) for line in lines]
        return [
            Text("TEXT", (middle, top - n * _LINES * height), line, fit, bold=bold)
            for n, (line, fit) in enumerate(zip(lines, fits, strict=True))
        ]


def _stage(bench: Bench, rows: tuple[CutRow, ...], plate_id: str) -> _Stage:
    plan = bench.plan
    plate = next((each for each in plan.plates if each.id == plate_id), None)
    if plate is None:
        raise ValueError(f"There is no plate {plate_id}; the plan has {', '.join(each.id for each in plan.plates)}.")
    cuts = tuple(cut for cut in plan.cuts if cut.plate == plate_id)
    rows = tuple(row for row, cut in zip(rows, plan.cuts, strict=True) if cut.plate == plate_id)
    size = max(plate.length, plate.width)
    around = _around(plan, plate, cuts, size)
    bare = _Stage(bench, plate, cuts, rows, size, around, 1, tuple(bevel_steps(bench, plate_id)))
    captions = (*(_facts(bare, at) for at in range(len(cuts))), *(each.facts for each in bare.bevels))
    most = [len(_wrapped(facts, bare.wide, bare.height)) for facts in captions]
    return replace(bare, most=max(most, default=1))


def _around(plan: Plan, plate: PlanPlate, cuts: tuple[Cut, ...], size: float) -> Box:
    """The plate with its letters, and every torch line with the number at its tail and the head at its end."""
    margin, points = 0.055 * size, [(0.0, 0.0), (plate.length, plate.width)]
    for cut in cuts:
        line = torch_line(plan, cut)
        tail = point_along(cut, -math.dist(line.start, cut.line[0]) - 2 * _radius(size))
        points += [tail, line.end]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    air = 1.2 * _radius(size)
    x0, x1 = min(-margin, min(xs) - air), max(plate.length + margin, max(xs) + air)
    more = max(0.0, 0.4 * size - (x1 - x0)) / 2  # captions need some width, however narrow the plate
    return x0 - more, min(-margin, min(ys) - air), x1 + more, max(plate.width + margin, max(ys) + air)


def _radius(size: float) -> float:
    """Radius of the number at the tail of the torch line [mm]."""
    return size / 55


def _head(size: float) -> float:
    """Length of an arrowhead, a little more than its width [mm]."""
    return size / 45


def _facts(stage: _Stage, at: int) -> tuple[str, ...]:
    """What to read before a cut: number, where it is located, end stop, edge on the fence, piece."""
    cut, row = stage.cuts[at], stage.rows[at]
    facts = [f"Cut {cut.number} of {len(stage.plan.cuts)}", _located(cut, row), f"end stop {row.end_stop.text}"]
    if cut.located == "fence":
        facts.append(f"edge {row.on_fence.text} on the fence")
    if row.bar_stop is not None:
        facts.append(f"edge {row.leading.text} on the bar, its stop {row.bar_stop.text} {row.bar_side}")
    facts.append(f"piece {row.piece}")
    return (*facts, "TWO PASSES") if len(cut.passes) == 2 else tuple(facts)


def _located(cut: Cut, row: CutRow) -> str:
    if cut.located == "fence":
        return f"fence {row.fence.text}"
    if cut.mitre is not None:
        return f"mitre bar {row.angle.text if row.angle is not None else ''}"
    return f"mark {row.scribe} from edge {row.scribe_from}"


def _wrapped(facts: Iterable[str], wide: float, height: float) -> tuple[str, ...]:
    """Facts in lines that stay within a width; a fact is never parted.

    >>> _wrapped(("Cut 7", "fence 50.5", "end stop 1020"), 26, 1)
    ('Cut 7 · fence 50.5', 'end stop 1020')
    """
    lines: list[str] = []
    for fact in facts:
        longer = f"{lines[-1]} · {fact}" if lines else fact
        if lines and text_width(longer) * height <= 0.98 * wide:
            lines[-1] = longer
        else:
            lines.append(fact)
    return tuple(lines)


# --- one step -----------------------------------------------------------------------------------------------------


def _step(stage: _Stage, cut: Cut) -> tuple[str, Picture]:
    """The description in words and the picture of one step."""
    plan = stage.plan
    facts = _facts(stage, stage.cuts.index(cut))
    lying = pieces_before(plan, cut)
    now = next(each for each in lying if each.id == cut.piece)
    taken = Taken(stage.size / 20)
    bubble, signs = _torch(stage, cut, taken)
    frame = _frame(now, stage.size) + _teeth(cut, stage.size, taken)
    letters = _letters(stage, taken)
    beside = _beside(stage, cut, facts[1], taken)
    done = [each for each in stage.cuts if each.number < cut.number]
    picture = Picture(
        title=f"{plan.job.name}: plate {cut.plate} ({stage.plate.stock}) before cut {cut.number}",
        box=stage.box,
        outlines=(
            *(Outline("PLATE", each.outline) for each in lying if _waits(each) and each is not now),
            *(Outline("KERF", kerf_band(each)) for each in done),
            *(Outline(layer_of(each), each.outline) for each in lying if not _waits(each)),
            *frame,
            Outline("PLATE", now.outline),
            *signs,
        ),
        lines=(torch_line(plan, cut),),
        texts=(*_names(stage, cut, lying, taken), *letters, *beside, *stage.caption(facts), *stage.foot()),
        bubbles=(bubble,),
        dimensions=(),
    )
    return _told(facts, lying), picture


def pieces_before(plan: Plan, cut: Cut) -> tuple[Piece, ...]:
    """Pieces of the cut's plate that lie there before it: made by an earlier cut, and not yet cut."""
    made = {name: each.number for each in plan.cuts for name in each.makes if name is not None}
    spent = {each.piece: each.number for each in plan.cuts}
    return tuple(
        each
        for each in plan.pieces
        if each.plate == cut.plate and made.get(each.id, 0) < cut.number <= spent.get(each.id, cut.number)
    )


def _told(facts: tuple[str, ...], lying: tuple[Piece, ...]) -> str:
    """A step in a sentence, for a person who does not see it."""
    counts = {kind: sum(each.kind == kind for each in lying) for kind in ("part", "offcut", "scrap")}
    ends = ", ".join(
        f"{count} {kind}{'s' if count > 1 and kind != 'scrap' else ''}" for kind, count in counts.items() if count
    )
    return (
        f"{', '.join(facts)}. Lying apart already: {ends or 'no finished piece'}; {sum(map(_waits, lying))} still "
        "to be cut."
    )


def _waits(piece: Piece) -> bool:
    """Whether a piece is still to be cut."""
    return piece.kind in ("plate", "blank")


def _band(edge: Segment, near: float, far: float, before: float = 0.0, beyond: float = 0.0) -> tuple[Point, ...]:
    """A band along a segment, from `near` to `far` to the right of its direction, longer at its ends."""
    (ax, ay), (bx, by) = edge
    length = math.dist(*edge)
    dx, dy = (bx - ax) / length, (by - ay) / length

    def at(along: float, right: float) -> Point:
        return ax + dx * along + dy * right, ay + dy * along - dx * right

    return at(-before, near), at(-before, far), at(length + beyond, far), at(length + beyond, near)


def _thick(size: float) -> float:
    """How thick the frame of the piece to cut is [mm]."""
    return size / 220


def _frame(piece: Piece, size: float) -> list[Outline]:
    """A thick frame around a piece: bands outside its edges, so that a narrow strip keeps its inside."""
    thick, points = _thick(size), piece.outline
    edges = zip(points, (*points[1:], points[0]), strict=True)
    return [Outline("TEXT", _band(edge, 0, thick, thick, thick)) for edge in edges]


def _teeth(cut: Cut, size: float, taken: Taken) -> list[Outline]:
    """Teeth outside the edge that lies on the fence or the mitre bar."""
    edge = _datum(cut)
    if edge is None:
        return []
    (ax, ay), (bx, by) = edge
    near, far = _thick(size), _tooth(size)
    taken.add(_hull(_band(edge, 0, far)))
    count = max(2, min(40, round(math.dist((ax, ay), (bx, by)) / (1.6 * far))))
    shares = [((n + 0.25) / count, (n + 0.75) / count) for n in range(count)]
    return [
        Outline(
            "TEXT",
            _band(((ax + (bx - ax) * a, ay + (by - ay) * a), (ax + (bx - ax) * b, ay + (by - ay) * b)), near, far),
        )
        for a, b in shares
    ]


def _datum(cut: Cut) -> Segment | None:
    """The edge on the fence, or on the mitre bar, with the piece to the left of its direction as both are drawn."""
    if cut.mitre is None:
        return cut.edge_on_fence
    (ax, ay), (bx, by) = cut.mitre.edge
    (x0, y0), (x1, y1) = cut.line
    inside = (bx - ax) * (y1 - y0) - (by - ay) * (x1 - x0) > 0  # the torch goes into the metal from that edge
    return cut.mitre.edge if inside else (cut.mitre.edge[1], cut.mitre.edge[0])


def _tooth(size: float) -> float:
    """How far teeth reach from the edge on the fence [mm]."""
    return size / 75


def _hull(points: Iterable[Point]) -> Box:
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _torch(stage: _Stage, cut: Cut, taken: Taken) -> tuple[Bubble, list[Outline]]:
    """The number at the tail of the torch line, the line as a band, an arrowhead where each pass ends."""
    line, size = torch_line(stage.plan, cut), stage.size
    head, radius = _head(size), _radius(size)
    start = -math.dist(line.start, cut.line[0])
    end = cut.length + math.dist(line.end, cut.line[1])
    band = Outline("TEXT", _band((line.start, line.end), -size / 500, size / 500))
    taken.add(_hull(_band((line.start, line.end), -head / 2, head / 2)))
    bubble = Bubble(point_along(cut, start - radius), cut.number, radius)
    (x, y) = bubble.at
    taken.add((x - radius, y - radius, x + radius, y + radius))
    if len(cut.passes) == 1:
        return bubble, [band, arrowhead(cut, end - head, head)]
    meet = sorted((cut.passes[0].length, cut.length - cut.passes[1].length))
    return bubble, [band, arrowhead(cut, meet[0] - head, head), arrowhead(cut, meet[1] + head, -head)]


def _letters(stage: _Stage, taken: Taken) -> list[Text]:
    """Letters of the edges of the plate, each moved along its edge where a number stands in its place."""
    plate, found = stage.plate, []
    for letter in edge_letters(plate, stage.size):
        (x, y), level = letter.at, 0 <= letter.at[0] <= plate.length
        moved = [
            replace(letter, at=(plate.length * share, y) if level else (x, plate.width * share))
            for share in (0.25, 0.4, 0.1, 0.6, 0.75, 0.9)
        ]
        found.append(next((each for each in moved if taken.free(text_box(each))), letter))
        taken.add(text_box(found[-1]))
    return found


def _beside(stage: _Stage, cut: Cut, reading: str, taken: Taken) -> list[Text]:
    """The reading beside the torch line, and the word FENCE beside the teeth where it has room."""
    size = stage.size
    heights = (size / 50, size / 65, size / 85)
    tries = [each for height in heights for each in _spots(cut.line, reading, height, _head(size) / 2 + 0.8 * height)]
    inside = [each for each in tries if _within(stage.around, text_box(each))]
    home = stage.bench.pieces[cut.piece].box
    inside.sort(key=lambda each: each.height < heights[1] or not _within(home, text_box(each)))
    found = [next((each for each in inside if taken.free(text_box(each))), tries[-1])]
    datum = _datum(cut)
    if datum is not None:
        height = size / 75
        name = "FENCE" if cut.mitre is None else "BAR"
        words = _spots(datum, name, height, -_tooth(size) - 0.9 * height, both=False)
        found += [each for each in words if _within(stage.around, text_box(each)) and taken.free(text_box(each))][:1]
    for each in found:
        x0, y0, x1, y1 = text_box(each)
        air = 0.3 * each.height
        taken.add((x0 - air, y0 - air, x1 + air, y1 + air))
    return found


def _spots(line: Segment, words: str, height: float, aside: float, *, both: bool = True) -> list[Text]:
    """Words beside a segment, the best spot first: along it from the middle outwards, level where it is short and
    upright.

    `aside` is from the segment to the middle of the words, to its left if positive; `both` sides may serve.
    """
    (ax, ay), (bx, by) = line
    length, long = math.dist(*line), text_width(words) * height
    dx, dy = (bx - ax) / length, (by - ay) / length
    upright = abs(dy) > abs(dx)
    ways = [(upright, aside), (upright, 1.5 * aside)]  # the second clears the number at the tail of a short line
    if upright and long > length:
        ways = [(False, math.copysign(long / 2 + abs(aside) - height / 2, aside)), *ways]
    return [
        Text(
            "TEXT",
            (ax + dx * length * share - dy * off, ay + dy * length * share + dx * off),
            words,
            height,
            upright=turned,
            bold=True,
        )
        for turned, far in ways
        for share in (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9)
        for off in ((far, -far) if both else (far,))
    ]


def _within(outer: Box, box: Box) -> bool:
    return box[0] >= outer[0] and box[1] >= outer[1] and box[2] <= outer[2] and box[3] <= outer[3]


def _names(stage: _Stage, cut: Cut, lying: tuple[Piece, ...], taken: Taken) -> Iterator[Text]:
    """Names of all pieces; the one to cut has its id and size beside the torch line, in the larger half."""
    units = (stage.plan.job.units, stage.plan.job.inch_fraction)
    halves = [stage.bench.pieces[name] for name in cut.makes if name is not None]
    larger = max(halves, key=lambda each: each.mass, default=stage.bench.pieces[cut.piece])
    size = piece_size(stage.bench.pieces[cut.piece], units)
    for lines in ((f"{cut.piece}  {size}",), (cut.piece, size), (cut.piece,)):
        height, least = min(stage.size / 55, greatest_height(larger, lines)), stage.size / 130
        found = fitted_label(larger, lines, height, least, taken) if height >= least else []
        if found:
            yield from found
            break
    for piece in lying:
        if piece.id != cut.piece:
            named = replace(piece, part=piece.id) if _waits(piece) else as_labelled(stage.plan, piece)
            label = piece_label(named, stage.size, units, taken)
            if all(taken.free(text_box(text)) for text in label):  # a small piece may lie under what the cut says
                yield from label


# --- the animation ------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Clock:
    """Times of the animation: one step for the whole plate, one for each cut and bevel, `HOLD` for the end."""

    step: float
    cuts: int
    bevels: int = 0

    @property
    def whole(self) -> float:
        """Seconds from one start to the next."""
        return self.step * (1 + self.cuts + self.bevels + HOLD)

    def start(self, at: int) -> float:
        """When the step of the cut in place `at` (from 0) begins [s]; bevels come after the cuts."""
        return self.step * (1 + at)

    def stays(self, since: float) -> str:
        """Hidden until a time, then shown until the end."""
        return self._animate("display", "none;inline", (since,), "discrete")

    def shown(self, since: float, until: float) -> str:
        """Shown from one time to another only."""
        if since <= 0:
            return self._animate("display", "inline;none", (until,), "discrete")
        return self._animate("display", "none;inline;none", (since, until), "discrete")

    def drawn(self, since: float, until: float) -> str:
        """A line of dash length 1 that grows from one time to another."""
        times = f"0;{self._share(since)};{self._share(until)};1"
        return self._written("stroke-dashoffset", "1;1;0;0", times, "linear")

    def _animate(self, name: str, values: str, times: tuple[float, ...], mode: str) -> str:
        return self._written(name, values, ";".join(("0", *map(self._share, times))), mode)

    def _written(self, name: str, values: str, times: str, mode: str) -> str:
        return (
            f'<animate attributeName="{name}" values="{values}" keyTimes="{times}" dur="{plain_number(self.whole)}s" '
            f'repeatCount="indefinite" calcMode="{mode}"/>'
        )

    def _share(self, time: float) -> str:
        return f"{time / self.whole:.6f}".rstrip("0")


def _played(stage: _Stage, clock: _Clock) -> str:
    plan, plate, box = stage.plan, stage.plate, stage.box
    last = plate_picture(plan, plate.id)
    title = f"{plan.job.name}: plate {plate.id} ({plate.stock}), cuts in the order of work"
    ground = Picture(title, box, (last.outlines[0],), (), (*stage.foot(), *edge_letters(plate, stage.size)), (), ())
    pen, hatch = pen_of(ground), hatch_of(ground)
    settled, numbers = _settled(stage, last, pen, hatch)
    body = [
        outline_svg(ground.outlines[0], pen, hatch),
        *map(text_svg, ground.texts),
        "".join(settled[clock.cuts :]) + '<g class="stripplan-stays">',
        *(f"<g>{settled[at]}{clock.stays(clock.start(at) + CUT_SHARE * clock.step)}</g>" for at in range(clock.cuts)),
        "</g>",
        f'<g class="stripplan-steps" font-weight="bold" font-size="{plain_number(stage.height / 0.72)}">',
        *_intro(stage, clock),
        *(f'<g display="none">{_moment(stage, clock, at, pen)}</g>' for at in range(clock.cuts)),
        *(f'<g display="none">{_bevelled(stage, clock, at, pen)}</g>' for at in range(clock.bevels)),
        "</g>",
        '<g class="stripplan-stays">',
        *(f"<g>{numbers[at]}{clock.stays(clock.start(at))}</g>" for at in range(clock.cuts)),
        "</g>",
        _ending(stage, clock),
    ]
    style = (
        "<style>@media (prefers-reduced-motion:reduce){.stripplan-steps>g{display:none!important}"
        ".stripplan-stays>g{display:inline!important}}</style>\n"
    )
    return framed(ground, body, description=_story(stage), style=style)


def _story(stage: _Stage) -> str:
    """All steps in words, for a person who does not see them."""
    steps = [", ".join(_facts(stage, at)) for at in range(len(stage.cuts))]
    if not steps:
        return "No cut: the plate stays whole."
    bevels = [", ".join(each.facts) for each in stage.bevels]
    then = f" Then {len(bevels)} bevels: " + "; ".join(bevels) if bevels else ""
    return f"{len(steps)} cuts, one after another. " + "; ".join(steps) + then


def _settled(stage: _Stage, last: Picture, pen: float, hatch: str) -> tuple[list[str], list[str]]:
    """What each cut leaves (kerf, finished pieces, names) and its number with arrowheads; at the end what no cut
    made."""
    cuts, plan = stage.cuts, stage.plan
    ends = [each for each in plan.pieces if each.plate == stage.plate.id and not _waits(each)]
    kerfs = last.outlines[1 : 1 + len(cuts)]
    shapes = last.outlines[1 + len(cuts) : 1 + len(cuts) + len(ends)]
    arrows = iter(last.outlines[1 + len(cuts) + len(ends) :])
    place = {cut.number: at for at, cut in enumerate(cuts)}
    settled = [outline_svg(kerf, pen, hatch) for kerf in kerfs] + [""]
    homes = {}
    for piece, shape in zip(ends, shapes, strict=True):
        homes[piece.id] = place.get(stage.bench.made_by.get(piece.id, 0), len(cuts))
        settled[homes[piece.id]] += outline_svg(shape, pen, hatch)
    for text in last.texts[: -len(EDGE_LETTERS)]:
        home = next(each for each in ends if _holds(each.box, text.at))
        settled[homes[home.id]] += text_svg(text)
    numbers = [
        "".join(outline_svg(next(arrows), pen, hatch) for _ in cut.passes) + bubble_svg(bubble, pen)
        for cut, bubble in zip(cuts, last.bubbles, strict=True)
    ]
    return settled, numbers


def _holds(box: Box, at: Point) -> bool:
    return box[0] <= at[0] <= box[2] and box[1] <= at[1] <= box[3]


def _moment(stage: _Stage, clock: _Clock, at: int, pen: float) -> str:
    """What is seen during one step only: frame, teeth, torch line with the torch on its way, caption."""
    cut, size = stage.cuts[at], stage.size
    since = clock.start(at)
    frame, fence = _framed(stage, cut.piece), _fenced(_datum(cut), size)
    line = torch_line(stage.plan, cut)
    torch = "".join(
        f'<path d="{_way(*way)}" pathLength="1" stroke-dasharray="1 1" fill="none" stroke="{STROKE["CUT"]}" '
        f'stroke-width="{plain_number(5 * pen)}">{clock.drawn(since + a * clock.step, since + b * clock.step)}</path>'
        for way, a, b in _ways(cut, line)
    )
    return (
        frame
        + fence
        + line_svg(line, pen)
        + torch
        + _spoken(stage, _facts(stage, at))
        + clock.shown(since, since + clock.step)
    )


def _bevelled(stage: _Stage, clock: _Clock, at: int, pen: float) -> str:
    """What is seen while a bevel is cut: frame, teeth, the torch on its way along the edge, caption."""
    bevel, size = stage.bevels[at], stage.size
    since, cut = clock.start(clock.cuts + at), bevel.cut
    way = cut.edge[::-1] if cut.face_up else cut.edge
    torch = (
        f'<path d="{_way(*way)}" pathLength="1" stroke-dasharray="1 1" fill="none" stroke="{STROKE["CUT"]}" '
        f'stroke-width="{plain_number(8 * pen)}">'
        f"{clock.drawn(since + 0.2 * clock.step, since + CUT_SHARE * clock.step)}</path>"
    )
    here = _framed(stage, cut.piece) + _fenced(cut.edge_on_fence if cut.face_up else _back(cut.edge_on_fence), size)
    return here + torch + _spoken(stage, bevel.facts) + clock.shown(since, since + clock.step)


def _back(edge: Segment | None) -> Segment | None:
    return None if edge is None else (edge[1], edge[0])


def _framed(stage: _Stage, piece: str) -> str:
    """A thick frame around a piece."""
    points = " ".join(f"{plain_number(x)},{plain_number(-y)}" for x, y in stage.bench.pieces[piece].outline)
    thick = plain_number(2 * _thick(stage.size))
    return f'<polygon points="{points}" fill="none" stroke="{BLACK}" stroke-width="{thick}"/>'


def _fenced(datum: Segment | None, size: float) -> str:
    """Teeth beside the edge on the fence or the bar."""
    if datum is None:
        return ""
    deep, half = _tooth(size) - _thick(size), (_tooth(size) + _thick(size)) / 2
    middle = _band(datum, half, half)
    return (
        f'<path d="{_way(middle[0], middle[2])}" stroke="{BLACK}" stroke-width="{plain_number(deep)}" '
        f'stroke-dasharray="{plain_number(0.8 * _tooth(size))}"/>'
    )


def _ways(cut: Cut, line: Line) -> list[tuple[Segment, float, float]]:
    """The way of each pass, and the shares of the step in which the torch goes it."""
    if len(cut.passes) == 1:
        return [((line.start, line.end), 0.2, CUT_SHARE)]
    first, second = point_along(cut, cut.passes[0].length), point_along(cut, cut.length - cut.passes[1].length)
    half = (0.2 + CUT_SHARE) / 2
    return [((line.start, first), 0.2, half), ((line.end, second), half, CUT_SHARE)]


def _way(start: Point, end: Point) -> str:
    return f"M{plain_number(start[0])} {plain_number(-start[1])}L{plain_number(end[0])} {plain_number(-end[1])}"


def _spoken(stage: _Stage, facts: Iterable[str]) -> str:
    """A caption; its weight, size and colour are its group's wherever it needs no smaller size."""
    shown = ""
    for text in stage.caption(facts):
        size = "" if text.height == stage.height else f' font-size="{plain_number(text.height / 0.72)}"'
        shown += (
            f'<text x="{plain_number(text.at[0])}" '
            f'y="{plain_number(-text.at[1] + text.height / 2)}"{size}>{clean(text.text)}</text>'
        )
    return shown


def _intro(stage: _Stage, clock: _Clock) -> Iterator[str]:
    """The whole plate, before the first cut."""
    if clock.cuts:
        facts = (f"Plate {stage.plate.id}", stage.plate.stock, f"{clock.cuts} cuts")
        yield f'<g display="none">{_spoken(stage, facts)}{clock.shown(0, clock.start(0))}</g>'


def _ending(stage: _Stage, clock: _Clock) -> str:
    """The caption of the last state."""
    if not clock.cuts:
        return (
            '<g font-weight="bold" '
            f'font-size="{plain_number(stage.height / 0.72)}">{_spoken(stage, ("No cut: the plate stays whole",))}</g>'
        )
    bevels = f" and {clock.bevels} bevels" if clock.bevels else ""
    words = _spoken(stage, (f"Plate {stage.plate.id}", f"all {clock.cuts} cuts{bevels} in the order of work"))
    return (
        f'<g class="stripplan-stays" font-weight="bold" font-size="{plain_number(stage.height / 0.72)}">'
        f"<g>{words}{clock.stays(clock.start(clock.cuts + clock.bevels))}</g></g>"
    )
