"""Parts from a DXF drawing that somebody else has made: closed outlines in model space that are rectangles.

Units, layers and names are the drawing's own, or as the person says. What is no part is listed with its layer, its
handle and its place, or counted where it is text, a dimension or the like.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from stripplan.errors import Fault, InputError
from stripplan.files.fault_words import fault, meant, message, shortened
from stripplan.files.parts.drawings.drawn_parts import parts_of
from stripplan.files.parts.drawings.joined_lines import joined
from stripplan.files.parts.drawings.layers import AS_IT_SAYS, HowDrawn, Layers, asked_layers, of_layer
from stripplan.files.parts.drawings.outlines import (  # fmt: skip
    DrawnParts,
    Reading,
    Skipped,
    checked_tolerance,
    no_rectangle,
    shown_point,
)
from stripplan.files.read_file import read_bytes
from stripplan.wording.message import Fact, Message
from stripplan.wording.quantity import MM_PER

if TYPE_CHECKING:
    from ezdxf.document import Drawing
from stripplan.files.parts.drawings.dxf.blocks import OWN, Collector
from stripplan.files.parts.drawings.dxf.entities import attribute_of
from stripplan.files.parts.drawings.dxf.loaded import check_text, loaded

LARGEST_DRAWING = 50 * 2**20
"""Greatest size of a drawing [bytes]."""

INSUNITS = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m"}
"""Units by the drawing's $INSUNITS (DXF reference, header variables); others are refused, 0 means that it names none.
"""
OWN_LAYERS = {"plate", "part", "cut", "kerf", "offcut", "scrap"}
"""Layers of our own drawings, of which PART alone holds parts."""
_OWN_NUMBER = re.compile(r"[0-9]+|P[0-9]+-[0-9]+")
_OWN_SIZE = re.compile(r"\s\s[0-9.,/ \"]+ x [0-9.,/ \"]+$")


def read_dxf_parts(path: Path | str, how: HowDrawn = AS_IT_SAYS) -> DrawnParts:
    """Rectangles from the outlines in a drawing.

    A drawing that names no units is read in those of `how`. Raises InputError.
    """
    path = Path(path)
    checked_tolerance(how.tolerance)
    data = read_bytes(path, largest=LARGEST_DRAWING, instead="outlines")
    check_text(data, path.name)
    document = loaded(data, path.name)
    del data
    try:
        unit, notes = _units(document, how.units, path.name)
        asked, more = _asked(document, how.layers, path.name)
        notes += more
        said = of_layer(asked, layer_names=how.layer_names, notes=notes, name=path.name)
        scale = float(MM_PER[unit])
        reading = Reading(
            path.name, how.tolerance, how.first,
            place=lambda point: f"{shown_point((point[0] / scale, point[1] / scale))} {unit}",
            of_layer=said,
            wording=_own_wording(document) if asked is OWN else str, beside=asked is not OWN,
            drill_later=how.drill_later,
        )  # fmt: skip
        collected = Collector(document, reading, scale, asked).collected()
        outlines, loose, open_strokes = joined(collected.strokes, reading)
        drawn, used = parts_of(collected.outlines + outlines, collected.labels, reading, loose)
    except InputError:
        raise
    except Exception:  # whatever stops the library, the drawing is at fault
        raise InputError(fault("dxf.unreadable", path.name)) from None
    for at in sorted(set(range(len(collected.labels))) - used):
        collected.counts["TEXT", collected.label_layers[at], message("why.no_part_around")] += 1
    skipped = (*drawn.skipped, *open_strokes, *collected.skipped, *_counted(collected.counts))
    if not drawn.parts:
        notes.append(no_rectangle(path.name, skipped))
    return DrawnParts(drawn.parts, skipped, (*notes, *drawn.notes), drawn.layers)


def _units(document: Drawing, units: str | None, name: str) -> tuple[str, list[Fault]]:
    """The unit of the drawing, never guessed."""
    if units is not None and units not in MM_PER:
        raise InputError(fault("value.drawing_units", "units", said=shortened(units), **meant(units, MM_PER)))
    code = document.header.get("$INSUNITS", 0)
    named = INSUNITS.get(code)
    if units is None:
        if named is None:
            raise InputError(fault("no_units.dxf", name, unit_code=str(code)))
        return named, []
    if code != 0 and named != units:
        facts: dict[str, Fact] = {"named": named} if named else {"unit_code": str(code)}
        return units, [fault("units.others", name, units=units, **facts)]
    return units, []


def _asked(document: Drawing, layers: Layers | None, name: str) -> tuple[Layers | None, list[Fault]]:
    """Which layers are read, by small letters; None = all."""
    listed = [each.dxf.name for each in document.layers]
    if layers is None:
        if {each.lower() for each in listed} >= OWN_LAYERS:
            return OWN, [fault("own.drawing", name)]
        return None, []
    # A layer may be drawn on without being listed; among the blocks is model space.
    drawn = (str(attribute_of(each, "layer", "0")) for block in document.blocks for each in block)
    return asked_layers(layers, list(dict.fromkeys([*listed, *drawn])), name), []


def _own_wording(document: Drawing) -> Callable[[str], str | None]:
    """What reads the name in a label of our own drawing; numbers of cuts and pieces say nothing.

    The size after a name is left out, and a name cut short for want of room is that of its block.
    """
    blocks = [block.name for block in document.blocks if not block.name.startswith("*")]

    def name(text: str) -> str | None:
        clean = _OWN_SIZE.sub("", text)
        if _OWN_NUMBER.fullmatch(clean):
            return None
        whole = [each for each in blocks if each.startswith(clean.removesuffix("..."))] if clean[-3:] == "..." else []
        return whole[0] if len(whole) == 1 else clean

    return name


def _counted(counts: Mapping[tuple[str, str, Message], int]) -> Iterator[Skipped]:
    for (what, layer, why), count in counts.items():
        yield Skipped(f"{count} {what}", f"layer {shortened(layer)}" if layer else "model space", why)
