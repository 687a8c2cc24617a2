"""The best pattern of one plate, against enumeration of tiny plates, planted patterns and published optima."""

from __future__ import annotations

import functools
import itertools
import random
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from stripplan import kernel
from stripplan.layout.grid import Grid
from stripplan.layout.problem import Stock
from stripplan.layout.single_plate import dp_tables as tables
from stripplan.layout.single_plate.bounded import best_bounded, fit_all
from stripplan.layout.single_plate.lagrange import priced_tables
from stripplan.layout.single_plate.plate import ItemView, StockView, counted, faults, plate_of, worth
from stripplan.layout.single_plate.raster import raster, sums
from stripplan.layout.single_plate.unbounded import grounds, table, value_bound, work
from stripplan.model.cut_rules import CutRules
from stripplan.model.plate import Plate
from tests.checking import few
from tests.layout.single_plate.unbounded_best import best_unbounded

Counts = tuple[int, ...]


class Enumerator:
    """Every legal pattern of a tiny plate, by trying each cut at each whole place; shares no code with the engines."""

    def __init__(self, plate: StockView, shapes: list[ItemView], most: list[int]) -> None:
        self.plate, self.shapes, self.most = plate, shapes, most
        self.sets = functools.cache(self._sets)

    def best(self) -> int:
        """Value of the best pattern; 0 = nothing can be cut."""
        found = self.sets(self.plate.length, self.plate.width, self.plate.depth, None)
        return max((sum(n * s.value for n, s in zip(c, self.shapes, strict=True)) for c in found), default=0)

    def _sets(self, length: int, width: int, stages: int | None, came_by: str | None) -> frozenset[Counts]:
        """What sets of items a piece can be cut into; a piece without any is waste and not among them."""
        found = set()
        for number, shape in enumerate(self.shapes):
            if self.most[number] and any((x, y) == (length, width) for x, y, _ in shape.ways):
                found.add(tuple(int(n == number) for n in range(len(self.shapes))))
        for cut, size, travel in (("across", length, width), ("along", width, length)):
            left = None if stages is None else stages - (cut != came_by)
            if (left is not None and left < 0) or (self.plate.longest is not None and travel > self.plate.longest):
                continue
            for first in range(1, size):
                rest = size - first - self.plate.kerf
                if rest + self.plate.kerf <= 0:
                    continue
                found |= set(self._both(self._part(first, travel, cut, left), self._part(rest, travel, cut, left)))
        return frozenset(found)

    def _part(self, size: int, travel: int, cut: str, left: int | None) -> set[Counts | None]:
        """Sets of a piece beside a cut; None = it may be left as waste."""
        found: set[Counts | None] = set()
        if size > 0:
            sides = (size, travel) if cut == "across" else (travel, size)
            found |= self.sets(*sides, left, cut)
        if size + self.plate.kerf >= self.plate.gap:
            found.add(None)
        return found

    def _both(self, some: set[Counts | None], others: set[Counts | None]) -> Iterator[Counts]:
        for one in some:
            for other in others:
                if one is None or other is None:
                    only = one or other
                    if only is not None:
                        yield only
                    continue
                together = tuple(a + b for a, b in zip(one, other, strict=True))
                if all(n <= most for n, most in zip(together, self.most, strict=True)):
                    yield together


def random_case(seed: int, limits: str) -> tuple[StockView, list[ItemView]]:
    """A plate of at most 11 x 9 with up to three shapes; `limits` names the rules that bind."""
    chance = random.Random(f"{limits} {seed}")
    length, width = chance.randint(4, 11), chance.randint(3, 9)
    kerf = chance.randint(0, 2)
    plate = StockView(
        length,
        width,
        kerf,
        longest=chance.randint(3, 9) if "longest" in limits else None,
        gap=kerf + chance.randint(1, 3) if "gap" in limits else 0,
        depth=chance.randint(1, 3) if "depth" in limits else None,
    )
    shapes = []
    for _ in range(chance.randint(1, 3)):
        x, y = chance.randint(1 + (kerf == 0), 5), chance.randint(1 + (kerf == 0), 5)
        turned = [(y, x, True)] if chance.random() < 0.5 and x != y else []
        shapes.append(ItemView(((x, y, False), *turned), chance.randint(1, 9) + x * y, chance.randint(1, 3)))
    return plate, shapes


LIMITS = ["none", "gap", "longest", "depth", "gap longest", "gap depth", "longest depth", "gap longest depth"]


