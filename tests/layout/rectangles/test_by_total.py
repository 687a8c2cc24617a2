"""The search by plate and hands together, in Python and compiled."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from stripplan import kernel
from stripplan.layout.objective import Objective, StockTerms
from stripplan.layout.rectangles.compiled_search import Compiled
from stripplan.layout.rectangles.ruin_recreate import HISTORY, Search
from stripplan.layout.rectangles.search_task import MANY, SearchItem, SearchStock, Task
from tests.checking import few
from tests.layout.rectangles.test_ruin_recreate import check, random_task, run


def random_terms(chance: random.Random) -> StockTerms:
    """What a stock costs, each term large enough somewhere to sway a choice."""
    return StockTerms(
        plate=chance.randint(1, 10_000), cut=chance.randint(1, 300), aside=chance.randint(1, 300),
        push=chance.randint(0, 100), stop=chance.randint(0, 200), stop_span=chance.randint(0, 9),
        heavy=chance.randint(100, 2000), per_length=chance.random() * 20, per_area=chance.random(), two_person=2.0,
        stop_per_length=chance.random() * 5, worth=chance.random(), worth_other=chance.random() / 2,
        uneven=chance.randint(0, 300), unmeasured=chance.randint(0, 300), mark=chance.random() * 5 + 0.1,
        over=chance.randint(0, 300), one_pass=chance.randint(20, 60),
        zero=chance.random() * 3 - 1,
    )  # fmt: skip


def by_total(task: Task, chance: random.Random) -> Task:
    """A task with terms drawn for it."""
    terms = tuple(random_terms(chance) for _ in task.stocks)
    kerfs = tuple(stock.kerf for stock in task.stocks)
    return replace(task, objective=Objective(terms, chance.randint(0, 400), (3, 8), kerfs))


@pytest.mark.parametrize("seed", few(12, range(60)))
def test_compiled_and_python_find_the_same_by_total(seed: int) -> None:
    """After the same steps both twins have the same plates, and their total is that of the estimate in Python."""
    assert kernel.available(), "no C compiler here: install one to compare the two"
    chance = random.Random(seed)
    task = by_total(random_task(chance), chance)
    one, other = Search(task, seed), Compiled(task, seed)
    assert run(one, 60) == run(other, 60)
    assert one.run_by_total(60) == other.run_by_total(60)
    assert one.total_found() == other.total_found()
    if one.total_found() != MANY:
        for each in (one, other):
            each.accept_up_to(one.total_found() + 200)
    assert one.run_by_total(60) == other.run_by_total(60)
    found = one.found()
    assert found == other.found()
    other.close()
    if found.out or not found.filled:  # nothing was sought
        assert found.total == MANY
    else:
        assert task.objective is not None
        assert task.objective.total(found.filled) == found.total


def test_a_settled_search_kept_nothing_dearer_and_went_nowhere() -> None:
    """Begun from a good layout a search keeps dearer ones once it may, and its best stays what it was or better."""
    chance = random.Random(12)
    settled = Search(by_total(random_task(chance), chance), 12)
    run(settled, 60)
    assert settled.run_by_total(600)
    best = settled.total_found()
    settled.run_by_total(HISTORY)
    assert max(settled.history) == settled.current == best  # from here it could only go down
    settled.accept_up_to(2 * best)
    reached = 0
    for _ in range(200):
        settled.run_by_total(1)
        reached = max(reached, settled.current)
    assert best < reached <= 2 * best
    assert settled.total_found() <= best


def test_most_random_tasks_are_searched() -> None:
    """Of those tried above several have a place for every part: otherwise twins that do nothing would be compared."""
    done = 0
    for seed in range(12):
        chance = random.Random(seed)
        search = Search(by_total(random_task(chance), chance), seed)
        run(search, 60)
        done += search.run_by_total(1)
    assert done >= 4


@pytest.mark.parametrize("seed", few(8, range(200, 240)))
def test_steps_by_total_keep_every_part_and_every_limit(seed: int) -> None:
    """Never dearer than where it began; each part has its place, plates are filled legally, stock is not overdrawn."""
    chance = random.Random(seed)
    task = by_total(random_task(chance), chance)
    search = Compiled(task, seed)
    before = run(search, 60)
    search.run_by_total(300)
    after = search.found()
    search.close()
    if before.out:
        assert after == before
        return
    assert task.objective is not None
    assert after.total <= task.objective.total(before.filled)
    count = [0] * len(task.items)
    for each in after.filled:
        check(task, each.stock, each.tree)
        for item in each.items:
            count[item] += 1
    assert count == [thing.demand for thing in task.items]
    used = [sum(each.stock == n for each in after.filled) for n in range(len(task.stocks))]
    assert all(board.limit is None or n <= board.limit for n, board in zip(used, task.stocks, strict=True))


@pytest.mark.parametrize("kind", [Search, Compiled])
def test_dear_hands_outweigh_a_cheaper_plate(kind: type[Search] | type[Compiled]) -> None:
    """A part as large as the dearer plate is made from it where cuts are dear, from the cheaper large one else."""
    boards = (SearchStock(kerf=0, size=(100, 100), cost=10), SearchStock(kerf=0, size=(20, 20), cost=11))
    part = SearchItem(demand=1, over=0, area=400, ways=(((20, 20, False),), ((20, 20, False),)))
    plain = StockTerms(
        plate=0, cut=0, aside=0, push=0, stop=0, stop_span=0, heavy=10**9, per_length=0.0, per_area=0.0, two_person=1.0,
        stop_per_length=0.0, worth=0.0, worth_other=0.0, uneven=0, unmeasured=0, mark=1.0, zero=0.0,
    )  # fmt: skip
    chosen = []
    for cut in (10, 1):  # two cuts on the large plate: 100 + 20 or 100 + 2, beside 110
        terms = (replace(plain, plate=100, cut=cut), replace(plain, plate=110))
        task = Task(boards, (part,), None, 0, Objective(terms, 0, (1, 1), (0, 0)))
        search = kind(task, 1)
        search.begin()
        search.run_by_total(60)
        chosen.append([each.stock for each in search.found().filled])
        search.close()
    assert chosen == [[1], [0]]


@pytest.mark.parametrize("kind", [Search, Compiled])
def test_nothing_by_total_where_a_part_has_no_place(kind: type[Search] | type[Compiled]) -> None:
    """A part that no plate holds: no step is done, and the total is said to be none."""
    chance = random.Random(1)
    task = Task(
        (SearchStock(kerf=0, size=(10, 10), cost=1, limit=0),), (SearchItem(1, 0, 4, (((2, 2, False),),)),), None, 0
    )
    search = kind(by_total(task, chance), 1)
    search.begin()
    assert search.run_by_total(10) == 0
    assert search.found().total == MANY
    search.close()
