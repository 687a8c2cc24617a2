"""Which blocks the shapes of a job are made of: a few mixes, to be laid out and weighed against one another.

Problem. Many blocks waste little by themselves; which of them leave the least of the plates, only a layout tells. But
each layout takes as long as that of a whole job.

Method. Of each shape the ways to lie in a row are ranked by the plate that a long row takes for each. From the best
ones that can be cut come rows as long as a plate, all equally long; rows half as long; and pairs. Shapes that are
equally high may share rows, the longest first. One mix takes all shapes in one of these forms, another each shape in
the form that takes the least plate. The first mix is each shape by itself: what the others save is told against it.

Where a block would leave less beside it on a plate than a torch can cut off, it is made as large as the plate: what is
over then falls beside a slanted edge (`fitted`).

Not exact: other mixes may be better. Cost: some hundred rows for each shape.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from stripplan.layout.shapes.blocks import (
    SAME_HEIGHT,
    UNIT,
    Lying,
    ShapeToPlace,
    alternating,
    block,
    lying,
    pairs,
    pushed_up,
    singles,
    stretched,
    with_a_margin,
)
from stripplan.model.polygon import Outline
from stripplan.model.shapes.block import Block, Placed

PATTERNS = 4
"""So many ways to lie in a row are tried of a shape, the best first."""
TRIED = 8
"""So many blocks of a kind are asked whether they can be cut, before the kind is given up."""
MOST_SHARED = 200
"""Up to so many shapes are laid into shared rows: each is held against all rows."""

Sheets = Sequence[tuple[float, float]]
"""Usable lengths and widths of plates [mm]."""


class _Fits:
    """Which blocks can come from some plate: asked once for each."""

    def __init__(self, sheets: Sheets, margin: float, can_be_cut: Callable[[Block], bool]) -> None:
        self._sheets, self._margin, self._can_be_cut = sheets, margin, can_be_cut
        self._known: dict[Block, bool] = {}

    def cuttable(self, each: Block) -> bool:
        """Whether it lies on some plate and the rig can free its shapes."""
        if each not in self._known:
            self._known[each] = _on_a_sheet(each, self._sheets) and self._can_be_cut(each)
        return self._known[each]

    def fitted(self, each: Block) -> Block | None:
        """The block where it can be cut; where each plate that it lies on leaves a strip beside it that no torch cuts
        off, as large as such a plate; None where neither goes. What its sides were rounded up by is no hindrance.
        """
        if not self.leaves_a_sliver(each):
            return next((some for some in (each, *_not_rounded_up(each)) if self.cuttable(some)), None)
        larger = (some for room in self._rooms(each) for some in stretched(each, *self._filled(each, room)))
        return next((some for some in larger if self.cuttable(some)), None)

    def leaves_a_sliver(self, each: Block) -> bool:
        """Whether it lies on a plate, and each that it lies on leaves a strip beside it that is too narrow."""
        rooms = list(self._rooms(each))
        return bool(rooms) and all(self._filled(each, room) != (each.length, each.width) for room in rooms)

    def first(self, some: Sequence[Block]) -> Block | None:
        """The first of some that can be cut, and that leaves no sliver if there is such a one."""
        found = (fit for each in some[:TRIED] if (fit := self.fitted(each)) is not None)
        return next(found, None) or next((each for each in some[:TRIED] if self.cuttable(each)), None)

    def _rooms(self, each: Block) -> Iterator[tuple[float, float]]:
        """Lengths and widths of plates that it lies on, as it lies there."""
        for length, width in dict.fromkeys(self._sheets):
            if each.length <= length and each.width <= width:
                yield length, width
            if each.turns and each.length <= width and each.width <= length:
                yield width, length

    def _filled(self, each: Block, room: tuple[float, float]) -> tuple[float, float]:
        """How long and wide it is on a plate with what no torch could cut off beside it."""
        (length, width), (long, wide) = room, (each.length, each.width)
        return (
            length if 0 < length - long < self._margin else long,
            width if 0 < width - wide < self._margin else wide,
        )


@dataclass(frozen=True)
class Mix:
    """Blocks that hold all shapes of a job, and how many of each."""

    blocks: tuple[tuple[Block, int], ...]

    def cost(self, of_block: Callable[[Block], float]) -> float:
        """What they cost all together."""
        return sum(count * of_block(each) for each, count in self.blocks)


Cost = Callable[[Block], float]
"""What a block costs by itself, in any currency: mixes are ranked by it."""


def mixes(
    wanted: Sequence[tuple[ShapeToPlace, int]],
    kerf: float,
    sheets: Sheets,
    can_be_cut: Callable[[Block], bool],
    *,
    margin: float,
    longest: float,
    cost: Cost,
) -> list[Mix]:
    """A few mixes for shapes and how many are wanted of each: each by itself first, the others by what they cost.

    `can_be_cut` says whether the rig can free the shapes of a block; `margin` is the narrowest strip that it can cut
    off and the kerf beside it, `longest` its longest cut in one pass. Shapes that can be cut in no way are left out.
    """
    alone, forms = list[tuple[Block, int]](), list[list[Mix]]()
    fits = _Fits(sheets, margin, can_be_cut)
    for shape, count in wanted:
        plain = singles(shape)
        single = fits.first(plain) or next(
            (wide for each in plain[:TRIED] for wide in with_a_margin(each, margin) if fits.cuttable(wide)), None
        )
        if single is None:
            continue
        alone.append((single, count))
        bars = _bars(sheets, longest, turns=shape.turns)
        forms.append([_mix([(single, count)]), *_forms(shape, count, single, kerf, bars, fits, cost)])
    one_by_one = _mix(alone)
    found = [_joined(form[min(n, len(form) - 1)] for form in forms) for n in range(1, max(map(len, forms), default=0))]
    found.append(_joined(min(form, key=lambda each: each.cost(cost)) for form in forms))
    for bar in _bars(sheets, longest, turns=True):
        shared = _shared(wanted, kerf, bar, fits.cuttable)
        if shared is not None:
            found.append(_joined([shared, *_rest(forms, shared, cost)]))
    others = [each for each in dict.fromkeys(found) if each.blocks and each != one_by_one]
    return [one_by_one, *sorted(others, key=lambda each: each.cost(cost))]


def _rest(forms: Sequence[Sequence[Mix]], shared: Mix, cost: Cost) -> Iterator[Mix]:
    """The least of each shape that is in no shared row."""
    there = {each.part for some, _ in shared.blocks for each in some.shapes}
    for form in forms:
        if form[0].blocks[0][0].shapes[0].part not in there:
            yield min(form, key=lambda each: each.cost(cost))


def _forms(
    shape: ShapeToPlace,
    count: int,
    single: Block,
    kerf: float,
    bars: Sequence[float],
    fits: _Fits,
    cost: Cost,
) -> Iterator[Mix]:
    """One shape in long rows, in rows half as long, and in pairs."""
    if count < 2:
        return
    ranked = sorted(_patterns(shape, kerf), key=lambda each: each[0])[:PATTERNS]
    for share in (1, 2):
        rows = [
            mix
            for _, (one, other) in ranked
            for bar in bars
            if (mix := _in_rows(shape, count, (one, other), bar / share, kerf, fits)) is not None
        ]
        if rows:
            yield min(rows, key=lambda each: each.cost(cost))
    pair = fits.first(pairs(shape, kerf))
    if pair is not None:
        yield _mix([(pair, count // 2), (single, count % 2)])


def _patterns(shape: ShapeToPlace, kerf: float) -> Iterator[tuple[float, tuple[Outline, Outline]]]:
    """Two ways to lie by turns, each with the plate that one more of a row takes [mm2]."""
    for height, ways in lying(shape):
        for other in ways:
            two, four = (alternating(shape.part, ways[0], other, n, kerf, turns=True).length for n in (2, 4))
            yield round((four - two) / 2 * (height + kerf), 3), (ways[0], other)


def _in_rows(
    shape: ShapeToPlace,
    count: int,
    pattern: tuple[Outline, Outline],
    bar: float,
    kerf: float,
    fits: _Fits,
) -> Mix | None:
    """All of a shape in rows no longer than a bar, as few as there can be and equally full; None where none fits."""

    def made(many: int) -> Block:
        return alternating(shape.part, *pattern, many, kerf, turns=shape.turns)

    most = min(count, _most(made, bar))
    while most >= 2:
        rows = math.ceil(count / most)
        full = math.ceil(count / rows)
        fewer = rows * full - count  # so many rows hold one less
        some = [(made(full), rows - fewer), *([(made(full - 1), fewer)] if fewer else [])]
        fitting = [(fits.fitted(each), number) for each, number in some]
        if all(each is not None for each, _ in fitting):
            return _mix((each, number) for each, number in fitting if each is not None)
        most = full - 1 if fits.leaves_a_sliver(some[0][0]) else 0
    return None


def _most(made: Callable[[int], Block], bar: float) -> int:
    """How many of a row are no longer than a bar: after two, each two more take as much; what the
    last was rounded up by is no hindrance.
    """
    two, four = made(2).length, made(4).length
    if two > bar + 1 / UNIT or four - two <= 0:
        return 0
    most = 2 + 2 * int((bar + 1 / UNIT - two) / (four - two))
    return most + 1 if made(most + 1).length <= bar + 1 / UNIT else most


def _shared(
    wanted: Sequence[tuple[ShapeToPlace, int]], kerf: float, bar: float, cuttable: Callable[[Block], bool]
) -> Mix | None:
    """Shapes that are equally high in rows that they share, no longer than a bar; None where no two are."""
    by_height: dict[int, list[tuple[ShapeToPlace, int, tuple[Outline, ...]]]] = defaultdict(list)
    for shape, count in wanted:
        for height, ways in lying(shape):
            by_height[round(height / SAME_HEIGHT)].append((shape, count, ways))
    taken: set[int] = set()
    found: list[Mix] = []
    for _, some in sorted(by_height.items(), key=lambda row: -len({each[0].part for each in row[1]})):
        some = [each for n, each in enumerate(some) if each[0].part not in {before[0].part for before in some[:n]}]
        some = [each for each in some if each[0].part not in taken]
        if len(some) < 2 or sum(count for _, count, _ in some) > MOST_SHARED:
            continue
        rows = _filled(some, bar, kerf)
        if rows is not None and all(cuttable(each) for each in rows):
            found.append(_mix((each, 1) for each in rows))
            taken |= {shape.part for shape, _, _ in some}
    return _joined(found) if found else None


def _filled(
    some: Sequence[tuple[ShapeToPlace, int, tuple[Outline, ...]]], bar: float, kerf: float
) -> list[Block] | None:
    """Rows no longer than a bar: the longest shapes first, each into the first row that takes it."""
    items: list[Lying] = [(shape.part, ways) for shape, count, ways in some for _ in range(count)]
    items.sort(key=lambda each: -max(x for x, _ in each[1][0]))
    rows: list[list[Placed]] = []
    for item in items:
        for row in rows:
            following = pushed_up(row, item, kerf)
            if max(x for x, _ in following.outline) <= bar:
                row.append(following)
                break
        else:
            first = pushed_up((), item, kerf)
            if max(x for x, _ in first.outline) > bar:
                return None
            rows.append([first])
    turns = all(shape.turns for shape, _, _ in some)
    return [block(row, turns=turns) for row in rows]


def _bars(sheets: Sheets, longest: float, *, turns: bool) -> list[float]:
    """How long a row may be: as a sheet, either way where it may be turned, or as a cut can be."""
    sides = {side for length, width in sheets for side in ((length, width) if turns else (length,))}
    return sorted({*sides, *(min(side, longest) for side in sides)})


def _on_a_sheet(each: Block, sheets: Sheets) -> bool:
    return any(
        (each.length <= length and each.width <= width)
        or (each.turns and each.length <= width and each.width <= length)
        for length, width in sheets
    )


def _not_rounded_up(each: Block) -> Iterator[Block]:
    """The block less what its length, its width and both were rounded up by: so a blank that was cut to a row holds it
    once more.
    """
    for along, across in ((1, 0), (0, 1), (1, 1)):
        yield replace(each, length=round(each.length - along / UNIT, 3), width=round(each.width - across / UNIT, 3))


def _mix(some: Iterable[tuple[Block, int]]) -> Mix:
    """A mix, blocks alike counted together."""
    counted: Counter[Block] = Counter()
    for each, count in some:
        counted[each] += count
    return Mix(tuple((each, count) for each, count in counted.items() if count))


def _joined(some: Iterable[Mix]) -> Mix:
    return _mix(each for mix in some for each in mix.blocks)
