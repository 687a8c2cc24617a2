"""Model space and its blocks, walked: what is drawn, in mm, and what is not shown.

Blocks are taken apart with scale, rotation and arrays; how much that makes is counted before it is made.
"""

from __future__ import annotations

import math
import re
from collections import Counter, deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from stripplan.errors import InputError
from stripplan.files.fault_words import fault, message, shortened
from stripplan.files.parts.drawings.layers import Layers
from stripplan.files.parts.drawings.outlines import (  # fmt: skip
    LONGEST_LABEL,
    Label,
    Outline,
    Point,
    Reading,
    Skipped,
    Stroke,
    capped_count,
    where,
    within_reach,
)
from stripplan.files.parts.lists.counts import counted
from stripplan.wording.message import Message

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.math import Matrix44
from stripplan.files.parts.drawings.dxf.entities import Item, item_of

MOST_POINTS = 500_000
"""Most objects and points together once blocks are taken apart."""
DEEPEST = 32
"""Most blocks within one another."""

_QUANTITY_TAGS = {"qty", "quantity", "count", "pcs", "pieces", "stk", "no_off"}
_NAME_TAGS = {"name", "part", "mark", "item", "part_name"}


OWN: Layers = {"part": (None, None)}
"""What is asked of our own drawings."""


def _label(text: str, points: Sequence[Point]) -> Label:
    """A text with the area that it covers."""
    place, *corners, above = points
    return Label(text, place, tuple(corners), math.dist(place, above))


@dataclass(frozen=True)
class _Frame:
    """Where the objects of a block are drawn: `instance` tells one insertion from another."""

    block: str
    matrix: Matrix44 | None
    layer: str
    name: str | None
    quantity: int | None
    refused: Message | None
    instance: int
    frozen: bool = False


@dataclass
class _Collected:
    outlines: list[Outline] = field(default_factory=list)
    strokes: list[Stroke] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)
    label_layers: list[str] = field(default_factory=list)
    skipped: list[Skipped] = field(default_factory=list)
    counts: Counter[tuple[str, str, Message]] = field(default_factory=Counter)


