"""What is wrong with the bevels that parts ask for: with each other, the plate's thickness, the part's size."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from stripplan.errors import Fault, InputError
from stripplan.model.bevel import Flank, flanks_of, root_faces
from stripplan.model.part import Part, Rectangle, Shape
from stripplan.model.polygon import Outline, edges, kept_left, line_of, thickness
from stripplan.wording.message import Facts, length

LEAST_FACE = 1.0
"""A face that bevels leave narrower than so is none [mm]: common practice, no source."""
AS_LONG_AS_IT_IS = 1e5
"""Length of a strip for what is asked here [mm]."""


def check_bevels(parts: Sequence[Part]) -> None:
    """Bevels go with their parts. Raises InputError with every fault."""
    faults = [each for part in parts if part.bevels for each in _wrong(part)]
    if faults:
        raise InputError(faults)


def _wrong(part: Part) -> Iterator[Fault]:
    where, thick = f"part {part.name}, bevels", part.thickness
    if part.allowance:
        yield Fault("bevel", where, Facts(allowance=length(part.allowance)), "bevel_allowance")
        return
    if thick is None:
        return
    flanks = flanks_of(part.bevels, thick)
    for each in part.bevels:
        if each.deep(thick) <= 1e-9:
            facts = Facts(root=length(each.root_face), thickness=length(thick))
            yield Fault("bevel", where, facts, "bevel_root")
            return
    for (edge, first), count in Counter((each.edge, each.first) for each in flanks).items():
        if count > 1:
            yield Fault("bevel", where, Facts(edge=edge_name(part, edge), face=_face(first)), "bevel_twice")
            return
    for edge, root in root_faces(flanks, thick).items():
        if root < -1e-9:
            facts = Facts(edge=edge_name(part, edge), deep=length(thick - root), thickness=length(thick))
            yield Fault("bevel", where, facts, "bevel_overlap")
            return
    yield from _too_small(part, flanks)


def _face(first: bool) -> str:
    return "first" if first else "other"


def _too_small(part: Part, flanks: Sequence[Flank]) -> Iterator[Fault]:
    """Bevels of one face meet, or leave next to nothing of it."""
    whole = outline_of(part)
    for first in (True, False):
        face: Outline = whole
        for flank in flanks:
            if flank.first == first and face:
                line = line_of(list(edges(whole))[flank.edge])
                face = kept_left(face, line.moved(-flank.set_back))
        if not face or thickness(face) < LEAST_FACE:
            back = sum(each.set_back for each in flanks if each.first == first)
            facts = Facts(width=length(part.width), back=length(round(back, 2)), least=length(LEAST_FACE))
            yield Fault("bevel", f"part {part.name}, bevels", facts, "bevel_too_small")


def outline_of(part: Part) -> Outline:
    """The outline that the edges of a part are counted along."""
    if isinstance(part, Shape):
        return part.outline
    long = part.length if isinstance(part, Rectangle) else AS_LONG_AS_IT_IS
    return (0.0, 0.0), (long, 0.0), (long, part.width), (0.0, part.width)


def edge_name(part: Part, edge: int) -> str:
    """An edge of a part in a word: of a rectangle the side that it is, else its number."""
    return str(edge + 1) if isinstance(part, Shape) else ("lower", "right", "upper", "left")[edge]
