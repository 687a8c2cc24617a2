"""The layout of a job that keeps a plan of before: its plates stay, new parts go into what they leave, or elsewhere."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace

from stripplan.layout import Grid, Layout, build_problem, common_grid, with_fillers
from stripplan.model.part import Rectangle
from stripplan.model.pattern import Pattern, leaves
from stripplan.model.plan.plan import Plan
from stripplan.planner.job_layout import JobLayout
from stripplan.planner.kept.patterns import KeptPlate, kept_plates
from stripplan.planner.settled import Group, Settled

Lay = Callable[[Group], Layout | None]


@dataclass(frozen=True)
class KeptLayout:
    """A layout with plates of the plan before among its patterns, each once; `plates` are these by the number that the
    plate has on the bench.
    """

    layout: JobLayout
    plates: dict[int, KeptPlate]


def kept_layout(settled: Settled, before: Plan, lay: Lay, *, pinned: bool = False) -> KeptLayout | None:
    """The layout of a job with as much of a plan as can stay; `lay` searches the layout of a group for what is left.
    `pinned` as for `kept_plates`.

    None where nothing can stay, or a part would find no place beside it.
    """
    kept = kept_plates(settled, before, pinned=pinned)
    if not kept:
        return None
    layouts = []
    for group in settled.groups:
        layout = _of_group(settled, group, [each for each in kept if _of(group, each)], lay)
        if layout is None:
            return None
        layouts.append(layout)
    if {n for group in settled.groups for n, _ in group.parts} != set(range(len(settled.wanted))):
        return None  # a part that is in no group cannot be made: the search says so
    return KeptLayout(JobLayout(tuple(layouts), settled.job.options.effort, ()), _on_the_bench(layouts, kept))


def _of(group: Group, kept: KeptPlate) -> bool:
    return any(each.index == kept.pattern.plate for each in group.plates)


def _of_group(settled: Settled, group: Group, kept: list[KeptPlate], lay: Lay) -> Layout | None:
    """The plates of one group that stay, with what is still wanted beside them; None where some finds no place."""
    held = Counter(leaf.part for each in kept for leaf in leaves(each.pattern.root) if leaf.part is not None)
    short = {at: part.quantity - held[n] for at, (n, part) in enumerate(group.parts) if part.quantity > held[n]}
    patterns = [each.pattern for each in kept]
    if short and patterns:
        patterns, short = _filled(settled, group, patterns, short)
    steps = 0
    if short:
        used = Counter(each.plate for each in patterns)
        plates = tuple(
            each if each.limit is None else replace(each, plate=replace(each.plate, quantity=left, offcut=False))
            for each in group.plates
            if (left := None if each.limit is None else each.limit - used[each.index]) != 0
        )
        parts = tuple((n, replace(part, quantity=short[at])) for at, (n, part) in enumerate(group.parts) if at in short)
        more = lay(Group(plates, parts, ())) if plates else None
        if more is None or more.short:
            return None
        patterns, steps = [*patterns, *more.patterns], more.steps
    return Layout(patterns, {}, settled.bound_of(group), steps)


def _filled(
    settled: Settled, group: Group, patterns: list[Pattern], short: dict[int, int]
) -> tuple[list[Pattern], dict[int, int]]:
    """The patterns with parts in what they leave, and what is still short; as they are where no unit holds all sizes.

    Each stays one pattern with a count of 1 and its place: the plates of the plan before are told apart by it.
    """
    options = settled.job.options
    grid = _grid(settled, group, patterns)
    if grid is None:
        return patterns, short
    found, left = list[Pattern](), Counter(short)
    plain = [(at, n, part) for at, (n, part) in enumerate(group.parts) if part.square == "none"]
    for pattern in patterns:  # one by one: patterns alike would become one, and it matters which plate is which
        plates = tuple(each for each in group.plates if each.index == pattern.plate)
        parts = [(n, replace(part, quantity=left[at])) for at, n, part in plain if left[at]]
        if not parts:
            found.append(pattern)
            continue
        problem = build_problem(grid, plates, parts, options.keep, options.depth)
        (filled,) = with_fillers(problem, [pattern], fill="all", value=lambda length, width: length * width)
        held = _parts_of(filled) - _parts_of(pattern)
        left.subtract({at: held[n] for at, n, _ in plain if held[n]})
        found.append(filled)
    return found, {at: count for at, count in sorted(left.items()) if count}


def _parts_of(pattern: Pattern) -> Counter[int]:
    return Counter(leaf.part for leaf in leaves(pattern.root) if leaf.part is not None)


def _grid(settled: Settled, group: Group, patterns: list[Pattern]) -> Grid | None:
    """A unit in which parts, plates and what the patterns hold are whole."""
    lengths = [size for each in group.plates for size in (each.plate.length, each.plate.width)]
    for _, part in group.parts:
        lengths += [part.width_as_cut, *([part.length_as_cut] if isinstance(part, Rectangle) else [])]
    lengths += [size for each in patterns for leaf in leaves(each.root) for size in (leaf.length, leaf.width)]
    lengths += [settled.job.options.trim, settled.rig.narrowest_offcut]
    kerfs = [each.process.kerf for each in group.plates]
    return common_grid([each for each in lengths if each > 0], kerfs, max(lengths))


def _on_the_bench(layouts: list[Layout], kept: list[KeptPlate]) -> dict[int, KeptPlate]:
    """The plates that stay, by their number on the bench: there plates come by their stock, of each the kept first."""
    patterns = sorted((p for layout in layouts for p in layout.patterns), key=lambda pattern: pattern.plate)
    waiting: dict[int, list[KeptPlate]] = {}
    for each in kept:
        waiting.setdefault(each.pattern.plate, []).append(each)
    found, number = dict[int, KeptPlate](), 0
    for pattern in patterns:
        for _ in range(pattern.count):
            if waiting.get(pattern.plate):
                found[number] = waiting[pattern.plate].pop(0)
            number += 1
    return found
