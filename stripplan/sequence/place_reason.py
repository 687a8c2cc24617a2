"""Why a cut stands where it does: what it has from the cut before, and what its next best place would cost.

Problem. A person at the rig looks at an order and asks "why not that one first?". A search cannot say: it
never had a reason, it had a sum.

Method. The one cut is put in every other place that its makers, its takers and the person's wishes allow, all
others as they are, and the order is summed anew. The best other place and what it costs more is the answer;
where the order was not proven, that may be nothing.
Exact for this question, which is about one cut and not about the whole order. Cost: one sum of the order for
each place, so the square of the cuts at most.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stripplan.model.rig import Rig
from stripplan.sequence.bench import Bench
from stripplan.sequence.constraints import OrderConstraints
from stripplan.sequence.cut_options import BenchPiece, ChosenCut
from stripplan.sequence.cut_order import simulate

if TYPE_CHECKING:
    import networkx


@dataclass(frozen=True)
class PlaceReason:
    """Of one cut; cuts are counted from 0.

    `ready`: its piece lies on the bed, as the cut before has left it. `same_reading`, `same_stop`: as they
    stand. `waits_for` makes its piece; `waited_for` cut what it leaves. `elsewhere` is the best other place,
    straight after that cut (-1: first of all), and `longer` what the work would then take more [s]; None
    where there is no other place.
    """

    ready: bool
    same_reading: bool
    same_stop: bool
    waits_for: int | None
    waited_for: tuple[int, ...]
    elsewhere: int | None
    longer: float


def place_reasons(
    rig: Rig,
    roots: Sequence[BenchPiece],
    cuts: Sequence[ChosenCut],
    numbers: Sequence[int],
    *,
    weights: Mapping[str, float],
    constraints: OrderConstraints,
) -> list[PlaceReason]:
    """For each of these cuts of an order, by number, why it stands where it does.

    `numbers` count from 0 and may be any of the cuts, in any order; weights and constraints are those that the
    order was made with, or the answer would be about another question.
    """
    bench = Bench(rig, roots, weights, constraints=constraints)
    tree = tree_of_cuts(cuts)
    held = tree.copy()
    held.add_edges_from(constraints.precedences(cuts))
    return [place_reason(bench, cuts, number, tree, held) for number in numbers]


def tree_of_cuts(cuts: Sequence[ChosenCut]) -> networkx.DiGraph:
    """Cuts by number, with an edge from the cut that makes a piece to the one that cuts it: a tree for each plate."""
    import networkx

    makers = {(cut.plate, id(each)): n for n, cut in enumerate(cuts) for each in (cut.option.right, cut.option.left)}
    tree = networkx.DiGraph()
    tree.add_nodes_from(range(len(cuts)))
    made = ((makers.get((cut.plate, id(cut.piece))), n) for n, cut in enumerate(cuts))
    tree.add_edges_from((maker, n) for maker, n in made if maker is not None)
    return tree


def place_reason(
    bench: Bench, cuts: Sequence[ChosenCut], number: int, tree: networkx.DiGraph, held: networkx.DiGraph
) -> PlaceReason:
    """Why cut `number` of an order is there; all other cuts stay as they are, in their order.

    `tree` is that of the cuts; `held` has an edge for each pair that must stay in its order, those of the
    tree and those that the person asked for.
    """
    # Seconds with weights and with what sizes are worth, as the search had them: plain minutes might say that a
    # place is better which the person has asked to avoid.
    base = simulate(bench, list(cuts))
    made = base.changes[number]
    cut = cuts[number]
    # Between all that must come before it and all that must come after: no other cut moves, so its own edges
    # are enough.
    first = max(held.predecessors(number), default=-1) + 1
    last = min(held.successors(number), default=len(cuts)) - 1
    others = [*cuts[:number], *cuts[number + 1 :]]
    best: tuple[float, int] | None = None
    for place in range(first, last + 1):
        if place == number:
            continue
        longer = simulate(bench, [*others[:place], cut, *others[place:]]).seconds - base.seconds
        if best is None or longer < best[0] - 1e-9:
            best = longer, place
    follows = None if best is None else best[1] - 1 if best[1] <= number else best[1]
    return PlaceReason(
        ready=number > 0 and not made.fetch,
        same_reading=number > 0 and not made.fence and cut.option.located == "fence",
        same_stop=number > 0 and not made.end_stop,
        waits_for=next(tree.predecessors(number), None),
        waited_for=tuple(sorted(tree.successors(number))),
        elsewhere=follows,
        longer=0.0 if best is None else best[0],
    )