@pytest.mark.parametrize("limits", LIMITS)
@pytest.mark.parametrize("seed", few(5, range(12)))
def test_unbounded_is_the_best_of_all_patterns(limits: str, seed: int) -> None:
    """The value is that of the best of all legal patterns, the pattern is legal and worth it, the bare bound holds."""
    plate, shapes = random_case(seed, limits)
    best = best_unbounded(plate, shapes)
    assert best.value == best_by_value(plate, shapes)
    assert faults(best.pattern, plate, shapes, bounded=False) == []
    assert worth(best.pattern, shapes) == best.value
    assert value_bound(plate, shapes) >= best.value


def best_by_value(plate: StockView, shapes: list[ItemView]) -> int:
    """Best value where each shape may be had as often as one likes: the enumerator with values in place of sets."""

    @functools.cache
    def value(length: int, width: int, stages: int | None, came_by: str | None) -> int | None:
        found = [s.value for s in shapes if any((x, y) == (length, width) for x, y, _ in s.ways)]
        for cut, size, travel in (("across", length, width), ("along", width, length)):
            left = None if stages is None else stages - (cut != came_by)
            if (left is not None and left < 0) or (plate.longest is not None and travel > plate.longest):
                continue
            for first in range(1, size):
                halves = []
                for part in (first, size - first - plate.kerf):
                    sides = (part, travel) if cut == "across" else (travel, part)
                    halves.append((part, value(*sides, left, cut) if part > 0 else None))
                if all(made is not None or part + plate.kerf >= max(plate.gap, 1) for part, made in halves) and any(
                    made is not None for _, made in halves
                ):
                    found.append(sum(made or 0 for _, made in halves))
        return max(found, default=None)

    return value(plate.length, plate.width, plate.depth, None) or 0


@pytest.mark.parametrize("limits", LIMITS)
@pytest.mark.parametrize("seed", few(5, range(12)))
def test_bounded_is_the_best_of_all_patterns(limits: str, seed: int) -> None:
    """Value and bound enclose the best of all legal patterns; without limits on length and stages they meet in it."""
    plate, shapes = random_case(seed, limits)
    enumerated = Enumerator(plate, shapes, [shape.most or 0 for shape in shapes]).best()
    best = best_bounded(plate, shapes)
    assert best.value <= enumerated <= best.bound
    assert faults(best.pattern, plate, shapes) == []
    assert worth(best.pattern, shapes) == best.value
    if limits in ("none", "gap"):
        assert best.value == enumerated == best.bound


@pytest.mark.long
def test_bounded_is_nearly_always_exact_under_limits() -> None:
    """With greatest length and stages the search still proves its answer in most cases."""
    proven = [best_bounded(*random_case(seed, limits)).proven for limits in LIMITS[2:] for seed in range(12)]
    assert sum(proven) >= 0.75 * len(proven)


@pytest.mark.parametrize("seed", few(3, range(6)))
def test_all_items_fit_or_do_not(seed: int) -> None:
    """The answer to `do all fit` is that of enumeration, and decided."""
    plate, shapes = random_case(seed, "none")
    most = [shape.most or 0 for shape in shapes]
    answer = fit_all(plate, shapes)
    possible = Enumerator(plate, shapes, most).sets(plate.length, plate.width, None, None)
    assert answer.decided
    assert (answer.pattern is not None) == (tuple(most) in possible)
    if answer.pattern is not None:
        assert counted(answer.pattern) == {n: each for n, each in enumerate(most) if each}


