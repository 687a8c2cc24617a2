"""A mix of blocks chosen plate by plate: where plates differ, what fills one well wastes another.

Problem. The other mixes take one form of block for all plates. Of a few offcuts and blanks of different sizes each
holds other rows, and a mix that serves one of them may leave parts out that single pieces would place.

Method. Of each plate that is there some fillings are tried, by a first layout without a search: as many as it holds of
each shape by itself, in each form, and a few mixes of all that is still wanted. The filling that costs least for what
it makes is taken (the plate less the offcuts it leaves, and the hands; beside what the same parts cost singly), and so
on with what is left. What finds no place goes on as single blocks.

Not exact: a greedy choice. Cost: a first layout of one plate for each filling that is tried, at most `MOST_TRIED`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from stripplan.layout import Mix
from stripplan.model.job import Job
from stripplan.model.part import Shape
from stripplan.model.pattern import leaves
from stripplan.model.rig import Rig
from stripplan.model.shapes.block import Block
from stripplan.planner.job_layout import group_layout
from stripplan.planner.order.bench_plates import conditions_of
from stripplan.planner.search_control import Search
from stripplan.planner.settled import Group, SettledPlate, settle
from stripplan.planner.shapes.area_bound import area_of
from stripplan.planner.shapes.block_cost import block_cost, block_hands
from stripplan.planner.shapes.blocks_of_job import ShapesOfJob, mixes_for
from stripplan.planner.shapes.inner_job import with_blocks_in
from stripplan.planner.total.cheapest import offcuts_worth

MOST_TRIED = 400
"""So many fillings of plates are tried for a job. Set by trial, not studied."""
MOST_COUNTS = 4
"""So many numbers of one shape are tried on a plate in each form, from the most by area downwards."""

SPECK = 1e-9
"""What a part is worth where nothing costs anything."""

Wanted = Mapping[int, int]
"""How many are still wanted of parts, by index in the job."""


@dataclass(frozen=True)
class Filling:
    """What one plate is filled with: parts by index, blocks, and the cost beside that of the same parts singly."""

    parts: Counter[int]
    blocks: Counter[Block]
    ratio: float


def mix_by_plate(shapes: ShapesOfJob, rig: Rig) -> Mix | None:
    """A mix chosen plate by plate; None where all plates of each kind are alike and without limit."""
    groups = [
        group for group in shapes.settled.groups if any(isinstance(shapes.job.parts[n], Shape) for n, _ in group.parts)
    ]
    if all(len(group.plates) == 1 and group.plates[0].limit is None for group in groups):
        return None
    blocks = fillers(shapes)
    for group in groups:
        blocks.update(blocks_by_plate(shapes, rig, group, {n: part.wanted for n, part in group.parts}, {}))
    return Mix(tuple(blocks.items()))


def fillers(shapes: ShapesOfJob) -> Counter[Block]:
    """The blocks of shapes that are no more than fillers: each by itself."""
    return Counter({
        block: count for block, count in shapes.mixes[0].blocks if shapes.job.parts[block.parts[0]].filler
    })  # fmt: skip


def blocks_by_plate(
    shapes: ShapesOfJob, rig: Rig, group: Group, wanted: Wanted, taken: Mapping[int, int], *, singly: bool = True
) -> Counter[Block]:
    """Blocks for what is wanted of the parts of a group, from its plates less those that are `taken`, by index; what
    finds no place there `singly`, else in the form that costs least, as there is room beside what was taken.
    """
    return _Chooser(shapes, rig, group).chosen(wanted, taken, singly=singly)


class _Chooser:
    """Chooses fillings for the plates of one group."""

    def __init__(self, shapes: ShapesOfJob, rig: Rig, group: Group) -> None:
        self._shapes, self._rig, self._group = shapes, rig, group
        self._tried = 0
        self._known: dict[tuple[int, Mix, tuple[tuple[int, int], ...]], Filling | None] = {}
        self._mixes: dict[tuple[int, tuple[tuple[int, int], ...]], list[Mix]] = {}
        self._singly = {block.parts[0]: block for block, _ in shapes.mixes[0].blocks}
        conditions = conditions_of(shapes.settled, group.plates[0])
        kerf = conditions.rules.kerf
        self._cost = block_cost(shapes.settled, group, kerf, lambda block: shapes.trees.of(block, conditions))
        self._hands = block_hands(shapes.settled, group, lambda block: shapes.trees.of(block, conditions))

    def chosen(self, wanted: Wanted, taken: Mapping[int, int], *, singly: bool) -> Counter[Block]:
        """Blocks for all that is wanted."""
        left = +Counter(wanted)
        there = {
            each.index: None if each.limit is None else each.limit - taken.get(each.index, 0)
            for each in self._group.plates
        }
        found: Counter[Block] = Counter()
        while left.total():
            some = [
                (filling.ratio, n, filling)
                for n, plate in enumerate(self._group.plates)
                if there[plate.index] != 0
                for filling in self._fillings(plate, left)
            ]
            if not some:
                break
            _, n, best = min(some, key=lambda each: each[:2])
            index = self._group.plates[n].index
            limit = there[index]
            there[index] = None if limit is None else limit - 1
            found += best.blocks
            left -= best.parts
        return found + self._of_the_rest(left, singly=singly)

    def _of_the_rest(self, left: Counter[int], *, singly: bool) -> Counter[Block]:
        """Blocks for what found no place."""
        parts, settled = self._shapes.job.parts, self._shapes.settled
        rest = {n: count for n, count in left.items() if n in self._singly and count}
        if singly or not rest:
            return Counter({self._singly[n]: count for n, count in rest.items()})
        some = [(n, replace(part, quantity=count)) for n, count in rest.items() if isinstance(part := parts[n], Shape)]
        ranked = mixes_for(settled, self._group, some, self._shapes.trees)
        return Counter(dict(min(ranked, key=lambda each: each.cost(self._cost)).blocks))

    def _fillings(self, plate: SettledPlate, left: Counter[int]) -> Iterator[Filling]:
        """What may fill a plate of what is left."""
        job = self._shapes.job
        here = Counter({n: c for n, c in left.items() if job.parts[n].plate in (None, plate.plate.name)})
        for n in sorted(here):
            if n in self._singly:
                yield from self._of_one(plate, n, here[n])
        if len(here) > 1:
            for mix in self._mixes_of(plate, here):
                found = self._filled(plate, mix, here)
                if found is not None:
                    yield found

    def _of_one(self, plate: SettledPlate, n: int, count: int) -> Iterator[Filling]:
        """As many of one shape as a plate holds, in each form."""
        room = plate.plate.length * plate.plate.width / area_of(self._shapes.job.parts[n])
        most = min(count, int(room + 1e-6))
        for many in range(most, max(0, most - MOST_COUNTS), -1):
            some = Counter({n: many})
            found = [
                filling
                for mix in self._mixes_of(plate, some)
                if (filling := self._filled(plate, mix, some)) is not None
            ]
            yield from found
            if any(each.parts[n] == many for each in found):
                return

    def _mixes_of(self, plate: SettledPlate, some: Counter[int]) -> list[Mix]:
        key = plate.index, tuple(sorted(some.items()))
        if key not in self._mixes:
            parts = self._shapes.job.parts
            shapes = [
                (n, replace(part, quantity=count))
                for n, count in sorted(some.items())
                if isinstance(part := parts[n], Shape)
            ]
            group = replace(self._group, plates=(plate,))
            self._mixes[key] = mixes_for(self._shapes.settled, group, shapes, self._shapes.trees) if shapes else []
        return self._mixes[key]

    def _filled(self, plate: SettledPlate, mix: Mix, some: Counter[int]) -> Filling | None:
        """What a plate holds of a mix, and of other parts; None where that is nothing, or enough was tried."""
        if not mix.blocks:
            return None
        plain = tuple(sorted((n, c) for n, c in some.items() if not isinstance(self._shapes.job.parts[n], Shape)))
        key = plate.index, mix, plain
        if key not in self._known:
            if self._tried >= MOST_TRIED:
                return None
            self._tried += 1
            self._known[key] = self._laid_out(plate, mix, dict(plain))
        return self._known[key]

    def _laid_out(self, plate: SettledPlate, mix: Mix, plain: Wanted) -> Filling | None:
        job = _only(self._shapes.job, plain)
        inner = with_blocks_in(job, mix)
        names = {job.parts[n].name for n in plain} | set(inner.blocks)
        settled = settle(replace(inner.job, parts=tuple(p for p in inner.job.parts if p.name in names)), self._rig)
        one = replace(settled.plates[plate.index], plate=replace(plate.plate, quantity=1))
        parts = tuple((n, part) for n, part in enumerate(settled.job.parts) if n not in settled.too_narrow)
        layout = group_layout(settled, Group((one,), parts, ()), Search(job.options.effort, at_once=True))
        if len(layout.patterns) != 1:
            return None
        made: Counter[int] = Counter()
        blocks: Counter[Block] = Counter()
        by_name = {job.parts[n].name: n for n in plain}
        for leaf in leaves(layout.patterns[0].root):
            name = "" if leaf.part is None else settled.job.parts[leaf.part].name
            if name in inner.blocks:
                blocks[inner.blocks[name]] += 1
                made.update(inner.blocks[name].parts)
            elif name:
                made[by_name[name]] += 1
        if not blocks:
            return None
        worth = self._shapes.settled.worth
        cost = worth.plates[plate.index] - offcuts_worth(settled, layout.patterns[0])
        cost += sum(count * self._hands(block) for block, count in blocks.items())
        return Filling(made, blocks, cost / self._worth(made, plate))

    def _worth(self, made: Counter[int], plate: SettledPlate) -> float:
        """What parts cost singly; of rectangles the plate alone. More than nothing, where nothing costs anything."""
        by_area = self._shapes.settled.worth.plates[plate.index] / (plate.plate.length * plate.plate.width)
        return sum(
            count * (self._cost(self._singly[n]) if n in self._singly else by_area * area_of(self._shapes.job.parts[n]))
            + SPECK * count
            for n, count in made.items()
        )


def _only(job: Job, plain: Wanted) -> Job:
    """The job with as many of its rectangles as given; its shapes stay, so that blocks name them by their index."""
    parts = tuple(replace(part, quantity=plain[n]) if n in plain else part for n, part in enumerate(job.parts))
    options = replace(job.options, first=(), partial=True)
    return replace(job, parts=parts, jobs=(), options=options)
