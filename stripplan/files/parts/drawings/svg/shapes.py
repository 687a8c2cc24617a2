"""Shapes of an SVG drawing as points in a row, and the transforms that move them: SVG 1.1 (second edition), W3C."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from stripplan.files.fault_words import shortened
from stripplan.files.parts.drawings.outlines import Point
from stripplan.files.parts.drawings.svg.elements import Element, RefusedError

PX_PER = {"": 1.0, "px": 1.0, "in": 96.0, "mm": 96 / 25.4, "cm": 96 / 2.54, "pt": 96 / 72, "pc": 16.0}
NUMBER = r"[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]{1,4})?"
_TOKEN = re.compile(rf"[\s,]*(?:({NUMBER})|([A-Za-z]))")
_FLAG = re.compile(r"[\s,]*([01])")
LENGTH = re.compile(rf"\s*({NUMBER})\s*([a-z]*|%)\s*")
_TRANSFORM = re.compile(r"\s*,?\s*(matrix|translate|scale|rotate|skewX|skewY)\s*\(([^()]*)\)")
Matrix = tuple[float, float, float, float, float, float]
"""a b c d e f: x' = a x + c y + e, y' = b x + d y + f."""
SAME: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
_COUNTS = {"m": 2, "l": 2, "h": 1, "v": 1, "z": 0, "c": 6, "s": 4, "q": 4, "t": 2, "a": 7}


# --- transforms -----------------------------------------------------------------------------------------------------


def product(one: Matrix, two: Matrix) -> Matrix:
    """What moves a point by `two` and then by `one`."""
    a, b, c, d, e, f = one
    g, h, i, j, k, m = two
    return (
        a * g + c * h, b * g + d * h, a * i + c * j, b * i + d * j, a * k + c * m + e, b * k + d * m + f,
    )  # fmt: skip


def moved(point: Point, by: Matrix) -> Point:
    x, y = point
    return by[0] * x + by[2] * y + by[4], by[1] * x + by[3] * y + by[5]


def transform_of(element: Element) -> Matrix | None:
    """The element's own transform; None where it cannot be read, or stands in its style."""
    if re.search(r"(?:^|;)\s*transform\s*:", element.marks.get("style", "")):
        return None
    text = element.marks.get("transform", "").strip()
    matrix, at = SAME, 0
    if len(text) > 10_000:
        return None
    while at < len(text):
        match = _TRANSFORM.match(text, at)
        if match is None:
            return None
        numbers = [_plain_number(each) for each in match[2].replace(",", " ").split()]
        step = None if None in numbers else _step(match[1], [each for each in numbers if each is not None])
        if step is None:
            return None
        matrix, at = product(matrix, step), match.end()
        while at < len(text) and text[at].isspace():
            at += 1
    return matrix


def _plain_number(text: str) -> float | None:
    """A number; None for what is none, and for one beyond all bounds, of which no sine is known."""
    number = float(text) if re.fullmatch(NUMBER, text) else math.inf
    return number if math.isfinite(number) else None


def _step(kind: str, n: Sequence[float]) -> Matrix | None:
    """One transform as a matrix; None for a wrong count of numbers."""
    if kind == "matrix" and len(n) == 6:
        return n[0], n[1], n[2], n[3], n[4], n[5]
    if kind == "translate" and len(n) in (1, 2):
        return 1.0, 0.0, 0.0, 1.0, n[0], n[1] if len(n) == 2 else 0.0
    if kind == "scale" and len(n) in (1, 2):
        return n[0], 0.0, 0.0, n[-1], 0.0, 0.0
    if kind == "rotate" and len(n) in (1, 3):
        cos, sin = math.cos(math.radians(n[0])), math.sin(math.radians(n[0]))
        x, y = (n[1], n[2]) if len(n) == 3 else (0.0, 0.0)
        return cos, sin, -sin, cos, x - cos * x + sin * y, y - sin * x - cos * y
    if kind in ("skewX", "skewY") and len(n) == 1:
        tan = math.tan(math.radians(n[0]))
        return (1.0, 0.0, tan, 1.0, 0.0, 0.0) if kind == "skewX" else (1.0, tan, 0.0, 1.0, 0.0, 0.0)
    return None


# --- shapes ---------------------------------------------------------------------------------------------------------


@dataclass
class Run:
    """Points in a row, in the element's own coordinates."""

    points: list[Point]
    closed: bool = False
    curved: bool = False


def user_units(text: str) -> float | None:
    """A length in user units; None where it cannot be read without the window's size or a font's."""
    match = LENGTH.fullmatch(text[:100])
    return float(match[1]) * PX_PER[match[2]] if match is not None and match[2] in PX_PER else None


