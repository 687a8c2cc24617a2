"""How far straight-sided shapes will bow that are long for their width between two parallel edges."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from stripplan.model.part import Shape
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import PartLine
from stripplan.model.rig import Process
from stripplan.replay.aslant.sides import FLAT, SIZE, Side, process_of
from stripplan.replay.finding import Finding
from stripplan.replay.lookup import Bench
from stripplan.replay.trueness import SLENDER, bow_of_piece, check_one_bow


def check_bow(
    bench: Bench,
    line: PartLine,
    want: Shape,
    pieces: list[tuple[Piece, list[Side]]],
    foretold: Callable[[Process], bool],
) -> Iterator[Finding]:
    """A shape has its bow, that of its most bowed piece, where it is `foretold` for the process at all."""
    found = []
    either = False
    for piece, sides in pieces:
        pairs = [
            (abs(a.end - a.start) + abs(b.end - b.start), a, b)
            for n, a in enumerate(sides)
            for b in sides[n + 1 :]
            if abs((a.way * b.way.conjugate()).imag) <= FLAT
        ]
        if not pairs or not foretold(process := process_of(bench, piece)):
            continue
        _, a, b = max(pairs, key=lambda each: each[0])
        wide, long = a.off(b.start), max(abs(a.end - a.start), abs(b.end - b.start))
        hot = (a.cut is not None) + (b.cut is not None)
        if hot and long >= SLENDER * wide - SIZE:
            found.append(bow_of_piece(want, piece, process, long, wide, both=hot == 2))
            either = either or abs(long - SLENDER * wide) < SIZE
    if either:
        return  # just as long as it must be: either is right
    if (line.bow is None) != (not found):
        yield Finding("bow", f"{line.name}, bow", f"{line.name} will bow or not, and the list says otherwise.")
    elif line.bow is not None:
        yield from check_one_bow(line, line.bow, found)
