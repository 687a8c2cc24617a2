"""Parts from an SVG drawing: rectangles and closed paths of straight segments, whatever turns and moves them.

The file is read as a stream of marks. A document type that declares anything is refused before it is used, nothing is
fetched, and copies by `use` are counted before they are made. Source of names and rules: SVG 1.1 (second edition), W3C.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import NoReturn
from xml.parsers import expat

from stripplan.errors import Fault, InputError
from stripplan.files.fault_words import fault, fault_of, meant, message, shortened
from stripplan.files.parts.drawings.drawn_parts import parts_of
from stripplan.files.parts.drawings.layers import (
    AS_IT_SAYS,
    HowDrawn,
    Layers,
    asked_layers,
    of_layer,
    thickness_and_material,
)
from stripplan.files.parts.drawings.outlines import (
    LONGEST_LABEL,
    DrawnParts,
    Label,
    Outline,
    Point,
    Reading,
    Skipped,
    capped_count,
    checked_tolerance,
    no_rectangle,
    shown_point,
    where,
    within_reach,
)
from stripplan.files.read_file import read_bytes
from stripplan.wording.message import Fact, Message
from stripplan.wording.quantity import MM_PER

LARGEST_DRAWING = 50 * 2**20
"""Greatest size of a drawing [bytes]."""
MOST_ELEMENTS = 150_000
"""Most elements of a file, and most once copies are made."""
MOST_POINTS = 500_000
"""Most numbers in the outlines of a file, and most points once copies are made."""
DEEPEST = 100
"""Most elements within one another."""

FONT_SIZE = 16.0
"""Size of letters where nothing is said [px]: `medium` of CSS, as browsers show it (common practice, no source)."""
CAPITAL, LETTER = 0.7, 0.55
"""Height of a capital and width of a letter, in sizes of a font: common practice, no source."""
PX_PER_INCH = 96.0
"""CSS pixels in an inch (CSS Values and Units, level 3, 5.2)."""
_PX_PER = {"": 1.0, "px": 1.0, "in": 96.0, "mm": 96 / 25.4, "cm": 96 / 2.54, "pt": 96 / 72, "pc": 16.0}

_SPACES = {"", "http://www.w3.org/2000/svg"}
_LINK = ("href", "http://www.w3.org/1999/xlink href")
_GROUPS = {"svg", "g", "a", "switch"}
_SHAPES = {"rect", "path", "polygon", "polyline", "circle", "ellipse", "line"}
_KEPT_APART = {"defs", "symbol", "clipPath", "mask", "pattern", "marker"}
"""What is in these is drawn only where something refers to it."""
_NEXT_LINE = "\u2028"
_OF_TEXT = {"text", "tspan"}
_PASSED = {"title", "desc", "metadata", "style", "script", "linearGradient", "radialGradient", "filter"}
_NUMBER = r"[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]{1,4})?"
_TOKEN = re.compile(rf"[\s,]*(?:({_NUMBER})|([A-Za-z]))")
_FLAG = re.compile(r"[\s,]*([01])")
_LENGTH = re.compile(rf"\s*({_NUMBER})\s*([a-z]*|%)\s*")
_TRANSFORM = re.compile(r"\s*,?\s*(matrix|translate|scale|rotate|skewX|skewY)\s*\(([^()]*)\)")

Matrix = tuple[float, float, float, float, float, float]
"""a b c d e f: x' = a x + c y + e, y' = b x + d y + f."""
_SAME: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


def read_svg_parts(path: Path | str, how: HowDrawn = AS_IT_SAYS) -> DrawnParts:
    """Rectangles from the outlines in a drawing, named by their title, else by their id.

    The units of `how` are what one unit of the drawing is; left out: by its width, height and viewBox, and where these
    have no unit, 96 to the inch with a note. Layers are the groups, by label or id. Raises InputError.
    """
    path = Path(path)
    checked_tolerance(how.tolerance)
    if (units := how.units) is not None and units not in MM_PER:
        raise InputError(fault("value.drawing_units", "units", said=shortened(units), **meant(units, MM_PER)))
    data = read_bytes(path, largest=LARGEST_DRAWING, instead="drawing")
    root = _read(data, path.name)
    scale, notes = _scale(root, units, path.name)
    asked = None if how.layers is None else asked_layers(how.layers, _group_names(root), path.name)
    said = of_layer(asked, layer_names=how.layer_names, notes=notes, name=path.name)
    reading = Reading(
        path.name, how.tolerance, how.first, place=lambda point: f"{shown_point(point)} mm", of_layer=said,
        upside_down=True, drill_later=how.drill_later,
    )  # fmt: skip
    walk = _Walk(root, reading, asked, layer_names=how.layer_names)
    walk.draw(scale)
    drawn, used = parts_of(walk.outlines, walk.labels, reading, walk.loose)
    if unused := len(walk.labels) - len(used):
        walk.counts["text", message("why.no_part_around")] += unused
    counted = (Skipped(f"{count} {what}", "", why) for (what, why), count in walk.counts.items())
    skipped = (*drawn.skipped, *walk.skipped, *counted)
    if not drawn.parts:
        notes.append(no_rectangle(path.name, skipped))
    return DrawnParts(drawn.parts, skipped, (*notes, *drawn.notes), drawn.layers)


# --- the file -------------------------------------------------------------------------------------------------------


@dataclass
class _Element:
    """An element, the text of its title, the words of a text, and what it lies in."""

    tag: str
    marks: dict[str, str]
    line: int
    inside: list[_Element] = field(default_factory=list)
    title: str = ""
    words: str = ""
    around: _Element | None = field(default=None, repr=False)


class _RefusedError(Exception):
    """What stops the reading of a file or of a shape: the key of a sentence and its facts."""

    def __init__(self, says: str, **facts: Fact) -> None:
        super().__init__(says)
        self.message = message(says, **facts)


def _read(data: bytes, name: str) -> _Element:
    """The elements of a file. Raises InputError."""
    if data.startswith(b"\x1f\x8b"):
        raise InputError(fault("binary.svgz", name))
    builder = _Builder()
    parser = builder.parser
    try:
        parser.Parse(data, True)
    except _RefusedError as error:
        raise InputError(fault_of(error.message, f"{name} line {parser.CurrentLineNumber}")) from None
    except Exception as error:  # whatever stops the library, the file is at fault
        line = getattr(error, "lineno", None)
        raise InputError(fault("svg.damaged", f"{name} line {line}" if line else name)) from None
    if builder.root is None or builder.root.tag != "svg":
        raise InputError(fault("svg.other", name))
    return builder.root


class _Builder:
    """Handlers that make elements of marks. Nothing is fetched and no entity is ever declared."""

    def __init__(self) -> None:
        self.root: _Element | None = None
        self._open: list[_Element] = []
        self._count = 0
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._text
        self.parser.StartDoctypeDeclHandler = self._doctype
        self.parser.EntityDeclHandler = self._entity

    def _doctype(self, _name: str, _system: str | None, _public: str | None, declares: bool) -> None:
        if declares:
            self._entity()

    def _entity(self, *_: object) -> None:
        raise _RefusedError("entities.svg")

    def _start(self, tag: str, marks: dict[str, str]) -> None:
        space, _, name = tag.rpartition(" ")
        self._count += 1
        if self._count > MOST_ELEMENTS:
            raise _RefusedError("too_large.elements", most=MOST_ELEMENTS)
        if len(self._open) >= DEEPEST:
            raise _RefusedError("too_deep.elements", most=DEEPEST)
        element = _Element(name if space in _SPACES else f"{{}}{name}", marks, self.parser.CurrentLineNumber)
        if self._open:
            element.around = self._open[-1]
            self._open[-1].inside.append(element)
        else:
            self.root = element
        self._open.append(element)
        if element.tag == "tspan" and marks.keys() & {"x", "y", "dy"}:
            self._text(_NEXT_LINE)

    def _end(self, _: str) -> None:
        done = self._open.pop()
        if done.tag == "title" and self._open and not self._open[-1].title:
            self._open[-1].title = done.title

    def _text(self, text: str) -> None:
        element = self._open[-1]
        if element.tag == "title" and len(element.title) <= LONGEST_LABEL:
            element.title += text[: LONGEST_LABEL + 1]
        elif element.tag in _OF_TEXT:
            whole = next((each for each in reversed(self._open) if each.tag == "text"), element)
            if len(whole.words) <= 5 * LONGEST_LABEL:
                whole.words += text[: LONGEST_LABEL + 1]


# --- units ----------------------------------------------------------------------------------------------------------


def _scale(root: _Element, units: str | None, name: str) -> tuple[tuple[float, float], list[Fault]]:
    """mm per unit of the drawing, along x and y. Raises InputError where they cannot be told."""
    if units is not None:
        mm = float(MM_PER[units])
        return (mm, mm), [fault("units.asked", name, units=units)]
    sizes = [_physical(root.marks.get(key, "")) for key in ("width", "height")]
    view = _view_box(root, name)
    px = 25.4 / PX_PER_INCH
    note = fault("units.pixels", name)
    if view is None:
        return (px, px), [note]
    if sizes == [None, None]:
        return (px, px), [note]
    scales = [size and size[0] * px / length for size, length in zip(sizes, view, strict=True)]
    notes = [note] if any(size is not None and size[1] in ("", "px") for size in sizes) else []
    known = [each for each in scales if each is not None]
    if len(known) == 1:
        return (known[0], known[0]), notes
    keep = root.marks.get("preserveAspectRatio", "").split()
    if keep[:1] == ["none"]:
        return (known[0], known[1]), notes
    chosen = max(known) if "slice" in keep else min(known)
    if max(known) > min(known) * 1.0001:
        notes.append(fault("units.one_scale", name))
    return (chosen, chosen), notes


def _physical(text: str) -> tuple[float, str] | None:
    """A length in px and its unit; None where there is none, or a share of the window."""
    match = _LENGTH.fullmatch(text[:100])
    if match is None or match[2] not in _PX_PER:
        return None
    value = float(match[1]) * _PX_PER[match[2]]
    return (value, match[2]) if math.isfinite(value) and value > 0 else None


def _view_box(root: _Element, name: str) -> tuple[float, float] | None:
    """Width and height of the viewBox."""
    text = root.marks.get("viewBox", "")
    if not text.strip():
        return None
    parts = text[:400].replace(",", " ").split()
    sizes = [float(each) for each in parts[2:] if re.fullmatch(_NUMBER, each)]
    if len(parts) != 4 or len(sizes) != 2 or not all(math.isfinite(each) and each > 0 for each in sizes):
        raise InputError(fault("svg.view_box", name))
    return sizes[0], sizes[1]


# --- what is drawn --------------------------------------------------------------------------------------------------


class _Walk:
    """Walks what is drawn, with copies, and gathers outlines in mm."""

    def __init__(self, root: _Element, reading: Reading, asked: Layers | None, *, layer_names: bool) -> None:
        self._root, self._reading, self._asked, self._layer_names = root, reading, asked, layer_names
        self.outlines: list[Outline] = []
        self.loose: list[Outline] = []
        self.labels: list[Label] = []
        self.skipped: list[Skipped] = []
        self.counts: Counter[tuple[str, Message]] = Counter()
        self._ids: dict[str, _Element] = {}
        self._weights: dict[int, int] = {}
        self._heights: dict[int, int] = {}
        queue = [root]
        for element in queue:
            self._ids.setdefault(element.marks.get("id", ""), element)
            queue += element.inside

    def draw(self, scale: tuple[float, float]) -> None:
        """Everything in the drawing, at so many mm a unit. Raises InputError where copies are too many or endless."""
        total = self._weight(self._root, ())
        if total > max(MOST_ELEMENTS, MOST_POINTS):
            raise InputError(fault("too_large.copies", self._reading.name, count=capped_count(total), most=MOST_POINTS))
        self._inside(self._root, (scale[0], 0.0, 0.0, scale[1], 0.0, 0.0), None, "")

    def _weight(self, element: _Element, path: tuple[int, ...]) -> int:
        """How many elements and numbers an element makes, with copies."""
        key = id(element)
        if key in path:
            raise InputError(fault("copies.circle", self._reading.name, line=element.line))
        if len(path) > 2 * DEEPEST:
            self._too_deep()
        if key not in self._weights:
            total, height = 1 + sum(len(element.marks.get(each, "")) // 4 for each in ("d", "points")), 0
            target = self._target(element) if element.tag == "use" else None
            for each in [*element.inside, *([target] if target is not None else [])]:
                total += self._weight(each, (*path, key))
                height = max(height, self._heights[id(each)])
            self._weights[key], self._heights[key] = total, height + 1
        if len(path) + self._heights[key] > 2 * DEEPEST:
            self._too_deep()
        return self._weights[key]

    def _too_deep(self) -> NoReturn:
        raise InputError(fault("copies.deep", self._reading.name, most=2 * DEEPEST))

    def _target(self, element: _Element) -> _Element | None:
        link = next((element.marks[each] for each in _LINK if each in element.marks), "")
        return self._ids.get(link[1:]) if link.startswith("#") and len(link) > 1 else None

    def _layer(self, group: _Element, layer: str) -> str:
        """The layer of what is in a group: its label or id where that is asked for or says a thickness, else `layer`,
        that of the group around it.
        """
        for each in _names_of(group):
            says = self._layer_names and thickness_and_material(each)[0] is not None
            if says if self._asked is None else each.lower() in self._asked:
                return each
        return layer

    def _inside(self, element: _Element, matrix: Matrix, name: str | None, layer: str) -> None:
        for each in element.inside:
            self._one(each, matrix, name, layer)

    def _one(self, element: _Element, matrix: Matrix, name: str | None, layer: str) -> None:
        tag = element.tag
        if tag in _PASSED or tag in _KEPT_APART or tag.startswith("{}"):
            if tag == "style":
                self.counts["style", message("why.style")] += 1
            return
        what = _what(element)
        if _hidden(element):
            self.counts[tag, message("why.hidden")] += 1
            return
        placed = _placed(element)
        if placed is None:
            self._skip(what, matrix, message("why.transform"))
            return
        matrix = _product(matrix, placed)
        title = " ".join(element.title.split())
        name = title if title and len(title) <= LONGEST_LABEL and title.isprintable() else name
        if tag == "svg":
            self._skip(what, matrix, message("why.inner_drawing"))
        elif tag in _GROUPS:
            self._inside(element, matrix, name, self._layer(element, layer))
        elif tag == "use":
            self._copy(element, what, matrix, name, layer)
        elif tag == "text":
            self._words(element, matrix)
        elif tag in _SHAPES and self._asked is not None and not layer:
            self.counts[tag, message("why.layer_not_asked")] += 1
        elif tag in _SHAPES:
            self._shape(element, what, matrix, name, layer)
        else:
            self.counts[_plain(tag), message("why.no_outline")] += 1

    def _copy(self, element: _Element, what: str, matrix: Matrix, name: str | None, layer: str) -> None:
        target = self._target(element)
        if target is None:
            self._skip(what, matrix, message("why.no_copied"))
            return
        shift = [_user(element.marks.get(key, "0")) for key in ("x", "y")]
        if shift[0] is None or shift[1] is None:
            self._skip(what, matrix, message("why.place"))
            return
        matrix = _product(matrix, (1.0, 0.0, 0.0, 1.0, shift[0], shift[1]))
        if target.tag == "symbol" and "viewBox" not in target.marks:
            self._inside(target, matrix, name, layer)
        elif target.tag == "symbol":
            self._skip(what, matrix, message("why.symbol"))
        else:
            self._one(target, matrix, name, layer)

    def _shape(self, element: _Element, what: str, matrix: Matrix, name: str | None, layer: str) -> None:
        """The outlines of a shape; a path may hold several."""
        try:
            runs = list(_runs(element))
        except _RefusedError as error:
            self._skip(what, matrix, error.message)
            return
        mark = element.marks.get("id", "").strip()
        own = mark if mark.isprintable() and 0 < len(mark) <= LONGEST_LABEL else None
        for number, run in enumerate(runs, 1):
            each = what + (f", outline {number}" if len(runs) > 1 else "")
            points = tuple(_moved(point, matrix) for point in run.points)
            if not within_reach(points):
                self.skipped.append(Skipped(each, "", message("why.too_far")))
                continue
            closed = run.closed or (len(points) > 2 and math.dist(points[0], points[-1]) <= self._reading.tolerance)
            if not closed:
                why = message("why.curved_open" if run.curved else "why.open")
                self.loose.append(Outline(points, each, layer, run.curved, name or own, refused=why))
            else:
                self.outlines.append(Outline(points, each, layer, run.curved, name or own))

    def _words(self, element: _Element, matrix: Matrix) -> None:
        """A text as a label: where its first line begins, and the area that it covers."""
        several = [line for each in element.words.split(_NEXT_LINE) if (line := " ".join(each.split()))]
        if not several:
            return
        first = next((each for each in element.inside if each.tag == "tspan"), element)
        x, y = (_user(_of(element, first, key).replace(",", " ").split(" ")[0] or "0") for key in ("x", "y"))
        high = _user(_inherited(first, "font-size")) or FONT_SIZE
        if x is None or y is None:
            self.counts["text", message("why.place")] += 1
            return
        wide, low = LETTER * high * max(map(len, several)), 1.2 * high * (len(several) - 1)
        left = x - {"middle": wide / 2, "end": wide}.get(_inherited(first, "text-anchor"), 0.0)
        ends = ((left, y - CAPITAL * high), (left + wide, y - CAPITAL * high), (left + wide, y + low), (left, y + low))
        corners = tuple(_moved(each, matrix) for each in ends)
        place = _moved((x, y), matrix)
        tall = math.dist(place, _moved((x, y - CAPITAL * high), matrix))
        if within_reach([place, *corners]):
            self.labels += [Label(each[: LONGEST_LABEL + 1], place, corners, tall) for each in several]

    def _skip(self, what: str, matrix: Matrix, why: Message) -> None:
        point = (matrix[4], matrix[5])
        at = where("", point, self._reading) if within_reach([point]) else ""
        self.skipped.append(Skipped(what, at, why))


def _of(element: _Element, first: _Element, key: str) -> str:
    """A mark of a text, else that of its first line."""
    return element.marks.get(key) or first.marks.get(key) or "0"


def _inherited(element: _Element, key: str) -> str:
    """What an element, or the nearest around it, says of its letters."""
    here: _Element | None = element
    while here is not None:
        style = re.search(rf"(?:^|;)\s*{key}\s*:\s*([^;]+)", here.marks.get("style", "")[:2000])
        if said := (style[1] if style else here.marks.get(key, "")).strip():
            return said
        here = here.around
    return ""


def _group_names(root: _Element) -> list[str]:
    """Names of all groups, labels first: where there are any, they are what the person reads."""
    groups, queue = list[_Element](), [root]
    for element in queue:
        groups += [element] if element.tag == "g" else []
        queue += element.inside
    names = sorted(((at, each) for group in groups for at, each in enumerate(_names_of(group))), key=lambda one: one[0])
    return list(dict.fromkeys(each for _, each in names))


def _names_of(group: _Element) -> list[str]:
    """Label of a group, in whatever name space a program keeps it, and its id."""
    labels = [text for key, text in group.marks.items() if key.rpartition(" ")[2] in ("label", "aria-label")]
    return [each.strip() for each in (*labels, group.marks.get("id", "")) if each.strip()]


def _plain(word: str) -> str:
    return re.sub(r"[^A-Za-z0-9_:-]", "?", word)[:40]


def _what(element: _Element) -> str:
    own = element.marks.get("id", "")
    return f"{_plain(element.tag)} {shortened(own) if own else f'in line {element.line}'}"


def _hidden(element: _Element) -> bool:
    stated = (each.partition(":") for each in element.marks.get("style", "")[:2000].split(";"))
    style = {key.strip(): value.strip() for key, _, value in stated}
    display = style.get("display", element.marks.get("display", ""))
    visibility = style.get("visibility", element.marks.get("visibility", ""))
    return display == "none" or visibility in ("hidden", "collapse")


# --- transforms -----------------------------------------------------------------------------------------------------


def _product(one: Matrix, two: Matrix) -> Matrix:
    """What moves a point by `two` and then by `one`."""
    a, b, c, d, e, f = one
    g, h, i, j, k, m = two
    return (
        a * g + c * h, b * g + d * h, a * i + c * j, b * i + d * j, a * k + c * m + e, b * k + d * m + f,
    )  # fmt: skip


def _moved(point: Point, by: Matrix) -> Point:
    x, y = point
    return by[0] * x + by[2] * y + by[4], by[1] * x + by[3] * y + by[5]


def _placed(element: _Element) -> Matrix | None:
    """The element's own transform; None where it cannot be read, or stands in its style."""
    if re.search(r"(?:^|;)\s*transform\s*:", element.marks.get("style", "")):
        return None
    text = element.marks.get("transform", "").strip()
    matrix, at = _SAME, 0
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
        matrix, at = _product(matrix, step), match.end()
        while at < len(text) and text[at].isspace():
            at += 1
    return matrix


