"""Rectangles: the engines one after the other, each where it pays, until the cost meets its bound.

First the search that takes plates apart (`rectangles`), with a bound from dual feasible functions. If a gap is left:
few parts that might come from one plate are tried exactly (`single_plate`); parts in many copies go to column
generation (`plates`), whose bound is often better too; parts of the emptiest plate go onto others that hold them. With
seconds to spend the search then goes on from the best.
After each better answer what is left is gathered into one offcut.

Why in this order: the search has an answer at once and needs no proof; the other two are asked only for what it left
open, each on jobs of the shape it is quick at. Not exact, but the bound is one: where the cost meets it the plan is
proven. Cost: each engine's own, which its module states; the limits below say on which jobs it is paid.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from stripplan.layout.bounds.material import LayoutBound, layout_bound, tightened
from stripplan.layout.grid import exact
from stripplan.layout.problem import Problem
from stripplan.layout.rectangles.leftover import Gathered
from stripplan.layout.rectangles.search import RectangleSearch, default_steps
from stripplan.layout.stop_rule import Clock
from stripplan.layout.tree import FilledStock
from stripplan.model.effort import Effort

if TYPE_CHECKING:
    from stripplan.layout.single_plate.bounded import OnePlateFit

Report = Callable[[float, float], None]
"""Hears of the cost so far and its bound, in the job's money."""

Gather = Callable[[Sequence[FilledStock]], Gathered]
"""Plates to plates with a better offcut; handed in, as what an offcut is worth is no matter of plates."""

MOST_SEARCHED = 1500
"""Parts up to which the search lays out the whole job: beyond it a step changes too little of the whole. Set by trial,
not studied."""

COPIES = 4
WORK, WORK_WITH_TIME = 100_000, 10_000_000
"""Column generation: so many copies of each size at least, and a pricing that takes no more elementary steps than this;
more where seconds are given. Better bounds against time. Set by trial, not studied."""

NEARLY_FULL = 24
NEARLY_FULL_STEPS, NEARLY_FULL_STEPS_WITH_TIME = 100_000_000, 1_000_000_000
"""Parts up to which one plate is tried exactly by the search for small waste, and its steps: half a second, or some
five."""

CLOSING_STEPS = 5_000_000
"""Steps of the same search where a plate is asked whether it holds one part more. Set by trial, not studied."""

FEW = 14
FEW_STEPS, FEW_STEPS_WITH_TIME = 4_000, 60_000
"""Parts up to which one plate is tried exactly where that search gave up, and the steps of that: a proof for more jobs
against time that is lost where none is found. Set by trial, not studied."""


@dataclass(frozen=True)
class PortfolioAnswer:
    """Plates, items (by number, one entry each) without a place, the bound, search steps done."""

    filled: list[FilledStock]
    short: list[int]
    bound: LayoutBound
    steps: int


