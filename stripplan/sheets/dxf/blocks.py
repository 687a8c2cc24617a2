"""Parts that occur more than once, as blocks of a drawing: a drawing program then counts them.

A block is the part's outline, its longer side along x, its lower left corner at the block's origin. A copy that lies
the other way is turned by 90 degrees. Pieces of one part that differ in size have a block for each size.
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

_FORBIDDEN = frozenset('<>/\\":;?*|,=`^')
"""Letters that no name of a block may have; `^` starts a control character in a file."""


def add_blocks(document: Any, pieces: Iterable[Piece], scale: float) -> dict[str, str]:
    """Make the blocks; the name of its block by the id of each piece whose part occurs at least twice."""
    named: dict[str, str] = {}
    taken = {each.name.casefold() for each in document.blocks}
    for part, several in _repeated(pieces).items():
        groups = _by_size(several)
        for (long, short), same in groups.items():
            shown = f"{long * scale:.4f}".rstrip("0").rstrip("."), f"{short * scale:.4f}".rstrip("0").rstrip(".")
            name = block_name(part if len(groups) == 1 else f"{part} {shown[0]} x {shown[1]}", taken)
            taken.add(name.casefold())
            block = document.blocks.new(name)
            wide, high = round(long * scale, 9), round(short * scale, 9)
            block.add_lwpolyline([(0, 0), (wide, 0), (wide, high), (0, high)], close=True, dxfattribs={"layer": "PART"})
            named |= dict.fromkeys((each.id for each in same), name)
    return named


def _repeated(pieces: Iterable[Piece]) -> Mapping[str, list[Piece]]:
    """Rectangular parts by name, those of which there is only one left out."""
    found: dict[str, list[Piece]] = {}
    for each in pieces:
        if each.kind == "part" and each.part is not None and _is_box(each):
            found.setdefault(each.part, []).append(each)
    return {part: several for part, several in found.items() if len(several) > 1}


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