def _plain_number(text: str) -> float | None:
    """A number; None for what is none, and for one beyond all bounds, of which no sine is known."""
    number = float(text) if re.fullmatch(_NUMBER, text) else math.inf
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
class _Run:
    """Points in a row, in the element's own coordinates."""

    points: list[Point]
    closed: bool = False
    curved: bool = False


def _user(text: str) -> float | None:
    """A length in user units; None where it cannot be read without the window's size or a font's."""
    match = _LENGTH.fullmatch(text[:100])
    return float(match[1]) * _PX_PER[match[2]] if match is not None and match[2] in _PX_PER else None


def _runs(element: _Element) -> Iterator[_Run]:
    """The runs of a shape. Raises _RefusedError."""
    marks = element.marks
    if element.tag == "path":
        yield from _path(marks.get("d", ""))
    elif element.tag in ("polygon", "polyline"):
        points = _points(marks.get("points", ""))
        if points:
            yield _Run(points, closed=element.tag == "polygon")
    elif element.tag == "line":
        one, two = ((_length(marks, x, "0"), _length(marks, y, "0")) for x, y in (("x1", "y1"), ("x2", "y2")))
        yield _Run([one, two])
    elif element.tag == "rect":
        yield from _rect(marks)
    else:
        radii = ("r", "r") if element.tag == "circle" else ("rx", "ry")
        x, y, across, up = (_length(marks, key, "0") for key in ("cx", "cy", *radii))
        turn = [math.tau * each / 16 for each in range(16)]
        yield _Run([(x + across * math.cos(each), y + up * math.sin(each)) for each in turn], closed=True, curved=True)


