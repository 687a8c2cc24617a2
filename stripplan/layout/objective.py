"""What a layout costs in plate and hands together, as the search sees it: plates, minutes at the rig, offcuts kept.

Problem. The minutes of a layout are known only once its cuts are in an order, and that takes a thousand times as long
as a search can wait. Wanted is a figure that ranks layouts of one job as their true minutes do.

Method. What an order can no longer change is counted, in the seconds of the rig itself: each cut with its length, each
piece that is put aside and fetched again to be cut on, each push of what lies there to the fence, by mass. What an
order shares out is counted once where it can be shared: a fence setting for each different reading in the whole job,
an end stop and its dry run for each different length of cut on a plate, as far as one stop cannot serve both.

Not exact: an estimate, held against the order engine by `tests/benchmarks/minutes_estimate.py`; no bound and no proof
rests on it. Cost: one walk over the trees. The same sum in C steers the search (`kernel/ruin_recreate.c`,
`plates_total`); a test compares the two.

All costs are in ticks, thousandths of a second at the rig: money is turned into time by the price of a minute, so that
sums are whole numbers in one currency. Lengths are in units of the problem's grid.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from stripplan.layout.feasible import ANY
from stripplan.layout.problem import Problem, Stock
from stripplan.layout.tree import FilledStock, Tree

TICKS = 1000
"""Ticks in a second."""
ODD, SPOILT = 1.5, 2.5
"""Marks that a last piece may be off by and still be of class c, about; beyond, it counts as one that is made again, so
many times what one mark counts: ten minutes.
"""
TIE = 1e-6
"""A size so near to halfway between two marks, as a share of their distance, counts as halfway: the upper is read."""


@dataclass(frozen=True, kw_only=True)
class HandTimes:
    """What one rig takes for the plates of one stock [s, mm, mm2, s/mm, s/mm2]; made by whoever knows the rig.

    `cut`: each cut whatever its length, what comes off cleared away; `per_length`: arc, way home and scraping, to the
    length of the cut. `aside`: fetching and turning a piece that was put aside, `push`: pushing up what lies there;
    both more by `per_area` with the area of the piece, as its mass, and times `two_person` beyond the area `heavy`.
    `over`: turning a piece over between the passes of a cut that is too long for one, so moved as well. `setting`: a
    fence setting. `stop`: an end stop, and `stop_per_length` for its dry run; stops that differ by no more
    than `stop_span` are one.

    In a row that leaves nothing over the last piece takes what the marks of the fence are off by: `uneven` for one
    distance of marks, by the square, or a setting for each cut, read off so that errors do not add up. `mark` is that
    distance, `zero` what is added to a width before it is looked up. `unmeasured`: where the row is as long or as wide
    as the plate, whose size is not known so well.
    """

    cut: float
    per_length: float
    aside: float
    push: float
    over: float
    per_area: float
    heavy: float
    two_person: float
    setting: float
    stop: float
    stop_per_length: float
    stop_span: float
    uneven: float
    unmeasured: float
    mark: float
    zero: float


@dataclass(frozen=True)
class StockTerms:
    """The terms of one stock in ticks and units, kerfs counted as the search does; field by field as in the kernel.

    `plate` is the price of a plate and what it takes before its first cut that serves a part. `worth` and `worth_other`
    are ticks for a square unit of the largest offcut of a plate and of its others.
    """

    plate: int
    cut: int
    aside: int
    push: int
    stop: int
    stop_span: int
    heavy: int
    uneven: int
    unmeasured: int
    per_length: float
    per_area: float
    two_person: float
    stop_per_length: float
    worth: float
    worth_other: float
    mark: float
    zero: float
    over: int = 0
    one_pass: int = ANY


@dataclass(frozen=True)
class Objective:
    """Terms by stock, ticks of a fence setting, least sides of an offcut worth keeping (shorter, longer), kerfs."""

    terms: tuple[StockTerms, ...]
    setting: int
    keep: tuple[int, int]
    kerfs: tuple[int, ...]

    def total(self, filled: Sequence[FilledStock]) -> int:
        """Ticks of plates and hands together, less what the offcuts are worth."""
        return sum(map(self.of_plate, filled)) + self.setting * len(self.readings(filled))

    def readings(self, filled: Sequence[FilledStock]) -> frozenset[int]:
        """The widths that the fence is set for in all plates, each once."""
        return frozenset(size for each in filled for size in _readings(each.tree))

    def more_hands(self, stock: int, readings: frozenset[int], e: int, c: int, a: int, b: int, option: int) -> float:
        """What the hands do more for a part of a x b in a free rectangle of e x c, kerfs with all of them [ticks].

        The cuts, what is put aside, a reading that is not among `readings`; and the metal left in the lesser of the two
        rests, as a part has most use of the other. `option` as in `placing.score_of`.
        """
        terms, kerf = self.terms[stock], self.kerfs[stock]
        one, of_one, first, two, of_two, second = (a, e, c, b, c, a) if option == 1 else (b, c, e, a, e, b)
        score = 0.0
        if one < of_one:
            score += terms.cut + first * terms.per_length
            if one - kerf not in readings:
                score += self.setting
        if two < of_two:
            score += terms.cut + terms.aside + second * terms.per_length
            if two - kerf not in readings:
                score += self.setting
        if option == 2:
            score += terms.aside
        return score + min(float((of_one - one) * first), float((of_two - two) * second)) * terms.worth

    def with_stocks(self, chosen: Sequence[int]) -> Objective:
        """The same where there are only these stocks (by number)."""
        terms, kerfs = self.terms, self.kerfs
        return replace(self, terms=tuple(terms[n] for n in chosen), kerfs=tuple(kerfs[n] for n in chosen))

    def of_plate(self, each: FilledStock) -> int:
        """Ticks of one plate by itself: all but the fence settings, which plates share."""
        terms, kerf = self.terms[each.stock], self.kerfs[each.stock]
        ticks, stops = terms.plate, set[int]()
        for node, inner in _cut_up(each.tree):
            assert node.cut is not None
            ticks += _of_node(node, inner, terms, kerf)
            if node.left is None:
                ticks += self._last_piece(node, each.tree, terms)
            stops.add(node.travel(node.cut))
        ticks += sum(terms.stop + int(longest * terms.stop_per_length) for longest in _merged(stops, terms.stop_span))
        return ticks - self._worth(each.tree, terms)

    def _last_piece(self, node: Tree, plate: Tree, terms: StockTerms) -> int:
        """Ticks for a row that leaves nothing over."""
        assert node.cut is not None
        off = 0.0
        for child in node.children:
            off += _mark_error(child.across(node.cut), terms)
        each = float((len(node.children) - 1) * (self.setting + terms.uneven // 16))
        whole = node.across(node.cut) == plate.across(node.cut)
        loss = terms.uneven * off * off
        loss = terms.uneven * SPOILT if abs(off) > ODD else min(loss, each)
        return int(loss) + (terms.unmeasured if whole else 0)

    def _worth(self, tree: Tree, terms: StockTerms) -> int:
        """Ticks that the offcuts of a plate are worth."""
        areas = [free.length * free.width for free in tree.free() if self._kept(free)]
        if not areas:
            return 0
        return int(max(areas) * terms.worth) + int((sum(areas) - max(areas)) * terms.worth_other)

    def _kept(self, free: Tree) -> bool:
        short, long = sorted((free.length, free.width))
        return short >= self.keep[0] and long >= self.keep[1]


def _cut_up(tree: Tree, inner: bool = False) -> Iterator[tuple[Tree, bool]]:
    """Every node that is cut, and whether it was put aside before."""
    if tree.cut is not None:
        yield tree, inner
        for child in tree.children:
            yield from _cut_up(child, inner=True)


def _of_node(node: Tree, inner: bool, terms: StockTerms, kerf: int) -> int:
    """Ticks of the cuts of one node, and of fetching it where it was put aside."""
    assert node.cut is not None
    travel, there = node.travel(node.cut), node.across(node.cut)
    ticks = _handled(terms, terms.aside, travel * there) if inner else 0
    for count, (_, rest) in enumerate(node.cuts(kerf)):
        if count:  # the first cut finds the piece as it was fetched
            ticks += _handled(terms, terms.push, travel * there)
        ticks += terms.cut + int(travel * terms.per_length)
        if travel > terms.one_pass:
            ticks += terms.cut + _handled(terms, terms.over, travel * there)
        there = rest
    return ticks


def _mark_error(size: int, terms: StockTerms) -> float:
    """What the nearest mark of the fence is off by, as a share of the distance of marks."""
    at = (size + terms.zero) / terms.mark
    return math.floor(at + 0.5 + TIE) - at


def _handled(terms: StockTerms, base: int, area: int) -> int:
    """Ticks to move a piece of an area: more by its mass, more again for two people."""
    alone = base + int(area * terms.per_area)
    return int(alone * terms.two_person) if area > terms.heavy else alone


def _readings(tree: Tree) -> Iterator[int]:
    """Widths that the fence is set for; of a row that leaves nothing over the widest piece is what is left."""
    for node, _ in _cut_up(tree):
        assert node.cut is not None
        sizes = [child.across(node.cut) for child in node.children]
        if node.left is None:
            sizes.remove(max(sizes))
        yield from sizes


def _merged(stops: set[int], span: int) -> Iterator[int]:
    """The longest of each group of stops that one serves."""
    longest: int | None = None
    for stop in sorted(stops, reverse=True):
        if longest is None or longest - stop > span:
            longest = stop
            yield stop


def objective_of(
    problem: Problem,
    times: Sequence[HandTimes],
    values: Sequence[float],
    *,
    minute: float,
    share: float,
    share_of_others: float,
) -> Objective:
    """The objective of a problem: hand times and what a plate is worth by stock, what a minute is worth, which share of
    its price by area an offcut is: the largest of its plate, and the others.

    Raises ValueError where a minute costs nothing: then plates alone count, and there is no total.
    """
    if not minute > 0:
        raise ValueError(f"a minute costs {minute}: it must be above 0")
    unit, ticks = float(problem.grid.unit), 60 * TICKS / minute
    terms = []
    for stock, each, value in zip(problem.stocks, times, values, strict=True):
        worth = value * ticks / (stock.full[0] * stock.full[1])
        terms.append(
            StockTerms(
                plate=round(value * ticks) + _before_first_cut(stock, each, unit),
                cut=round(TICKS * each.cut),
                aside=round(TICKS * each.aside),
                push=round(TICKS * each.push),
                stop=round(TICKS * each.stop),
                stop_span=int(each.stop_span / unit),
                heavy=int(each.heavy / unit**2),
                per_length=TICKS * each.per_length * unit,
                per_area=TICKS * each.per_area * unit**2,
                two_person=each.two_person,
                stop_per_length=TICKS * each.stop_per_length * unit,
                uneven=round(TICKS * each.uneven),
                unmeasured=0 if stock.plate.measured else round(TICKS * each.unmeasured),
                mark=each.mark / unit,
                zero=each.zero / unit,
                over=round(TICKS * each.over),
                one_pass=stock.limits.one_pass,
                worth=share * worth,
                worth_other=share_of_others * worth,
            )
        )
    setting = round(TICKS * max((each.setting for each in times), default=0.0))
    return Objective(tuple(terms), setting, problem.keep, tuple(stock.kerf for stock in problem.stocks))


def _before_first_cut(stock: Stock, times: HandTimes, unit: float) -> int:
    """Ticks for fetching a plate and trimming its mill edges."""
    length, width = (side * unit for side in stock.full)
    area = length * width
    for_two = times.two_person if area > times.heavy else 1.0
    fetch = (times.aside + times.per_area * area) * for_two
    push = (times.push + times.per_area * area) * for_two  # for each trim the whole plate comes to the fence anew
    along, across = (sum(trim > 0 for trim in stock.trims[n::2]) for n in (0, 1))
    trims = (along + across) * (times.cut + push) + (along * length + across * width) * times.per_length
    return round(TICKS * (fetch + trims))
