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
from stripplan.replay.trueness import COARSE, SLENDER, STRAIGHT, hot_constant


def check_bow(
    bench: Bench,
    line: PartLine,
    want: Shape,
    pieces: list[tuple[Piece, list[Side]]],
    foretold: Callable[[Process], bool],
) -> Iterator[Finding]:
    """A shape has its bow, that of its most bowed piece, where it is `foretold` for the process at all."""
    found: dict[str, tuple[float, int, float, float, Process]] = {}
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
            bow = hot_constant(process) * (long / wide) ** 2 * (0.25 if hot == 2 else 1.0)
            found[piece.id] = bow, hot, long, wide, process
    if any(abs(long - SLENDER * wide) < SIZE for _, _, long, wide, _ in found.values()):
        return  # just as long as it must be: either is right
    if (line.bow is None) != (not found):
        yield Finding("bow", f"{line.name}, bow", f"{line.name} will bow or not, and the list says otherwise.")
        return
    said = line.bow
    if said is None:
        return
    most = max(bow for bow, _, _, _, _ in found.values())
    own = found.get(said.piece)
    if own is None or own[0] < most - COARSE or abs(own[0] - said.bow) > COARSE:
        yield Finding("bow", f"{line.name}, bow", f"{line.name} bows by {most:.2f} mm at its most bowed piece.")
        return
    bow, hot, long, wide, process = own
    calibrated = process.bow_constant is not None
    low = said.low if calibrated else 0.0 if hot == 2 else bow / 2
    high = said.high if calibrated else 2 * bow
    limit = (
        next((each for to, each in STRAIGHT if long <= to), None) if want.straightness is None else want.straightness
    )
    void = 4 * hot_constant(process) * 210_000 / (0.75 * 235)
    if (
        (said.hot_edges, said.calibrated, said.limit) != (hot, calibrated, limit)
        or max(abs(said.low - low), abs(said.high - high)) > COARSE
        or not 0 <= said.low <= said.bow <= said.high
        or (said.beyond_model != (wide < void) and abs(wide - void) > SIZE)
        or (bool(said.remedy) and (said.limit is None or said.bow < said.limit - COARSE))
    ):
        text = f"{line.name}: hot edges, limit, range of its bow, or how it is known, are not so."
        yield Finding("bow", f"{line.name}, bow, limit", text)
