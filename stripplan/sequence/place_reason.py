"""Why a cut of a plan stands where it does: what it waits for, what waits for it, what its next best place would cost.

Problem. A person at the rig looks at an order and asks "why not that one first?". A search cannot say: it never had a
reason, it had a sum. And the plan may have come from a file, long after the search.

Method. The plan's record is enough. A cut waits for the one that makes its piece, and those that cut its products wait
for it: that is a tree for each plate. To these come the pairs that the person's wishes hold in their order. Between its
last forerunner and its first follower the cut is put in every other place, all others as they are, and the changeovers
are summed anew. A changeover follows from the cut and the state that the cut before leaves, so behind the place where
both orders have the same state their sums are the same: only what lies between is worked out.

Exact for this question, which is about one cut and not about the whole order: fence readings, end stops and datum edges
stay those of the plan. Rests of the power source are not summed. Cost: a few changeovers for each place.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate

from stripplan.model.feasible import for_two
from stripplan.model.plan.cut import BarSetting, Cut, Located
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan
from stripplan.model.rig import Rig
from stripplan.rig.machine.setting import FenceSetting
from stripplan.sequence.changeover import Changeover, RigState, changeover, state_after, weighted_seconds
from stripplan.sequence.handled import Handled

UNSET = FenceSetting(0.0, 0.0, 0.0)
"""What stands in place of a setting where a cut is marked out."""


@dataclass(frozen=True)
class PlaceReason:
    """Of one cut; cuts are called by their numbers, from 1.

    `piece` is what it cuts, `made_by` the cut that makes that (None: it is a plate as it comes), `cut_on_by` those that
    cut what it makes. `wished` are cuts that only the person's wishes hold before or after it. `ready`: its piece lies
    on the bed, as the cut before has left it; `same_reading`, `same_stop`: as they stand. `run` are the first and the
    last cut that are made with one setting, this among them. `elsewhere` is the best other
    place, straight after that cut (0: first of all), `longer` what the work would then take more [s], and `weighed` the
    same as the order was judged by; None where there is no other place.
    """

    cut: int
    piece: str
    made_by: int | None
    cut_on_by: tuple[int, ...]
    wished: bool
    ready: bool
    same_reading: bool
    same_stop: bool
    run: tuple[int, int]
    elsewhere: int | None
    longer: float
    weighed: float


@dataclass(frozen=True)
class _Process:
    name: str


@dataclass(frozen=True)
class _CutBy:
    process: _Process


@dataclass(frozen=True, eq=False)
class _Piece(Handled):
    """A piece of the record as it lies."""

    rig: Rig
    conditions: _CutBy
    mass: float
    longest: float
    face_up: bool

    @cached_property
    def weighed(self) -> tuple[Rig, float, bool]:
        """The rig, the mass [kg], and whether it is for two people or a hoist."""
        limits = self.rig.two_person_mass, self.rig.two_person_length
        return self.rig, self.mass, for_two(self.mass, self.longest, mass_limit=limits[0], length_limit=limits[1])


@dataclass(frozen=True)
class _Way:
    """A cut of the record, as changeovers read it."""

    plate: int
    piece: _Piece
    right: _Piece | None
    left: _Piece | None
    travel: float
    travel_after: float
    located: Located
    setting: FenceSetting
    bar: BarSetting | None
    dress_seconds: float
    stops: tuple[float, ...]


class RecordedOrder:
    """The order of work of a plan, as its record tells it.

    `weights` multiply seconds by cause, as the order was judged; `wishes` are pairs of cuts, by number from 1, of which
    the person wanted the first before the second.
    """

    def __init__(self, plan: Plan, *, weights: Mapping[str, float], wishes: Iterable[tuple[int, int]] = ()) -> None:
        self._rig, self._weights = plan.rig, weights
        self._wished_before, self._wished_after = dict[int, int](), dict[int, int]()
        for one, other in wishes:
            self._wished_before[other] = max(one, self._wished_before.get(other, 0))
            self._wished_after[one] = min(other, self._wished_after.get(one, other))
        self._cuts = plan.cuts
        self._runs = {number: run.cuts for run in plan.runs for number in range(run.cuts[0], run.cuts[1] + 1)}
        self.made_by = {name: cut.number for cut in plan.cuts for name in cut.makes if name is not None}
        self.cut_in = {cut.piece: cut.number for cut in plan.cuts}
        self._ways = _ways(plan)
        self._steps = list(self.walked(range(len(self._ways)), RigState()))

    @cached_property
    def seconds(self) -> list[float]:
        """What is done before each cut takes [s], without rests and dry runs."""
        return [made.total for made, _ in self._steps]

    def reason(self, number: int) -> PlaceReason:
        """Why cut `number`, from 1, stands where it does. IndexError where there is none of that number."""
        at = number - 1
        cut, (made, _) = self._cuts[at], self._steps[at]
        maker = self.made_by.get(cut.piece)
        takers = tuple(sorted(self.cut_in[each] for each in cut.makes if each in self.cut_in))
        bounds = maker or 0, min([len(self._cuts) + 1, *takers])
        first = max(bounds[0], self._wished_before.get(number, 0))
        last = min(bounds[1], self._wished_after.get(number, bounds[1]))
        place = self._best_place(at, range(first, last - 1))
        return PlaceReason(
            cut=number,
            piece=cut.piece,
            made_by=maker,
            cut_on_by=takers,
            wished=(first, last) != bounds,
            ready=at > 0 and not made.fetch,
            same_reading=at > 0 and not made.fence and cut.located == "fence",
            same_stop=at > 0 and not made.end_stop,
            run=self._runs.get(number, (number, number)),
            elsewhere=None if place is None else place[2] if place[2] < at else place[2] + 1,
            longer=0.0 if place is None else place[1],
            weighed=0.0 if place is None else place[0],
        )

    def _best_place(self, at: int, places: range) -> tuple[float, float, int] | None:
        """Weighted seconds and plain ones that the best other place takes more, and the place among the others."""
        best: tuple[float, float, int] | None = None
        for place in places:
            if place != at:
                weighed, plain = self.moved(at, place)
                if best is None or weighed < best[0] - 1e-9:
                    best = weighed, plain, place
        return best

    def best_in_place(self, number: int) -> tuple[int, float] | None:
        """The cut that could best be made in place of cut `number`, from 1, with all others as they are, and what the
        work would take more then [s]; None where all that come after it wait for it.
        """
        at, best = number - 1, None
        for k in range(number, len(self._cuts)):
            maker = self.made_by.get(self._cuts[k].piece, 0)
            if max(maker, self._wished_before.get(k + 1, 0)) < number:
                weighed, plain = self.moved(k, at)
                if best is None or weighed < best[0] - 1e-9:
                    best = weighed, plain, k + 1
        return None if best is None else (best[2], best[1])

    def without(self, number: int) -> tuple[tuple[int, ...], float]:
        """The cuts that fall away with cut `number`, itself among them, and what the work would take less without them
        [s]: set-up as it is between those that stay, arc and air; rests are not summed.
        """
        away = {number}
        for cut in self._cuts:
            if self.made_by.get(cut.piece) in away:
                away.add(cut.number)
        stay = [n for n in range(len(self._ways)) if n + 1 not in away]
        set_up = sum(made.total for made, _ in self.walked(stay, RigState()))
        cutting = sum(_cutting(self._cuts[n - 1]) for n in away)
        return tuple(sorted(away)), sum(self.seconds) - set_up + 60 * cutting

    def moved(self, at: int, place: int) -> tuple[float, float]:
        """What the work takes more, weighed and plain [s], with the cut at index `at` put at index `place` of the
        order.
        """
        low, high = min(at, place), max(at, place)
        between = range(low + 1, high + 1) if at < place else range(low, high)
        order = [*between, at] if at < place else [at, *between]
        state = self._steps[low - 1][1] if low else RigState()
        weighed = plain = 0.0
        index, count = 0, len(order)
        while low + index < len(self._ways):
            number = order[index] if index < count else low + index
            made, state = next(self.walked([number], state))
            weighed, plain = weighed + self._weighed(made), plain + made.total
            index += 1
            if state != self._steps[number][1]:
                continue
            # From here on all is as it was, up to where the other order turns off again.
            ahead = self._straight_on(order, index, number)
            weighed += self._sums[0][number + 1 + ahead] - self._sums[0][number + 1]
            plain += self._sums[1][number + 1 + ahead] - self._sums[1][number + 1]
            state, index = self._steps[number + ahead][1], index + ahead
        return weighed - (self._sums[0][-1] - self._sums[0][low]), plain - (self._sums[1][-1] - self._sums[1][low])

    def _straight_on(self, order: Sequence[int], index: int, number: int) -> int:
        """How many cuts follow cut `number`, at `index` of the changed stretch, one by one as in the plan."""
        count, low = len(order), min(order)
        if index >= count:  # behind the stretch all stand where they stood
            return len(self._ways) - low - index if number == low + index - 1 else 0
        run = 0
        while index + run < count and order[index + run] == number + 1 + run:
            run += 1
        return run

    @cached_property
    def _sums(self) -> tuple[list[float], list[float]]:
        """Sums of seconds up to each cut, weighed and plain."""
        weighed = [0.0, *accumulate(self._weighed(made) for made, _ in self._steps)]
        return weighed, [0.0, *accumulate(self.seconds)]

    def _weighed(self, made: Changeover) -> float:
        return weighted_seconds(made.seconds, self._weights) + made.mitre_seconds

    def walked(self, numbers: Iterable[int], state: RigState) -> Iterator[tuple[Changeover, RigState]]:
        """What changes before each of these cuts, by index, one after the other from a state, and the state after
        it.
        """
        for number in numbers:
            way = self._ways[number]
            made = changeover(self._rig, state, way.plate, way.piece, way, way.stops)
            state = state_after(state, way.plate, way, made)
            yield made, state


def _cutting(cut: Cut) -> float:
    """Minutes of a cut that are none of setting it up: arc, way home and air."""
    return cut.minutes.arc + cut.minutes.return_ + cut.minutes.pre_flow + cut.minutes.post_flow


def _ways(plan: Plan) -> list[_Way]:
    """The cuts of a plan as changeovers read them: each piece is one thing, whatever cut speaks of it."""
    numbers = {plate.id: n for n, plate in enumerate(plan.plates)}
    cut_by = {plate.id: _CutBy(_Process(plate.process)) for plate in plan.plates}
    faces = {cut.piece: cut.passes[0].face_up for cut in plan.cuts}
    pieces = {
        each.id: _Piece(plan.rig, cut_by[each.plate], each.mass, _longest(each), faces.get(each.id, True))
        for each in plan.pieces
    }
    return [_way(cut, numbers[cut.plate], pieces) for cut in plan.cuts]


def _longest(piece: Piece) -> float:
    x0, y0, x1, y1 = piece.box
    return max(x1 - x0, y1 - y0)


def _way(cut: Cut, plate: int, pieces: Mapping[str, _Piece]) -> _Way:
    right, left = (None if each is None else pieces[each] for each in cut.makes)
    (ax, ay), (bx, by) = cut.line
    travel = round(math.degrees(math.atan2(by - ay, bx - ax)) / 90, 6) % 4
    reading = cut.fence_reading
    return _Way(
        plate=plate,
        piece=pieces[cut.piece],
        right=right,
        left=left,
        travel=travel,
        travel_after=travel if len(cut.passes) == 1 else (travel + 2) % 4,
        located=cut.located,
        setting=UNSET if reading is None else FenceSetting(cut.fence_offset or 0.0, reading, cut.reading_error or 0.0),
        bar=cut.bar,
        dress_seconds=cut.minutes.dress * 60,
        stops=tuple(each.end_stop for each in cut.passes),
    )
