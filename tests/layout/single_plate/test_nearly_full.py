"""One plate nearly full: beside tables of all patterns of small plates, planted patterns, limits of the rig, the
two twins.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import replace

import pytest

from stripplan.kernel import available
from stripplan.layout.feasible import Limits
from stripplan.layout.problem import Problem
from stripplan.layout.single_plate import nearly_full
from stripplan.layout.single_plate.nearly_full import fit_nearly_full, in_order, on_nearly_full_plate
from stripplan.layout.single_plate.plate import ItemView, StockView, faults
from stripplan.layout.single_plate.small_waste import Compiled, Search
from stripplan.layout.single_plate.small_waste_task import ENDED, FOUND, FULL, GOING_ON, MOST_PARTS, Kind, Task
from stripplan.layout.tree import Tree
from tests.checking import in_turn
from tests.kernel.refused_memory import grant
from tests.layout.problems import problem, rules

NEVER = 1 << 30
Size = tuple[int, int]
needs_library = pytest.mark.skipif(not available(), reason="no C compiler here: install one to test the kernel")


def comes_from(length: int, width: int, parts: Sequence[Size], *, turned: bool, kerf: int) -> bool:
    """Whether all parts come from a plate: for every set of parts and every length the least width, from all ways to
    part the set in two, beside or above each other.
    """
    most, none = length + kerf, NEVER
    least: list[list[int]] = [[]]
    for chosen in range(1, 1 << len(parts)):
        row = [none] * (most + 1)
        if chosen & (chosen - 1) == 0:
            x, y = parts[chosen.bit_length() - 1]
            for a, b in ((x, y), (y, x)) if turned else ((x, y),):
                for size in range(a + kerf, most + 1):
                    row[size] = min(row[size], b + kerf)
        one = (chosen - 1) & chosen
        while one:
            mine, other = least[one], least[chosen ^ one]
            for size in range(1, most + 1):
                beside = min((max(mine[at], other[size - at]) for at in range(1, size)), default=none)
                row[size] = min(row[size], mine[size] + other[size], beside)
            one = (one - 1) & chosen
        least.append(row)
    return least[-1][most] <= width + kerf


def random_parts(chance: random.Random, length: int, width: int, kerf: int, most: int) -> list[Size]:
    """Parts that would nearly fill a plate, whether they can be cut from it or not."""
    parts: list[Size] = []
    area = (length + kerf) * (width + kerf)
    for _ in range(60):
        x, y = chance.randint(1, length * 2 // 3), chance.randint(1, width * 2 // 3)
        if len(parts) < most and (x + kerf) * (y + kerf) <= area:
            parts.append((x, y))
            area -= (x + kerf) * (y + kerf)
    return parts


def of(plate: Size, parts: Sequence[Size], *, turned: bool = False, **limits: int) -> Problem:
    """The problem of single parts and one kind of plate."""
    return problem([(*plate, None, 1.0)], [(*part, 1) for part in parts], turned=turned, rig=rules(**limits))


def seen(asked: Problem) -> tuple[StockView, list[ItemView]]:
    """Plate and parts of a problem without limits."""
    stock = asked.stocks[0]
    return StockView(stock.length, stock.width, stock.kerf), [ItemView(i.sizes[0], 1, i.demand) for i in asked.items]


def check(asked: Problem, tree: Tree) -> None:
    """A pattern holds every part once and can be cut."""
    assert sorted(tree.items()) == [n for n, item in enumerate(asked.items) for _ in range(item.demand)]
    assert faults(tree, *seen(asked)) == []
    assert asked.is_legal(0, tree)


@in_turn("turned", [False, True])
@in_turn("kerf", [0, 1])
@in_turn("seed", range(12))
def test_all_parts_come_from_a_small_plate_or_do_not(seed: int, kerf: int, turned: bool) -> None:
    """Found where the table of all patterns says so, proven that there is none where it does not: never given up."""
    chance = random.Random(f"{seed} {kerf} {turned}")
    length, width = chance.randint(6, 12), chance.randint(6, 12)
    parts = random_parts(chance, length, width, kerf, chance.randint(3, 6))
    asked = of((length, width), parts, turned=turned, kerf=kerf)
    fit = on_nearly_full_plate(asked)
    known = comes_from(length, width, parts, turned=turned, kerf=kerf)
    assert (fit.filled is not None, fit.excluded) == (known, not known)
    if fit.filled is not None:
        check(asked, fit.filled.tree)


def test_small_plates_answer_both_ways() -> None:
    """The random plates of the test before are not all of one answer."""
    answers = [
        on_nearly_full_plate(of((9, 8), random_parts(random.Random(seed), 9, 8, 0, 5))).excluded for seed in range(20)
    ]
    assert 5 <= sum(answers) <= 15


def cut_up(chance: random.Random, length: int, width: int, parts: int, kerf: int) -> list[Size]:
    """A plate cut at random, the largest piece each time."""
    pieces = [(length, width)]
    while len(pieces) < parts:
        pieces.sort(key=lambda piece: piece[0] * piece[1])
        x, y = pieces.pop()
        side = max(x, y)
        at = chance.randint(side // 4, side - kerf - side // 4)
        cuts = (at, side - kerf - at)
        pieces += [(cut, y) if x >= y else (x, cut) for cut in cuts]
    return pieces


def shortened(chance: random.Random, pieces: Sequence[Size], taken: float, by: int) -> list[Size]:
    """Sides made shorter, until so much of the area is gone."""
    made = [list(piece) for piece in pieces]
    most = sum(x * y for x, y in made) * (1 - taken)
    while sum(x * y for x, y in made) > most:
        piece, axis = chance.choice(made), chance.randrange(2)
        if piece[axis] > 4 * by:
            piece[axis] -= by
    return [(x, y) for x, y in made]


@needs_library
@pytest.mark.parametrize("seed", range(4))
def test_twenty_planted_parts_are_found(seed: int) -> None:
    """Twenty parts with 4 % left, which are known to come from one plate."""
    chance = random.Random(seed)
    parts = shortened(chance, cut_up(chance, 2000, 1000, 20, 2), 0.04, 1)
    asked = of((2000, 1000), parts, turned=True, kerf=2)
    fit = on_nearly_full_plate(asked)
    assert fit.filled is not None
    check(asked, fit.filled.tree)


@needs_library
@pytest.mark.parametrize("seed", range(4))
def test_planted_parts_are_found_without_a_sliver(seed: int) -> None:
    """Fourteen parts; where metal is left, it is no narrower than the narrowest offcut."""
    chance = random.Random(seed)
    parts = shortened(chance, cut_up(chance, 2000, 1000, 14, 2), 0.04, 12)
    asked = of((2000, 1000), parts, turned=True, kerf=2, narrowest=10)
    fit = on_nearly_full_plate(asked)
    assert fit.filled is not None
    check(asked, fit.filled.tree)


def test_a_pinwheel_with_room_to_spare_cannot_be_cut() -> None:
    """Four parts round a hole larger than what is left beside them: areas fit, cuts from edge to edge do not."""
    parts = [(60, 39), (39, 60), (60, 39), (39, 60)]
    fit = on_nearly_full_plate(of((100, 100), parts))
    assert (fit.filled, fit.excluded) == (None, True)
    assert on_nearly_full_plate(of((120, 100), parts)).filled is not None


@needs_library
def test_one_unit_too_long_refutes_twelve_parts() -> None:
    """A perfect cut-up is found; with one part longer by a unit and another shorter nothing is left to waste, and no
    pattern.
    """
    parts = cut_up(random.Random(1), 2000, 1000, 12, 0)
    assert on_nearly_full_plate(of((2000, 1000), parts)).filled is not None
    (x, y), (a, b), *others = parts
    fit = on_nearly_full_plate(of((2000, 1000), [(x + 1, y), (a, b - y // a - 1), *others]))
    assert (fit.filled, fit.excluded) == (None, True)


def test_equal_parts_of_several_names_are_told_apart_again() -> None:
    """Each item is there as often as it is wanted, and lies as its own ways say, though the search takes them for
    one.
    """
    asked = problem([(10, 6, None, 1.0)], [(5, 2, 2), (2, 5, 1), (5, 2, 3)], turned=True)
    fit = on_nearly_full_plate(asked)
    assert fit.filled is not None
    check(asked, fit.filled.tree)


def test_part_of_a_job() -> None:
    """Only so many of each item as are asked for: all are too many for the plate, two are not."""
    asked = problem([(10, 6, None, 1.0)], [(10, 3, 3), (9, 5, 1)])
    assert on_nearly_full_plate(asked).excluded
    fit = on_nearly_full_plate(asked, wanted=[2, 0])
    assert fit.filled is not None
    assert fit.filled.items == (0, 0)


def test_what_the_rig_cannot_cut_is_not_given_and_proves_nothing() -> None:
    """Three strips come from one plate, but no cut of the rig is long enough; then the plate is neither found nor
    excluded.
    """
    parts = [(100, 20), (100, 20), (100, 20)]
    assert on_nearly_full_plate(of((100, 60), parts)).filled is not None
    fit = on_nearly_full_plate(of((100, 60), parts, stroke=90))
    assert (fit.filled, fit.excluded) == (None, False)


def test_a_sliver_that_must_not_be_left_proves_nothing() -> None:
    """One unit would be left beside the part: with a narrowest offcut it cannot be cut, but it would be taken for
    bounds.
    """
    fit = on_nearly_full_plate(of((100, 60), [(100, 29), (100, 30)], narrowest=5))
    assert (fit.filled, fit.excluded) == (None, False)
    assert on_nearly_full_plate(of((100, 60), [(100, 29), (100, 30)])).filled is not None


def test_parts_come_off_in_an_order_in_which_each_cut_can_be_located() -> None:
    """No more than 30 may lie beside the torch: 50, 20 and 25 come off as 20, 25 or 25, 20."""
    far = Limits(kerf=0, far_max=30, marked=True)
    wide, *narrow = (Tree(100, width, item=width) for width in (50, 20, 25))
    tree = Tree(100, 95, cut="along", children=(wide, *narrow))
    assert not far.tree_ok(tree, None)
    assert far.tree_ok(in_order(tree, far), None)
    assert in_order(tree, replace(far, far_max=None)) == tree


def test_too_many_parts_and_no_parts_are_left_alone() -> None:
    """Neither found nor excluded, though it could be found."""
    shape = ItemView(((1, 1, False),), 1, MOST_PARTS + 1)
    for many in ([shape], []):
        fit = fit_nearly_full(StockView(100, 100), many)
        assert (fit.pattern, fit.decided) == (None, False)
    with pytest.raises(ValueError, match="at most 32 parts, whose counts take 7 of 64 bits"):
        Task((10, 10), (Kind(33, 1, ((1, 1),)),), 0, 10, 9, 9)


def test_steps_time_and_room_end_a_search_without_an_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    """Given up after so many steps, when time is over, or with no room for builds: then nothing is proven."""
    plate, shapes = seen(of((9, 8), [(5, 4), (4, 5), (4, 3), (3, 4), (2, 2)]))
    assert fit_nearly_full(plate, shapes).decided
    assert not fit_nearly_full(plate, shapes, steps=1).decided
    assert not fit_nearly_full(plate, shapes, out_of_time=lambda: True).decided
    monkeypatch.setattr(nearly_full, "MOST_BUILDS", 3)
    assert not fit_nearly_full(plate, shapes).decided


def tasks() -> Iterator[Task]:
    """Small tasks of all kinds: with and without gap, longest cut, copies, turning, little room."""
    for seed in range(15):
        chance = random.Random(seed)
        length, width = chance.randint(8, 24), chance.randint(8, 24)
        kinds: list[Kind] = []
        area = length * width
        while len(kinds) < 6:
            x, y, copies = chance.randint(1, length // 2), chance.randint(1, width // 2), chance.choice((1, 1, 2, 3))
            area -= x * y * copies
            if area < 0:
                break
            kinds.append(Kind(copies, x * y, ((x, y), (y, x)) if x != y and chance.random() < 0.5 else ((x, y),)))
        gap = chance.choice((0, 0, 3))
        reach = chance.choice((99, max(length, width) - 2))
        yield Task((length, width), tuple(kinds), gap, reach, chance.choice((20, 10_000)), chance.choice((5, 10_000)))


@needs_library
def test_twins_take_the_same_steps_to_the_same_answers() -> None:
    """In portions of any length, on after every answer, until nothing is left to try."""
    met = set()
    for task in tasks():
        one, other = Search(task), Compiled(task)
        for waste in sorted({task.slack // share for share in (8, 2)}):
            one.begin(waste)
            other.begin(waste)
            state = GOING_ON
            while state in (GOING_ON, FOUND) and one.steps < 20_000:
                state = one.run(one.steps + 1_000)
                assert (state, one.steps) == (other.run(other.steps + 1_000), other.steps)
                met.add(state)
                if state == FOUND:
                    assert one.found() == other.found()
                    assert all(one.build(n) == other.build(n) for n, _ in one.found())
        other.close()
    assert met == {GOING_ON, FOUND, ENDED, FULL}


@needs_library
def test_refused_memory_is_said_and_proves_nothing() -> None:
    """Wherever memory is refused there is no answer, and nothing is excluded; with memory there is one."""
    asked = of((9, 8), [(5, 4), (4, 5), (4, 3), (3, 4), (2, 2)])
    refused = 0
    try:
        for allocations in range(500):
            grant(allocations)
            fit = on_nearly_full_plate(asked)
            if fit.excluded or fit.filled:
                break
            refused += 1
    finally:
        grant(None)
    assert 10 < refused < 499
