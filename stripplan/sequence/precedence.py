"""Which cut must wait for which: a piece must exist before it can be cut."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .placing import Step

if TYPE_CHECKING:
    import networkx


def precedence_graph(steps: list[Step]) -> networkx.DiGraph:
    """Graph over the numbers of `steps`: an edge from the cut that makes a piece to the cut of it.

    Each cut waits for at most one other, so the graph is a forest with one tree a plate.
    """
    import networkx

    graph = networkx.DiGraph()
    graph.add_nodes_from(range(len(steps)))
    makers: dict[tuple[int, int], int] = {}
    for number, step in enumerate(steps):
        for product in (step.way.right, step.way.left):
            if product is not None:
                makers[step.plate, id(product)] = number
    for number, step in enumerate(steps):
        maker = makers.get((step.plate, id(step.lay)))
        if maker is not None:
            graph.add_edge(maker, number)
    if not networkx.is_directed_acyclic_graph(graph):
        raise ValueError("cuts wait for each other in a circle")
    return graph


def waits_for(graph: networkx.DiGraph) -> list[int]:
    """For each cut the one that must come before it, or -1."""
    return [next(iter(graph.predecessors(number)), -1) for number in range(len(graph))]
