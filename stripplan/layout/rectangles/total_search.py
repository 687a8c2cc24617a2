"""Rectangles for the least total of plate and hands: the search of `ruin_recreate` by total, from several beginnings.

Problem. The cheapest plates are rarely the cheapest work: cuts, readings and pieces put aside cost as much as plate.
The objective (`layout/objective.py`) is an estimate, so what is wanted is not one layout but a few good ones that
differ, for the order of work to decide between.

Method. A layout with all parts is taken apart and rebuilt, and what costs no more in total is kept (late acceptance, as
in `ruin_recreate`). It is begun from the plates that the search for plates found, and from simpler forms of the
problem: cuts of two and of three stages, each kind of plate alone, no offcuts. Simpler forms are smaller to search
through, so they are searched well sooner; each keeps its own best, and from the best of all the search goes on without
their limits. So no simpler form that was found is lost, and the answer is never worse than the best of them by the
estimate.

Both are done in epochs, each twice as long as the one before: so a search with more steps has done all that one with
fewer did, and what it then found is among its candidates.

Not exact. Cost: for each beginning the steps of all epochs, and as many again for the best of them; on as many cores as
there are, the same answer on any number.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import ExitStack, closing
from dataclasses import dataclass, replace

from stripplan.layout.objective import Objective
from stripplan.layout.problem import Problem
from stripplan.layout.rectangles.few_plates import better_by_few_plates
from stripplan.layout.rectangles.ruin_recreate import Compiled, Search, Task, as_blank, search_of
from stripplan.layout.rectangles.search import solve_rectangles, task_of
from stripplan.layout.stock_choices import FormKey, StockChoice, forms_of, held_back, numbered, renumbered
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
end the search: the second is as long as all before it.
"""
PLACEMENTS = 600_000
"""Steps times parts at the most where nobody says, so that time does not grow with the parts."""
ROUND = 250
"""Steps until the clock is asked again."""
SEEDS = 2
"""Searches from each beginning: they end in different layouts, and the order of work chooses."""
PLATE_STEPS = 400
"""Steps for the fewest plates of a simpler form: it only has to place all parts."""
GONE_ON, FROM_OTHERS = 2, 2
"""The best layouts of all from which the search goes on without the limits of a form, and those from other plates."""
MOST_PARTS = 600
"""Parts up to which all plates are searched together: beyond, steps take too long to change enough."""
MANY_PARTS, ROUNDS = 120, 8
"""Parts from which plates are made better a few at a time as well, and the rounds of that in the first epoch: on a list
of 236 parts 20 rounds gained 2.2 % of the total in a third of the time of the search, 60 hardly more.
"""
OF_EACH_EPOCH = 2
"""The best of each epoch that are handed on, for the order of work to decide between."""
BEHIND = 0.08
"""Beginnings that are so far behind after an epoch are given up: with several kinds of plate there are some twenty, and
most are of plates that do not pay. On drawn jobs what an epoch still gained was below a hundredth after the first."""
FAR = 0.06
"""Layouts that are dearer by this share, by an estimate that is some hundredths off, are not handed on."""

OTHER_PLATES = 3
"""Layouts from other plates that are handed on for a choice at the most."""


@dataclass(frozen=True)
class Candidate:
    """Plates with all parts, and what they cost in total [ticks]."""

    filled: tuple[FilledStock, ...]
    total: int


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
) -> tuple[list[Candidate], int]:
    """Layouts of all parts that are worth an order, the cheapest in total first, and the steps done. `most`: so many
    of them, and after them the cheapest from other plates, as the estimate errs by more between plates than on one.
    `wide`: these however dear, as somebody may want to choose them.

    `start` is one with all parts, and so are those in `of_forms`, each from fewer stocks. The effort's
    `steps` are those of each beginning, rounded down to whole epochs; None = as many as serve a job of this size, or
    with seconds to spend until they are over or `IN_VAIN` epochs gained nothing. Empty where there is nothing to cut.
    """
    parts, seed = sum(item.demand for item in problem.items), effort.seed
    epochs = _epochs(effort, parts)
    if not start or not epochs:
        return [], 0
    few = _FewPlates(problem, objective, seed, out_of_time)
    if parts > MOST_PARTS:
        return few.alone(Candidate(tuple(start), objective.total(start)))
    whole = _form(problem, objective, next(forms_of(problem)))
    forms = list(simpler_forms(problem, objective))
    known = _with_stages(problem, of_forms or {}, effort, out_of_time)
    best = [Candidate(tuple(start), objective.total(start))]
    worth_it = list(best)
    # The pool is waited for before any search is closed: it may still be at work on it, also after an interrupt.
    with ExitStack() as stack, ThreadPoolExecutor(SEEDS) as pool:
        begun = (
            _Beginning(form, known.get(FormKey(form.stocks, form.task.depth), ()), seed, stack, pool) for form in forms
        )
        searches = [_Beginning(whole, start, seed, stack, pool), *begun]
        done = in_vain = 0
        for epoch in range(epochs):
            turn, running, before = FIRST_EPOCH << epoch, len(searches), best[0].total
            best = _best([*best, *_gone_on(searches, turn, out_of_time)])
            starts = enumerate(_to_go_on_from(best))
            further = [_Beginning(whole, each.filled, seed + 104_729 * (n + 1), stack, pool) for n, each in starts]
            best = _best([*best, *_gone_on(further, turn, out_of_time)])
            if parts > MANY_PARTS:
                best = _best([*best, few.better(best[0], epoch)])
            worth_it += best[:OF_EACH_EPOCH]
            searches = [each for each in searches if each.promises(best[0].total * (1 + BEHIND))]
            done += turn * (running + len(further)) * SEEDS
            in_vain = 0 if best[0].total < before else in_vain + 1
            if out_of_time() or in_vain == IN_VAIN:
                break
    far = best[0].total + FAR * abs(best[0].total)
    near = [each for each in _best(worth_it) if each.total <= far][:most]
    others = [each for each in _from_other_plates(best, near) if wide or each.total <= far]
    return [*near, *others], done


