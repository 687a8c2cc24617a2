"""What is set at a cut, and what is told of it from top to bottom, in words."""

from __future__ import annotations

import re
from collections.abc import Iterator

from reportlab.lib.units import mm

from stripplan.sheets.paper.text import RIG, flagged, markup, shortened, tagged
from stripplan.sheets.rows.row_types import CutRow, Fall, Field, Measure

PAD = 2 * mm
LEADING = 1.1
"""From line to line over the size of letters."""
BETWEEN = 2 * mm

Figure = tuple[str, Field, str]
"""A big figure: what stands over it, the figure, what stands small behind it."""


def figures(row: CutRow, name: str = "") -> list[Figure]:
    """The big figures with their labels: a label says whether there is something to set. `name` for the numbers of
    several cuts."""
    number = Field(name or str(row.number))
    if row.angle is not None and row.bar_stop is not None:
        return [("cuts" if name else "cut", number, ""), ("plate", row.plate, ""), *_at_bar(row), *_stop_and_speed(row)]
    fence = f"{'SET' if row.fence.changed else 'same'} fence"
    where = (fence, row.fence, "") if not row.scribe else (f"SCRIBE from {row.scribe_from}", Field(row.scribe), "")
    return [
        ("cuts" if name else "cut", number, ""),
        ("plate", row.plate, ""),
        where,
        *_stop_and_speed(row),
    ]


def _at_bar(row: CutRow) -> list[Figure]:
    """Angle of the mitre bar, and its stop with the side of the travel that it is on."""
    assert row.angle is not None
    assert row.bar_stop is not None
    angle = f"{'SET' if row.angle.changed else 'same'} bar"
    stop = f"{'SET' if row.bar_stop.changed else 'same'} bar stop {row.bar_side.upper()}"
    return [(angle, row.angle, ""), (stop, row.bar_stop, "")]


def _stop_and_speed(row: CutRow) -> list[Figure]:
    stop = f"{'SET' if row.end_stop.changed else 'same'} end stop"
    word = f"dial, {row.travel_speed}" if row.dial else row.travel_speed.split()[-1]
    speed = f"{'SET' if row.speed.changed else 'same'} {word}"
    return [(stop, row.end_stop, ""), (speed, row.speed, row.timed if row.speed.changed else "")]


def piece(row: CutRow) -> str:
    """What is cut, how large and heavy it is, who lifts it."""
    return markup(f"{row.piece},", bold=True) + " " + markup(f"{row.size}, {row.mass}") + heavy(row)


def heavy(row: CutRow) -> str:
    """Who lifts a piece where one may not."""
    return markup(f", {row.lifting.removesuffix(' or hoist')}", bold=True) if row.lifting else ""


def steps(row: CutRow) -> str:
    """What to do with pieces before a cut."""
    return markup(" ".join(step.few for step in row.steps), bold=True)


def rest(row: CutRow) -> str:
    """How long the power source rests before a cut."""
    return markup(f"{row.rest} before the arc", bold=True)


def lay(row: CutRow, *, face: bool = True) -> list[str]:
    """How the piece lies, and where it is marked; which `face` is up may be left out."""
    laid = [flagged(f"{row.face.text};", row.face.changed)] if face else []
    if row.located == "fence":
        laid.append(markup("fence: ") + flagged(f"{row.on_fence.text};", row.on_fence.changed))
    if row.located != "mitre":
        laid.append(markup("start: ") + flagged(f"{row.leading.text}.", row.leading.changed))
    return [" ".join(map(together, laid)), *(markup(each, bold=True) for each in (*row.marks, *row.aids))]


def together(text: str) -> str:
    """Markup whose edges stay on one line with where they come from."""
    return re.sub(r"(?<=[A-Z]) \((cut )?", lambda m: m[0].replace(" ", "\u00a0"), text)


def fell(fall: Fall | None) -> str:
    """What falls on one side, and what becomes of it."""
    if fall is None:
        return markup("nothing: the kerf takes it")
    room = 70 * mm
    name = tagged(shortened(fall.name, RIG, room, bold=True), bold=True) + " " if fall.name else ""
    doing = markup(fall.doing + ".", bold=fall.kind in ("part", "offcut"))
    called = markup(f"({fall.piece})") if fall.name else markup(f"{fall.piece},", bold=True)
    return f"{name}{called} {markup(fall.size + ':')} {doing}"


def to_measure(row: CutRow) -> Iterator[Measure]:
    """All that is measured after a cut."""
    yield from (each for each in (row.measure, row.also) if each is not None)


def measured(each: Measure) -> str:
    """Width to expect, band, and a place for what it is; so each further length."""
    return "; ".join(_one_measured(one) for one in (each, *each.further))


def _one_measured(each: Measure) -> str:
    band = markup(f"go {each.low} to {each.high}", bold=True)
    of = f"{each.of} " if each.of else ""
    return f"{markup(of + each.expected)}, {band}; is\u00a0{'_' * 7}"
