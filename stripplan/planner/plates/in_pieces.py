"""The layout of a group with plates that are cut across first, as their trims cannot be cut while they are whole.

Each rule for the lengths of the pieces is tried by quick forms alone; the one that takes the cheapest plates is then
searched in earnest, and once more with a plate less while a bound leaves room for it. Plates are counted whole
throughout, whatever the pieces cost by their share.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Protocol

from stripplan.layout import (
    RULES,
    AcrossFirst,
    Layout,
    LayoutBound,
    Rule,
    across_first,
)
from stripplan.model.pattern import Pattern
from stripplan.planner.search_control import Search
from stripplan.planner.settled import Group, Settled

FEWER = 3
"""How often a plate less is tried for by quick forms."""

Heard = Callable[[Callable[[], list[Pattern]]], None]
"""Hears that there is something better: the patterns of a group, for the asking."""


class Lay(Protocol):
    """Searches the layout of a group; `heard` as in `lay_out`."""

    def __call__(self, settled: Settled, group: Group, *, heard: Heard | None) -> Layout: ...


@dataclass(frozen=True)
class InPieces:
    """A job and a group with pieces in place of some plates: by the index of a piece, its plate and its size."""

    settled: Settled
    group: Group
    pieces: dict[int, tuple[AcrossFirst, int]]

    def whole(self, patterns: list[Pattern]) -> list[Pattern]:
        """The patterns with pieces put together to plates."""
        keep = self.settled.job.options.keep
        found = [each for each in patterns if each.plate not in self.pieces]
        filled: dict[int, dict[int, list[Pattern]]] = defaultdict(lambda: defaultdict(list))
        ways = {way.plate.index: way for way, _ in self.pieces.values()}
        for each in patterns:
            if each.plate in self.pieces:
                way, size = self.pieces[each.plate]
                filled[way.plate.index][size].append(each)
        for index, way in ways.items():
            found += way.joined(filled[index], keep)
        return found


def in_pieces(settled: Settled, group: Group, rule: Rule, most: int | None = None) -> InPieces | None:
    """The group with plates in pieces by a rule, `most` of each such plate; None where no plate is cut across first."""
    options = settled.job.options
    parts = [part for _, part in group.parts]
    plates, pieces, worth = [], dict[int, tuple[AcrossFirst, int]](), list(settled.worth.plates)
    for plate in group.plates:
        stock = plate.on(settled.grid)
        way = across_first(stock, rule, parts, options.depth) or across_first(stock, "even", parts, options.depth)
        if way is None:
            plates.append(plate)
            continue
        limit = min((each for each in (plate.limit, most) if each is not None), default=None)
        for size in way.counts:
            index = len(worth)
            plates.append(way.piece(plate, size, index, limit))
            worth.append(settled.worth.plates[plate.index] * way.share(size))
            pieces[index] = way, size
    if not pieces:
        return None
    # The cut across is one direction of the depth; what is cut from a piece has the others.
    depth = None if options.depth is None else options.depth - 1
    job = replace(settled.job, options=replace(options, depth=depth))
    changed = replace(settled, job=job, worth=replace(settled.worth, plates=tuple(worth)))
    return InPieces(changed, replace(group, plates=tuple(plates)), pieces)


def layout_in_pieces(
    settled: Settled, group: Group, lay: Lay, search: Search, heard: Heard | None = None
) -> Layout | None:
    """The layout of a group with plates that must be cut across first; None where there are none.

    Its bound is that of the plates as they are, and holds for all that can be cut from them.
    """
    usable = [plate.on(settled.grid).usable for plate in group.plates]
    if all(usable):
        return None
    options = settled.job.options
    bound = settled.bound_of(group)
    quick = replace(
        settled, job=replace(settled.job, options=replace(options, effort=replace(options.effort, steps=0)))
    )
    tried = [each for rule in RULES if (each := _by_rule(quick, group, rule, lay, bound)) is not None]
    if not tried:
        return None
    rule, layout = min(tried, key=lambda each: _rank(settled, each[1]))
    steps = sum(each.steps for _, each in tried)
    most = None if layout.short else _count(layout)
    while not search.over() and (most is None or most >= max(bound.plates, 1)):
        found = _laid(settled, group, rule, most, lay, heard)
        assert found is not None  # the rule served before
        steps += found.steps
        better = _rank(settled, found) <= _rank(settled, layout)
        layout = found if better else layout
        if found.short or most is None:
            break
        most = min(most, _count(found)) - 1
    as_they_are = lay(settled, group, heard=None) if any(usable) else None
    if as_they_are is not None:  # more stocks may lead a search astray
        steps += as_they_are.steps
        tried.append((rule, as_they_are))
        layout = min(layout, as_they_are, key=lambda each: _rank(settled, each))
    others = [] if options.aim == "plate" or layout.short else [each.patterns for _, each in tried if not each.short]
    others = [each for each in (*layout.others, *others) if each != layout.patterns]
    different = tuple(each for n, each in enumerate(others) if each not in others[:n])
    return replace(layout, bound=bound, steps=steps, others=different)


def _by_rule(settled: Settled, group: Group, rule: Rule, lay: Lay, bound: LayoutBound) -> tuple[Rule, Layout] | None:
    """The layout by a rule, with as few plates as a few more tries find."""
    layout = _laid(settled, group, rule, None, lay, None)
    if layout is None:
        return None
    for _ in range(FEWER):
        most = _count(layout) - 1
        if layout.short or most < max(bound.plates, 1):
            break
        fewer = _laid(settled, group, rule, most, lay, None)
        if fewer is None or _rank(settled, fewer) >= _rank(settled, layout):
            break
        layout = fewer
    return rule, layout


def _laid(settled: Settled, group: Group, rule: Rule, most: int | None, lay: Lay, heard: Heard | None) -> Layout | None:
    """The layout by a rule with at most so many of each plate in pieces, its plates whole again."""
    pieced = in_pieces(settled, group, rule, most)
    if pieced is None:
        return None
    whole = pieced.whole
    told: Heard | None = None if heard is None else (lambda patterns: heard(lambda: whole(patterns())))
    found = lay(pieced.settled, pieced.group, heard=told)
    return replace(found, patterns=whole(found.patterns), others=tuple(whole(each) for each in found.others))


def _count(layout: Layout) -> int:
    return sum(each.count for each in layout.patterns)


def _rank(settled: Settled, layout: Layout) -> tuple[int, float]:
    """Parts without a place, then what the plates cost."""
    return sum(layout.short.values()), sum(each.count * settled.plates[each.plate].cost for each in layout.patterns)