@dataclass(frozen=True)
class _FewPlates:
    """Layouts of many parts made better a few plates at a time (`few_plates`)."""

    problem: Problem
    objective: Objective
    seed: int
    out_of_time: Clock

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


def _with_stages(
    problem: Problem, known: Mapping[FormKey, Sequence[FilledStock]], effort: Effort, out_of_time: Clock
) -> dict[FormKey, Sequence[FilledStock]]:
    """What is known of simpler forms, and the cheapest plates of all stocks in fewer stages, as a job of so few would
    begin from them.
    """
    found = dict(known)
    for form in forms_of(problem):
        every = len(form.stocks) == len(problem.stocks) and form.depth != problem.depth
        if every and form not in found and not out_of_time():
            fewer = held_back(problem, form)
            answer = solve_rectangles(fewer, seed=effort.seed, steps=effort.steps, out_of_time=out_of_time)
            if not answer.short:
                found[form] = answer.filled
    return found


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


@dataclass(frozen=True)
class Form:
    """A problem held back, as a task for the search; `stocks` are those of the problem that it has, in its order."""

    stocks: StockChoice
    task: Task


def simpler_forms(problem: Problem, objective: Objective) -> Iterator[Form]:
    """The problem held back: fewer stages, each kind of plate alone with and without offcuts, no offcuts; and both."""
    _, *others = forms_of(problem)
    return (_form(problem, objective, each) for each in others)


def _form(problem: Problem, objective: Objective, form: FormKey) -> Form:
    """The problem in a form, as a task."""
    task = task_of(held_back(problem, form))
    return Form(form.stocks, replace(task, objective=objective.with_stocks(form.stocks)))


class _Beginning:
    """Searches with seeds of their own from one beginning; all plates first, where none are given."""

    def __init__(
        self, form: Form, start: Sequence[FilledStock], seed: int, stack: ExitStack, pool: ThreadPoolExecutor
    ) -> None:
        self.stocks, self.task, self.pool = form.stocks, form.task, pool
        task, start = form.task, renumbered(start, form.stocks)
        self.searches: list[Search | Compiled] = []
        # Gathering the metal moves children; where their order is fixed a plate may not be cut any more then.
        located = all(task.stocks[each.stock].located(as_blank(task, each)) for each in start)
        for n in range(SEEDS):
            search = stack.enter_context(closing(search_of(task, seed + 7919 * n)))
            search.load(start if located else ())
            self.searches.append(search)
        self.waiting = [pool.submit(_placed, search) for search in self.searches]

    def begin(self) -> None:
        """Wait until plates are found."""
        for each in self.waiting:
            each.result()
        self.waiting = []

    def run(self, steps: int) -> list[Future[int]]:
        """Begin so many steps of each search."""
        return [self.pool.submit(search.run_by_total, steps) for search in self.searches]

    def promises(self, total: float) -> bool:
        """Whether what was found costs no more than that."""
        return any(each.total <= total for each in self.found())

    def found(self) -> Iterator[Candidate]:
        """What was found so far: nothing where a part has no place."""
        for search in self.searches:
            answer = search.found()
            if not answer.out and answer.filled and self._located(answer.filled):
                yield Candidate(numbered(answer.filled, self.stocks), answer.total)

    def _located(self, filled: Sequence[FilledStock]) -> bool:
        return all(self.task.stocks[each.stock].located(each.tree) for each in filled)


def _placed(search: Search | Compiled) -> None:
    search.begin()
    search.run(PLATE_STEPS)
    search.run_by_total(0)


def _gone_on(begun: Sequence[_Beginning], steps: int, out_of_time: Clock) -> list[Candidate]:
    """What all have found after so many steps more, side by side."""
    for each in begun:
        each.begin()
    for done in range(0, steps, ROUND):
        if out_of_time():
            break
        # All are waited for: which ends first may not show.
        for waiting in [future for each in begun for future in each.run(min(ROUND, steps - done))]:
            waiting.result()
    return [candidate for each in begun for candidate in each.found()]


def _to_go_on_from(best: Sequence[Candidate]) -> list[Candidate]:
    """The best layouts, and the best from other plates: what these lack may be one move to an offcut away."""
    near = list(best[:GONE_ON])
    return [*near, *_from_other_plates(best, near)[:FROM_OTHERS]]


def _from_other_plates(found: Sequence[Candidate], near: Sequence[Candidate]) -> list[Candidate]:
    """The cheapest from each set of plates that no layout near is from; `found` is in order of total."""
    first = {tuple(sorted(plate.stock for plate in each.filled)): each for each in reversed([*near, *found])}
    return sorted((each for each in first.values() if each not in near), key=lambda each: each.total)[:OTHER_PLATES]


def _best(found: Sequence[Candidate]) -> list[Candidate]:
    """Each layout once, the cheapest first. Where only siblings lie in another order it is the same layout: the order
    of work chooses that, and would else be asked the same question again.
    """
    first: dict[object, Candidate] = {}
    for each in sorted(dict.fromkeys(found), key=lambda each: each.total):
        first.setdefault(tuple(sorted((plate.stock, plate.tree.unordered()) for plate in each.filled)), each)
    return list(first.values())
