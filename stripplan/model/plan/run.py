"""Runs: rows of cuts that are worked as one. Set once, cut, push up, cut."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from stripplan.model.plan.cut import Cut
from stripplan.model.plan.piece import Piece


@dataclass(frozen=True, kw_only=True)
class Run:
    """Cuts `cuts[0]` to `cuts[1]` of a plate, made without touching fence, end stop, speed or process; of one cut, if
    need be.

    `fence_reading` is None for cuts that are not located by the fence: those on the mitre bar go on while it stands,
    one that is marked is a run of its own. `end_stop` [mm] is that of the last pass. `parts` are the names of the parts
    that fall in it, in the order in which they first do. Scraping, pushing up, turning, fetching, resting do not end a
    run.
    """

    cuts: tuple[int, int]
    plate: str
    process: str
    fence_reading: float | None
    end_stop: float
    parts: tuple[str, ...]
    count: int


def runs_of(cuts: Iterable[Cut], pieces: Mapping[str, Piece], process: Mapping[str, str]) -> tuple[Run, ...]:
    """The runs of cuts in the order of work; `pieces` by id, `process` names that of each plate by its id."""
    rows: list[list[Cut]] = []
    for cut in cuts:
        if rows and _goes_on(rows[-1][-1], cut, process):
            rows[-1].append(cut)
        else:
            rows.append([cut])
    return tuple(_run(row, pieces, process) for row in rows)


def _goes_on(before: Cut, cut: Cut, process: Mapping[str, str]) -> bool:
    """Whether a cut is made with all that the one before was made with."""
    one, other = (
        (each.plate, process[each.plate], each.located, each.fence_reading, each.bar, each.travel_speed, each.dial)
        for each in (before, cut)
    )
    stands = before.passes[-1].end_stop
    return one == other and cut.located != "marked" and all(each.end_stop == stands for each in cut.passes)


def _run(row: list[Cut], pieces: Mapping[str, Piece], process: Mapping[str, str]) -> Run:
    first, last = row[0], row[-1]
    return Run(
        cuts=(first.number, last.number),
        plate=first.plate,
        process=process[first.plate],
        fence_reading=first.fence_reading,
        end_stop=last.passes[-1].end_stop,
        parts=tuple(dict.fromkeys(_parts(row, pieces))),
        count=len(row),
    )


def _parts(row: list[Cut], pieces: Mapping[str, Piece]) -> Iterator[str]:
    for cut in row:
        for name in cut.makes:
            if name is not None and (part := pieces[name].part) is not None:
                yield part