def _length(marks: dict[str, str], key: str, default: str) -> float:
    value = _user(marks.get(key, default))
    if value is None:
        raise _RefusedError("why.length", key=key, text=shortened(marks.get(key, "")))
    return value


def _rect(marks: dict[str, str]) -> Iterator[_Run]:
    x, y, width, height = (_length(marks, key, "0") for key in ("x", "y", "width", "height"))
    if width <= 0 or height <= 0:
        raise _RefusedError("why.nothing")
    radii = [_length(marks, key, "0") for key in ("rx", "ry") if marks.get(key, "auto") != "auto"]
    curved = any(radii) and (len(radii) == 1 or all(radii))  # one of the two that is 0 leaves corners sharp
    yield _Run([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], closed=True, curved=curved)


def _points(text: str) -> list[Point]:
    numbers = [float(number) for number, letter in _tokens(text) if not letter]
    if len(numbers) % 2:
        raise _RefusedError("why.odd_coordinates")
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def _tokens(text: str) -> Iterator[tuple[str, str]]:
    """Numbers and letters of a list of coordinates."""
    at, end = 0, len(text.rstrip(" \t\r\n,"))
    while at < end:
        match = _TOKEN.match(text, at)
        if match is None:
            raise _RefusedError("why.coordinates", text=shortened(text[at : at + 20]))
        yield match[1] or "", match[2] or ""
        at = match.end()