class Portfolio:
    """The best answer so far to one problem, and what is tried to better it.

    An engine hands in an answer (`_take`) or a bound (`tightened`), and neither can make worse what is there: so any of
    them may be left out, and a job stopped at any point has a plan.
    """

    def __init__(self, problem: Problem, effort: Effort, out_of_time: Clock, report: Report) -> None:
        self.problem, self.effort, self.out_of_time, self.report = problem, effort, out_of_time, report
        self.bound = layout_bound(problem)
        self.filled: list[FilledStock] = []
        self.short: list[int] = []
        self.steps = 0
        self.parts = sum(item.demand for item in problem.items)
        self.kinds = sum(item.demand > 0 for item in problem.items)

    def run(self, gather: Gather) -> PortfolioAnswer:
        """All engines in turn; the best answer and its bound.

        Where parts are short the other engines are not asked: they look for cheaper plates, which is no help then.
        """
        # The search looks at each part by itself, column generation at each kind once.
        if self.parts > MOST_SEARCHED:
            self._generate()
            return self._gathered(gather)
        self._search(self._limit(), ())
        if not self._enough() and not self.short:
            self._try_one_plate()
        if not self._enough() and not self.short and self._many_copies():
            self._generate()
        if not self._enough() and not self.short:
            self._try_one_plate_less()
        self._gathered(gather)
        while self._time_left() and self._search_on():
            self._gathered(gather)
        return PortfolioAnswer(self.filled, self.short, self.bound, self.steps)

    def _limit(self) -> int:
        """Steps of the search: those the user gave, else by the size of the job."""
        return default_steps(self.problem) if self.effort.steps is None else self.effort.steps

    def _cost(self) -> Fraction:
        """Cost of the plates so far, exact: it is compared with a bound that it may equal."""
        return sum((exact(self.problem.stocks[each.stock].cost) for each in self.filled), Fraction(0))

    def _enough(self) -> bool:
        """Whether all parts have a place and the cost is as near its bound as the user asked."""
        return not self.short and self.effort.is_enough(float(self._cost()), float(self.bound.cost))

    def _time_left(self) -> bool:
        """Whether to search on: only where seconds were given and no steps. Steps promise the same plan anywhere."""
        timed = self.effort.steps is None and self.effort.seconds is not None
        return timed and not self._enough() and not self.out_of_time()

    def _take(self, filled: Sequence[FilledStock], short: Sequence[int]) -> None:
        """Keep an answer that makes more, or as much for less; of as good a one the newer.

        The newer, because an engine that started from the plates so far may have moved their metal for the better.
        """
        before = self.filled, self.short
        cost = self._cost()
        self.filled, self.short = list(filled), list(short)
        # Parts placed count before money; the first answer is kept whatever it is.
        if before[0] and (len(short), self._cost()) > (len(before[1]), cost):
            self.filled, self.short = before
        self.report(float(self._cost()), float(self.bound.cost))

    def _gathered(self, gather: Gather) -> PortfolioAnswer:
        """What is left gathered into a better offcut; the same parts at no higher cost, so nothing is compared."""
        found = gather(self.filled)
        self.filled = found.filled
        self.steps += found.steps
        return PortfolioAnswer(self.filled, self.short, self.bound, self.steps)

    def _enough_cost(self) -> Fraction:
        """The cost at which the search may end: the bound and what the user grants above it.

        The search sees it as its goal and stops by itself; without it, `good_enough` would only be noticed between
        engines.
        """
        return self.bound.cost * (1 + exact(self.effort.good_enough))

    def _search(self, steps: int, start: Sequence[FilledStock]) -> None:
        """One search from `start`, for so many steps."""
        with RectangleSearch(self.problem, seed=self.effort.seed, enough=self._enough_cost(), start=start) as search:
            search.run(steps, self.out_of_time)
            answer = search.answer()
        self.steps += answer.steps
        self._take(answer.filled, answer.short)

    def _search_on(self) -> bool:
        """The search from the best so far until it is better; False where time was over before."""
        # Another seed each time, or the search would repeat itself.
        seed = self.effort.seed + self.steps
        with RectangleSearch(self.problem, seed=seed, enough=self._enough_cost(), start=self.filled) as search:
            better = search.run_on(self.out_of_time)
            answer = search.answer()
        self.steps += answer.steps
        self._take(answer.filled, answer.short)
        return better

    def _try_one_plate(self) -> None:
        """Two plates, and one might do: whether it does, exactly.

        The one gap that is closed often: a few parts with areas that would fill one plate, of which the bound cannot
        see that they do not fit it. Between more plates there is too much to share out for a search of all ways.
        """
        few = self.parts <= NEARLY_FULL and len(self.problem.stocks) == 1
        if few and len(self.filled) == 2 and self.bound.plates == 1 and not self.out_of_time():
            fit = self._on_one_plate()
            if fit.filled is not None:
                self._take([fit.filled], ())
            elif fit.excluded:
                # No plan on one plate: any plan pays two, and that is a bound.
                cost = 2 * exact(self.problem.stocks[0].cost)
                self.bound = tightened(self.bound, self.problem, cost, "exact search of one plate")

    def _on_one_plate(self) -> OnePlateFit:
        """All parts on one plate: by the search that is quick where little is wasted, then by the other."""
        from stripplan.layout.single_plate.bounded import on_one_plate
        from stripplan.layout.single_plate.nearly_full import on_nearly_full_plate

        timed = self.effort.seconds is not None
        steps = NEARLY_FULL_STEPS_WITH_TIME if timed else NEARLY_FULL_STEPS
        fit = on_nearly_full_plate(self.problem, steps=steps, out_of_time=self.out_of_time)
        if fit.filled is not None or fit.excluded or self.parts > FEW or self.out_of_time():
            return fit
        steps = FEW_STEPS_WITH_TIME if timed else FEW_STEPS
        return on_one_plate(self.problem, steps=steps, out_of_time=self.out_of_time)

    def _try_one_plate_less(self) -> None:
        """The parts of the emptiest plate onto the others, as often as that works."""
        from stripplan.layout.single_plate.fewer_plates import one_plate_less

        while not self._enough():
            plates = one_plate_less(self.problem, self.filled, steps=CLOSING_STEPS, out_of_time=self.out_of_time)
            if plates is None:
                return
            self._take(plates, ())

    def _many_copies(self) -> bool:
        """Whether column generation pays: many copies, and patterns that are priced quickly."""
        # No steps asked for means: the quickest answer there is.
        if self.parts < COPIES * self.kinds or self._limit() == 0:
            return False
        from stripplan.layout.plates.pricing import Pricing, family_of

        most = WORK if self.effort.seconds is None else WORK_WITH_TIME
        return Pricing(self.problem, family_of(self.problem.depth), self.out_of_time).work <= most

    def _generate(self) -> None:
        """Column generation from the plates so far; its bound counts even where its plates are dearer.

        Without seconds its effort is the least: programme and dive, but no branch and bound after them.
        """
        if self.out_of_time():
            return
        from stripplan.layout.plates.column_generation import filled_of, solve_plates

        answer = solve_plates(
            self.problem,
            steps=0 if self.effort.seconds is None else 1,
            seed=self.effort.seed,
            out_of_time=self.out_of_time,
            start=self.filled,
        )
        self.steps += answer.steps
        self.bound = tightened(self.bound, self.problem, answer.bound, answer.how)
        short = [item for item, n in enumerate(answer.short) for _ in range(n)]
        self._take(filled_of(answer), short)
