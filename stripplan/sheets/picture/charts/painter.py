"""Painter of a Chart: one drawing for paper and screen.

Axes, their ticks and their scale, marks and labels are reportlab's; here is only what goes where. Text is never
turned and never lies on other text: y words stand above the frame, words of a span in a row of their own, the rest
in rows below. What does not fit ends in an ellipsis.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from io import StringIO
from typing import Any

from reportlab.graphics import renderSVG
from reportlab.graphics.shapes import Drawing, Group, Rect, String, UserNode
from reportlab.lib.colors import HexColor

from stripplan.sheets.paper.text import BOLD, REGULAR, load_fonts, printable, width_of
from stripplan.sheets.picture.charts.axes import frame_of, grid_lines, scales_of, with_power
from stripplan.sheets.picture.charts.inside_frame import (
    band_drawn,
    bars_drawn,
    curve_drawn,
    marks_drawn,
    spans_drawn,
    words_over_spans,
)
from stripplan.sheets.picture.charts.legend import legend_drawn, legend_entries, legend_rows
from stripplan.sheets.picture.charts.words import (
    GAP,
    LEADING,
    LETTERS,
    Words,
    in_lines,
    printed_width,
    reach_in_words,
)
from stripplan.sheets.picture.palette import WHITE
from stripplan.sheets.rows.notebook import Chart

TITLE = 9.5
"""Size of the letters of a title [pt]."""
LEAST_WIDTH, LEAST_HEIGHT = 200.0, 160.0
"""Of a chart that can be read [pt]."""
ON_SCREEN = (360.0, 240.0)
"""Size of a chart as SVG [pt]."""
FAMILY = "'DejaVu Sans Condensed', 'DejaVu Sans', Verdana, Arial, sans-serif"
_FRAME_LEAST = 60.0


def drawing(chart: Chart, width: float, height: float) -> Any:
    """A chart as a reportlab Drawing of that size [pt], text as the embedded font prints it.

    Raises ValueError for a size too small to be read, and for figures that are no numbers, naming each.
    """
    return _painted(chart, width, height, printable)


def svg_text(chart: Chart) -> str:
    """A chart as SVG: self-contained, with title and description, text as text, the same bytes each time."""
    width, height = ON_SCREEN
    made = _painted(chart, width, height, _clean)
    attributes = {"width": f"{width:g}pt", "height": f"{height:g}pt", "role": "img"}
    families = {REGULAR: {"family": FAMILY}, BOLD: {"family": FAMILY, "weight": "bold"}}
    canvas = renderSVG.SVGCanvas((width, height), useClip=True, svgAttrs=attributes, fontHacks=families)
    _settle_text(made)
    renderSVG.draw(made, canvas)
    for name, words in (("title", _clean(chart.title)), ("desc", _clean(described(chart)))):
        canvas.svg.getElementsByTagName(name)[0].firstChild.data = words
    canvas.groupTree.removeAttribute("id")  # several charts may lie on one page
    stream = StringIO()
    canvas.svg.writexml(stream, addindent=" ", newl="\n")
    return stream.getvalue()


def described(chart: Chart) -> str:
    """What a chart shows in one sentence, for a person who does not see it.

    >>> from stripplan.sheets.rows.notebook import Points
    >>> described(Chart(name="k", title="Kerf", x="mm thick", y="mm kerf",
    ...                 points=(Points(words="measured", mark="dot", at=((6, 1.5, 0.1), (8, 1.7, 0.1))),)))
    'Chart of mm kerf over mm thick: 2 points measured, mm thick from 6 to 8.'
    """
    told = [f"{len(each.at)} {'point' if len(each.at) == 1 else 'points'} {each.words}" for each in chart.points]
    told += [f"{words} {reach_in_words(low, high)}" for low, high, words in chart.spans]
    xs = [x for each in chart.points for x, _, _ in each.at]
    if xs:
        told.append(f"{chart.x} from {min(xs):.4g} to {max(xs):.4g}")
    over = f"{chart.y or ' / '.join(chart.levels)} over {chart.x}"
    return f"Chart of {over}: {', '.join(told) if told else 'no points'}."


def _painted(chart: Chart, width: float, height: float, shown: Callable[[str], str]) -> Any:
    if width < LEAST_WIDTH or height < LEAST_HEIGHT:
        raise ValueError(
            f"chart {chart.name}: {width:g} x {height:g} pt is too small to be read, "
            f"at least {LEAST_WIDTH:g} x {LEAST_HEIGHT:g}"
        )
    _check(chart)
    load_fonts()
    over, up = scales_of(chart)
    title = Words(in_lines(chart.title, TITLE, width, 3, bold=True), TITLE, bold=True)
    y_words = Words(in_lines(with_power(chart.y, up.power), LETTERS, width, 2))
    x_words = Words(in_lines(with_power(chart.x, over.power), LETTERS, width, 2))
    ticks = LETTERS * LEADING + 5
    top = height - title.height - y_words.height - 2 * GAP
    room = top - _FRAME_LEAST - ticks - x_words.height - LETTERS * LEADING - GAP

    # The words of spans stand above the frame where each fits over its own span; else they join the legend.
    least = frame_of(chart, width, (0.0, top), over, up, shown)
    row = words_over_spans(chart, least, width)
    span_room = LETTERS * LEADING + 3 if row else 0.0
    legend = legend_rows(legend_entries(chart, width, with_spans=not row), width, room)
    bottom = len(legend) * LETTERS * LEADING + x_words.height + ticks + (GAP if legend else 0.0) + 2
    frame = frame_of(chart, width, (bottom, top - span_room), over, up, shown)

    made = Drawing(width, height, initialFontName=REGULAR)
    made.add(Rect(0, 0, width, height, fillColor=HexColor(WHITE), strokeColor=None))
    parts: list[Any] = [*spans_drawn(chart, frame), *grid_lines(frame)]
    parts += [*band_drawn(chart, frame), *curve_drawn(chart, frame), *bars_drawn(chart, frame)]
    parts += [frame.x, frame.y, *marks_drawn(chart, frame)]
    parts += title.at(0, height, "start", shown) + y_words.at(0, height - title.height - GAP / 2, "start", shown)
    parts += [each for at, words in row for each in words.at(at, frame.top + span_room, "middle", shown)]
    middle = (frame.left + frame.right) / 2
    wide = max((printed_width(line) for line in x_words.lines), default=0.0)
    middle = min(max(middle, wide / 2), width - wide / 2)
    parts += x_words.at(middle, frame.bottom - ticks, "middle", shown)
    parts += legend_drawn(legend, frame.bottom - ticks - x_words.height - GAP, shown)
    if not any(each.at for each in chart.points) and not chart.curve and not chart.band:
        parts += Words(("no points",)).at(
            (frame.left + frame.right) / 2, (frame.bottom + frame.top) / 2, "middle", shown
        )
    for each in parts:
        made.add(each)
    return made


def _check(chart: Chart) -> None:
    """ValueError with every figure that cannot be placed."""
    faults = [
        f"point {number} of {each.words!r} lies at ({x:g}, {y:g}) ± {half:g}"
        for each in chart.points
        for number, (x, y, half) in enumerate(each.at, 1)
        if not (math.isfinite(x) and math.isfinite(y)) or math.isnan(half) or half < 0
    ]
    faults += [
        f"point {number} of the curve lies at ({x:g}, {y:g})"
        for number, (x, y) in enumerate(chart.curve, 1)
        if not (math.isfinite(x) and math.isfinite(y))
    ]
    faults += [
        f"the band at row {number} is ({x:g}, {low:g}, {high:g})"
        for number, (x, low, high) in enumerate(chart.band, 1)
        if not math.isfinite(x) or not low <= high
    ]
    faults += [f"span {words!r} goes from {low:g} to {high:g}" for low, high, words in chart.spans if not low <= high]
    if faults:
        raise ValueError(f"chart {chart.name}: {'; '.join(faults)}")


def _clean(text: str) -> str:
    """Text as it may stand in XML, in the order of its letters: the reader's program turns it as it is read."""
    return "".join(letter if letter.isprintable() else "�" for letter in " ".join(text.split()))


def _settle_text(node: Any) -> None:
    """Text for a reader whose font may be wider: anchored by the reader, squeezed to the width that was kept for it.

    Baselines stand on half points, for the SVG writer takes twice their height as a whole number.
    """
    for number, each in enumerate(node.contents):
        found = each.provideNode() if isinstance(each, UserNode) else each
        node.contents[number] = found
        if isinstance(found, Group):
            _settle_text(found)
        elif isinstance(found, String):
            found.y = round(2 * found.y) / 2
            found._svgAttrs = {"text-anchor": found.textAnchor}
            if printable(found.text) == found.text and found.text.strip():
                wide = width_of(found.text, found.fontSize, bold=found.fontName == BOLD)
                found._svgAttrs |= {"textLength": f"{wide:.2f}", "lengthAdjust": "spacingAndGlyphs"}
            found.textAnchor = "start"
