"""What is written in a chart: sizes, lines of text, what is cut off where there is no room.

Letters are 8 pt, capitals 2 mm: for half a metre, at a desk (NUREG-0700 rev. 3, 11.4.1.5-1: at least 0.004 of the
distance).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from reportlab.graphics.shapes import String
from reportlab.lib.colors import HexColor

from stripplan.sheets.paper.text import BOLD, REGULAR, printable, width_of
from stripplan.sheets.picture.palette import BLACK

LETTERS = 8.0

LEADING = 1.25
GAP = 4.0


def reach_in_words(low: float, high: float) -> str:
    """Ends of a span in words.

    >>> reach_in_words(300, 420), reach_in_words(-math.inf, 300), reach_in_words(420, math.inf)
    ('300 to 420', 'up to 300', 'from 420')
    """
    if math.isinf(low):
        return "all along" if math.isinf(high) else f"up to {high:.4g}"
    return f"from {low:.4g}" if math.isinf(high) else f"{low:.4g} to {high:.4g}"


@dataclass(frozen=True)
class Words:
    """Lines of text one under the other, the first line's top at the top."""

    lines: tuple[str, ...]
    size: float = LETTERS
    bold: bool = False

    @property
    def height(self) -> float:
        """Height of all lines [pt]."""
        return len(self.lines) * self.size * LEADING

    def at(self, x: float, top: float, anchor: str, shown: Callable[[str], str]) -> list[Any]:
        """The lines as text, each anchored at x."""
        font = BOLD if self.bold else REGULAR
        return [
            String(
                round(x, 2), round(top - number * self.size * LEADING - self.size, 2), shown(line),
                fontName=font, fontSize=self.size, fillColor=HexColor(BLACK), textAnchor=anchor,
            )
            for number, line in enumerate(self.lines)
        ]  # fmt: skip


def printed_width(text: str, size: float = LETTERS, *, bold: bool = False) -> float:
    return width_of(printable(text), size, bold=bold)


def shortened(text: str, size: float, width: float, *, bold: bool = False) -> str:
    """Text with an ellipsis where it is wider than a width [pt]."""
    text = " ".join(text.split())
    if len(text) <= 400 and printed_width(text, size, bold=bold) <= width:
        return text
    low, high = 0, min(len(text), 400)
    while low < high:
        middle = (low + high + 1) // 2
        if printed_width(text[:middle] + "…", size, bold=bold) <= width:
            low = middle
        else:
            high = middle - 1
    return text[:low].rstrip() + "…"


def in_lines(text: str, size: float, width: float, most: int, *, bold: bool = False) -> tuple[str, ...]:
    """Text in lines of a width [pt], `most` of them at the most."""
    lines: list[str] = []
    words = text.split()
    while words and len(lines) < most - 1:
        count = 1
        while count < len(words) and printed_width(" ".join(words[: count + 1]), size, bold=bold) <= width:
            count += 1
        lines.append(shortened(" ".join(words[:count]), size, width, bold=bold))
        words = words[count:]
    if words:
        lines.append(shortened(" ".join(words), size, width, bold=bold))
    return tuple(lines)
