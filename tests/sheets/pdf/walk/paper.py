"""What stands on the pages of a sheet, and where."""

from __future__ import annotations

import io
import math
import re
from dataclasses import dataclass, replace
from typing import Any

import pypdf

Point = tuple[float, float]


@dataclass(frozen=True)
class Item:
    """A run of letters; `at` is the middle of its line, if it was set by its middle, else where it starts [pt]."""

    text: str
    at: Point
    size: float
    centred: bool


Rectangle = tuple[float, float, float, float]


@dataclass(frozen=True)
class Page:
    """What stands on a page, and the outlines drawn there."""

    items: tuple[Item, ...]
    outlines: tuple[tuple[Point, ...], ...]
    frames: tuple[Rectangle, ...] = ()
    """Of details and of the regions that they show: low left corner and high right one."""

    def around(self, items: list[Item], shape: float) -> tuple[Point, ...]:
        """The largest outline about the middle of some items that is so many times as long as wide, else the largest:
        the plate whose drawing they are. Details are drawn whole and clipped, so pieces of theirs may be larger.
        """
        x, y = (sum(each.at[n] for each in items) / len(items) for n in (0, 1))

        def holds(outline: tuple[Point, ...]) -> bool:
            xs, ys = zip(*outline, strict=True)
            return min(xs) <= x <= max(xs) and min(ys) <= y <= max(ys)

        found = [each for each in self.outlines if holds(each)] or list(self.outlines)
        alike = [e for e in found if abs(math.dist(e[0], e[1]) - shape * math.dist(e[1], e[2])) < 1e-3 * shape]
        return max(alike or found, key=lambda each: math.dist(each[0], each[1]) * math.dist(each[1], each[2]))


Paper = tuple[Page, ...]

_OUTLINE = re.compile(rb"([-\d.]+) ([-\d.]+) m ([-\d.]+) ([-\d.]+) l ([-\d.]+) ([-\d.]+) l ([-\d.]+) ([-\d.]+) l h")

_FRAME = re.compile(rb"(?:0 G 1\.3 w|1\.3 w 0 G) n ([-\d.]+) ([-\d.]+) ([-\d.]+) ([-\d.]+) re S")


def read(data: bytes) -> Paper:
    """The pages of a PDF as a reader of other makers sees them."""
    return tuple(_page(each) for each in pypdf.PdfReader(io.BytesIO(data)).pages)


def _page(page: pypdf.PageObject) -> Page:
    items: list[Item] = []

    def seen(text: str, matrix: Any, place: Any, _: Any, size: Any) -> None:
        if text.strip():
            moved = tuple(matrix[4:]) != (0.0, 0.0)
            at = matrix[4:] if moved else place[4:]
            items.append(Item(text, (float(at[0]), float(at[1])), float(size or 0), moved))
        elif items:
            items[-1] = replace(items[-1], text=items[-1].text + text)

    page.extract_text(visitor_text=seen)
    contents = page.get_contents()
    found = _OUTLINE.finditer(b" ".join(contents.get_data().split())) if contents is not None else ()
    flat = [[float(each) for each in one.groups()] for one in found]
    outlines = tuple(tuple(zip(each[::2], each[1::2], strict=True)) for each in flat)
    framed = _FRAME.finditer(b" ".join(contents.get_data().split())) if contents is not None else ()
    sizes = [tuple(float(each) for each in one.groups()) for one in framed]
    return Page(tuple(items), outlines, tuple((x, y, x + wide, y + high) for x, y, wide, high in sizes))
