"""The search that takes plates apart and rebuilds them, and its compiled twin."""

import random
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan import kernel
from stripplan.layout.feasible import limits_of
from stripplan.layout.rectangles.compiled_search import Compiled
from stripplan.layout.rectangles.ruin_recreate import Search
from stripplan.layout.rectangles.search_task import MANY, Found, SearchItem, SearchStock, Task
from stripplan.layout.tree import Tree
from stripplan.model.cut_rules import CutRules
from tests.checking import few
from tests.legal_cuts import split_is_legal


def random_task(chance: random.Random) -> Task:
    """Stocks of several sizes and limits; items that may turn or not, with and without surplus."""
    stocks = []
    for _ in range(chance.choice([1, 1, 2, 3])):
        kerf, length, width = chance.choice([0, 1, 2]), chance.randint(20, 60), chance.randint(20, 60)
        marked = chance.random() < 0.6
        stocks.append(
            SearchStock(
                size=(length + kerf, width + kerf),
                kerf=kerf,
                narrowest=chance.choice([0, 0, chance.randint(1, 4)]),
                longest=chance.choice([1000, 1000, max(length, width) - chance.randint(0, 9)]),
                cuttable=chance.random() < 0.95,
                marked=marked,
                far_max=chance.choice([None, None, chance.randint(5, 40)]),
                reach=(chance.randint(0, 3), chance.randint(20, 60)),
                cost=chance.randint(1, 30),
                limit=chance.choice([None, None, chance.randint(0, 3)]),
            )
        )
    items = []
    for _ in range(chance.randint(1, 12)):
        x, y = chance.randint(1, 30), chance.randint(1, 30)
        ways = []
        for board in stocks:
            way = [(x + board.kerf, y + board.kerf, False)]
            way += [(y + board.kerf, x + board.kerf, True)] if chance.random() < 0.5 and x != y else []
            ways.append(tuple(way) if chance.random() < 0.9 else ())
        if any(ways):
            items.append(SearchItem(chance.randint(1, 5), chance.choice([0, 0, 3]), x * y, tuple(ways)))
    return Task(tuple(stocks), tuple(items), chance.choice([None, None, 2, 3]), 0)


def run(search: Search | Compiled, steps: int, start: Found | None = None) -> Found:
    """An answer after some steps."""
    if start is not None:
        search.load(start.filled)
    search.begin()
    search.run(steps)
    return search.found()


@pytest.mark.parametrize("seed", few(10, range(40)))
def test_compiled_and_python_find_the_same(seed: int) -> None:
    """Both twins give the same plates after the same steps, from nothing and from plates loaded."""
    assert kernel.available(), "no C compiler here: install one to compare the two"
    task = random_task(random.Random(seed))
    one, other = Search(task, seed), Compiled(task, seed)
    first = run(one, 150)
    assert first == run(other, 150)
    one.lower_budget(first.cost - 2)
    other.lower_budget(first.cost - 2)
    assert one.run(50) == other.run(50)
    assert one.found() == other.found()
    again = Compiled(task, seed + 1)
    assert run(Search(task, seed + 1), 40, first) == run(again, 40, first)
    other.close()
    again.close()


def check(task: Task, stock: int, tree: Tree, depth: int = 0, above: str | None = None) -> None:
    """A node is filled exactly, slivers and long cuts are kept out."""
    board = task.stocks[stock]
    kerf = board.kerf
    if tree.item is not None:
        size = tree.length + kerf, tree.width + kerf
        ways = [way for way in task.items[tree.item].ways[stock] if way[2] == tree.turned]
        assert any(all(0 <= size[n] - way[n] <= task.items[tree.item].over for n in (0, 1)) for way in ways)
        return
    cut = tree.cut
    if cut is None:
        assert not above  # only an empty plate is metal alone
        return
    depth += cut != above
    pieces = list(tree.pieces())
    assert sum(piece.across(cut) + kerf for piece in pieces) == tree.across(cut) + kerf
    assert tree.left is None or tree.left + kerf >= board.gap
    assert board.cuttable
    assert tree.travel(cut) <= board.longest
    assert task.depth is None or depth <= task.depth
    for one, other in tree.cuts(kerf) if board.order_fixed else ():
        assert board.split_ok(one, other)
    for child in tree.children:
        assert child.travel(cut) == tree.travel(cut)
        check(task, stock, child, depth, cut)


@pytest.mark.parametrize("seed", few(15, range(100, 160)))
def test_plates_hold_each_thing_once_and_legally(seed: int) -> None:
    """Each thing is placed or named as left, plates are filled legally, limits and sums are kept."""
    task = random_task(random.Random(seed))
    search = Compiled(task, seed)
    found = run(search, 400)
    search.close()
    count = [0] * len(task.items)
    for each in found.filled:
        kerf = task.stocks[each.stock].kerf
        assert (each.tree.length + kerf, each.tree.width + kerf) == task.stocks[each.stock].size
        check(task, each.stock, each.tree)
        for item in each.items:
            count[item] += 1
    for item in found.out:
        count[item] += 1
    assert count == [thing.demand for thing in task.items]
    used = [sum(each.stock == n for each in found.filled) for n in range(len(task.stocks))]
    assert all(board.limit is None or n <= board.limit for n, board in zip(used, task.stocks, strict=True))
    assert found.cost == sum(n * board.cost for n, board in zip(used, task.stocks, strict=True))


def test_nothing_to_place_and_nothing_to_place_on() -> None:
    """No items: no plates. No plate for an item: it is left over."""
    board = SearchStock(size=(10, 10), kerf=0, cost=1, limit=0)
    assert Search(Task((board,), (), None, 0), 1).cost_found() == MANY
    nothing = run(Search(Task((board,), (), None, 0), 1), 3)
    assert (nothing.filled, nothing.out) == ((), ())
    task = Task((board,), (SearchItem(2, 0, 4, (((2, 2, False),),)),), None, 0)
    assert run(Search(task, 1), 5).out == (0, 0)


@given(
    st.booleans(),
    st.integers(0, 30),
    st.integers(0, 40),
    st.none() | st.integers(0, 30),
    st.integers(1, 40),
    st.integers(0, 40),
)
def test_split_rule_is_that_of_the_model(
    marked: bool, low: int, span: int, far: int | None, one: int, other: int
) -> None:
    """The rule on whole units agrees with the rule of the model on lengths."""
    kerf = 2
    rules = CutRules(
        kerf=kerf, longest_one_pass=99, longest_two_pass=99, narrowest_offcut=0, fence_min=low, fence_max=low + span,
        marked=marked, far_max=far,
    )  # fmt: skip
    assert limits_of(Fraction(1), rules).split_ok(one, other) == split_is_legal(rules, one, other)
