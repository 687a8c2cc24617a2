"""What pieces will measure: what the nearest mark of the scale is off by, carried from cut to cut.

Reading errors go into the sizes to expect, never into outlines. A piece on the fence is measured from its
datum edge; the far piece takes what is left, and with it the doubt of the piece it came from.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from stripplan.model.plan.cut import Cut, Point
from stripplan.model.plan.piece import Piece

MARKED_BY_HAND = 0.5
"""A scribed line is followed to about this, plus or minus [mm]: common practice, no source."""


SAME = 0.001
"""Lengths nearer than this are the same [mm]: marks are rounded, outlines are not."""


@dataclass(frozen=True)
class SizeChain:
    """What a size is made of: how many settings of the fence and of marks enter it, and how many kerfs are taken off,
    so that a kerf wider by b makes it smaller by `kerfs` b. `zero` is how often the error of the fence's zero is in it,
    with its sign: between two settings it cancels. `dressed` edges lay on the fence. `plate`: the plate's own size is
    in it.
    """

    fence: int = 0
    marked: int = 0
    kerfs: float = 0.0
    zero: int = 0
    dressed: int = 0
    plate: bool = True

    def on_fence(self, cut: Cut) -> SizeChain:
        """Of a piece measured from its datum edge: F - k/2 and nothing of what it came from."""
        fence, dressed = int(cut.located == "fence"), int(bool(cut.setup.dress))
        return SizeChain(fence, int(cut.located == "marked"), 0.5, fence, dressed, plate=False)

    def far(self, cut: Cut) -> SizeChain:
        """Of a piece that takes what is left: what it came from, less F + k/2."""
        one = self.on_fence(cut)
        return SizeChain(
            self.fence + one.fence,
            self.marked + one.marked,
            self.kerfs + one.kerfs,
            self.zero - one.zero,
            self.dressed + one.dressed,
            self.plate,
        )


@dataclass(frozen=True)
class Size:
    """What a piece will measure along x and y, by how much setting the fence may be off, +- [mm], and what each size is
    made of.
    """

    x: float
    y: float
    off_x: float = 0.0
    off_y: float = 0.0
    of_x: SizeChain = SizeChain()
    of_y: SizeChain = SizeChain()

    def of_part(self, turned: bool) -> tuple[float, float]:
        """Width and length of a part whose length lies along x, or `turned` along y."""
        return (self.x, self.y) if turned else (self.y, self.x)

    def across(self, cut: Cut) -> tuple[float, float, SizeChain]:
        """Size at right angles to a cut, its plus-or-minus, and what it is made of."""
        return (self.y, self.off_y, self.of_y) if along_x(cut) else (self.x, self.off_x, self.of_x)

    def cut_to(self, cut: Cut, width: float, off: float, of: SizeChain) -> Size:
        """The size of a product of that width."""
        if along_x(cut):
            return replace(self, y=width, off_y=off, of_y=of)
        return replace(self, x=width, off_x=off, of_x=of)


def along_x(cut: Cut) -> bool:
    """Whether a cut runs along x rather than y."""
    (ax, ay), (bx, by) = cut.line
    return abs(bx - ax) > abs(by - ay)


def aslant(cut: Cut) -> bool:
    """Whether a cut runs along neither side of its plate."""
    (ax, ay), (bx, by) = cut.line
    return min(abs(bx - ax), abs(by - ay)) > SAME


def to_the_right(cut: Cut) -> Point:
    """Unit vector to the fence side of a cut, plate frame: right of the first pass, as the piece lies."""
    (ax, ay), (bx, by) = cut.line
    length = math.hypot(bx - ax, by - ay) or 1.0
    hand = 1.0 if cut.passes[0].face_up else -1.0
    return hand * (by - ay) / length, -hand * (bx - ax) / length


def beside_the_torch(cut: Cut, piece: Piece) -> tuple[float, float]:
    """Metal on the fence side and on the far side of a cut of `piece`, kerf taken off [mm].

    Below 0 where the kerf runs partly off the edge and leaves no metal there.
    """
    (ax, ay), right = cut.line[0], to_the_right(cut)
    x0, y0, x1, y1 = piece.box
    reach = [(x - ax) * right[0] + (y - ay) * right[1] for x in (x0, x1) for y in (y0, y1)]
    return max(reach) - cut.kerf / 2, -min(reach) - cut.kerf / 2


def measured_from_right(cut: Cut, on_fence: float) -> bool:
    """Whether a cut is measured from the edge on its fence side, `on_fence` [mm] of metal beside it.

    Marks may be from the other edge, where the torch line lies outside this one.
    """
    return cut.marks is None or abs(on_fence + cut.kerf / 2 - cut.marks.distance[0]) <= SAME


def expected_sizes(
    pieces: Mapping[str, Piece], cuts: Iterable[Cut], *, fence_step: float, fence_scale: float
) -> dict[str, Size]:
    """Size to expect of every piece, by id; `pieces` by id, `cuts` in the order of work."""
    found: dict[str, Size] = {}
    for piece in pieces.values():
        if piece.parent is None:
            found[piece.id] = _of_box(piece)
    for cut in cuts:
        if aslant(cut) or not pieces[cut.piece].is_rectangle:  # no chain of sizes along x and y tells what comes out
            found |= {each: _of_box(pieces[each]) for each in cut.makes if each is not None}
            continue
        whole = found[cut.piece]
        off = fence_step * fence_scale / 2 if cut.located == "fence" else MARKED_BY_HAND
        sides = beside_the_torch(cut, pieces[cut.piece])
        from_right = measured_from_right(cut, sides[0])
        measured = sides[0 if from_right else 1] + (cut.reading_error or 0.0)
        across, its_off, its_chain = whole.across(cut)
        near = measured, off, its_chain.on_fence(cut)
        far = across - measured - cut.kerf, its_off + off, its_chain.far(cut)
        for name, product in zip(cut.makes, (near, far) if from_right else (far, near), strict=True):
            if name is not None:
                found[name] = whole.cut_to(cut, *product)
    return found


def _of_box(piece: Piece) -> Size:
    """A size that is what it is."""
    x0, y0, x1, y1 = piece.box
    return Size(x1 - x0, y1 - y0)
