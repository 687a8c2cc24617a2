"""Painter of a Picture as SVG: self-contained, readable on light and dark grounds."""

from __future__ import annotations

import math
import zlib
from collections.abc import Iterable
from html import escape
from itertools import zip_longest

from stripplan.model.plan.plan import Plan
from stripplan.sheets.picture.on_plate.plate import plate_picture as draw_plate
from stripplan.sheets.picture.palette import BLACK, FILL, GREY, STROKE, WHITE
from stripplan.sheets.picture.polygons import crossed
from stripplan.sheets.picture.shapes import Angle, BevelLine, Bubble, Dimension, Drilled, Line, Outline, Picture, Text


def plate_picture(plan: Plan, plate_id: str) -> str:
    """SVG of one plate."""
    return paint(draw_plate(plan, plate_id))


def paint(picture: Picture, *, description: str | None = None) -> str:
    """SVG text of a picture. y is turned over, numbers have fixed decimals. `description` is for who does not see
    it."""
    pen, hatch = pen_of(picture), hatch_of(picture)
    body = [outline_svg(each, pen, hatch) for each in picture.outlines]
    numbers = [each.number for each in picture.bubbles] if len(picture.bubbles) == len(picture.lines) else []
    body += [line_svg(each, pen, number) for each, number in zip_longest(picture.lines, numbers)]
    body += [hole_svg(each, pen) for each in picture.holes]
    body += [bevel_svg(each, pen) for each in picture.bevels]
    body += [_dimension(each, pen) for each in picture.dimensions]
    body += [angle_svg(each, pen) for each in picture.angles]
    body += [text_svg(each) for each in picture.texts + picture.positions]
    body += [bubble_svg(each, pen) for each in picture.bubbles]
    return framed(picture, body, description=_description(picture) if description is None else description)


def framed(picture: Picture, body: Iterable[str], *, description: str, style: str = "") -> str:
    """A whole SVG with the size and title of a picture and its white ground, and `body` in it."""
    x0, y0, x1, y1 = picture.box
    pen, hatch = pen_of(picture), hatch_of(picture)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{plain_number(x0)} {plain_number(-y1)} '
        f'{plain_number(x1 - x0)} {plain_number(y1 - y0)}" role="img" '
        f'font-family="DejaVu Sans, Arial, sans-serif" text-anchor="middle">\n'
        f"<title>{clean(picture.title)}</title>\n<desc>{clean(description)}</desc>\n{style}"
        f'<defs><pattern id="{hatch}" width="{plain_number(14 * pen)}" height="{plain_number(14 * pen)}" '
        'patternUnits="userSpaceOnUse" '
        f'patternTransform="rotate(45)"><line x1="0" y1="0" x2="0" y2="{plain_number(14 * pen)}" '
        f'stroke="{STROKE["OFFCUT"]}" '
        f'stroke-width="{plain_number(1.5 * pen)}"/></pattern></defs>\n'
        f'<rect x="{plain_number(x0)}" y="{plain_number(-y1)}" width="{plain_number(x1 - x0)}" '
        f'height="{plain_number(y1 - y0)}" fill="{WHITE}"/>\n' + "\n".join(body) + "\n</svg>\n"
    )


def pen_of(picture: Picture) -> float:
    """Width of a thin line [mm]."""
    x0, y0, x1, y1 = picture.box
    return max(x1 - x0, y1 - y0) / 900


def hatch_of(picture: Picture) -> str:
    """Name of the hatching of offcuts: several pictures may lie on one page."""
    return f"hatch-{zlib.crc32(picture.title.encode())}"


def _description(picture: Picture) -> str:
    cuts = f"Plate with {len(picture.bubbles)} numbered cuts."
    return f"{cuts} A letter with a figure: how far a torch line lies from that edge." if picture.positions else cuts


def plain_number(value: float) -> str:
    """A number with three decimals at most, and no minus before nought.

    >>> plain_number(12.5), plain_number(-0.0001)
    ('12.5', '0')
    """
    return f"{value + 0.0 if abs(value) >= 5e-4 else 0.0:.3f}".rstrip("0").rstrip(".")


def clean(text: str) -> str:
    return escape("".join(letter if letter.isprintable() else "�" for letter in text))


def outline_svg(each: Outline, pen: float, hatch: str) -> str:
    points = " ".join(f"{plain_number(x)},{plain_number(-y)}" for x, y in each.points)
    fill = f"url(#{hatch})" if each.layer == "OFFCUT" else FILL[each.layer]
    wide = 2.5 if each.layer == "PLATE" else 1
    shape = (
        f'<polygon points="{points}" fill="{fill}" stroke="{STROKE[each.layer]}" '
        f'stroke-width="{plain_number(wide * pen)}"/>'
    )
    if each.layer != "SCRAP":
        return shape
    cross = f'stroke="{GREY}" stroke-width="{plain_number(pen)}"'
    return shape + "".join(
        f'<line x1="{plain_number(ax)}" y1="{plain_number(-ay)}" x2="{plain_number(bx)}" y2="{plain_number(-by)}" '
        f"{cross}/>"
        for (ax, ay), (bx, by) in crossed(each.points)
    )


def line_svg(each: Line, pen: float, number: int | None = None) -> str:
    """A torch line; with the number of its cut a page can light it up."""
    cut = f' data-cut="{number}"' if number is not None else ""
    return (
        f'<line{cut} x1="{plain_number(each.start[0])}" y1="{plain_number(-each.start[1])}" '
        f'x2="{plain_number(each.end[0])}" y2="{plain_number(-each.end[1])}" '
        f'stroke="{STROKE["CUT"]}" stroke-width="{plain_number(1.4 * pen)}" stroke-dasharray="{plain_number(9 * pen)} '
        f'{plain_number(4 * pen)}"/>'
    )


