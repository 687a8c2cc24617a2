"""Plates of a large job made better a few at a time: the search by total of what lies on them, all others as they are.

Problem. A step of the search by total takes a plate or two apart and prices all of them anew, so with hundreds of parts
it comes to too few changes of each. What a few plates could do better among themselves it then leaves.

Method. Large neighbourhoods (P. Shaw, CP 1998, LNCS 1520, 417-431, from memory): plates at random, as many as hold some
`TOGETHER` parts, are a job of their own with the plates that the others leave; its layout is searched for a moment, and
taken where the total of all plates is less. A fence setting that other plates need as well is not known to be free
there; that the whole is asked before anything is taken makes up for it.

Not exact. Cost: each round some `STEPS` steps of a small search, and one total of all plates.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from dataclasses import replace

from stripplan.layout.objective import Objective
from stripplan.layout.problem import Problem
from stripplan.layout.rectangles.compiled_search import search_of
from stripplan.layout.rectangles.search import task_of
from stripplan.layout.rectangles.search_task import Task, as_blank
from stripplan.layout.stop_rule import Clock
from stripplan.layout.tree import FilledStock

TOGETHER = 60
"""Parts at the most on the plates of one round: so many are searched well in `STEPS` steps. Chosen, not tuned."""
STEPS = 2000
SEARCHES = 2
"""Side by side, each with a seed of its own; the better is taken."""


def better_by_few_plates(
    problem: Problem,
    objective: Objective,
    filled: Sequence[FilledStock],
    *,
    rounds: int,
    seed: int,
    out_of_time: Clock,
) -> tuple[FilledStock, ...]:
    """Plates with the same parts that cost no more in total, after so many rounds or until the time is over."""
    best, total, chance = tuple(filled), objective.total(filled), random.Random(seed)
    task = replace(task_of(problem), objective=objective)
    with ThreadPoolExecutor(SEARCHES) as pool:
        for number in range(rounds):
            if out_of_time():
                break
            some = _some(best, chance)
            few, others = [best[n] for n in some], [each for n, each in enumerate(best) if n not in some]
            seeds = [seed + 7919 * (SEARCHES * number + n) for n in range(SEARCHES)]
            small = _of_few(task, few, others)
            waiting = [pool.submit(_searched, small, few, each) for each in seeds]
            for found in [each.result() for each in waiting]:
                whole = (*others, *found)
                if found and (cost := objective.total(whole)) < total:
                    best, total = whole, cost
    return best


def _some(filled: Sequence[FilledStock], chance: random.Random) -> set[int]:
    """Numbers of plates in an order of chance, up to so many parts; at least one."""
    some, parts = set[int](), 0
    for n in chance.sample(range(len(filled)), len(filled)):
        count = len(filled[n].items)
        if some and parts + count > TOGETHER:
            break
        some.add(n)
        parts += count
    return some


def _of_few(task: Task, few: Sequence[FilledStock], others: Sequence[FilledStock]) -> Task:
    """The task of what a few plates hold, with the plates that the others leave."""
    wanted, used = Counter(item for each in few for item in each.items), Counter(each.stock for each in others)
    items = tuple(replace(item, demand=wanted[n]) for n, item in enumerate(task.items))
    left = (None if stock.limit is None else stock.limit - used[n] for n, stock in enumerate(task.stocks))
    stocks = tuple(replace(stock, limit=limit) for stock, limit in zip(task.stocks, left, strict=True))
    return replace(task, items=items, stocks=stocks)


def _searched(task: Task, few: Sequence[FilledStock], seed: int) -> tuple[FilledStock, ...]:
    """What a few plates hold, laid out for less; nothing where not all of it was placed."""
    # Gathering the metal moves children; where their order is fixed a plate may not be cut any more then.
    if not all(task.stocks[each.stock].located(as_blank(task, each)) for each in few):
        return ()
    with closing(search_of(task, seed)) as search:
        search.load(few)
        search.begin()
        search.run_by_total(STEPS)
        answer = search.found()
    located = all(task.stocks[each.stock].located(each.tree) for each in answer.filled)
    return answer.filled if located and not answer.out else ()
