"""Plates that are to be used first: filled before any other is taken.

Problem. A person says "use that offcut first". Nothing in one currency of plate and hands says so: where one sheet is
opened anyway, the offcut spares no plate and costs its handling.

Method. What the plates to be used first hold is found as fillers are, the most metal first; the same parts are then
laid out on these plates in earnest, and what is left of the parts on the others. Where that leaves a part without a
place, the wish is dropped for the search of all plates together, and a plate that was not used is told.

Not exact: most metal is not most parts, and a filling is no proof that no other holds more. Cost: a filling, and two
searches in place of one.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import replace

from stripplan.layout import Layout, build_problem, with_fillers
from stripplan.model.pattern import Leaf, Pattern, leaves
from stripplan.planner.settled import Group, Settled, SettledPlate


def first_plates_filled(settled: Settled, group: Group, lay: Callable[[Group], Layout]) -> Layout | None:
    """A layout that fills the plates to be used first and takes others for the rest alone; None where there are none,
    nothing fits on them, or some part would find no place. `lay` is the search of a group's layout.
    """
    firsts = tuple(each for each in group.plates if each.plate.first)
    filled = _filled(settled, group, firsts) if firsts else []
    held = Counter[int]()
    for pattern in filled:
        for leaf in leaves(pattern.root):
            if leaf.part is not None:
                held[leaf.part] += pattern.count
    if not held:
        return None
    one = lay(_with_counts(group, firsts, held))
    if one.short:  # as they were filled there is a place for all
        one = replace(one, patterns=filled, short={}, others=())
    rest = {n: part.quantity - held[n] for n, part in group.parts}
    others = tuple(each for each in group.plates if not each.plate.first)
    if not any(rest.values()):
        return replace(one, bound=settled.bound_of(group))
    two = lay(_with_counts(group, others, rest)) if others else None
    if two is None or two.short:
        return None
    return replace(
        two,
        patterns=[*one.patterns, *two.patterns],
        steps=one.steps + two.steps,
        others=tuple([*one.patterns, *each] for each in two.others),
        bound=settled.bound_of(group),
    )


def _filled(settled: Settled, group: Group, firsts: tuple[SettledPlate, ...]) -> list[Pattern]:
    """The plates filled with as much metal as a filling finds, those with nothing on them left out.

    Parts that are bound to one of them come first. Those with square edges, which need scrap beside them, are left to
    the search.
    """
    options = settled.job.options
    plain = [(n, part) for n, part in group.parts if part.square == "none"]
    found = [
        Pattern(each.index, Leaf("offcut", each.plate.length, each.plate.width), each.limit)
        for each in firsts
        if each.limit
    ]
    bound, free = ([each for each in plain if (each[1].plate is None) is wanted] for wanted in (False, True))
    for some in (bound, free):
        problem = build_problem(settled.grid, firsts, some, options.keep, options.depth)
        found = with_fillers(problem, found, fill="all", value=lambda length, width: -length * width)
    return [each for each in found if any(leaf.part is not None for leaf in leaves(each.root))]


def _with_counts(group: Group, plates: tuple[SettledPlate, ...], counts: Mapping[int, int]) -> Group:
    """Some plates of a group with so many of each part, by its index in the job."""
    parts = tuple((n, replace(part, quantity=counts[n])) for n, part in group.parts if counts[n])
    return Group(plates, parts, ())