def planted(length: int, width: int, pieces: int, kerf: int, chance: random.Random) -> list[tuple[int, int]]:
    """A plate cut at random into pieces that fill it, with kerfs between them."""
    done = [(length, width)]
    while len(done) < pieces:
        x, y = done.pop(done.index(max(done, key=lambda each: each[0] * each[1])))
        if x >= y:
            at = chance.randint(x // 4, x - x // 4 - kerf)
            done += [(at, y), (x - at - kerf, y)]
        else:
            at = chance.randint(y // 4, y - y // 4 - kerf)
            done += [(x, at), (x, y - at - kerf)]
    return done


@pytest.mark.parametrize("kerf", [0, 3])
@pytest.mark.parametrize("seed", range(3))
def test_planted_pattern_is_found_again(seed: int, kerf: int) -> None:
    """A plate cut into 14 pieces without waste is put together again, whether parts may turn or not."""
    sizes = planted(160, 120, 14, kerf, random.Random(seed))
    plate = StockView(160, 120, kerf)
    for turns in (False, True):
        shapes = [
            ItemView(((x, y, False), *([(y, x, True)] if turns and x != y else [])), (x + kerf) * (y + kerf), 1)
            for x, y in sizes
        ]
        answer = fit_all(plate, shapes)
        assert answer.pattern is not None
        assert faults(answer.pattern, plate, shapes) == []
        assert len(counted(answer.pattern)) == 14
    assert best_unbounded(plate, shapes).value == 163 * 123 if kerf else 160 * 120


def test_forty_nine_pieces_make_a_whole_plate() -> None:
    """49 pieces cut from one plate at random are put together again without waste."""
    sizes = planted(400, 300, 49, 2, random.Random(5))
    plate = StockView(400, 300, 2)
    shapes = [ItemView(((x, y, False),), 1, 1) for x, y in sizes]
    answer = fit_all(plate, shapes)
    assert answer.pattern is not None
    assert faults(answer.pattern, plate, shapes) == []
    assert len(counted(answer.pattern)) == 49


def test_pinwheel_cannot_be_cut() -> None:
    """Four pieces round a middle one fill a square, but no straight cut divides them: decided, no pattern."""
    shapes = [ItemView(((3, 2, False), (2, 3, True)), 1, 4), ItemView(((1, 1, False),), 1, 1)]
    answer = fit_all(StockView(5, 5), shapes)
    assert (answer.pattern, answer.decided) == (None, True)
    assert fit_all(StockView(3, 3), [ItemView(((3, 1, False),), 1, 3)]).pattern is not None


def test_one_unit_less_and_the_planted_pattern_is_gone() -> None:
    """On a plate one unit narrower the same pieces provably do not fit."""
    sizes = planted(160, 120, 14, 3, random.Random(0))
    shapes = [ItemView(((x, y, False),), 1, 1) for x, y in sizes]
    assert fit_all(StockView(160, 120, 3), shapes).pattern is not None
    answer = fit_all(StockView(160, 119, 3), shapes)
    assert (answer.pattern, answer.decided) == (None, True)


HERZ = (StockView(127, 98), [(21, 13), (36, 17), (54, 20), (24, 27), (18, 65)])


def shapes_of(sizes: list[tuple[int, int]], *, scale: int = 1, kerf: int = 0) -> list[ItemView]:
    """Shapes worth their area before scaling, not to be turned."""
    return [ItemView(((scale * x - kerf, scale * y - kerf, False),), x * y) for x, y in sizes]


@pytest.mark.parametrize("kerf", [0, 3])
def test_published_unbounded_optimum(kerf: int) -> None:
    """J. C. Herz, IBM J. R&D 16 (1972) 462-469: 12348 of 12446; with a kerf, all sizes scaled, the same."""
    plate, sizes = HERZ
    scale = 1 if kerf == 0 else 4
    scaled = StockView(scale * plate.length - kerf, scale * plate.width - kerf, kerf)
    shapes = shapes_of(sizes, scale=scale, kerf=kerf)
    best = best_unbounded(scaled, shapes)
    assert best.value == 12348
    assert faults(best.pattern, scaled, shapes) == []


def test_published_bounded_optima() -> None:
    """N. Christofides, C. Whitlock, OR 25 (1977) 30-44: 244 and 1860 are the best of their first and third problem."""
    first = [(8, 4, 2, 66), (3, 7, 1, 35), (8, 2, 3, 24), (3, 4, 5, 17), (3, 3, 2, 11), (3, 2, 2, 8), (2, 1, 1, 2)]
    best = best_bounded(StockView(15, 10), [ItemView(((x, y, False),), value, most) for x, y, most, value in first])
    assert (best.value, best.proven) == (244, True)
    third = [
        (31, 43, 4, 500), (30, 41, 2, 480), (29, 39, 4, 460), (28, 38, 4, 440), (27, 37, 3, 420), (26, 36, 4, 410),
        (25, 35, 3, 400), (24, 34, 4, 380), (33, 23, 4, 360), (22, 32, 3, 340), (31, 21, 3, 320), (29, 18, 3, 300),
        (17, 27, 2, 280), (15, 24, 3, 240), (16, 25, 4, 260), (23, 14, 4, 220), (21, 12, 3, 180),
        (19, 11, 4, 160), (9, 17, 1, 140),
    ]  # fmt: skip
    best = best_bounded(StockView(40, 70), [ItemView(((x, y, False),), value, most) for x, y, most, value in third])
    assert (best.value, best.proven) == (1860, True)


def test_stopped_search_keeps_value_and_bound() -> None:
    """A search stopped at once still answers with a legal pattern and a bound above it; more steps never do worse."""
    sizes = planted(160, 120, 10, 3, random.Random(1))
    plate = StockView(160, 110, 3)
    shapes = [ItemView(((x, y, False),), x * y, 1) for x, y in sizes]
    answers = [best_bounded(plate, shapes, steps=steps) for steps in (0, 5, 50, 50_000)]
    assert answers[-1].proven
    for one, other in itertools.pairwise(answers):
        assert one.value <= other.value <= answers[-1].value <= other.bound <= one.bound
        assert faults(one.pattern, plate, shapes) == []
    at_once = best_bounded(plate, shapes, out_of_time=lambda: True)
    assert at_once.value <= answers[-1].value <= at_once.bound


def test_compiled_tables_are_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """Compiled or not, every entry of every table is the same, and so is the pattern."""
    assert kernel.available(), "no C compiler here: install one to compare the two"
    for limits in LIMITS:
        plate, shapes = random_case(3, limits)
        values = [shape.value for shape in shapes]
        answers = []
        for compiled in (False, True):
            monkeypatch.setattr(tables, "available", lambda compiled=compiled: compiled)
            made = table(grounds(plate, shapes), values)
            answers.append((made.stages, best_unbounded(plate, shapes), best_bounded(plate, shapes)))
        for plain, quick in zip(answers[0][0], answers[1][0], strict=True):
            assert all((a == b).all() for a, b in zip(plain, quick, strict=True))
        assert answers[0][1:] == answers[1][1:]


def test_round_a_build_no_pattern_is_worth_more() -> None:
    """The bound of a build is at least the value of the best pattern that holds it,
    and for nothing built the plate's.
    """
    plate, shapes = random_case(1, "none")
    most = [shape.most or 0 for shape in shapes]
    priced = priced_tables(plate, shapes, most, 0, lambda: False)
    for item, shape in enumerate(shapes):
        for x, y, _ in shape.ways:
            column = [x + plate.kerf, 0, y + plate.kerf, 0, shape.value, 0, 0, *priced.worths(item)]
            held = best_bounded(plate, shapes)
            if counted(held.pattern)[item]:
                assert priced.bounds(np.array([column]).T)[0] >= held.value


def test_coarser_bound_holds_and_too_fine_is_told() -> None:
    """With little work allowed the bound is coarser, never too low; where nothing is coarse enough it says so."""
    plate, sizes = HERZ
    shapes = shapes_of(sizes)
    assert work(plate, shapes) > 2000
    assert value_bound(plate, shapes) == 12348
    assert value_bound(plate, shapes, most_work=2000) >= 12348
    with pytest.raises(ValueError, match="coarser unit"):
        value_bound(plate, shapes, most_work=1)


def test_points() -> None:
    """Sums and raster points by hand: sizes 3 and 5 on 11; a 5 leaves 6, which holds two 3, so 5 is raster;
    8 leaves 3.
    """
    assert sums([3, 5], 11).tolist() == [0, 3, 5, 6, 8, 9, 10, 11]
    assert raster(sums([3, 5], 7), 7).tolist() == [0, 3, 6]


def test_a_stock_is_seen_as_one_plate_with_its_limits() -> None:
    """Kerf, narrowest offcut, longest cut and bed of a stock, in units; a limit that binds nothing is none."""


def test_stock_becomes_one_plate() -> None:
    """Kerf and narrowest offcut make the gap; the shorter of stroke and bed is the longest cut, in whole units."""
    rules = CutRules(
        kerf=2.0,
        longest_one_pass=700.0,
        longest_two_pass=1300.0,
        narrowest_offcut=20.0,
        fence_min=10.0,
        fence_max=900.0,
        marked=True,
        bed_length=1250.3,
    )
    stock = Stock(0, Plate(name="sheet", length=2000, width=1000), rules, 1.0, grid=Grid(Fraction(1, 2)))
    plate = plate_of(stock, depth=3)
    assert plate == StockView(4000, 2000, 4, longest=2500, gap=44, depth=3)
    assert not plate.free
    short = Plate(name="short", length=1200, width=1000)
    shorter = plate_of(replace(stock, plate=short, rules=replace(rules, narrowest_offcut=0.0)))
    assert shorter == StockView(2400, 2000, 4)
    assert shorter.free
