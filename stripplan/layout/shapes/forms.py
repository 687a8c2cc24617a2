"""One shape in forms: each by itself, in rows as long as a plate, in rows half as long, in pairs; where
shapes are few, by itself and in pairs also in several boxes, from the shortest to the narrowest.

Method. The ways to lie in a row are ranked by the plate that a long row takes for each. From the best ones that can be
cut come rows as long as a plate, all equally long; rows half as long; and pairs. Not exact. Cost: some hundred rows.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from stripplan.layout.shapes.blocks import UNIT, ShapeToPlace, alternating, lying, pairs, singles, with_a_margin
from stripplan.layout.shapes.fits import TRIED, Fits, PlateSizes
from stripplan.layout.shapes.mix import Cost, Mix, mix_of
from stripplan.model.polygon import Outline
from stripplan.model.shapes.block import Block

MOST_BOXES = 4
"""Of few shapes, so many boxes that are longer or wider by turns. Chosen, not tuned."""
PATTERNS = 4
"""So many ways to lie in a row are tried of a shape, the best first. Chosen, not tuned."""


def single(shape: ShapeToPlace, fits: Fits, margin: float) -> Block | None:
    """A shape in a rectangle of its own, the least that can be cut; None where none can."""
    plain = singles(shape)
    return fits.first(plain) or next(
        (wide for each in plain[:TRIED] for wide in with_a_margin(each, margin) if fits.cuttable(wide)), None
    )


@dataclass(frozen=True)
class Forms:
    """A shape that can be cut, `alone` in its rectangle, in forms for any number of it; asked once for each. `few`:
    there are so few shapes in all that more forms are tried.
    """

    shape: ShapeToPlace
    alone: Block
    kerf: float
    bars: Sequence[float]
    fits: Fits
    price: Cost
    few: bool = False
    _known: dict[int, list[Mix]] = field(default_factory=dict)

    def of(self, count: int) -> list[Mix]:
        """So many of it: each by itself first."""
        if count not in self._known:
            found = _forms(self.shape, count, self.alone, self.kerf, self.bars, self.fits, self.price, few=self.few)
            self._known[count] = [mix_of([(self.alone, count)]), *found]
        return self._known[count]

    def least(self, count: int) -> Mix:
        """So many of it in the form that costs least."""
        return min(self.of(count), key=lambda each: each.cost(self.price))


def _forms(
    shape: ShapeToPlace,
    count: int,
    single: Block,
    kerf: float,
    bars: Sequence[float],
    fits: Fits,
    cost: Cost,
    *,
    few: bool,
) -> Iterator[Mix]:
    """One shape in long rows, in rows half as long, in pairs; of `few` also in pairs, and each in a box, of which none
    lies in another.
    """
    for box in _none_within(singles(shape), fits) if few else ():
        if box != single:
            yield mix_of([(box, count)])
    if count < 2:
        return
    ranked = sorted(_patterns(shape, kerf), key=lambda each: each[0])[:PATTERNS]
    # Half as long too: where a long row leaves a narrow rest of the plate, two short ones may lie beside other parts.
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
        yield mix_of([(pair, count // 2), (single, count % 2)])
    for other in _none_within(pairs(shape, kerf, every=True, rooms=fits.rooms), fits) if few else ():
        if other != pair:
            yield mix_of([(other, count // 2), (single, count % 2)])


def _none_within(some: Sequence[Block], fits: Fits) -> list[Block]:
    """Those that can be cut of which none lies in another, the shortest first; of many those in even steps."""
    found: list[Block] = []
    for each in by_longest(some):
        if all(min(each.length, each.width) < min(other.length, other.width) - 1 / UNIT for other in found):
            made = fits.first([each])
            if made is not None:
                found.append(made)
    if len(found) <= MOST_BOXES:
        return found
    return [found[round(n * (len(found) - 1) / (MOST_BOXES - 1))] for n in range(MOST_BOXES)]


def by_longest(some: Sequence[Block]) -> list[Block]:
    """Those with the shortest longer side first: a small plate may hold them where it does not hold the least."""
    return sorted(some, key=lambda each: (round(max(each.length, each.width), 3), round(each.length * each.width, 2)))


def by_narrowest(some: Sequence[Block]) -> list[Block]:
    """Those with the shortest shorter side first: beside others a plate may hold them where it holds not the least."""
    return sorted(some, key=lambda each: (round(min(each.length, each.width), 3), round(each.length * each.width, 2)))


def _patterns(shape: ShapeToPlace, kerf: float) -> Iterator[tuple[float, tuple[Outline, Outline]]]:
    """Two ways to lie by turns, each with the plate that one more of a row takes [mm2]."""
    for height, ways in lying(shape):
        for other in ways:
            # The ends of a row waste the same however long it is: what two more take is four less two.
            two, four = (alternating(shape.part, ways[0], other, n, kerf, turns=True).length for n in (2, 4))
            yield round((four - two) / 2 * (height + kerf), 3), (ways[0], other)


def _in_rows(
    shape: ShapeToPlace,
    count: int,
    pattern: tuple[Outline, Outline],
    bar: float,
    kerf: float,
    fits: Fits,
) -> Mix | None:
    """All of a shape in rows no longer than a bar, as few as there can be and equally full; None where none fits."""

    def made(many: int) -> Block:
        return alternating(shape.part, *pattern, many, kerf, turns=shape.turns)

    most = min(count, _most(made, bar))
    # Equally full and not full but for the last: equal rows are cut with the same settings.
    while most >= 2:
        rows = math.ceil(count / most)
        full = math.ceil(count / rows)
        fewer = rows * full - count  # so many rows hold one less
        some = [(made(full), rows - fewer), *([(made(full - 1), fewer)] if fewer else [])]
        fitting = [(fits.fitted(each), number) for each, number in some]
        if all(each is not None for each, _ in fitting):
            return mix_of((each, number) for each, number in fitting if each is not None)
        # One less in each row may leave enough beside it; where the rig cannot free the row, no shorter one helps.
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


def bars_of(plates: PlateSizes, longest: float, *, turns: bool) -> list[float]:
    """How long a row may be: as a plate, either way where it may be turned, or as a cut can be."""
    sides = {side for length, width in plates for side in ((length, width) if turns else (length,))}
    return sorted({*sides, *(min(side, longest) for side in sides)})
