"""Rectangles: the engines one after the other, each where it pays, until the cost meets its bound.

First a plan by quick rules (`constructive`), with a bound from dual feasible functions: there is thus a good one
whenever the time is over. Then the search that takes plates apart (`ruin_recreate`). If a gap is left: few parts that
might come from one plate are tried exactly (`single_plate`); parts in many copies go to column generation (`plates`),
whose bound is often better too; parts of the emptiest plate go onto others that hold them. With seconds to spend the
search then goes on from the best, until it has gained nothing for long. After each better answer what is left is
gathered into one offcut.

An engine that fails numerically has nothing to say; the others go on with the best so far.

Why in this order: quick rules and search have an answer at once and need no proof; the others are asked only for what
these left open, each on jobs of the shape it is quick at. Not exact, but the bound is one: where the cost meets it the
plan is proven. Cost: each engine's own, which its module states; the limits below say on which jobs it is paid.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Literal

from stripplan.layout.bounds.material import LayoutBound, layout_bound, material_bound, tightened
from stripplan.layout.grid import exact
from stripplan.layout.problem import Problem
from stripplan.layout.rectangles.constructive import construct
from stripplan.layout.rectangles.leftover import Gathered
from stripplan.layout.rectangles.search import RectangleSearch, default_steps
from stripplan.layout.stock_choices import FormKey, StockChoice, forms_of, held_back, numbered, with_stocks
from stripplan.layout.stop_rule import Clock
from stripplan.layout.tree import FilledStock
from stripplan.model.effort import Effort
from stripplan.wording.message import Message

if TYPE_CHECKING:
    from stripplan.layout.single_plate.bounded import OnePlateFit

Report = Callable[[float, float], None]
"""Hears of the cost so far and its bound, in the job's money."""

Forms = Literal["none", "all", "unless_met"]
"""Whether plates of every simpler form are wanted too: for all problems, or where the bound leaves room for cheaper."""
Gather = Callable[[Sequence[FilledStock]], Gathered]
"""Plates to plates with a better offcut; handed in, as what an offcut is worth is no matter of plates."""

MOST_SEARCHED = 1500
"""Parts up to which the search comes before column generation: beyond it a step changes too little of the whole. Set
by trial, not studied."""

MOST_KINDS = 12
"""Kinds of plate up to which column generation is asked where no seconds are given: it sets programmes up for each, and
with more, as a rack has, took up to 18 s for jobs of some forty parts and made none cheaper."""
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
MOST_BEGUN = 500
"""Parts up to which the search's own beginning is looked at too: beyond, it takes longer than the quick rules and was
never better on drawn lists."""

PATIENCE = 30
"""Searching on ends after so many times `default_steps` without a gain: the gains to come are rare, and somebody waits.
Set by trial, not studied."""

FEW = 14
FEW_STEPS, FEW_STEPS_WITH_TIME = 4_000, 60_000
"""Parts up to which one plate is tried exactly where that search gave up, and the steps of that: a proof for more jobs
against time that is lost where none is found. Set by trial, not studied."""


@dataclass(frozen=True)
class PortfolioAnswer:
    """Plates, items (by number, one entry each) without a place, the bound, search steps done.

    `of_forms`: plates with all parts in simpler forms, of those that were looked at, in the order of `forms_of`.
    """

    filled: list[FilledStock]
    short: list[int]
    bound: LayoutBound
    steps: int
    of_forms: Mapping[FormKey, Sequence[FilledStock]]


