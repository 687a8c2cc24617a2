"""Where the search by total begins: the problem held back in a form, and searches from one layout in it.

Each beginning has searches with seeds of their own, as a search that has settled seldom leaves its corner. All searches
of all beginnings take turns of `ROUND` steps side by side, on as many cores as there are; all are waited for, so which
is done first does not show in what comes out.

Not exact. Cost: the steps of each search, as `ruin_recreate` says.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import ExitStack, closing
from dataclasses import dataclass, replace

from stripplan.layout.objective import Objective
from stripplan.layout.problem import Problem
from stripplan.layout.rectangles.compiled_search import Compiled, search_of
from stripplan.layout.rectangles.ruin_recreate import Search
from stripplan.layout.rectangles.search import task_of
from stripplan.layout.rectangles.search_task import MANY, Task, as_blank
from stripplan.layout.stock_choices import FormKey, StockChoice, forms_of, held_back, numbered, renumbered
from stripplan.layout.stop_rule import Clock
from stripplan.layout.tree import FilledStock

ROUND = 250
"""Steps until the clock is asked again."""
LEANINGS = (1, 1, 10)
"""Searches from each beginning, each by the objective with a fence setting so many times as dear. They end in different
layouts, which the objective as it is ranks and the order of work chooses from: what a search for few settings comes to
is at times cheaper by the objective too. On 59 drawn jobs of a shop, with true minutes: two searches by the objective
itself 0.41 % above the best that any of all these found, three 0.31 %, two and one with settings 4 times as dear
0.23 %, 10 times as dear 0.23 %, one and one 0.35 %, two and one with pieces put aside 3 times as dear 0.27 % (when of
each epoch five were handed on).
"""
DEARER = 0.04
"""How much dearer than its best a layout may be that a search keeps when an epoch begins, so that it leaves what it has
settled in. On 80 drawn jobs of a shop, by the estimate and with the same steps: 0.16 % cheaper on average than without,
31 jobs cheaper and 12 dearer. On 40 of them 0.02 gained nothing, 0.06 0.1 %, 0.1 nothing; so did a longer memory."""
PLATE_STEPS = 400
"""Steps for the fewest plates of a simpler form: it only has to place all parts."""


@dataclass(frozen=True)
class Candidate:
    """Plates with all parts, and what they cost in total [ticks]."""

    filled: tuple[FilledStock, ...]
    total: int


@dataclass(frozen=True)
class Form:
    """A problem held back, as a task for the search; `stocks` are those of the problem that it has, in its order."""

    stocks: StockChoice
    task: Task

    @property
    def key(self) -> FormKey:
        return FormKey(self.stocks, self.task.depth)


def simpler_forms(problem: Problem, objective: Objective) -> Iterator[Form]:
    """The problem held back: fewer stages, each kind of plate alone with and without offcuts, no offcuts; and both."""
    _, *others = forms_of(problem)
    return (form_of(problem, objective, each) for each in others)


def form_of(problem: Problem, objective: Objective, form: FormKey) -> Form:
    """The problem in a form, as a task."""
    task = task_of(held_back(problem, form))
    return Form(form.stocks, replace(task, objective=objective.with_stocks(form.stocks)))


class Beginning:
    """Searches with seeds of their own from one beginning; all plates first, where none are given."""

    def __init__(
        self, form: Form, start: Sequence[FilledStock], seed: int, stack: ExitStack, pool: ThreadPoolExecutor
    ) -> None:
        self.stocks, self.task, self.pool = form.stocks, form.task, pool
        task, start = form.task, renumbered(start, form.stocks)
        self.searches: list[Search | Compiled] = []
        self.known: dict[int, tuple[int, Candidate]] = {}
        # Gathering the metal moves children; where their order is fixed a plate may not be cut any more then.
        located = all(task.stocks[each.stock].located(as_blank(task, each)) for each in start)
        for n, leaning in enumerate(LEANINGS):
            search = stack.enter_context(closing(search_of(_leaning(task, leaning), seed + 7919 * n)))
            search.load(start if located else ())
            self.searches.append(search)
        self.waiting = [pool.submit(_placed, search) for search in self.searches]

    def begin(self) -> None:
        """Wait until plates are found."""
        for each in self.waiting:
            each.result()
        self.waiting = []

    def loosen(self) -> None:
        """Let the searches leave what they have settled in: they keep layouts `DEARER` than their best, at first."""
        for search in self.searches:
            total = search.total_found()
            if total < MANY:
                search.accept_up_to(total + int(DEARER * abs(total)))

    def run(self, steps: int) -> list[Future[int]]:
        """Begin so many steps of each search."""
        return [self.pool.submit(search.run_by_total, steps) for search in self.searches]

    def found(self) -> Iterator[Candidate]:
        """What was found so far: nothing where a part has no place."""
        for number, search in enumerate(self.searches):
            total = search.total_found()
            if number not in self.known or self.known[number][0] != total:
                one = self._candidate(search)
                if one is None:
                    continue
                self.known[number] = total, one
            yield self.known[number][1]

    def _candidate(self, search: Search | Compiled) -> Candidate | None:
        """The best of a search, in total by the objective as it is."""
        answer = search.found()
        if answer.out or not answer.filled or not self._located(answer.filled):
            return None
        assert self.task.objective is not None
        return Candidate(numbered(answer.filled, self.stocks), self.task.objective.total(answer.filled))

    def _located(self, filled: Sequence[FilledStock]) -> bool:
        return all(self.task.stocks[each.stock].located(each.tree) for each in filled)


def _leaning(task: Task, times: int) -> Task:
    """The same task for somebody to whom a fence setting is so many times as dear."""
    assert task.objective is not None
    return replace(task, objective=replace(task.objective, setting=times * task.objective.setting))


def _placed(search: Search | Compiled) -> None:
    search.begin()
    search.run(PLATE_STEPS)
    search.run_by_total(0)


def gone_on(begun: Sequence[Beginning], steps: int, out_of_time: Clock) -> list[Candidate]:
    """What all have found after so many steps more, side by side."""
    for each in begun:
        each.begin()
        each.loosen()
    for done in range(0, steps, ROUND):
        if out_of_time():
            break
        # All are waited for: which ends first may not show.
        for waiting in [future for each in begun for future in each.run(min(ROUND, steps - done))]:
            waiting.result()
    return [candidate for each in begun for candidate in each.found()]


def best_of(found: Sequence[Candidate]) -> list[Candidate]:
    """Each layout once, the cheapest first. Where only siblings lie in another order it is the same layout: the order
    of work chooses that, and would else be asked the same question again.
    """
    first: dict[object, Candidate] = {}
    for each in sorted(dict.fromkeys(found), key=lambda each: each.total):
        first.setdefault(tuple(sorted((plate.stock, plate.tree.unordered()) for plate in each.filled)), each)
    return list(first.values())