def runs_of(element: Element) -> Iterator[Run]:
    """The runs of a shape. Raises RefusedError."""
    marks = element.marks
    if element.tag == "path":
        yield from _path(marks.get("d", ""))
    elif element.tag in ("polygon", "polyline"):
        points = _points(marks.get("points", ""))
        if points:
            yield Run(points, closed=element.tag == "polygon")
    elif element.tag == "line":
        one, two = ((_length(marks, x, "0"), _length(marks, y, "0")) for x, y in (("x1", "y1"), ("x2", "y2")))
        yield Run([one, two])
    elif element.tag == "rect":
        yield from _rect(marks)
    else:
        radii = ("r", "r") if element.tag == "circle" else ("rx", "ry")
        x, y, across, up = (_length(marks, key, "0") for key in ("cx", "cy", *radii))
        turn = [math.tau * each / 16 for each in range(16)]
        yield Run([(x + across * math.cos(each), y + up * math.sin(each)) for each in turn], closed=True, curved=True)


def _length(marks: dict[str, str], key: str, default: str) -> float:
    value = user_units(marks.get(key, default))
    if value is None:
        raise RefusedError("why.length", key=key, text=shortened(marks.get(key, "")))
    return value


def _rect(marks: dict[str, str]) -> Iterator[Run]:
    x, y, width, height = (_length(marks, key, "0") for key in ("x", "y", "width", "height"))
    if width <= 0 or height <= 0:
        raise RefusedError("why.nothing")
    radii = [_length(marks, key, "0") for key in ("rx", "ry") if marks.get(key, "auto") != "auto"]
    curved = any(radii) and (len(radii) == 1 or all(radii))  # one of the two that is 0 leaves corners sharp
    yield Run([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], closed=True, curved=curved)


def _points(text: str) -> list[Point]:
    numbers = [float(number) for number, letter in _tokens(text) if not letter]
    if len(numbers) % 2:
        raise RefusedError("why.odd_coordinates")
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def _tokens(text: str) -> Iterator[tuple[str, str]]:
    """Numbers and letters of a list of coordinates."""
    at, end = 0, len(text.rstrip(" \t\r\n,"))
    while at < end:
        match = _TOKEN.match(text, at)
        if match is None:
            raise RefusedError("why.coordinates", text=shortened(text[at : at + 20]))
        yield match[1] or "", match[2] or ""
        at = match.end()


def _path(text: str) -> Iterator[Run]:
    """The runs of path data: each `m` starts one, `z` closes it, and what follows a `z` starts another at its start."""
    run: Run | None = None
    here: Point = (0.0, 0.0)
    for letter, numbers in _commands(text):
        small, relative = letter.lower(), letter.islower()
        base = here if relative else (0.0, 0.0)
        if small == "m":
            if run is not None and len(run.points) > 1:
                yield run
            here = (base[0] + numbers[0], base[1] + numbers[1])
            run = Run([here])
            continue
        if run is None:
            raise RefusedError("why.path_begin")
        if small == "z":
            run.closed = True
            here = run.points[0]
            if len(run.points) > 1:
                yield run
            run = Run([here])
            continue
        if small == "h":
            here = (base[0] + numbers[0], here[1])
        elif small == "v":
            here = (here[0], base[1] + numbers[0])
        else:
            run.curved = run.curved or small != "l"
            if small in "csq":  # control points stand for the curve
                pairs = zip(numbers[:-2:2], numbers[1:-2:2], strict=True)
                run.points += [(base[0] + x, base[1] + y) for x, y in pairs]
            here = (base[0] + numbers[-2], base[1] + numbers[-1])
        run.points.append(here)
    if run is not None and len(run.points) > 1:
        yield run


def _commands(text: str) -> Iterator[tuple[str, list[float]]]:
    """Letters of path data with their numbers; a letter is said again for each further set, and `m` becomes `l`."""
    letter, numbers, fresh = "", list[float](), False
    at, end = 0, len(text.rstrip(" \t\r\n,"))
    while at < end:
        flag = letter in ("a", "A") and len(numbers) in (3, 4)  # the two flags of an arc may stand without blanks
        match = (_FLAG if flag else _TOKEN).match(text, at)
        if match is None:
            raise RefusedError("why.path", text=shortened(text[at : at + 20]))
        at = match.end()
        said = "" if flag else match[2] or ""
        if said:
            if numbers or fresh:
                raise RefusedError("why.path_few", letter=letter)
            if said.lower() not in _COUNTS:
                raise RefusedError("why.path_letter", letter=said)
            letter, fresh = said, said not in "zZ"
            if not fresh:
                yield letter, []
            continue
        if not letter or letter in "zZ":
            raise RefusedError("why.path_number")
        numbers.append(float(match[1]))
        if len(numbers) == _COUNTS[letter.lower()]:
            yield letter, numbers
            numbers, fresh = [], False
            letter = {"m": "l", "M": "L"}.get(letter, letter)
    if numbers or fresh:
        raise RefusedError("why.path_few", letter=letter)
