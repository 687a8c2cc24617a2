"""The stamp on paper that was printed without a check. Letters in outline: seen at once, and what lies beneath stays
legible."""

from __future__ import annotations

import re
from typing import Any

STAMP = "NOT CHECKED"
_SHARE = 0.8
"""Length of the stamp as a share of what it is put across."""
_RED = "#c00000"
_VIEW = re.compile(r'viewBox="([-\d.]+) ([-\d.]+) ([-\d.]+) ([-\d.]+)"')


def stamp_box(canvas: Any, x: float, y: float, width: float, height: float) -> None:
    """Put the stamp across a rectangle of a PDF page, from its lower left corner upwards [pt]."""
    from math import atan2, degrees, hypot

    from stripplan.sheets.paper.text import BOLD, width_of

    size = _SHARE * hypot(width, height) / width_of(STAMP, 1.0, bold=True)
    size = min(size, 0.8 * height, 90.0)
    canvas.saveState()
    canvas.translate(x + width / 2, y + height / 2)
    canvas.rotate(degrees(atan2(height, width)) if height > width / 4 else 0.0)
    canvas.setStrokeColor(_RED)
    canvas.setLineWidth(max(0.4, size / 45))
    text = canvas.beginText(-width_of(STAMP, size, bold=True) / 2, -size / 3)
    text.setFont(BOLD, size)
    text.setTextRenderMode(1)
    text.textOut(STAMP)
    canvas.drawText(text)
    canvas.restoreState()


def stamped_svg(svg: str) -> str:
    """An SVG with the stamp across it."""
    found = _VIEW.search(svg)
    if found is None:
        raise ValueError("a picture without a viewBox cannot be stamped")
    x, y, width, height = map(float, found.groups())
    size = min(_SHARE * width / 7.5, 0.8 * height)  # eleven bold capitals are about 7.5 times as long as they are high
    mark = (
        f'<text x="{x + width / 2:.3f}" y="{y + height / 2 + size / 3:.3f}" font-size="{size:.3f}" font-weight="bold" '
        'text-anchor="middle" '
        f'fill="none" stroke="{_RED}" stroke-width="{size / 45:.3f}">{STAMP}</text>'
    )
    start, end = svg.rsplit("</svg>", 1)
    return f"{start}{mark}\n</svg>{end}"
