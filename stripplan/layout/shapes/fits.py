"""Which blocks can come from the plates that are there, and how one is made to."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import islice

from stripplan.layout.shapes.blocks import UNIT, stretched
from stripplan.model.shapes.block import Block

TRIED = 8
"""So many blocks of a kind are asked whether they can be cut, before the kind is given up. Chosen, not tuned."""

PlateSizes = Sequence[tuple[float, float]]
"""Usable lengths and widths of plates [mm]."""


class Fits:
    """Which blocks can come from some plate: asked once for each.

    Where a block would leave less beside it on a plate than a torch can cut off, it is made as large as the plate: what
    is over then falls beside a slanted edge (`fitted`). `margin` is the narrowest strip that can be cut off, with the
    kerf beside it; `rooms` are the plates as they lie and turned [mm].
    """

    def __init__(self, plates: PlateSizes, margin: float, can_be_cut: Callable[[Block], bool]) -> None:
        self.plates, self.margin, self._can_be_cut = plates, margin, can_be_cut
        self._known: dict[Block, bool] = {}
        self.rooms = tuple(dict.fromkeys((each, each[::-1])[n] for each in plates for n in (0, 1)))

    def cuttable(self, each: Block) -> bool:
        """Whether it lies on some plate and the rig can free its shapes."""
        if each not in self._known:
            self._known[each] = on_some_plate(each, self.plates) and self._can_be_cut(each)
        return self._known[each]

    def fitted(self, each: Block) -> Block | None:
        """The block where it can be cut; where each plate that it lies on leaves a strip beside it that no torch cuts
        off, as large as such a plate; None where neither goes. What its sides were rounded up by is no hindrance.
        """
        if not self.leaves_a_sliver(each):
            return next((some for some in (each, *_not_rounded_up(each)) if self.cuttable(some)), None)
        larger = (self.grown(each, *self._filled(each, room)) for room in self._rooms(each))
        return next((some for some in larger if some is not None), None)

    def grown(self, each: Block, length: float, width: float) -> Block | None:
        """The block as large as this [mm], if it can be cut in one of its corners."""
        return next((some for some in stretched(each, length, width) if self.cuttable(some)), None)

    def leaves_a_sliver(self, each: Block) -> bool:
        """Whether it lies on a plate, and each that it lies on leaves a strip beside it that is too narrow."""
        rooms = list(self._rooms(each))
        return bool(rooms) and all(self._filled(each, room) != (each.length, each.width) for room in rooms)

    def first(self, some: Sequence[Block]) -> Block | None:
        """The first of some that can be cut, and that leaves no sliver if there is such a one."""
        there = list(islice((each for each in some if on_some_plate(each, self.plates)), TRIED))
        found = (fit for each in there if (fit := self.fitted(each)) is not None)
        return next(found, None) or next((each for each in there if self.cuttable(each)), None)

    def _rooms(self, each: Block) -> Iterator[tuple[float, float]]:
        """Lengths and widths of plates that it lies on, as it lies there."""
        for length, width in dict.fromkeys(self.plates):
            if each.length <= length and each.width <= width:
                yield length, width
            if each.turns and each.length <= width and each.width <= length:
                yield width, length

    def _filled(self, each: Block, room: tuple[float, float]) -> tuple[float, float]:
        """How long and wide it is on a plate with what no torch could cut off beside it."""
        (length, width), (long, wide) = room, (each.length, each.width)
        return (
            length if 0 < length - long < self.margin else long,
            width if 0 < width - wide < self.margin else wide,
        )


def on_some_plate(each: Block, plates: PlateSizes) -> bool:
    """Whether a block lies on some plate, turned where it may be; sizes in mm."""
    return any(
        (each.length <= length and each.width <= width)
        or (each.turns and each.length <= width and each.width <= length)
        for length, width in plates
    )


def _not_rounded_up(each: Block) -> Iterator[Block]:
    """The block less what its length, its width and both were rounded up by: so a blank that was cut to a row holds it
    once more.
    """
    for along, across in ((1, 0), (0, 1), (1, 1)):
        yield replace(each, length=round(each.length - along / UNIT, 3), width=round(each.width - across / UNIT, 3))
