"""Painter of a Picture as SVG: self-contained, readable on light and dark grounds."""

from __future__ import annotations

import zlib
from html import escape

from ..model.plan import Plan
from .draw import plate_picture as draw_plate
from .palette import BLACK, FILL, GREY, STROKE, WHITE
from .picture import Bubble, Dimension, Line, Outline, Picture, Text


def plate_picture(plan: Plan, plate_id: str) -> str:
    """SVG of one plate."""
    return paint(draw_plate(plan, plate_id))


def paint(picture: Picture) -> str:
    """SVG text of a picture. y is turned over, numbers have fixed decimals."""
    x0, y0, x1, y1 = picture.box
    pen = max(x1 - x0, y1 - y0) / 900
    hatch = f"hatch-{zlib.crc32(picture.title.encode())}"  # several pictures may lie on one page
    body = [_outline(each, pen, hatch) for each in picture.outlines]
    body += [_line(each, pen) for each in picture.lines]
    body += [_dimension(each, pen) for each in picture.dimensions]
    body += [_text(each) for each in picture.texts + picture.positions]
    body += [_bubble(each, pen) for each in picture.bubbles]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{_n(x0)} {_n(-y1)} {_n(x1 - x0)} {_n(y1 - y0)}" role="img" '
        f'font-family="DejaVu Sans, Arial, sans-serif" text-anchor="middle">\n'
        f"<title>{_clean(picture.title)}</title>\n<desc>{_description(picture)}</desc>\n"
        f'<defs><pattern id="{hatch}" width="{_n(14 * pen)}" height="{_n(14 * pen)}" patternUnits="userSpaceOnUse" '
        f'patternTransform="rotate(45)"><line x1="0" y1="0" x2="0" y2="{_n(14 * pen)}" stroke="{STROKE["OFFCUT"]}" '
        f'stroke-width="{_n(1.5 * pen)}"/></pattern></defs>\n'
        f'<rect x="{_n(x0)}" y="{_n(-y1)}" width="{_n(x1 - x0)}" height="{_n(y1 - y0)}" fill="{WHITE}"/>\n'
        + "\n".join(body)
        + "\n</svg>\n"
    )


def _description(picture: Picture) -> str:
    cuts = f"Plate with {len(picture.bubbles)} numbered cuts."
    return f"{cuts} A letter with a figure: how far a torch line lies from that edge." if picture.positions else cuts


def _n(value: float) -> str:
    return (
        f"{value:.3f}".rstrip("0").rstrip(".").replace("-0", "0")
        if abs(value) < 5e-4
        else f"{value:.3f}".rstrip("0").rstrip(".")
    )


def _clean(text: str) -> str:
    return escape("".join(letter if letter.isprintable() else "�" for letter in text))


def _outline(each: Outline, pen: float, hatch: str) -> str:
    points = " ".join(f"{_n(x)},{_n(-y)}" for x, y in each.points)
    fill = f"url(#{hatch})" if each.layer == "OFFCUT" else FILL[each.layer]
    wide = 2.5 if each.layer == "PLATE" else 1
    shape = f'<polygon points="{points}" fill="{fill}" stroke="{STROKE[each.layer]}" stroke-width="{_n(wide * pen)}"/>'
    if each.layer != "SCRAP":
        return shape
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = each.points[:4]
    cross = f'stroke="{GREY}" stroke-width="{_n(pen)}"'
    return (
        shape
        + f'<line x1="{_n(ax)}" y1="{_n(-ay)}" x2="{_n(cx)}" y2="{_n(-cy)}" {cross}/>'
        + f'<line x1="{_n(bx)}" y1="{_n(-by)}" x2="{_n(dx)}" y2="{_n(-dy)}" {cross}/>'
    )


def _line(each: Line, pen: float) -> str:
    return (
        f'<line x1="{_n(each.start[0])}" y1="{_n(-each.start[1])}" x2="{_n(each.end[0])}" y2="{_n(-each.end[1])}" '
        f'stroke="{STROKE["CUT"]}" stroke-width="{_n(1.4 * pen)}" stroke-dasharray="{_n(9 * pen)} {_n(4 * pen)}"/>'
    )


def _text(each: Text) -> str:
    x, y = each.at[0], -each.at[1]
    turn = f' transform="rotate(-90 {_n(x)} {_n(y)})"' if each.upright else ""
    weight = ' font-weight="bold"' if each.bold else ""
    down = y + each.height / 2
    halo = f'paint-order="stroke" stroke="{WHITE}" stroke-width="{_n(each.height * 0.25)}"'
    return (
        f'<text x="{_n(x)}" y="{_n(down)}" font-size="{_n(each.height / 0.72)}" fill="{BLACK}" {halo}{weight}{turn}>'
        f"{_clean(each.text)}</text>"
    )


def _bubble(each: Bubble, pen: float) -> str:
    x, y = each.at[0], -each.at[1]
    size = each.radius * (1.25 if each.number < 100 else 0.95)
    return (
        f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(each.radius)}" fill="{WHITE}" stroke="{BLACK}" stroke-width="{_n(pen)}"/>'
        f'<text x="{_n(x)}" y="{_n(y + size * 0.36)}" font-size="{_n(size)}" font-weight="bold">{each.number}</text>'
    )


def _dimension(each: Dimension, pen: float) -> str:
    ax, ay, bx, by = dimension_line(each)
    level = ay == by
    mid_x, mid_y = (ax + bx) / 2, (ay + by) / 2
    size = 22 * pen
    turn = "" if level else f' transform="rotate(-90 {_n(mid_x)} {_n(-mid_y)})"'
    ends = (((ax, ay), each.start), ((bx, by), each.end))
    marks = "".join(
        f'<line x1="{_n(x)}" y1="{_n(-y)}" x2="{_n(px)}" y2="{_n(-py)}" stroke="{GREY}" stroke-width="{_n(0.7 * pen)}"/>'
        f'<circle cx="{_n(x)}" cy="{_n(-y)}" r="{_n(3 * pen)}" fill="{GREY}"/>'
        for (x, y), (px, py) in ends
    )
    return (
        f'<line x1="{_n(ax)}" y1="{_n(-ay)}" x2="{_n(bx)}" y2="{_n(-by)}" stroke="{GREY}" stroke-width="{_n(pen)}"/>{marks}'
        f'<text x="{_n(mid_x)}" y="{_n(-mid_y - 5 * pen)}" font-size="{_n(size)}" fill="{BLACK}"{turn}>{_clean(each.text)}</text>'
    )


def dimension_line(each: Dimension) -> tuple[float, float, float, float]:
    """Ends of the dimension line: the measured points moved to the right of their direction."""
    (ax, ay), (bx, by) = each.start, each.end
    if ay == by:
        return ax, ay - each.offset, bx, by - each.offset
    return ax + each.offset, ay, bx + each.offset, by
