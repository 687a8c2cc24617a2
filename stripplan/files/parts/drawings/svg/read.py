"""Parts from an SVG drawing: rectangles and closed paths of straight segments, whatever turns and moves them.

The file is read as a stream of marks. A document type that declares anything is refused before it is used, nothing is
fetched, and copies by `use` are counted before they are made. Source of names and rules: SVG 1.1 (second edition), W3C.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from pathlib import Path
from typing import NoReturn

from stripplan.errors import Fault, InputError
from stripplan.files.fault_words import fault, meant, message, shortened
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
    Reading,
    Skipped,
    capped_count,
    checked_tolerance,
    no_rectangle,
    shown_point,
    where,
    within_reach,
)
from stripplan.files.parts.drawings.svg.elements import (
    DEEPEST,
    MOST_ELEMENTS,
    NEXT_LINE,
    Element,
    RefusedError,
    read_elements,
)
from stripplan.files.parts.drawings.svg.shapes import (
    LENGTH,
    NUMBER,
    PX_PER,
    Matrix,
    moved,
    product,
    runs_of,
    transform_of,
    user_units,
)
from stripplan.files.read_file import read_bytes
from stripplan.wording.message import Message
from stripplan.wording.quantity import MM_PER

LARGEST_DRAWING = 50 * 2**20
"""Greatest size of a drawing [bytes]."""
MOST_POINTS = 500_000
"""Most numbers in the outlines of a file, and most points once copies are made."""

FONT_SIZE = 16.0
"""Size of letters where nothing is said [px]: `medium` of CSS, as browsers show it (common practice, no source)."""
CAPITAL, LETTER = 0.7, 0.55
"""Height of a capital and width of a letter, in sizes of a font: common practice, no source."""
PX_PER_INCH = 96.0
"""CSS pixels in an inch (CSS Values and Units, level 3, 5.2)."""

_LINK = ("href", "http://www.w3.org/1999/xlink href")
_GROUPS = {"svg", "g", "a", "switch"}
_SHAPES = {"rect", "path", "polygon", "polyline", "circle", "ellipse", "line"}
_KEPT_APART = {"defs", "symbol", "clipPath", "mask", "pattern", "marker"}
"""What is in these is drawn only where something refers to it."""
_PASSED = {"title", "desc", "metadata", "style", "script", "linearGradient", "radialGradient", "filter"}


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
    root = read_elements(data, path.name)
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


# --- units ----------------------------------------------------------------------------------------------------------


def _scale(root: Element, units: str | None, name: str) -> tuple[tuple[float, float], list[Fault]]:
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
    match = LENGTH.fullmatch(text[:100])
    if match is None or match[2] not in PX_PER:
        return None
    value = float(match[1]) * PX_PER[match[2]]
    return (value, match[2]) if math.isfinite(value) and value > 0 else None


def _view_box(root: Element, name: str) -> tuple[float, float] | None:
    """Width and height of the viewBox."""
    text = root.marks.get("viewBox", "")
    if not text.strip():
        return None
    parts = text[:400].replace(",", " ").split()
    sizes = [float(each) for each in parts[2:] if re.fullmatch(NUMBER, each)]
    if len(parts) != 4 or len(sizes) != 2 or not all(math.isfinite(each) and each > 0 for each in sizes):
        raise InputError(fault("svg.view_box", name))
    return sizes[0], sizes[1]


# --- what is drawn --------------------------------------------------------------------------------------------------


class _Walk:
    """Walks what is drawn, with copies, and gathers outlines in mm."""

    def __init__(self, root: Element, reading: Reading, asked: Layers | None, *, layer_names: bool) -> None:
        self._root, self._reading, self._asked, self._layer_names = root, reading, asked, layer_names
        self.outlines: list[Outline] = []
        self.loose: list[Outline] = []
        self.labels: list[Label] = []
        self.skipped: list[Skipped] = []
        self.counts: Counter[tuple[str, Message]] = Counter()
        self._ids: dict[str, Element] = {}
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

    def _weight(self, element: Element, path: tuple[int, ...]) -> int:
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

    def _target(self, element: Element) -> Element | None:
        link = next((element.marks[each] for each in _LINK if each in element.marks), "")
        return self._ids.get(link[1:]) if link.startswith("#") and len(link) > 1 else None

    def _layer(self, group: Element, layer: str) -> str:
        """The layer of what is in a group: its label or id where that is asked for or says a thickness, else `layer`,
        that of the group around it.
        """
        for each in _names_of(group):
            says = self._layer_names and thickness_and_material(each)[0] is not None
            if says if self._asked is None else each.lower() in self._asked:
                return each
        return layer

    def _inside(self, element: Element, matrix: Matrix, name: str | None, layer: str) -> None:
        for each in element.inside:
            self._one(each, matrix, name, layer)

    def _one(self, element: Element, matrix: Matrix, name: str | None, layer: str) -> None:
        tag = element.tag
        if tag in _PASSED or tag in _KEPT_APART or tag.startswith("{}"):
            if tag == "style":
                self.counts["style", message("why.style")] += 1
            return
        what = _what(element)
        if _hidden(element):
            self.counts[tag, message("why.hidden")] += 1
            return
        placed = transform_of(element)
        if placed is None:
            self._skip(what, matrix, message("why.transform"))
            return
        matrix = product(matrix, placed)
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

    def _copy(self, element: Element, what: str, matrix: Matrix, name: str | None, layer: str) -> None:
        target = self._target(element)
        if target is None:
            self._skip(what, matrix, message("why.no_copied"))
            return
        shift = [user_units(element.marks.get(key, "0")) for key in ("x", "y")]
        if shift[0] is None or shift[1] is None:
            self._skip(what, matrix, message("why.place"))
            return
        matrix = product(matrix, (1.0, 0.0, 0.0, 1.0, shift[0], shift[1]))
        if target.tag == "symbol" and "viewBox" not in target.marks:
            self._inside(target, matrix, name, layer)
        elif target.tag == "symbol":
            self._skip(what, matrix, message("why.symbol"))
        else:
            self._one(target, matrix, name, layer)

    def _shape(self, element: Element, what: str, matrix: Matrix, name: str | None, layer: str) -> None:
        """The outlines of a shape; a path may hold several."""
        try:
            runs = list(runs_of(element))
        except RefusedError as error:
            self._skip(what, matrix, error.message)
            return
        mark = element.marks.get("id", "").strip()
        own = mark if mark.isprintable() and 0 < len(mark) <= LONGEST_LABEL else None
        for number, run in enumerate(runs, 1):
            each = what + (f", outline {number}" if len(runs) > 1 else "")
            points = tuple(moved(point, matrix) for point in run.points)
            if not within_reach(points):
                self.skipped.append(Skipped(each, "", message("why.too_far")))
                continue
            closed = run.closed or (len(points) > 2 and math.dist(points[0], points[-1]) <= self._reading.tolerance)
            if not closed:
                why = message("why.curved_open" if run.curved else "why.open")
                self.loose.append(Outline(points, each, layer, run.curved, name or own, refused=why))
            else:
                self.outlines.append(Outline(points, each, layer, run.curved, name or own))

    def _words(self, element: Element, matrix: Matrix) -> None:
        """A text as a label: where its first line begins, and the area that it covers."""
        several = [line for each in element.words.split(NEXT_LINE) if (line := " ".join(each.split()))]
        if not several:
            return
        first = next((each for each in element.inside if each.tag == "tspan"), element)
        x, y = (user_units(_of(element, first, key).replace(",", " ").split(" ")[0] or "0") for key in ("x", "y"))
        high = user_units(_inherited(first, "font-size")) or FONT_SIZE
        if x is None or y is None:
            self.counts["text", message("why.place")] += 1
            return
        wide, low = LETTER * high * max(map(len, several)), 1.2 * high * (len(several) - 1)
        left = x - {"middle": wide / 2, "end": wide}.get(_inherited(first, "text-anchor"), 0.0)
        ends = ((left, y - CAPITAL * high), (left + wide, y - CAPITAL * high), (left + wide, y + low), (left, y + low))
        corners = tuple(moved(each, matrix) for each in ends)
        place = moved((x, y), matrix)
        tall = math.dist(place, moved((x, y - CAPITAL * high), matrix))
        if within_reach([place, *corners]):
            self.labels += [Label(each[: LONGEST_LABEL + 1], place, corners, tall) for each in several]

    def _skip(self, what: str, matrix: Matrix, why: Message) -> None:
        point = (matrix[4], matrix[5])
        at = where("", point, self._reading) if within_reach([point]) else ""
        self.skipped.append(Skipped(what, at, why))


def _of(element: Element, first: Element, key: str) -> str:
    """A mark of a text, else that of its first line."""
    return element.marks.get(key) or first.marks.get(key) or "0"


def _inherited(element: Element, key: str) -> str:
    """What an element, or the nearest around it, says of its letters."""
    here: Element | None = element
    while here is not None:
        style = re.search(rf"(?:^|;)\s*{key}\s*:\s*([^;]+)", here.marks.get("style", "")[:2000])
        if said := (style[1] if style else here.marks.get(key, "")).strip():
            return said
        here = here.around
    return ""


def _group_names(root: Element) -> list[str]:
    """Names of all groups, labels first: where there are any, they are what the person reads."""
    groups, queue = list[Element](), [root]
    for element in queue:
        groups += [element] if element.tag == "g" else []
        queue += element.inside
    names = sorted(((at, each) for group in groups for at, each in enumerate(_names_of(group))), key=lambda one: one[0])
    return list(dict.fromkeys(each for _, each in names))


def _names_of(group: Element) -> list[str]:
    """Label of a group, in whatever name space a program keeps it, and its id."""
    labels = [text for key, text in group.marks.items() if key.rpartition(" ")[2] in ("label", "aria-label")]
    return [each.strip() for each in (*labels, group.marks.get("id", "")) if each.strip()]


def _plain(word: str) -> str:
    return re.sub(r"[^A-Za-z0-9_:-]", "?", word)[:40]


def _what(element: Element) -> str:
    own = element.marks.get("id", "")
    return f"{_plain(element.tag)} {shortened(own) if own else f'in line {element.line}'}"


def _hidden(element: Element) -> bool:
    stated = (each.partition(":") for each in element.marks.get("style", "")[:2000].split(";"))
    style = {key.strip(): value.strip() for key, _, value in stated}
    display = style.get("display", element.marks.get("display", ""))
    visibility = style.get("visibility", element.marks.get("visibility", ""))
    return display == "none" or visibility in ("hidden", "collapse")
