"""Parts as blocks of a drawing: a drawing program then counts them, and lists them by name and size.

A block is the part's outline, its longer side along x, its lower left corner at the block's origin, and three
attributes, which are not shown: a drawing has them as its labels. A copy that lies the other way is turned by 90
degrees. Pieces of one part that differ in size have a block for each size.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from typing import Any

from stripplan.model.plan.piece import Piece

SAME = 2e-7
"""Sizes that differ by less are one [mm]: no corner of a copy is then off by more."""

LONGEST = 32
"""Most letters of a name: seven characters each where all are escaped, and a name may have 255."""

ATTRIBUTES = ("NAME", "SIZE", "PIECE")
"""Of each part: its name, longer and shorter side as cut, the piece of the plan."""
UNSEEN = 1
"""Flag of an attribute that is not shown (DXF reference, group code 70 of ATTDEF and ATTRIB)."""

_FORBIDDEN = frozenset('<>/\\":;?*|,=`^')
"""Letters that no name of a block may have; `^` starts a control character in a file."""


def add_blocks(document: Any, pieces: Iterable[Piece], scale: float) -> dict[str, str]:
    """Make the blocks; the name of its block by the id of each piece that is a part."""
    named: dict[str, str] = {}
    taken = {each.name.casefold() for each in document.blocks}
    for part, several in _parts(pieces).items():
        groups = _by_size(several)
        for (long, short), same in groups.items():
            shown = f"{long * scale:.4f}".rstrip("0").rstrip("."), f"{short * scale:.4f}".rstrip("0").rstrip(".")
            name = block_name(part if len(groups) == 1 else f"{part} {shown[0]} x {shown[1]}", taken)
            taken.add(name.casefold())
            block = document.blocks.new(name)
            wide, high = round(long * scale, 9), round(short * scale, 9)
            block.add_lwpolyline([(0, 0), (wide, 0), (wide, high), (0, high)], close=True, dxfattribs={"layer": "PART"})
            for tag in ATTRIBUTES:
                block.add_attdef(tag, (0, 0), height=max(high / 8, 1e-3), dxfattribs={"layer": "TEXT", "flags": UNSEEN})
            named |= dict.fromkeys((each.id for each in same), name)
    return named


def _parts(pieces: Iterable[Piece]) -> Mapping[str, list[Piece]]:
    """Rectangular parts by name."""
    found: dict[str, list[Piece]] = {}
    for each in pieces:
        if each.kind == "part" and each.part is not None and _is_box(each):
            found.setdefault(each.part, []).append(each)
    return found


def _is_box(piece: Piece) -> bool:
    """Whether the outline is that of its box."""
    x0, y0, x1, y1 = piece.box
    return Counter(piece.outline) == Counter([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])


def _sides(piece: Piece) -> tuple[float, float]:
    """Longer and shorter side."""
    x0, y0, x1, y1 = piece.box
    return max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)


def _by_size(pieces: Iterable[Piece]) -> dict[tuple[float, float], list[Piece]]:
    groups: dict[tuple[float, float], list[Piece]] = {}
    for each in pieces:
        sides = _sides(each)
        same = (size for size in groups if abs(size[0] - sides[0]) < SAME and abs(size[1] - sides[1]) < SAME)
        groups.setdefault(next(same, sides), []).append(each)
    return groups


def turned(piece: Piece) -> bool:
    """Whether the longer side of a piece lies along y.

    The sides of a square differ by noise at most, and it is not turned.
    """
    x0, y0, x1, y1 = piece.box
    return (y1 - y0) - (x1 - x0) > SAME


def block_name(wanted: str, taken: Collection[str] = frozenset()) -> str:
    """A name that a block may have, near to the one that is wanted; `taken` are those of others, casefolded.

    >>> block_name("=SUM(A1)"), block_name("1/2 in bar"), block_name("Leg", {"leg"}), block_name("?")
    ('SUM(A1)', '1_2 in bar', 'Leg (2)', 'part')
    """
    letters = (
        each if each.isprintable() and each not in _FORBIDDEN and ord(each) <= 0xFFFF else "_" for each in wanted
    )
    clean = "".join(letters)[:LONGEST].strip("_ ") or "part"
    name, number = clean, 1
    while name.casefold() in taken:
        number += 1
        suffix = f" ({number})"
        name = clean[: LONGEST - len(suffix)].rstrip() + suffix
    return name