class Portfolio:
    """The best answer so far to one problem, and what is tried to better it.

    An engine hands in an answer (`_take`) or a bound (`tightened`), and neither can make worse what is there: so any of
    them may be left out, and a job stopped at any point has a plan.
    """

    def __init__(
        self, problem: Problem, effort: Effort, out_of_time: Clock, report: Report, *, bound: LayoutBound | None = None
    ) -> None:
        self.problem, self.effort, self.out_of_time, self.report = problem, effort, out_of_time, report
        self.bound = layout_bound(problem) if bound is None else bound
        self.bounds: dict[StockChoice, LayoutBound] = {}
        self.filled: list[FilledStock] = []
        self.short: list[int] = []
        self.steps = 0
        self.of_forms: dict[FormKey, Sequence[FilledStock]] = {}
        self.parts = problem.parts
        self.kinds = sum(item.demand > 0 for item in problem.items)

    def run(self, gather: Gather, forms: Forms = "none") -> PortfolioAnswer:
        """All engines in turn; the best answer and its bound; with plates of every simpler form, as `forms` says.

        Where parts are short the other engines are not asked: they look for cheaper plates, which is no help then.
        """
        self._construct()
        # The search looks at each part by itself, column generation at each kind once.
        many = self.parts > MOST_SEARCHED
        if many and not self._enough() and self._many_copies(WORK_WITH_TIME):
            self._generate()
        if not many or not self._enough():
            self._search(self._limit())
        if not many and not self._enough() and not self.short:
            self._try_simpler_forms()
        self._try_fewer_plates()
        self._gathered(gather)
        while self._time_left() and self._search_on():
            self._gathered(gather)
        if not self.short and (forms == "all" or (forms == "unless_met" and not self._enough())):
            self._fill_other_forms()
        return PortfolioAnswer(self.filled, self.short, self.bound, self.steps, self.of_forms)

    def _try_fewer_plates(self, *, patterns: bool = True) -> None:
        """What finds plates nearly full where the search does not: exact ways, and `patterns` of many copies."""
        if not self._enough() and not self.short:
            self._try_one_plate()
        many = self.parts > MOST_SEARCHED
        if patterns and not many and not self._enough() and not self.short and self._many_copies(self._most_work()):
            self._generate()
        if not self._enough() and not self.short:
            self._try_one_plate_less()

    def _construct(self) -> None:
        """Plates by quick rules."""
        first = construct(self.problem, out_of_time=self.out_of_time)
        self._take(first.filled, first.short)

    def _limit(self) -> int:
        """Steps of the search: those the user gave, else by the size of the job."""
        return default_steps(self.problem) if self.effort.steps is None else self.effort.steps

    def _cost(self) -> Fraction:
        return self.problem.cost_of(self.filled)

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

    def _gathered(self, gather: Gather) -> None:
        """What is left gathered into a better offcut; the same parts at no higher cost, so nothing is compared."""
        found = gather(self.filled)
        self.filled = found.filled
        self.steps += found.steps

    def _enough_cost(self) -> Fraction:
        """The cost at which the search may end: the bound and what the user grants above it.

        The search sees it as its goal and stops by itself; without it, `good_enough` would only be noticed between
        engines.
        """
        return self.bound.cost * (1 + exact(self.effort.good_enough))

    def _search(self, steps: int) -> None:
        """One search for so many steps: from the best so far where that is better than how the search begins itself."""
        with self._begun() as search:
            search.run(steps, self.out_of_time)
            answer = search.answer()
        self.steps += answer.steps
        self._take(answer.filled, answer.short)

    def _begun(self) -> RectangleSearch:
        seed, enough = self.effort.seed, self._enough_cost()
        if self.parts > MOST_BEGUN and not self.short:
            return RectangleSearch(self.problem, seed=seed, enough=enough, start=self.filled)
        search = RectangleSearch(self.problem, seed=seed, enough=enough)
        begun = search.answer()
        if (len(begun.short), self.problem.cost_of(begun.filled)) <= (len(self.short), self._cost()):
            return search
        search.close()
        return RectangleSearch(self.problem, seed=seed, enough=enough, start=self.filled)

    def _search_on(self) -> bool:
        """The search from the best so far until it is better; False where time or patience was over before."""
        # Another seed each time, or the search would repeat itself.
        seed = self.effort.seed + self.steps
        with RectangleSearch(self.problem, seed=seed, enough=self._enough_cost(), start=self.filled) as search:
            better = search.run_on(PATIENCE * default_steps(self.problem), self.out_of_time)
            answer = search.answer()
        self.steps += answer.steps
        self._take(answer.filled, answer.short)
        return better

    def _try_simpler_forms(self) -> None:
        """Fewer stocks, where they may be cheaper, searched as if the job were that, in fewer stages too: nearly full
        plates are found that a search among all stocks and ways passes by.
        """
        for form in forms_of(self.problem):
            if self._enough() or self.out_of_time():
                return
            if len(form.stocks) == len(self.problem.stocks):
                continue
            alone = self._alone(form)
            if alone.bound.cost < self._cost():
                self._fill_form(form, alone, searched=True, patterns=True)
                self._take(self.of_forms.get(form, self.filled), ())

    def _fill_other_forms(self) -> None:
        """Plates in the simpler forms that have none yet, for a search by more than the cost of plates to begin from:
        with all stocks as a job of so few stages would begin, and so from fewer that may be as cheap; from others by
        quick rules, as these are dearer.
        """
        _, *forms = forms_of(self.problem)
        for form in forms:
            if form not in self.of_forms and not self.out_of_time():
                alone = self._alone(form)
                searched = len(form.stocks) == len(self.problem.stocks) or alone.bound.cost <= self._cost()
                self._fill_form(form, alone, searched=searched)
        self.of_forms = {form: self.of_forms[form] for form in forms if form in self.of_forms}

    def _alone(self, form: FormKey) -> Portfolio:
        bound = self._bound_of(form.stocks)
        return Portfolio(held_back(self.problem, form), self.effort, self.out_of_time, lambda *_: None, bound=bound)

    def _bound_of(self, stocks: StockChoice) -> LayoutBound:
        """The bound on plates of these alone: that of metal, where it tells already that they are dearer."""
        if stocks not in self.bounds:  # no bound asks how deep may be cut
            some = with_stocks(self.problem, stocks)
            metal = material_bound(some)
            if metal.cost > self._cost():
                return metal
            self.bounds[stocks] = layout_bound(some)
        return self.bounds[stocks]

    def _fill_form(self, form: FormKey, alone: Portfolio, *, searched: bool, patterns: bool = False) -> None:
        """Note the plates found in a form, where they hold all parts; `patterns` as in `_try_fewer_plates`. Those of a
        search by total begin without: it came to the same from them on sixty drawn jobs, in five sixths of the time.
        """
        alone._construct()
        if searched and not alone._enough():
            alone._search(alone._limit())
        if searched and form.depth == self.problem.depth:  # as a job of these plates alone would go on
            alone._try_fewer_plates(patterns=patterns)
        self.steps += alone.steps
        if not alone.short:
            self.of_forms[form] = numbered(alone.filled, form.stocks)

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
                self.bound = tightened(self.bound, self.problem, cost, Message("bound_one_plate"))

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

    def _most_work(self) -> int:
        return WORK if self.effort.seconds is None else WORK_WITH_TIME

    def _many_copies(self, most_work: int) -> bool:
        """Whether column generation pays: many copies, and patterns that are priced quickly."""
        # No steps asked for means: the quickest answer there is.
        if self.parts < COPIES * self.kinds or self._limit() == 0:
            return False
        if self.effort.seconds is None and len(self.problem.stocks) > MOST_KINDS:
            return False
        # Its tables tell the work exactly, but for hundreds of sizes they take seconds themselves.
        if _likely_work(self.problem) > most_work:
            return False
        from stripplan.layout.plates.pricing import Pricing, family_of

        return Pricing(self.problem, family_of(self.problem.depth), self.out_of_time).work <= most_work

    def _generate(self) -> None:
        """Column generation from the plates so far; its bound counts even where its plates are dearer, and nothing is
        lost where its programme comes to no end.

        Without seconds its effort is the least: programme and dive, but no branch and bound after them.
        """
        if self.out_of_time():
            return
        from stripplan.layout.plates.column_generation import filled_of, solve_plates

        try:
            answer = solve_plates(
                self.problem,
                steps=0 if self.effort.seconds is None else 1,
                seed=self.effort.seed,
                out_of_time=self.out_of_time,
                start=self.filled,
            )
        except ArithmeticError:
            return
        self.steps += answer.steps
        self.bound = tightened(self.bound, self.problem, answer.bound, answer.how)
        short = [item for item, n in enumerate(answer.short) for _ in range(n)]
        self._take(filled_of(answer), short)


def _likely_work(problem: Problem) -> int:
    """About how many elementary steps a pricing takes on the largest stock, rather too few: for each height of a strip
    all ways that are no higher, at every sum of lengths.
    """
    most = 0
    for number, stock in enumerate(problem.stocks):
        lengths = {way[0] + stock.kerf for item in problem.items if item.demand for way in item.sizes[number]}
        heights = len({way[1] for item in problem.items if item.demand for way in item.sizes[number]})
        most = max(most, heights * (heights + 1) // 2 * _sums(lengths, stock.length + stock.kerf))
    return most


def _sums(sizes: set[int], most: int) -> int:
    """How many sums of sizes, each as often as wished, lie within `most`; 0 is one.

    >>> _sums({3, 5}, 10)  # 0, 3, 5, 6, 8, 9, 10
    7
    """
    reached, inside = 1, (1 << (most + 1)) - 1
    for size in sorted(sizes):
        shift = size
        while shift <= most:
            reached |= (reached << shift) & inside
            shift *= 2
    return reached.bit_count()
