"""All cuts of a plate played one after another, and the bevels of its parts after them.

The animation is SMIL (SVG 1.1, chapter 19; today SVG Animations Level 2) without script, so that it plays as an
image in a page too. Its attributes say the last state: what knows no animation shows all pieces and numbers, and
so does a browser that is asked for less motion. That wish is read by a `<style>`, which a page that puts the SVG
into itself must allow (Content-Security-Policy, style-src); where it does not, the picture moves all the same.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from stripplan.model.plan.cut import Cut, Segment
from stripplan.model.plan.plan import Plan
from stripplan.sheets.picture.lettering import Box
from stripplan.sheets.picture.on_plate.plate import edge_letters, plate_picture, point_along, torch_line
from stripplan.sheets.picture.order_of_work.signs import band_beside, datum_of, frame_thickness, tooth_length
from stripplan.sheets.picture.order_of_work.stage import Stage, facts_before, stage_of
from stripplan.sheets.picture.order_of_work.step import waits
from stripplan.sheets.picture.palette import BLACK, STROKE
from stripplan.sheets.picture.shapes import Line, Picture, Point
from stripplan.sheets.picture.svg import (
    bubble_svg,
    clean,
    framed,
    hatch_of,
    line_svg,
    outline_svg,
    pen_of,
    plain_number,
    text_svg,
)
from stripplan.sheets.rows.lookup import EDGE_LETTERS, Bench
from stripplan.sheets.rows.work.cuts import cut_rows

LEAST_SECONDS = 0.5
"""Steps shorter than this could flash more than three times a second (W3C, WCAG 2.2, criterion 2.3.1) [s]."""

STEP_SECONDS = 2.0
"""How long a step lasts where nobody says [s]."""

CUT_SHARE = 0.7
"""Share of a step after which the torch has passed and the pieces lie apart."""

HOLD = 2
"""Steps for which the last state stays before the animation starts again."""


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
    stage = stage_of(bench, cut_rows(bench), plate_id)
    return _played(stage, _Clock(seconds_a_step, len(stage.cuts), len(stage.bevels)))


def sequence_svgs(plan: Plan) -> Iterator[tuple[str, str]]:
    """Id and animated SVG of every plate that is cut: much quicker than one `sequence_svg` for each."""
    bench = Bench(plan)
    rows = cut_rows(bench)
    for plate in plan.plates:
        stage = stage_of(bench, rows, plate.id)
        if stage.cuts:
            yield plate.id, _played(stage, _Clock(STEP_SECONDS, len(stage.cuts), len(stage.bevels)))


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


def _played(stage: Stage, clock: _Clock) -> str:
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


def _story(stage: Stage) -> str:
    """All steps in words, for a person who does not see them."""
    steps = [", ".join(facts_before(stage, at)) for at in range(len(stage.cuts))]
    if not steps:
        return "No cut: the plate stays whole."
    bevels = [", ".join(each.facts) for each in stage.bevels]
    then = f" Then {len(bevels)} bevels: " + "; ".join(bevels) if bevels else ""
    return f"{len(steps)} cuts, one after another. " + "; ".join(steps) + then


def _settled(stage: Stage, last: Picture, pen: float, hatch: str) -> tuple[list[str], list[str]]:
    """What each cut leaves (kerf, finished pieces, names) and its number with arrowheads; at the end what no cut
    made."""
    cuts, plan = stage.cuts, stage.plan
    ends = [each for each in plan.pieces if each.plate == stage.plate.id and not waits(each)]
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


def _moment(stage: Stage, clock: _Clock, at: int, pen: float) -> str:
    """What is seen during one step only: frame, teeth, torch line with the torch on its way, caption."""
    cut, size = stage.cuts[at], stage.size
    since = clock.start(at)
    frame, fence = _framed(stage, cut.piece), _fenced(datum_of(cut), size)
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
        + _spoken(stage, facts_before(stage, at))
        + clock.shown(since, since + clock.step)
    )


def _bevelled(stage: Stage, clock: _Clock, at: int, pen: float) -> str:
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


def _framed(stage: Stage, piece: str) -> str:
    """A thick frame around a piece."""
    points = " ".join(f"{plain_number(x)},{plain_number(-y)}" for x, y in stage.bench.pieces[piece].outline)
    thick = plain_number(2 * frame_thickness(stage.size))
    return f'<polygon points="{points}" fill="none" stroke="{BLACK}" stroke-width="{thick}"/>'


def _fenced(datum: Segment | None, size: float) -> str:
    """Teeth beside the edge on the fence or the bar."""
    if datum is None:
        return ""
    deep, half = tooth_length(size) - frame_thickness(size), (tooth_length(size) + frame_thickness(size)) / 2
    middle = band_beside(datum, half, half)
    return (
        f'<path d="{_way(middle[0], middle[2])}" stroke="{BLACK}" stroke-width="{plain_number(deep)}" '
        f'stroke-dasharray="{plain_number(0.8 * tooth_length(size))}"/>'
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


def _spoken(stage: Stage, facts: Iterable[str]) -> str:
    """A caption; its weight, size and colour are its group's wherever it needs no smaller size."""
    shown = ""
    for text in stage.caption(facts):
        size = "" if text.height == stage.height else f' font-size="{plain_number(text.height / 0.72)}"'
        shown += (
            f'<text x="{plain_number(text.at[0])}" '
            f'y="{plain_number(-text.at[1] + text.height / 2)}"{size}>{clean(text.text)}</text>'
        )
    return shown


def _intro(stage: Stage, clock: _Clock) -> Iterator[str]:
    """The whole plate, before the first cut."""
    if clock.cuts:
        facts = (f"Plate {stage.plate.id}", stage.plate.stock, f"{clock.cuts} cuts")
        yield f'<g display="none">{_spoken(stage, facts)}{clock.shown(0, clock.start(0))}</g>'


def _ending(stage: Stage, clock: _Clock) -> str:
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
