"""What all pictures of one plate's order of work share: its cuts, what is read before each, the box with room for every
caption. So they can be leafed through.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from stripplan.model.plan.cut import Cut
from stripplan.model.plan.plan import Plan, PlanPlate
from stripplan.sheets.picture.lettering import Box, text_width
from stripplan.sheets.picture.on_plate.bevel_lines import BevelStep, bevel_steps
from stripplan.sheets.picture.on_plate.plate import point_along, torch_line
from stripplan.sheets.picture.shapes import Text
from stripplan.sheets.rows.lookup import Bench
from stripplan.sheets.rows.row_types import CutRow

LEGEND = ("thick frame: to cut now", "teeth: edge on the fence", "tinted: part", "hatched: offcut", "crossed: scrap")

ON_BAR = tuple(each.replace("on the fence", "on fence or bar") for each in LEGEND)

_LINES = 1.7
"""From one line of a caption to the next, over the height of capitals."""

_FOOT = 0.5
"""Height of what stands below a plate over that of the caption."""


@dataclass(frozen=True)
class Stage:
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


def stage_of(bench: Bench, rows: tuple[CutRow, ...], plate_id: str) -> Stage:
    plan = bench.plan
    plate = next((each for each in plan.plates if each.id == plate_id), None)
    if plate is None:
        raise ValueError(f"There is no plate {plate_id}; the plan has {', '.join(each.id for each in plan.plates)}.")
    cuts = tuple(cut for cut in plan.cuts if cut.plate == plate_id)
    rows = tuple(row for row, cut in zip(rows, plan.cuts, strict=True) if cut.plate == plate_id)
    size = max(plate.length, plate.width)
    around = _around(plan, plate, cuts, size)
    bare = Stage(bench, plate, cuts, rows, size, around, 1, tuple(bevel_steps(bench, plate_id)))
    captions = (*(facts_before(bare, at) for at in range(len(cuts))), *(each.facts for each in bare.bevels))
    most = [len(_wrapped(facts, bare.wide, bare.height)) for facts in captions]
    return replace(bare, most=max(most, default=1))


def _around(plan: Plan, plate: PlanPlate, cuts: tuple[Cut, ...], size: float) -> Box:
    """The plate with its letters, and every torch line with the number at its tail and the head at its end."""
    margin, points = 0.055 * size, [(0.0, 0.0), (plate.length, plate.width)]
    for cut in cuts:
        line = torch_line(plan, cut)
        tail = point_along(cut, -math.dist(line.start, cut.line[0]) - 2 * bubble_radius(size))
        points += [tail, line.end]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    air = 1.2 * bubble_radius(size)
    x0, x1 = min(-margin, min(xs) - air), max(plate.length + margin, max(xs) + air)
    more = max(0.0, 0.4 * size - (x1 - x0)) / 2  # captions need some width, however narrow the plate
    return x0 - more, min(-margin, min(ys) - air), x1 + more, max(plate.width + margin, max(ys) + air)


def bubble_radius(size: float) -> float:
    """Radius of the number at the tail of the torch line [mm]."""
    return size / 55


def facts_before(stage: Stage, at: int) -> tuple[str, ...]:
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