_COUNTS = {"m": 2, "l": 2, "h": 1, "v": 1, "z": 0, "c": 6, "s": 4, "q": 4, "t": 2, "a": 7}


def _path(text: str) -> Iterator[_Run]:
    """The runs of path data: each `m` starts one, `z` closes it, and what follows a `z` starts another at its start."""
    run: _Run | None = None
    here: Point = (0.0, 0.0)
    for letter, numbers in _commands(text):
        small, relative = letter.lower(), letter.islower()
        base = here if relative else (0.0, 0.0)
        if small == "m":
            if run is not None and len(run.points) > 1:
                yield run
            here = (base[0] + numbers[0], base[1] + numbers[1])
            run = _Run([here])
            continue
        if run is None:
            raise _RefusedError("why.path_begin")
        if small == "z":
            run.closed = True
            here = run.points[0]
            if len(run.points) > 1:
                yield run
            run = _Run([here])
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
            raise _RefusedError("why.path", text=shortened(text[at : at + 20]))
        at = match.end()
        said = "" if flag else match[2] or ""
        if said:
            if numbers or fresh:
                raise _RefusedError("why.path_few", letter=letter)
            if said.lower() not in _COUNTS:
                raise _RefusedError("why.path_letter", letter=said)
            letter, fresh = said, said not in "zZ"
            if not fresh:
                yield letter, []
            continue
        if not letter or letter in "zZ":
            raise _RefusedError("why.path_number")
        numbers.append(float(match[1]))
        if len(numbers) == _COUNTS[letter.lower()]:
            yield letter, numbers
            numbers, fresh = [], False
            letter = {"m": "l", "M": "L"}.get(letter, letter)
    if numbers or fresh:
        raise _RefusedError("why.path_few", letter=letter)
