"""The way into layout: a problem to patterns with their bound. Engines come in here, behind `lay_out`.

Strips alone are one problem, rectangles another; both end with the same search for a better offcut. Why two: where all
parts run the whole length only widths matter, and one dimension is mostly solved with proof, which no search gives.
The offcut comes last in both because it is the lesser goal: plates are settled before metal is moved about on them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from stripplan.layout.bounds.material import LayoutBound, material_bound, tightened
from stripplan.layout.objective import Objective
from stripplan.layout.portfolio import Forms, Portfolio, Report
from stripplan.layout.problem import Problem
from stripplan.layout.rectangles.beginnings import Candidate
from stripplan.layout.rectangles.leftover import Gathered, gather
from stripplan.layout.rectangles.search import default_steps, strips_as_tree
from stripplan.layout.rectangles.total_search import few_enough, search_by_total
from stripplan.layout.stock_choices import FormKey
from stripplan.layout.stop_rule import Clock
from stripplan.layout.strips.branch_and_price import solve_strips
from stripplan.layout.strips.columns import StripWorld
from stripplan.layout.strips.fewest_patterns import fewest_patterns
from stripplan.layout.to_pattern import PatternMaker
from stripplan.layout.tree import FilledStock
from stripplan.model.effort import Effort
from stripplan.model.part import Part
from stripplan.model.pattern import Pattern
from stripplan.model.rack.offcut import offcut_value

OF_FURTHER = 3
"""The best layouts by each further objective that are handed on: each is put in order once more. Chosen, not tuned."""


@dataclass(frozen=True)
class Layout:
    """Patterns of one problem, how many of each item (by number) found no place, the bound, steps done.

    Alike plates are one pattern with a count: each is set out, and a setup sheet drawn, once. `others` are layouts that
    may cost as little in plate and hands together, the likeliest first: which does is known once their cuts are in
    order.
    """

    patterns: list[Pattern]
    short: dict[int, int]
    bound: LayoutBound
    steps: int
    others: tuple[list[Pattern], ...] = ()


def lay_out(
    problem: Problem,
    parts: Sequence[Part],
    *,
    effort: Effort,
    out_of_time: Clock,
    weights: Mapping[str, float] | None = None,
    report: Report = lambda _cost, _bound: None,
    objective: Objective | None = None,
    instead: Objective | None = None,
    further: Sequence[Objective] = (),
    hasty: bool = False,
    heard: Callable[[Callable[[], list[Pattern]]], None] | None = None,
) -> Layout:
    """The layout found for a problem that costs least in plate and hands together, as the `objective` has it.

    Without an objective: the cheapest plates, and of equally cheap ones those with the most valuable offcut. Where the
    bound leaves room for cheaper ones these are looked for by total as well, as `instead` has it: that finds plates
    nearly full which no search for plates alone comes to. `further`
    objectives are searched by after that, for layouts that others would choose: the best of each are among the others,
    and so are the cheapest plates, as they were found and with what is left gathered.
    `parts` are the job's parts, by index; `weights` say what an offcut is worth (see `model.rack.offcut`); `report`
    hears of the cost and its bound whenever either is better. `hasty`: something to look at is wanted, and simpler
    forms are not begun with. `heard` is called now and then in the search by total, with what gives the best patterns
    so far.

    Items that find no place are no error here: whether they cannot be made, or only were not found a place, is asked
    afterwards and of each by itself (`unplaced`). Cost: that of the engines, and a quarter of the steps once more for
    the offcut. Strips whose cuts can be located in one order alone go to the engines for rectangles, whose plates keep
    an order; the one for strips counts strips and knows none.
    """
    maker = PatternMaker(problem, parts)
    # What is left is gathered by the search by total too, where it is worth the hands.
    tell = None if heard is None else (lambda filled: heard(lambda: maker.of_filled(filled)))
    gathering = _Gathering(problem, effort, out_of_time, weights or {}, report, objective is None, hasty, tell)
    solve = _strips if problem.strips_only and _any_order_works(problem) else _rectangles
    forms: Forms = "all" if objective is not None else "none" if instead is None else "unless_met"
    found = solve(problem, maker, gathering, forms if few_enough(problem) else "none")
    if found.layout.short:
        return found.layout
    if objective is None and instead is not None:
        found = _nearly_full(found, problem, maker, instead, gathering)
    layout, filled = found.layout, found.filled
    wide = bool(further)
    taken = layout if objective is None else _by_total(found, problem, maker, objective, gathering, wide=wide)
    if not wide:
        return taken
    return _with_further(taken, layout.patterns, filled, problem, maker, further, gathering)


@dataclass(frozen=True)
class _Cheapest:
    """The cheapest plates as a layout and as trees; `of_forms` as in `portfolio.PortfolioAnswer`."""

    layout: Layout
    filled: Sequence[FilledStock]
    of_forms: Mapping[FormKey, Sequence[FilledStock]] = field(default_factory=dict)


def _nearly_full(
    found: _Cheapest, problem: Problem, maker: PatternMaker, objective: Objective, gathering: _Gathering
) -> _Cheapest:
    """Cheaper plates than those found, where the bound leaves room and the search by total finds some."""
    cost = problem.cost_of(found.filled)
    if cost <= found.layout.bound.cost or not few_enough(problem):
        return found
    candidates, steps = _searched(
        problem, objective, found.filled, gathering, of_forms=found.of_forms, most=None, wide=True
    )
    layout = replace(found.layout, steps=found.layout.steps + steps)
    cheapest = min((each.filled for each in candidates), key=problem.cost_of, default=())
    if not cheapest or problem.cost_of(cheapest) >= cost:
        return replace(found, layout=layout)
    gathered = gathering.of(cheapest)
    patterns = maker.of_filled(gathered.filled)
    return replace(
        found, layout=replace(layout, patterns=patterns, steps=layout.steps + gathered.steps), filled=gathered.filled
    )


def _by_total(
    cheapest: _Cheapest,
    problem: Problem,
    maker: PatternMaker,
    objective: Objective,
    gathering: _Gathering,
    *,
    wide: bool,
) -> Layout:
    """The cheapest of plate and hands together, and others that may be as cheap; `wide`: and from other plates."""
    layout, filled = cheapest.layout, cheapest.filled
    candidates, steps = _searched(
        problem, objective, filled, gathering, of_forms=cheapest.of_forms, most=None, wide=wide
    )
    found = [layout.patterns if each.filled == tuple(filled) else maker.of_filled(each.filled) for each in candidates]
    if not found:
        return layout
    return replace(layout, patterns=found[0], others=tuple(found[1:]), steps=layout.steps + steps)


def _with_further(
    layout: Layout,
    cheapest: list[Pattern],
    filled: Sequence[FilledStock],
    problem: Problem,
    maker: PatternMaker,
    further: Sequence[Objective],
    gathering: _Gathering,
) -> Layout:
    """The layout with more others: the `cheapest` plates, these with what is left gathered, the best by `further`."""
    found, steps = [layout.patterns, *layout.others, cheapest], layout.steps
    if not gathering.wanted:  # else the cheapest plates are gathered as they are
        gathered = replace(gathering, wanted=True).of(filled)
        steps += gathered.steps
        found += [maker.of_filled(gathered.filled)] if gathered.better else []
    for objective in further:
        candidates, done = _searched(problem, objective, filled, gathering, most=OF_FURTHER, wide=True)
        found += [maker.of_filled(each.filled) for each in candidates]
        steps += done
    others = [each for n, each in enumerate(found) if each not in found[:n]][1:]
    return replace(layout, others=tuple(others), steps=steps)


def _searched(
    problem: Problem,
    objective: Objective,
    filled: Sequence[FilledStock],
    gathering: _Gathering,
    *,
    of_forms: Mapping[FormKey, Sequence[FilledStock]] | None = None,
    most: int | None,
    wide: bool,
) -> tuple[list[Candidate], int]:
    """Layouts searched by an objective, with the effort of the job."""
    return search_by_total(
        problem,
        objective,
        filled,
        effort=gathering.effort,
        out_of_time=gathering.out_of_time,
        of_forms=of_forms,
        most=most,
        wide=wide,
        hasty=gathering.hasty,
        tell=gathering.tell,
    )


@dataclass(frozen=True)
class _Gathering:
    """Gathers what is left of plates into a better offcut; all that it needs but the plates, which differ each time."""

    problem: Problem
    effort: Effort
    out_of_time: Clock
    weights: Mapping[str, float]
    report: Report
    wanted: bool
    hasty: bool
    tell: Callable[[Sequence[FilledStock]], None] | None

    def of(self, filled: Sequence[FilledStock]) -> Gathered:
        """Plates with a better offcut; the plates as they are where the user asks for no search at all."""
        steps = default_steps(self.problem) if self.effort.steps is None else self.effort.steps
        if steps == 0 or not self.wanted:
            return Gathered(list(filled), False, 0)
        return gather(
            self.problem,
            filled,
            value=self._value,
            seed=self.effort.seed,
            # A quarter of what the plates themselves were given: an offcut is worth less than a plate. Set by trial,
            # not studied.
            steps=steps // 4,
            out_of_time=self.out_of_time,
        )

    def _value(self, length: float, width: float) -> float:
        """What an offcut of so many mm is worth; `keep` of the problem is in units, and comes back to mm here."""
        unit = float(self.problem.grid.unit)
        keep = (self.problem.keep[0] * unit, self.problem.keep[1] * unit)
        return offcut_value(length, width, keep, self.weights)


def _strips(problem: Problem, maker: PatternMaker, gathering: _Gathering, forms: Forms) -> _Cheapest:
    """Strips: fewest plates by branch and price, then as few different patterns as possible, then a better offcut.

    Fewer patterns come before the offcut: gathering ends that order, as its plates are made one by one.
    """
    # Known before the search: a plan that meets it needs no further branch.
    bound = material_bound(problem)
    world = StripWorld(problem)
    try:
        answer = solve_strips(
            world,
            steps=gathering.effort.steps,
            out_of_time=gathering.out_of_time,
            enough=bound.cost,
        )
    except ArithmeticError:  # the linear programme came to no end: strips are rectangles too
        return _rectangles(problem, maker, gathering, forms)
    bound = tightened(bound, problem, answer.bound, answer.how)
    short = {number: n for number, n in enumerate(answer.short) if n}
    uses = fewest_patterns(world, answer.uses, out_of_time=gathering.out_of_time)
    filled = [
        FilledStock(column.stock, strips_as_tree(problem, column.stock, column.counts))
        for column, n in uses
        for _ in range(n)
    ]
    found = gathering.of(filled)
    # Only a better offcut may undo the work on patterns; trees that gained nothing would be other patterns for nothing.
    if found.better:
        patterns = maker.of_filled(found.filled)
    else:
        patterns = maker.of_strips((column.stock, column.counts, n) for column, n in uses)
    return _Cheapest(Layout(patterns, short, bound, answer.steps + found.steps), found.filled)


def _rectangles(problem: Problem, maker: PatternMaker, gathering: _Gathering, forms: Forms) -> _Cheapest:
    """Rectangles: the portfolio, which gathers by itself after each better answer, so that stopping it loses none."""
    # Seconds to spend go to the search by total, where there is one: cheaper plates still come up there as well.
    effort = gathering.effort if gathering.wanted else replace(gathering.effort, seconds=None)
    portfolio = Portfolio(problem, effort, gathering.out_of_time, gathering.report)
    found = portfolio.run(gathering.of, forms)
    short = {number: found.short.count(number) for number in sorted(set(found.short))}
    layout = Layout(maker.of_filled(found.filled), short, found.bound, found.steps)
    return _Cheapest(layout, found.filled, found.of_forms)


def _any_order_works(problem: Problem) -> bool:
    """Whether any set of strips can be cut whatever their order: marked cuts allowed, or every strip in reach.

    In reach is every strip that may lie on the fence while it is cut off; nothing then depends on how much is still
    beside the torch, as there is no limit on that.
    """
    return all(
        stock.limits.far_max is None
        and (stock.limits.marked or all(stock.limits.reaches(y) for item in problem.items for _, y, _ in item.sizes[n]))
        for n, stock in enumerate(problem.stocks)
    )
