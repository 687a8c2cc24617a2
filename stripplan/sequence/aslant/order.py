"""In what order the cuts of blocks are made: those that nothing is set anew for follow one another.

Problem. Blocks lie ready, each with a few cuts at an angle; a cut needs the piece that an earlier one of its block has
made. Each may be set up in a few ways. Setting the mitre bar, the fence or the end stop takes longest.

Method. As long as some piece can be cut with what stands on the rig, it is cut, first what lies on the bed; then what
serves the most pieces that wait is set, the fence before the bar. Not exact: what later cuts will ask for is not
looked at. Cost: the ways of each piece once, and a look at all that wait for each cut.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace

from stripplan.model.plan.cut import Mitre, bar_as_set
from stripplan.model.rig import Rig
from stripplan.sequence.aslant.piece import SlantedPiece
from stripplan.sequence.aslant.ways import SlantedCut, ways

ONE_SETTING = 5e-6
"""Angles and stops of the bar that are nearer than so are one [deg, mm]: without that two could be told by different
hundredths."""


@dataclass(frozen=True)
class Waiting:
    """A piece of a plate, by its number, that waits to be cut, and the ways to cut it."""

    plate: int
    piece: SlantedPiece
    ways: tuple[SlantedCut, ...]


@dataclass(frozen=True)
class NextCut:
    """A cut of a plate, by its number, and where the end stop stands for it [mm]."""

    plate: int
    cut: SlantedCut
    stop: float


def in_order(rig: Rig, blocks: Iterable[tuple[int, SlantedPiece]]) -> list[NextCut]:
    """The cuts of all blocks in an order that sets the rig anew seldom.

    Raises ValueError where a piece cannot be cut: whoever makes blocks has asked that before.
    """
    known: list[Mitre] = []
    waiting = [_waiting(plate, piece, known) for plate, piece in blocks]
    found: list[NextCut] = []
    while waiting:
        place, cut, stop = _best(rig, waiting, found[-1] if found else None)
        at = waiting.pop(place)
        found.append(NextCut(at.plate, cut, stop))
        ready = [_waiting(at.plate, each, known) for each in (cut.right, cut.left) if each is not None]
        waiting[place:place] = [each for each in ready if each.ways]
    return found


def _waiting(plate: int, piece: SlantedPiece, known: list[Mitre]) -> Waiting:
    found = tuple(_as_known(way, known) for way in ways(piece))
    if not found and piece.still_to_cut:
        raise ValueError(f"a piece of {len(piece.outline)} corners cannot be cut on this rig")
    return Waiting(plate, piece, found)


def _as_known(way: SlantedCut, known: list[Mitre]) -> SlantedCut:
    """The cut with the bar as it stood for another, where both differ by no more than sums of binary fractions do."""
    bar = way.mitre
    if bar is None or way.bar is None:
        return way
    for one in known:
        if abs(one.angle - bar.angle) <= ONE_SETTING and abs(one.stop - bar.stop) <= ONE_SETTING:
            mitre = replace(bar, angle=one.angle, stop=one.stop, reading=one.reading)
            return replace(way, mitre=mitre, bar=bar_as_set(mitre, left=way.bar[2]))
    known.append(bar)
    return way


def _best(rig: Rig, waiting: list[Waiting], last: NextCut | None) -> tuple[int, SlantedCut, float]:
    """Which piece is cut next, how, and where the end stop stands."""
    if last is not None:
        stands, on_bed = _stands(last.cut), {id(last.cut.right), id(last.cut.left)}
        found = [
            ((stop != last.stop, id(each.piece) not in on_bed, each.plate != last.plate, n), n, way, stop)
            for n, each in enumerate(waiting)
            for way in each.ways
            if _stands(way) == stands
            for stop in [_kept(rig, way, last.stop)]
        ]
        if found:
            _, place, way, stop = min(found, key=lambda row: row[0])
            return place, way, stop
    served = Counter(key for each in waiting for key in dict.fromkeys(map(_stands, each.ways)))
    most = max(served.values())
    some = [
        ((way.located != "fence", -served[_stands(way)] if most > 1 else 0, n, m), n, way)
        for n, each in enumerate(waiting)
        for m, way in enumerate(each.ways)
    ]
    _, place, way = min(some, key=lambda row: row[0])
    return place, way, way.least_stop if last is None else _kept(rig, way, last.stop)


def _stands(way: SlantedCut) -> tuple[object, ...]:
    """What of the rig is set for a cut besides the end stop; of one that is marked nothing that serves another."""
    if way.located == "marked":
        return "marked", id(way)
    return (way.located, way.bar if way.located == "mitre" else way.setting.reading, way.piece.conditions.process.name)


def _kept(rig: Rig, way: SlantedCut, now: float) -> float:
    """The end stop as it stands where it serves, else the least."""
    longest = rig.lead_in + way.length + rig.overrun_max
    return now if way.least_stop - 1e-9 <= now <= longest + 1e-9 else way.least_stop
