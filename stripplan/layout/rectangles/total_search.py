"""Rectangles for the least total of plate and hands: the search of `ruin_recreate` by total, from several beginnings.

Problem. The cheapest plates are rarely the cheapest work: cuts, readings and pieces put aside cost as much as plate.
The objective (`layout/objective.py`) is an estimate, so what is wanted is not one layout but a few good ones that
differ, for the order of work to decide between.

Method. A layout with all parts is taken apart and rebuilt, and what costs no more in total is kept (late acceptance, as
in `ruin_recreate`). It is begun from the plates that the search for plates found, and from simpler forms of the
problem: cuts of two and of three stages, each kind of plate alone, no offcuts. Simpler forms are smaller to search
through, so they are searched well sooner; each keeps its own best, and from the best of all the search goes on without
their limits, and within fewer stages as long as these are not far behind. So no simpler form that was found is lost,
and the answer is never worse than the best of them by the estimate. Of the searches from each beginning one reckons
fence settings far dearer, and what it finds counts by the objective as it is. A choice of stocks that may do with
cheaper plates than the best so far, as its bound tells, goes on by itself: that one sheet nearly full will do is found
from its own best layouts only, which are dear until then.

Both are done in epochs, each twice as long as the one before: so a search with more steps has done all that one with
fewer did, and what it then found is among its candidates.

Not exact. Cost: for each beginning the steps of all epochs, and as many again for the best of them; on as many cores as
there are, the same answer on any number.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from dataclasses import dataclass
from fractions import Fraction

from stripplan.layout.bounds.material import layout_bound, material_bound
from stripplan.layout.grid import exact
from stripplan.layout.objective import Objective
from stripplan.layout.problem import Problem
from stripplan.layout.rectangles.beginnings import (
    LEANINGS,
    Beginning,
    Candidate,
    Form,
    best_of,
    form_of,
    gone_on,
    simpler_forms,
)
from stripplan.layout.rectangles.few_plates import better_by_few_plates
from stripplan.layout.stock_choices import FormKey, StockChoice, forms_of, with_stocks
from stripplan.layout.stop_rule import Clock
from stripplan.layout.tree import FilledStock
from stripplan.model.effort import Effort

FIRST_EPOCH = 750
"""Steps of each beginning in the first epoch; each epoch has twice the steps of the one before."""
EPOCHS = 3
"""Epochs where nobody says, 5,250 steps: on drawn jobs of a shop (18 to 44 parts) 2,000 steps were 1.2 % above what
60,000 found at the median, 6,000 0.3 %."""
MOST_EPOCHS, IN_VAIN = 12, 2
"""Epochs where there are seconds to spend, three million steps; and how many that gain nothing, one after the other,
end the search: the second is as long as all before it. Where nobody says one is enough: of 27 drawn jobs whose second
epoch gained nothing the third made three cheaper, none by more than half a hundredth."""
PLACEMENTS = 600_000
"""Steps times parts at the most where nobody says, so that time does not grow with the parts."""
GONE_ON, FROM_OTHERS = 2, 1
"""The best layouts of all from which the search goes on without the limits of a form, and those from other plates. Of
60 drawn jobs none changed with two from others, for a fourteenth more time; from one best alone they were 0.11 % dearer
on average."""
MOST_PARTS = 600
"""Parts up to which all plates are searched together: beyond, steps take too long to change enough."""
MANY_PARTS, ROUNDS = 120, 8
"""Parts from which plates are made better a few at a time as well, and the rounds of that in the first epoch: on a list
of 236 parts 20 rounds gained 2.2 % of the total in a third of the time of the search, 60 hardly more.
"""
OF_EACH_EPOCH, OF_LONG_LISTS, LONG_LIST = 2, 5, 70
"""The best of each epoch that are handed on, for the order of work to decide between: the estimate is off by a
hundredth or so, and so is the rank that it gives. Of some seven layouts for each of 38 drawn jobs, all with their cuts
in order as a plan's are, the first by the estimate was 0.18 % above the best, the best of the first two 0.05 %, of
three 0.02 %, of five none. Two of each epoch are three or four in all; with three of each forty drawn jobs were as
cheap, with five 0.01 % cheaper for half as much time again. More of lists of more parts: their orders are light ones,
which are off by more."""
BEHIND = 0.05
"""Beginnings that are so far behind after an epoch are given up: with several kinds of plate there are some twenty, and
most are of plates that do not pay. On drawn jobs what an epoch still gained was below a hundredth after the first; of
sixty none changed from 0.08 to 0.05, with 0.03 they were 0.02 % dearer on average."""
OF_EACH_CHOICE, MOST_GOING = 6, 24
"""Beginnings that go on after an epoch: so many of each promising choice of plates, and so many of all at the most.
With a dozen kinds of a rack some thirty were near each other; with eight of all and one of each choice one of twenty
drawn jobs with three kinds of sheet was 7 % dearer."""
FAR = 0.03
"""Layouts that are dearer by this share, by an estimate that is a hundredth or two off, are not handed on. On 99 drawn
jobs none further off than 0.025 was the best; from a rack of 17 kinds 8 are handed on in place of 15."""

OTHER_PLATES = 3
"""Layouts from other plates that are handed on for a choice at the most."""


def search_by_total(
    problem: Problem,
    objective: Objective,
    start: Sequence[FilledStock],
    *,
    effort: Effort,
    out_of_time: Clock,
    of_forms: Mapping[FormKey, Sequence[FilledStock]] | None = None,
    most: int | None = None,
    wide: bool = False,
    hasty: bool = False,
    tell: Callable[[Sequence[FilledStock]], None] | None = None,
) -> tuple[list[Candidate], int]:
    """Layouts of all parts that are worth an order, the cheapest in total first, and the steps done. `most`: so many
    of them, and after them the cheapest from other plates, as the estimate errs by more between plates than on one.
    `wide`: these however dear, as somebody may want to choose them. `hasty`: one epoch for all stocks and stages
    together, whatever the clock says, and no simpler form. `tell` hears of the best plates after each epoch.

    `start` is one with all parts, and so are those in `of_forms`, each from fewer stocks. The effort's
    `steps` are those of each beginning, rounded down to whole epochs; None = as many as serve a job of this size, or
    with seconds to spend until they are over; fewer where epochs gain nothing. Empty where there is nothing to cut.
    """
    parts, seed = problem.parts, effort.seed
    epochs = 1 if hasty else _epochs(effort, parts)
    most_in_vain = 1 if effort.steps is None and effort.seconds is None else IN_VAIN
    if hasty:
        out_of_time = _never
    if not start or not epochs:
        return [], 0
    few = _FewPlates(problem, objective, seed, out_of_time)
    if not few_enough(problem):
        return few.alone(Candidate(tuple(start), objective.total(start)))
    # The pool is waited for before any search is closed: it may still be at work on it, also after an interrupt.
    with ExitStack() as stack, ThreadPoolExecutor(len(LEANINGS)) as pool:
        search = _Epochs(problem, objective, few, out_of_time, stack, pool, hasty=hasty)
        search.begin(start, of_forms or {})
        in_vain = 0
        for epoch in range(epochs):
            before = search.best[0].total
            search.run(epoch)
            in_vain = 0 if search.best[0].total < before else in_vain + 1
            if out_of_time() or in_vain == most_in_vain:
                break
            if tell is not None:
                tell(search.best[0].filled)
    return search.chosen(most, wide=wide), search.done


def _never() -> bool:
    """Go on to the end."""
    return False


class _Epochs:
    """Searches from all beginnings side by side, and what they have found: layouts, the cheapest first.

    Cheaper plates are looked for apart: each choice of stocks that may yet have some, by its bound, is searched on
    within its own limits, from the best that it has itself, however dear that still is.
    """

    def __init__(
        self,
        problem: Problem,
        objective: Objective,
        few: _FewPlates,
        out_of_time: Clock,
        stack: ExitStack,
        pool: ThreadPoolExecutor,
        *,
        hasty: bool,
    ) -> None:
        self.problem, self.objective, self.few, self.out_of_time = problem, objective, few, out_of_time
        self.hasty = hasty
        self.of_each_epoch = OF_LONG_LISTS if problem.parts > LONG_LIST else OF_EACH_EPOCH
        self.stack, self.pool = stack, pool
        self.whole = form_of(problem, objective, next(forms_of(problem)))
        self.forms = [] if hasty else list(simpler_forms(problem, objective))
        self.fewer_stages = [form for form in self.forms if form.stocks == self.whole.stocks]
        self.alone = [form for form in self.forms if form.task.depth == problem.depth]
        self.least: dict[StockChoice, Fraction] = {}
        self.searches: list[Beginning] = []
        self.best: list[Candidate] = []
        self.worth_it: list[Candidate] = []
        self.done = 0

    def begin(self, start: Sequence[FilledStock], known: Mapping[FormKey, Sequence[FilledStock]]) -> None:
        """The first search of each form: from the plates that a job which were the form would begin from, so that it
        finds what that would find; from plates of its own where none are known.
        """
        self.best = [Candidate(tuple(start), self.objective.total(start))]
        self.worth_it = list(self.best)
        self.searches = [self._beginning(self.whole, start)]
        for form in self.forms:
            within = [plates for key, plates in known.items() if key == form.key or self._fewer_stocks(key, form)]
            # Of equally cheap plates the last, as the portfolio keeps them: the engines of the whole job come last.
            within = [*([start] if self._fits(start, form) else ()), *reversed(within)]
            cheapest = min(within, key=self.problem.cost_of, default=())
            self.searches.append(self._beginning(form, cheapest))
            own = tuple(known.get(form.key, ()))
            # Nearly full plates leave little to move: what comes of them is told by how they begin.
            if own and own != tuple(cheapest) and self.problem.cost_of(own) <= self.problem.cost_of(cheapest):
                self.searches.append(self._beginning(form, own))

    def run(self, epoch: int) -> None:
        """An epoch of every search, then as many steps more from the best of all and of each promising choice of
        stocks.
        """
        steps, running = FIRST_EPOCH << epoch, len(self.searches)
        # Of its own in each epoch: from a layout that is the best for several it would else only repeat itself.
        seed = 1_299_709 * epoch
        self._take(gone_on(self.searches, steps, self.out_of_time))
        further = [
            self._beginning(form, each.filled, 104_729 * (number + 1) + seed)
            for form in (self.whole, *self._near(), *self._promising())
            for number, each in enumerate(_to_go_on_from(self._of(form)))
        ]
        self._take(gone_on(further, steps, self.out_of_time))
        if self.few.pays and not self.hasty:
            self._take([self.few.better(self.best[0], epoch)])
        self.worth_it += self.best[: self.of_each_epoch]
        self._give_up()
        self.done += steps * (running + len(further)) * len(LEANINGS)

    def chosen(self, most: int | None, *, wide: bool) -> list[Candidate]:
        """What is handed on, see `search_by_total`."""
        far = self.best[0].total + FAR * abs(self.best[0].total)
        near = [each for each in best_of(self.worth_it) if each.total <= far][:most]
        others = [each for each in _from_other_plates(self.best, near) if wide or each.total <= far]
        return [*near, *others]

    def _beginning(self, form: Form, start: Sequence[FilledStock], further: int = 0) -> Beginning:
        return Beginning(form, start, self.few.seed + further, self.stack, self.pool)

    def _take(self, found: Sequence[Candidate]) -> None:
        self.best = best_of([*self.best, *found])

    def _near(self) -> list[Form]:
        """Fewer stages, while they are not far behind: simple layouts made better are simple again, without limits
        they seldom are.
        """
        most = self.best[0].total * (1 + BEHIND)
        return [form for form in self.fewer_stages if any(each.total <= most for each in self._of(form))]

    def _promising(self) -> list[Form]:
        """Choices of stocks that may hold all parts for less than the plates of the best layout cost."""
        cost, first = self.problem.cost_of(self.best[0].filled), dict[StockChoice, Form]()
        for form in self.alone:
            if self._may_cost_less(form.stocks, cost):
                # No plate that costs as much by itself is in them: choices that differ in such alone are one.
                cheap = tuple(n for n in form.stocks if exact(self.problem.stocks[n].cost) < cost)
                first.setdefault(cheap, form)
        return list(first.values())

    def _may_cost_less(self, stocks: StockChoice, cost: Fraction) -> bool:
        """Whether no bound tells that plates of these alone cost as much; that of metal is asked first: it is quick."""
        if stocks not in self.least:
            some = with_stocks(self.problem, stocks)
            if material_bound(some).cost >= cost:
                return False
            self.least[stocks] = layout_bound(some).cost
        return self.least[stocks] < cost

    def _of(self, form: Form) -> list[Candidate]:
        """What was found from the stocks of a form."""
        return [each for each in self.best if self._fits(each.filled, form)]

    def _fits(self, filled: Sequence[FilledStock], form: Form) -> bool:
        """Whether these plates are from the stocks of a form and in no more stages."""
        limits = [stock.limits for stock in self.problem.stocks]
        depth = form.task.depth
        return all(each.stock in form.stocks and limits[each.stock].tree_ok(each.tree, depth) for each in filled)

    @staticmethod
    def _fewer_stocks(key: FormKey, form: Form) -> bool:
        return key.within(form.key) and key.stocks != form.stocks

    def _give_up(self) -> None:
        """End the searches that are far behind the best of their stocks, or of all, and of very many those behind; of
        each promising choice the best go on.
        """
        found = {each: min((one.total for one in each.found()), default=None) for each in self.searches}
        near, first = dict[Beginning, int](), set[Beginning]()
        for form in (self.whole, *self._promising()):
            most = min((each.total for each in self._of(form)), default=0) * (1 + BEHIND)
            of_form = [each for each in self.searches if set(each.stocks) <= set(form.stocks)]
            so_near = {each: total for each in of_form if (total := found[each]) is not None and total <= most}
            near |= so_near
            first.update(sorted(so_near, key=so_near.__getitem__)[:OF_EACH_CHOICE])
        going = first.union(sorted(near, key=near.__getitem__)[:MOST_GOING])
        self.searches = [each for each in self.searches if each in going]


@dataclass(frozen=True)
class _FewPlates:
    """Layouts of many parts made better a few plates at a time (`few_plates`); `pays` where there are so many."""

    problem: Problem
    objective: Objective
    seed: int
    out_of_time: Clock

    @property
    def pays(self) -> bool:
        return self.problem.parts > MANY_PARTS

    def better(self, one: Candidate, epoch: int) -> Candidate:
        """A layout after the rounds of an epoch, twice as many as of the one before."""
        filled = better_by_few_plates(
            self.problem,
            self.objective,
            one.filled,
            rounds=ROUNDS << epoch,
            seed=self.seed + epoch,
            out_of_time=self.out_of_time,
        )
        return Candidate(filled, self.objective.total(filled))

    def alone(self, one: Candidate) -> tuple[list[Candidate], int]:
        """The layout that comes of one, without others to compare it with: orders of so many parts take too long."""
        for epoch in range(EPOCHS):
            one = self.better(one, epoch)
        return [one], 0


def few_enough(problem: Problem) -> bool:
    """Whether all plates are searched together, from simpler forms too."""
    return problem.parts <= MOST_PARTS


def _epochs(effort: Effort, parts: int) -> int:
    """How many whole epochs there are at the most."""
    if effort.steps is not None:
        return _whole_epochs(effort.steps)
    if effort.seconds is not None:
        return MOST_EPOCHS
    return max(1, min(EPOCHS, _whole_epochs(PLACEMENTS // max(1, parts))))


def _whole_epochs(steps: int) -> int:
    """How many epochs, each twice as long as the one before, so many steps make.

    >>> [_whole_epochs(steps) for steps in (749, 750, 2249, 2250, 5250)]
    [0, 1, 1, 2, 3]
    """
    return (steps // FIRST_EPOCH + 1).bit_length() - 1


def _to_go_on_from(best: Sequence[Candidate]) -> list[Candidate]:
    """The best layouts, and the best from other plates: what these lack may be one move to an offcut away."""
    near = list(best[:GONE_ON])
    return [*near, *_from_other_plates(best, near)[:FROM_OTHERS]]


def _from_other_plates(found: Sequence[Candidate], near: Sequence[Candidate]) -> list[Candidate]:
    """The cheapest from each set of plates that no layout near is from; `found` is in order of total."""
    first = {tuple(sorted(plate.stock for plate in each.filled)): each for each in reversed([*near, *found])}
    return sorted((each for each in first.values() if each not in near), key=lambda each: each.total)[:OTHER_PLATES]