class Collector:
    """Walks model space and its blocks."""

    def __init__(self, document: Drawing, reading: Reading, scale: float, asked: Layers | None) -> None:
        self._document, self._reading, self._scale, self._asked = document, reading, scale, asked
        self._items: dict[str, list[Item]] = {}
        self._weights: dict[str, int] = {}
        self._groups: dict[tuple[int, str, int], int] = {}
        self._states = {each.dxf.name.lower(): _state(each) for each in document.layers}
        self._found = _Collected()

    def collected(self) -> _Collected:
        """All that is drawn in model space, in mm."""
        total = self._weight("", ())
        if total > MOST_POINTS:
            raise InputError(fault("too_large.blocks", self._reading.name, count=capped_count(total), most=MOST_POINTS))
        frames = deque([_Frame("", None, "0", None, None, None, 0)])
        instances = 0
        while frames:
            frame = frames.popleft()
            for item in self._block(frame.block.lower()):
                if item.kind != "insert":
                    self._draw(item, frame)
                    continue
                if not self._shown(item, frame):
                    continue
                inner = list(self._inserted(item, frame, instances))
                instances += len(inner)
                frames += inner
        self._paper()
        return self._found

    # blocks

    def _block(self, name: str) -> list[Item]:
        """The objects of a block, "" = of model space."""
        if name not in self._items:
            layout: Iterable[Any] = self._document.blocks.get(name) if name else self._document.modelspace()
            self._items[name] = [item_of(each) for each in layout or ()]
        return self._items[name]

    def _weight(self, name: str, path: tuple[str, ...]) -> int:
        """How many objects and points a block makes when taken apart."""
        if name in path:
            raise InputError(fault("blocks.circle", self._reading.name, block=shortened(name)))
        if len(path) > DEEPEST:
            raise InputError(fault("blocks.deep", self._reading.name, most=DEEPEST))
        if name not in self._weights:
            total = 0
            for item in self._block(name):
                total += 1 + len(item.points)
                if item.kind == "insert" and self._known(item):
                    inner = self._weight(item.insert.dxf.name.lower(), (*path, name))
                    total += _times(item.insert) * (1 + inner)
            self._weights[name] = total
        return self._weights[name]

    def _known(self, item: Item) -> bool:
        block = self._document.blocks.get(item.insert.dxf.name)
        return block is not None and block.block is not None and not block.block.is_xref

    def _inserted(self, item: Item, frame: _Frame, instances: int) -> Iterator[_Frame]:
        """The frames of an insertion, one for each place of its array."""
        insert = item.insert
        if not self._known(item):
            what = f"block {shortened(insert.dxf.name)}"
            self._found.counts[what, item.layer, message("why.no_block")] += 1
            return
        layer = self._layer(item, frame)
        name, quantity, refused = _attributes(insert)
        block = insert.dxf.name
        plain = None if block.startswith("*") or not block.isprintable() else block[:LONGEST_LABEL]
        frozen = frame.frozen or self._states.get(layer.lower()) == _FROZEN
        matrix = insert.matrix44()
        for number, offset in enumerate(_offsets(insert)):
            placed = matrix.copy()
            x, y, z = (one + other for one, other in zip(matrix.get_row(3)[:3], offset, strict=True))
            placed.set_row(3, (x, y, z))
            if frame.matrix is not None:
                placed *= frame.matrix
            yield _Frame(
                block, placed, layer, name or plain or frame.name,
                quantity if quantity is not None else frame.quantity,
                refused or frame.refused, instances + number + 1, frozen,
            )  # fmt: skip

    # objects

    def _layer(self, item: Item, frame: _Frame) -> str:
        """What is on layer 0 of a block is on the layer of the insertion."""
        return frame.layer if frame.block and item.layer == "0" else item.layer

    def _shown(self, item: Item, frame: _Frame) -> bool:
        """Whether an object is shown on a layer that is read; counts it where it is not."""
        layer = self._layer(item, frame)
        state = self._states.get(layer.lower(), "")
        if item.kind == "text":  # names may stand on any layer; in our own drawings they stand on TEXT
            asked = self._asked is not OWN or layer.lower() == "text"
        else:
            asked = self._asked is None or item.kind == "insert" or layer.lower() in self._asked
        if item.kind == "insert" and state != _FROZEN:
            state = ""  # a layer that is off hides what is on it, and not what a block has on other layers
        why = (
            "why.hidden" if item.hidden
            else _FROZEN if frame.frozen
            else state or ("" if asked else "why.layer_not_asked")
        )  # fmt: skip
        if why:
            self._found.counts[item.what, layer, message(why)] += 1
        return not why

    def _draw(self, item: Item, frame: _Frame) -> None:
        if not self._shown(item, frame):
            return
        layer = self._layer(item, frame)
        if item.kind == "other":
            self._found.counts[item.what, layer, message(item.why or "why.no_outline")] += 1
            return
        points = item.points if frame.matrix is None else tuple(frame.matrix.transform_vertices(item.points))
        flat: tuple[Point, ...] = tuple((each.x * self._scale, each.y * self._scale) for each in points)
        what = f"{item.what} {item.handle}" + (f" in block {shortened(frame.block)}" if frame.block else "")
        if not flat or not within_reach(flat):
            on = f"layer {shortened(layer)}"
            self._found.skipped.append(Skipped(what, on, message("why.too_far")))
            return
        if item.kind == "text":
            several = [each.strip() for each in item.text.split("\n") if each.strip()]
            self._found.labels += [_label(each, flat) for each in several]
            self._found.label_layers += [layer] * len(several)
            return
        levels = [each.z * self._scale for each in points]
        if not max(levels) - min(levels) <= self._reading.tolerance:
            place = where(layer, flat[0], self._reading)
            self._found.skipped.append(Skipped(what, place, message("why.not_flat")))
            return
        if item.kind == "ring":
            self._found.outlines.append(
                Outline(flat, what, layer, item.curved, frame.name, frame.quantity, frame.refused)
            )
            return
        key = (frame.instance, layer.lower(), round(levels[0]))
        group = self._groups.setdefault(key, len(self._groups))
        closes = len(flat) > 2 and math.dist(flat[0], flat[-1]) <= self._reading.tolerance
        if closes:
            self._found.outlines.append(
                Outline(flat[:-1], what, layer, item.curved, frame.name, frame.quantity, frame.refused)
            )
        else:
            self._found.strokes.append(
                Stroke(flat, what, layer, group, item.curved, frame.name, frame.quantity, frame.refused)
            )

    def _paper(self) -> None:
        for layout in self._document.layouts:
            count = sum(each.dxftype() != "VIEWPORT" for each in layout)
            if layout.name != "Model" and count:
                words = f"paper space {shortened(layout.name)}"
                self._found.skipped.append(Skipped(f"{count} objects", words, message("why.paper_space")))


_FROZEN = "why.frozen"


def _state(layer: Any) -> str:
    return _FROZEN if layer.is_frozen() else "why.off" if layer.is_off() else ""


def _times(insert: Any) -> int:
    return int(max(1, insert.dxf.row_count) * max(1, insert.dxf.column_count))


def _offsets(insert: Any) -> Iterator[tuple[float, float, float]]:
    """The places of an array: along the rotated axes of the block reference, spacings not scaled."""
    from ezdxf.math import Vec3

    ocs = insert.ocs()
    places: dict[tuple[float, float, float], None] = {}
    for row in range(max(1, insert.dxf.row_count)):
        for column in range(max(1, insert.dxf.column_count)):
            offset = Vec3(column * insert.dxf.column_spacing, row * insert.dxf.row_spacing)
            places[ocs.to_wcs(offset.rotate_deg(insert.dxf.rotation)).xyz] = None
    yield from places  # a spacing of 0 puts several in one place: once is enough


def _attributes(insert: Any) -> tuple[str | None, int | None, Message | None]:
    """Name and quantity in the attributes of an insertion, and why its outlines are refused where one is unreadable."""
    name, quantity = None, None
    for each in insert.attribs:
        tag, text = str(each.dxf.tag).strip().lower(), " ".join(str(each.dxf.text).split())[: LONGEST_LABEL + 1]
        if not text or len(text) > LONGEST_LABEL or not text.isprintable():
            continue
        if tag in _QUANTITY_TAGS:
            read = int(text) if re.fullmatch("[0-9]{1,7}", text) else counted(text).count
            if read is None:
                return name, None, message("why.attribute", attribute=tag.upper(), text=shortened(text))
            quantity = read
        elif tag in _NAME_TAGS:
            name = name or text
    return name, quantity, None
