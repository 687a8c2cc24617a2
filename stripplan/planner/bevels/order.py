"""In what order bevels are cut, and the record of each with its set-up and minutes.

Problem. Parts are free and lie aside; each bevel is one pass along one edge. Tilting the torch takes longest, then a
change of process, then the fence and the end stop.

Method. Bevels are sorted by process and tilt, then by what the fence is set to, then by the end stop, the longest
first, so that one stop serves what is a little shorter; what is alike in all that goes piece by piece. Not exact: how
often a piece is fetched is not weighed against a setting. Cost: a sort.

All edges of a part that lie on the fence or at the start line are taken as not scraped yet, but for those of its plate.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Protocol

from stripplan.model.feasible import for_two
from stripplan.model.plan.bevel import BevelCut, BevelMinutes, BevelSetUp
from stripplan.model.plan.cut import Cut, Dress
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import PlanPlate
from stripplan.model.polygon import Segment, edges, line_of
from stripplan.model.rig import Rig
from stripplan.planner.bevels.ways import BevelWay
from stripplan.rig.machine.duty import DutyClock, duty_at
from stripplan.rig.machine.setting import longest_end_stop
from stripplan.rig.machine.timing import (
    arc_seconds,
    dial_for,
    dry_run_seconds,
    handling_seconds,
    post_flow_seconds,
    return_seconds,
    scrape_seconds,
)

ON_PLATE = 1e-6
"""Nearer than so an edge of a part lies on the edge of its plate [mm]."""


def in_order(ways: Iterable[BevelWay], first: str) -> list[BevelWay]:
    """Bevels by process (first that which is set up already), tilt, setting, end stop, then as pieces come."""

    def key(numbered: tuple[int, BevelWay]) -> tuple[object, ...]:
        number, way = numbered
        name, reading = way.speed.process.name, math.inf if way.setting is None else way.setting.reading
        return (name != first, name, way.flank.angle, reading, -way.least_stop, -way.speed.speed, number)

    return [way for _, way in sorted(enumerate(ways), key=key)]


def records(plan: Bench, ways: Sequence[BevelWay]) -> tuple[BevelCut, ...]:
    """The bevels of a plan in the order given, after its cuts."""
    bench = _Bench(plan)
    return tuple(bench.cut(way) for way in ways)


class Bench(Protocol):
    """What lies there before the first bevel: a plan, or what stands for one."""

    @property
    def rig(self) -> Rig:
        """The rig."""

    @property
    def plates(self) -> tuple[PlanPlate, ...]:
        """Plates that the pieces come from."""

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """The pieces."""

    @property
    def cuts(self) -> tuple[Cut, ...]:
        """The cuts before."""


@dataclass
class _Bench:
    """What is set and what lies on the bed, from the last cut on."""

    plan: Bench
    tilt: float = 0.0
    here: BevelWay | None = None
    clean: set[tuple[str, Segment]] = field(default_factory=set)

    def __post_init__(self) -> None:
        plan = self.plan
        self.rig, self.number = plan.rig, len(plan.cuts)
        self.plates = {each.id: each for each in plan.plates}
        self.pieces = {each.id: each for each in plan.pieces}
        self.process = self.plates[plan.cuts[-1].plate].process if plan.cuts else None
        self.stop = plan.cuts[-1].passes[-1].end_stop if plan.cuts else None
        readings = [cut.fence_reading for cut in plan.cuts if cut.fence_reading is not None]
        self.reading = readings[-1] if readings else None
        self.duty, self.now = _after(plan.cuts)
        self.left = [self.pieces[each] for each in plan.cuts[-1].makes if each is not None] if plan.cuts else []

    def cut(self, way: BevelWay) -> BevelCut:
        """The record of the next bevel."""
        rig, process, speed = self.rig, way.speed.process, way.speed.speed
        stop = self._stop(way)
        setup, seconds = self._set_up(way, stop)
        arc, back = arc_seconds([stop], speed), return_seconds([stop], rig.return_speed)
        post = post_flow_seconds(rig, [stop])
        ready = self.now + sum(seconds.values()) + rig.pre_flow
        share = duty_at(process.duty, process.current) if process.current is not None else 1.0
        start = self.duty.start(ready, arc, 0.0 if share is None else share)
        self.duty.add(start, arc)
        self.now = start + arc + post + back
        rest = start - ready
        seconds |= {"arc": arc, "return_": back, "pre_flow": rig.pre_flow, "post_flow": post, "rest": rest}
        self._made(way, stop)
        setting = way.setting
        return BevelCut(
            number=self.number,
            plate=way.piece.plate,
            piece=way.piece.id,
            edge=way.edge,
            face_up=way.flank.first,
            angle=way.flank.angle,
            depth=way.flank.depth,
            root_face=way.root_face,
            located=way.located,
            edge_on_fence=way.edge_on_fence,
            axis=way.axis,
            shift=way.shift,
            fence_offset=None if setting is None else setting.offset,
            fence_reading=None if setting is None else setting.reading,
            reading_error=None if setting is None else setting.error,
            leading=way.leading,
            corner_at=way.corner_at,
            length=way.length,
            end_stop=stop,
            through=way.through,
            process=process.name,
            kerf=process.kerf,
            travel_speed=speed,
            estimated=way.speed.estimated,
            dial=dial_for(rig, speed),
            rest_before=rest / 60,
            setup=setup,
            minutes=BevelMinutes(**{cause: each / 60 for cause, each in seconds.items()}),
        )

    def _stop(self, way: BevelWay) -> float:
        """The end stop as it stands where it serves, else the nearest."""
        now = self.stop
        serves = now is not None and way.least_stop - 1e-9 <= now <= longest_end_stop(self.rig, way.length) + 1e-9
        return now if serves and now is not None else way.least_stop

    def _made(self, way: BevelWay, stop: float) -> None:
        """What stands and lies after a bevel; its edge has fresh dross."""
        self.number += 1
        self.tilt, self.process, self.stop, self.here, self.left = (
            way.flank.angle, way.speed.process.name, stop, way, [way.piece],
        )  # fmt: skip
        self.reading = self.reading if way.setting is None else way.setting.reading
        self.clean.discard((way.piece.id, sides(way.edge)))

    def _set_up(self, way: BevelWay, stop: float) -> tuple[BevelSetUp, dict[str, float]]:
        """What changes before a bevel, and the seconds by cause."""
        rig, s, before = self.rig, self.rig.seconds, self.here
        stays = before is not None and before.piece is way.piece
        over = stays and before is not None and before.flank.first != way.flank.first
        turns = quarter_turns(before, way) if stays and before is not None else 0
        two = self._for_two(way.piece)
        dress = tuple(Dress(edge=edge) for edge in self._to_scrape(way))
        self.clean |= {(way.piece.id, sides(each.edge)) for each in dress}
        fence = way.setting is not None and (self.reading is None or abs(self.reading - way.setting.reading) > 1e-9)
        end_stop = self.stop is None or abs(self.stop - stop) > 1e-9
        setup = BevelSetUp(
            fence=fence,
            end_stop=end_stop,
            quarter_turns=turns,
            turn_over=over,
            fetch=not stays,
            push=stays and not turns and not over,
            clear=bool(self.left) and not stays,
            two_person=two,
            dress=dress,
            process=self.process != way.speed.process.name,
            dry_run=end_stop,
            tilt=abs(self.tilt - way.flank.angle) > 1e-9,
        )

        def handled(base: float, piece: Piece = way.piece) -> float:
            return handling_seconds(rig, base, piece.mass, two_person=self._for_two(piece))

        moved = 0.0 if self.stop is None else s.end_stop_per_mm * abs(self.stop - stop)
        seconds = {
            "tilt": s.tilt if setup.tilt else 0.0,
            "process": s.process if setup.process and self.process is not None else 0.0,
            "fence": self._fence_seconds(way, fence),
            "end_stop": s.end_stop + moved if end_stop else 0.0,
            "quarter_turn": handled(s.quarter_turn) * (2 if turns == 2 else bool(turns)),
            "turn_over": handled(s.turn_over) if over else 0.0,
            "fetch": handled(s.fetch) if setup.fetch else 0.0,
            "push": handled(s.push) if setup.push else 0.0,
            "clear": s.clear + sum(handled(0.0, each) for each in self.left) if setup.clear else 0.0,
            "dress": sum(scrape_seconds(rig, math.dist(*each.edge)) for each in dress),
            "dry_run": dry_run_seconds(rig, stop) if end_stop else 0.0,
        }
        return setup, seconds

    def _fence_seconds(self, way: BevelWay, fence: bool) -> float:
        """Setting and moving the fence; scribing and lining up counts as one setting."""
        s = self.rig.seconds
        if way.setting is None:
            return s.fence
        moved = 0.0 if self.reading is None else s.fence_per_mm * abs(self.reading - way.setting.reading)
        return s.fence + moved if fence else 0.0

    def _for_two(self, piece: Piece) -> bool:
        limits = {"mass_limit": self.rig.two_person_mass, "length_limit": self.rig.two_person_length}
        x0, y0, x1, y1 = piece.box
        return for_two(piece.mass, max(x1 - x0, y1 - y0), **limits)

    def _to_scrape(self, way: BevelWay) -> list[Segment]:
        """Edges on the fence and at the start line that have dross; those of the plate have none."""
        plate = self.plates[way.piece.plate]
        sides_of_plate = [
            line_of(side)
            for side in edges(((0.0, 0.0), (plate.length, 0.0), (plate.length, plate.width), (0.0, plate.width)))
        ]
        found = []
        for edge in (way.edge_on_fence, way.leading):
            if edge is None or (way.piece.id, sides(edge)) in self.clean:
                continue
            if not any(all(abs(side.beside(point)) <= ON_PLATE for point in edge) for side in sides_of_plate):
                found.append(edge)
        return found


def sides(edge: Segment) -> Segment:
    """An edge whichever way it runs."""
    return min(edge, edge[::-1])


def quarter_turns(before: BevelWay, way: BevelWay) -> int:
    """Quarter turns between two bevels of a piece, the nearest; turned over it is laid down as it is needed."""
    if before.flank.first != way.flank.first:
        return 0
    turn = before.travel - way.travel
    return math.floor((turn if way.flank.first else -turn) + 0.5) % 4


def _after(cuts: Iterable[Cut]) -> tuple[DutyClock, float]:
    """The clock of the power source after the cuts [s]: when each arc burnt follows from the minutes of its cut."""
    clock, now = DutyClock(), 0.0
    for cut in cuts:
        minutes = cut.minutes
        end = now + 60 * (minutes.total - minutes.post_flow - minutes.return_)
        clock.add(end - 60 * minutes.arc, 60 * minutes.arc)
        now += 60 * minutes.total
    return clock, now


def least_minutes(rig: Rig, bevels: Sequence[BevelCut], ways: Sequence[BevelWay]) -> float:
    """What bevels take in any order [min]: their passes, each with the nearest end stop, and each tilt set once."""
    seconds = rig.seconds.tilt * len({each.angle for each in bevels})
    for way in ways:
        stops = [way.least_stop]
        seconds += arc_seconds(stops, way.speed.speed) + return_seconds(stops, rig.return_speed)
        seconds += rig.pre_flow + post_flow_seconds(rig, stops)
    return seconds / 60
