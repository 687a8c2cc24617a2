"""The strokes of a PDF canvas as SVG: the small picture of a cut looks alike on paper and on a screen.

Only what `pdf_rig` asks of a canvas is here. As on paper y runs upwards and sizes are points.
"""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

from stripplan.sheets.paper.text import BOLD
from stripplan.sheets.picture.edge_section import draw_section, figures_of
from stripplan.sheets.picture.on_rig.bevel import draw_lie_for_bevel
from stripplan.sheets.picture.on_rig.piece import draw_lie
from stripplan.sheets.picture.svg import plain_number
from stripplan.sheets.rows.row_types import BevelGroup, BevelRow, CutRow

WIDTH, HEIGHT = 150.0, 130.0
"""Size of the picture [pt]."""
SECTION = 220.0, 110.0
"""Size of the section across a bevelled edge [pt]."""


def lie_svg(row: CutRow) -> str:
    """SVG of how a piece lies for a cut, as on the setup sheet."""
    canvas = _Canvas()
    draw_lie(canvas, row, 0.0, 0.0, WIDTH, HEIGHT)
    return _lie(canvas, f"How the piece lies for cut {row.number}")


def bevel_svg(row: BevelRow) -> str:
    """SVG of how a part lies for a bevel, as on the setup sheet."""
    canvas = _Canvas()
    draw_lie_for_bevel(canvas, row.lie, 0.0, 0.0, WIDTH, HEIGHT)
    return _lie(canvas, f"How the part lies for bevel {row.number}")


def _lie(canvas: _Canvas, words: str) -> str:
    box = f"-4 {plain_number(-HEIGHT - 2)} {plain_number(WIDTH + 8)} {plain_number(HEIGHT + 4)}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}" role="img" font-family="DejaVu Sans Condensed, '
        'DejaVu Sans, Arial, sans-serif">'
        f"<title>{escape(words)}</title>" + "".join(canvas.made) + "</svg>"
    )


def section_svg(group: BevelGroup) -> str:
    """SVG of the section across the edge for a group of bevels, as on the setup sheet."""
    canvas = _Canvas()
    draw_section(canvas, group.section, figures_of(group), 0.0, 0.0, *SECTION)
    wide, high = SECTION
    words = escape(f"Section across the edge for bevels {group.name}")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 {plain_number(-high)} {plain_number(wide)} '
        f'{plain_number(high)}" role="img" font-family="DejaVu Sans Condensed, DejaVu Sans, Arial, sans-serif">'
        f'<title>{words}</title><rect y="{plain_number(-high)}" width="{plain_number(wide)}" '
        f'height="{plain_number(high)}" fill="#ffffff"/>' + "".join(canvas.made) + "</svg>"
    )


@dataclass
class _Pens:
    """What is set on a canvas and comes back with restoreState."""

    stroke: str = "#000000"
    fill: str = "#000000"
    width: float = 1.0
    dash: str = ""
    move: str = ""
    bold: bool = False
    size: float = 10.0


@dataclass
class _Path:
    """A path being drawn."""

    way: str = ""

    def moveTo(self, x: float, y: float) -> None:  # noqa: N802
        """Start at a point."""
        self.way += f"M{_xy(x, y)}"

    def lineTo(self, x: float, y: float) -> None:  # noqa: N802
        """On to a point."""
        self.way += f"L{_xy(x, y)}"

    def rect(self, x: float, y: float, width: float, height: float) -> None:
        """A rectangle."""
        self.way += f"M{_xy(x, y)}h{plain_number(width)}v{plain_number(-height)}h{plain_number(-width)}Z"

    def close(self) -> None:
        """Back to the start."""
        self.way += "Z"


class _Canvas:
    """Takes strokes and makes SVG of them."""

    def __init__(self) -> None:
        self.made: list[str] = []
        self._pens = _Pens()
        self._kept: list[_Pens] = []

    def saveState(self) -> None:  # noqa: N802
        """Keep what is set."""
        self._kept.append(_Pens(**vars(self._pens)))

    def restoreState(self) -> None:  # noqa: N802
        """What was kept last is set again."""
        self._pens = self._kept.pop()

    def setStrokeGray(self, share: float) -> None:  # noqa: N802
        """Grey of lines, 0 black to 1 white."""
        self._pens.stroke = _grey(share)

    def setFillGray(self, share: float) -> None:  # noqa: N802
        """Grey of areas."""
        self._pens.fill = _grey(share)

    def setStrokeColor(self, colour: str) -> None:  # noqa: N802
        """Colour of lines."""
        self._pens.stroke = colour

    def setFillColor(self, colour: str) -> None:  # noqa: N802
        """Colour of areas."""
        self._pens.fill = colour

    def setLineWidth(self, width: float) -> None:  # noqa: N802
        """Width of lines."""
        self._pens.width = width

    def setDash(self, lengths: list[float]) -> None:  # noqa: N802
        """Dashes and gaps; none = a whole line."""
        self._pens.dash = " ".join(map(plain_number, lengths))

    def setFont(self, name: str, size: float) -> None:  # noqa: N802
        """Weight and size of letters."""
        self._pens.bold, self._pens.size = name == BOLD, size

    def translate(self, x: float, y: float) -> None:
        """Move the origin."""
        self._pens.move += f"translate({_xy(x, y)})"

    def rotate(self, angle: float) -> None:
        """Turn anticlockwise [deg]."""
        self._pens.move += f"rotate({plain_number(-angle)})"

    def line(self, x0: float, y0: float, x1: float, y1: float) -> None:
        """A line."""
        self._put(f'<path d="M{_xy(x0, y0)}L{_xy(x1, y1)}" fill="none"{self._stroke()}')

    def rect(self, x: float, y: float, width: float, height: float, fill: int = 0, stroke: int = 1) -> None:
        """A rectangle."""
        path = _Path()
        path.rect(x, y, width, height)
        self.drawPath(path, fill=fill, stroke=stroke)

    def beginPath(self) -> _Path:  # noqa: N802
        """A new path."""
        return _Path()

    def drawPath(self, path: _Path, fill: int = 0, stroke: int = 1) -> None:  # noqa: N802
        """Draw a path."""
        inside = f' fill="{self._pens.fill}"' if fill else ' fill="none"'
        self._put(f'<path d="{path.way}"{inside}{self._stroke() if stroke else ""}')

    def drawString(self, x: float, y: float, text: str, anchor: str = "start") -> None:  # noqa: N802
        """Letters."""
        weight = ' font-weight="bold"' if self._pens.bold else ""
        self._put(
            f'<text x="{plain_number(x)}" y="{plain_number(-y)}" font-size="{plain_number(self._pens.size)}" '
            f'text-anchor="{anchor}" fill="{self._pens.fill}"{weight}',
            escape(text),
        )

    def drawCentredString(self, x: float, y: float, text: str) -> None:  # noqa: N802
        """Letters around a point."""
        self.drawString(x, y, text, "middle")

    def _stroke(self) -> str:
        dash = f' stroke-dasharray="{self._pens.dash}"' if self._pens.dash else ""
        return f' stroke="{self._pens.stroke}" stroke-width="{plain_number(self._pens.width)}"{dash}'

    def _put(self, start: str, inside: str | None = None) -> None:
        move = f' transform="{self._pens.move}"' if self._pens.move else ""
        end = "/>" if inside is None else f">{inside}</{start[1:].split()[0]}>"
        self.made.append(f"{start}{move}{end}")


def _grey(share: float) -> str:
    level = f"{round(share * 255):02x}"
    return f"#{level * 3}"


def _xy(x: float, y: float) -> str:
    return f"{plain_number(x)} {plain_number(-y)}"