def bevel_svg(each: BevelLine, pen: float) -> str:
    """Where a bevel ends on its face: a thin line, in dashes where that is the face below."""
    dash = "" if each.over else f' stroke-dasharray="{plain_number(3 * pen)} {plain_number(2 * pen)}"'
    return (
        f'<line x1="{plain_number(each.start[0])}" y1="{plain_number(-each.start[1])}" '
        f'x2="{plain_number(each.end[0])}" y2="{plain_number(-each.end[1])}" stroke="{STROKE["BEVEL"]}" '
        f'stroke-width="{plain_number(0.7 * pen)}"{dash}/>'
    )


def hole_svg(each: Drilled, pen: float) -> str:
    """A hole that is made later: its outline in dashes, a cross at its middle."""
    x, y, dx, dy = each.at[0], -each.at[1], each.wide / 2, each.high / 2
    plain = {key: plain_number(value) for key, value in {"x": x, "y": y, "dx": dx, "dy": dy}.items()}
    look = (
        f'fill="none" stroke="{BLACK}" stroke-width="{plain_number(0.8 * pen)}" '
        f'stroke-dasharray="{plain_number(3 * pen)} {plain_number(2 * pen)}"'
    )
    shape = (
        f'<circle cx="{plain["x"]}" cy="{plain["y"]}" r="{plain["dx"]}" {look}/>'
        if each.round
        else f'<rect x="{plain_number(x - dx)}" y="{plain_number(y - dy)}" width="{plain_number(2 * dx)}" '
        f'height="{plain_number(2 * dy)}" {look}/>'
    )
    cross = (
        f"M{plain_number(x - dx / 2)} {plain['y']}h{plain['dx']}M{plain['x']} {plain_number(y - dy / 2)}v{plain['dy']}"
    )
    return f'{shape}<path d="{cross}" stroke="{BLACK}" stroke-width="{plain_number(0.6 * pen)}"/>'


def text_svg(each: Text) -> str:
    x, y = each.at[0], -each.at[1]
    turn = f' transform="rotate(-90 {plain_number(x)} {plain_number(y)})"' if each.upright else ""
    weight = ' font-weight="bold"' if each.bold else ""
    down = y + each.height / 2
    halo = f'paint-order="stroke" stroke="{WHITE}" stroke-width="{plain_number(each.height * 0.25)}"'
    return (
        f'<text x="{plain_number(x)}" y="{plain_number(down)}" font-size="{plain_number(each.height / 0.72)}" '
        f'fill="{BLACK}" {halo}{weight}{turn}>'
        f"{clean(each.text)}</text>"
    )


def angle_svg(each: Angle, pen: float) -> str:
    """The arc of an angle, and how large it is."""
    ends = []
    for turn in (each.start, each.end):
        dx, dy = each.radius * math.cos(math.radians(turn)), each.radius * math.sin(math.radians(turn))
        ends.append(f"{plain_number(each.at[0] + dx)} {plain_number(-each.at[1] - dy)}")
    arc = f"M{ends[0]}A{plain_number(each.radius)} {plain_number(each.radius)} 0 0 0 {ends[1]}"
    look = f'fill="none" stroke="{GREY}" stroke-width="{plain_number(pen)}"'
    return f'<path d="{arc}" {look}/>{text_svg(each.text)}'


def bubble_svg(each: Bubble, pen: float) -> str:
    x, y = each.at[0], -each.at[1]
    size = each.radius * min(1.25, 2.4 / len(str(each.number)))
    return (
        f'<circle data-cut="{each.number}" cx="{plain_number(x)}" cy="{plain_number(y)}" '
        f'r="{plain_number(each.radius)}" fill="{WHITE}" stroke="{BLACK}" stroke-width="{plain_number(pen)}"/>'
        f'<text x="{plain_number(x)}" y="{plain_number(y + size * 0.36)}" font-size="{plain_number(size)}" '
        f'font-weight="bold">{each.number}</text>'
    )


def _dimension(each: Dimension, pen: float) -> str:
    ax, ay, bx, by = dimension_line(each)
    level = ay == by
    mid_x, mid_y = (ax + bx) / 2, (ay + by) / 2
    size = 22 * pen
    turn = "" if level else f' transform="rotate(-90 {plain_number(mid_x)} {plain_number(-mid_y)})"'
    ends = (((ax, ay), each.start), ((bx, by), each.end))
    marks = "".join(
        f'<line x1="{plain_number(x)}" y1="{plain_number(-y)}" x2="{plain_number(px)}" y2="{plain_number(-py)}" '
        f'stroke="{GREY}" stroke-width="{plain_number(0.7 * pen)}"/>'
        f'<circle cx="{plain_number(x)}" cy="{plain_number(-y)}" r="{plain_number(3 * pen)}" fill="{GREY}"/>'
        for (x, y), (px, py) in ends
    )
    return (
        f'<line x1="{plain_number(ax)}" y1="{plain_number(-ay)}" x2="{plain_number(bx)}" y2="{plain_number(-by)}" '
        f'stroke="{GREY}" stroke-width="{plain_number(pen)}"/>{marks}'
        f'<text x="{plain_number(mid_x)}" y="{plain_number(-mid_y - 5 * pen)}" font-size="{plain_number(size)}" '
        f'fill="{BLACK}"{turn}>{clean(each.text)}</text>'
    )


def dimension_line(each: Dimension) -> tuple[float, float, float, float]:
    """Ends of the dimension line: the measured points moved to the right of their direction."""
    (ax, ay), (bx, by) = each.start, each.end
    if ay == by:
        return ax, ay - each.offset, bx, by - each.offset
    return ax + each.offset, ay, bx + each.offset, by
