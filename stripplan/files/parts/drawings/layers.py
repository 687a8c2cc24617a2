"""Layers of a drawing: which are read, and what they say of the thickness and the material of their parts."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from stripplan.errors import Fault, InputError
from stripplan.files.fault_words import MANY, fault, near_words, shortened
from stripplan.files.parts.drawings.outlines import LONGEST_LABEL, TOLERANCE
from stripplan.files.toml.quantities import ValueRefusedError, read_name, refused_unit
from stripplan.wording.message import Fact, length
from stripplan.wording.quantity import UnitError, parse_length

Said = tuple[float | None, str | None]
"""Thickness [mm] and material of the parts on a layer; None = it does not say."""
Layers = Mapping[str, Said]


@dataclass(frozen=True, kw_only=True)
class HowDrawn:
    """How a drawing is read.

    `units` ("mm", "cm", "m", "in", "ft") are those of the drawing, and go before those it names. An outline may be off
    a true rectangle, and lines that make one may be apart, by `tolerance` [mm]. `layers` are the only ones that are
    read, with thickness [mm] and material of their parts; `layer_names` takes both from names such as
    "PLATE_6MM_S235". Parts without a name are numbered from `first`. `drill_later` takes a rectangle with holes for a
    part that is drilled after it is cut.
    """

    units: str | None = None
    tolerance: float = TOLERANCE
    layers: Layers | None = None
    layer_names: bool = False
    first: int = 1
    drill_later: bool = False


AS_IT_SAYS = HowDrawn()
"""A drawing's own units, all its layers, a usual tolerance."""


HINTED, LOOKED_AT = 20, 2000
"""For so many layers that are not there the nearest name is sought, among so many: it takes time, and a screen holds no
more.
"""

_THICKNESS = re.compile(
    r"(?:(?<=^)|(?<=[\s_-]))(?:t|thk)?\s*([0-9]+(?:[.,/][0-9]+)?)[\s_]*(mm|in)(?=$|[\s_-])", re.IGNORECASE
)
_NO_MATERIAL = {"plate", "sheet", "pl", "part", "parts", "thk", "t", "cut", "outline", "outlines", ""}


def read_layer(text: str, units: str) -> Said:
    """What stands for a layer: a thickness, and after a comma the material. Raises ValueRefusedError.

    A bare number is in `units`. `6,35` is refused: it may be 6.35, or 6 of a material called 35.

    >>> read_layer("1 1/2 in, A36", "mm"), read_layer("6", "mm")
    ((38.1, 'A36'), (6.0, None))
    """
    size, comma, rest = (each.strip() for each in text.partition(","))
    if not size:
        raise ValueRefusedError("no_thickness")
    if comma and not rest:
        raise ValueRefusedError("no_material")
    if size.isdecimal() and re.match(r"[^,]*,[0-9]", text):
        decimal: dict[str, Fact] = {"decimal": f"{size}.{rest}"} if re.fullmatch(r"[0-9]+ ?[a-z]*", rest) else {}
        parted = f"{size} {units}, {rest[:40]}"
        raise ValueRefusedError("layer_two_ways", said=shortened(text), parted=parted, **decimal)
    try:
        thickness = parse_length(size, units)
    except UnitError as error:
        if " " in size and not comma:
            raise ValueRefusedError("layer", said=error.said) from None
        raise refused_unit(error) from None
    if thickness == 0:
        raise ValueRefusedError("zero", said=shortened(size), key="thickness")
    return thickness, read_name(rest) if comma else None


def parse_layer(word: str, *, units: str) -> tuple[str, Said]:
    """A layer and what it says, from one word: `NAME`, `NAME=THICKNESS` or `NAME=THICKNESS,MATERIAL`. Raises
    InputError.

    >>> parse_layer("PL6=6,S235", units="mm"), parse_layer("FRAME", units="mm")
    (('PL6', (6.0, 'S235')), ('FRAME', (None, None)))
    """
    name, equals, text = word.rpartition("=")  # sizes never hold `=`, so a name may
    try:
        clean = read_name(name if equals else word)
    except ValueRefusedError as error:
        raise InputError(fault("layer.word", f"layer {shortened(word)}", why=error.message)) from None
    try:
        return clean, read_layer(text, units) if equals else (None, None)
    except ValueRefusedError as error:
        raise InputError(error.fault(f"layer {shortened(word)}", code="layer")) from None


def asked_layers(layers: Layers, known: Sequence[str], name: str) -> Layers:
    """The layers that are read, by small letters; `known` are those of the drawing called `name`. Raises InputError."""
    faults, asked = [], dict[str, Said]()
    there = {each.lower() for each in known}
    for layer, (thickness, material) in layers.items():
        if layer.lower() in asked:
            faults.append(fault("same_layer.drawing", name, layer=shortened(layer)))
        asked[layer.lower()] = thickness, material
        if layer.lower() not in there:
            near = _near_layer(layer, known) if len(faults) < HINTED else {}
            faults.append(fault("no_layer.drawing", name, layer=shortened(layer), **near))
        if thickness is not None and not (math.isfinite(thickness) and thickness > 0):
            faults.append(fault("value.layer_thickness", f"layer {shortened(layer)}", thickness=thickness))
    if faults:
        raise InputError(faults)
    return asked


def _near_layer(layer: str, known: Sequence[str]) -> dict[str, Fact]:
    """The nearest layer that there is, else as many of them as a message bears."""
    near = near_words(layer, known[:LOOKED_AT])
    if near:
        return {"near": _plain(near[0])}
    return {"layers": tuple(map(_plain, known[:MANY])), "all_said": len(known) <= MANY}


def _plain(layer: str) -> str:
    return shortened(layer)[1:-1]


def of_layer(asked: Layers | None, *, layer_names: bool, notes: list[Fault], name: str) -> Callable[[str], Said]:
    """What a layer says. What was taken from its name is noted once; what is said of it otherwise goes before that."""
    told: dict[str, Said] = {}

    def said(layer: str) -> Said:
        thickness, material = (asked or {}).get(layer.lower(), (None, None))
        if not layer_names or (thickness is not None and material is not None):
            return thickness, material
        if layer not in told:
            told[layer] = thickness_and_material(layer)
            if told[layer] != (None, None):
                notes.append(_read_from_name(layer, told[layer], name))
        named = told[layer]
        return (named[0] if thickness is None else thickness), (named[1] if material is None else material)

    return said


def _read_from_name(layer: str, said: Said, name: str) -> Fault:
    thickness, material = said
    facts: dict[str, Fact] = {"material": shortened(material)} if material else {}
    return fault("layer.name", name, layer=shortened(layer), thickness=length(thickness or 0.0), **facts)


def thickness_and_material(layer: str) -> Said:
    """Thickness [mm] and material in the name of a layer, both None where no thickness with its unit stands in it.

    >>> [thickness_and_material(name) for name in ("6 mm", "PLATE_6MM_S235", "1/4in mild steel", "PARTS 2")]
    [(6.0, None), (6.0, 'S235'), (6.35, 'mild steel'), (None, None)]
    """
    match = _THICKNESS.search(layer[:LONGEST_LABEL])
    if match is None:
        return None, None
    try:
        thickness = parse_length(f"{match[1]} {match[2]}", comma=True)
    except UnitError:
        return None, None
    rest = layer[: match.start()] + " " + layer[match.end() :]
    words = [
        each for each in re.split(r"[\s_]+|^-|-$|-(?=\s)|(?<=\s)-", rest) if each and each.lower() not in _NO_MATERIAL
    ]
    material = " ".join(words).strip("- ")
    return (thickness, material if material.isprintable() and material else None) if thickness > 0 else (None, None)
