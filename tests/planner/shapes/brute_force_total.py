"""How little a few straight-sided shapes cost in plate and hands, by trying: every way to cut a plate from edge to edge
into rectangles for one or two of them, every order of the cuts along their edges. Written with no code of the program.

On a rig where nothing takes time but the arc and what comes with each start, a layout costs its plates, so much for
each cut and so much for each length. A shape may be freed out of all that is left around it: a cut along an edge takes
off whatever lies beyond.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations, permutations

from tests.planner.shapes.brute_force import JUST, Corners, box, in_blocks, places, sums, ways

Laid = tuple[Corners, ...]
"""Shapes that lie in a rectangle from the origin."""


@dataclass(frozen=True)
class Costs:
    """What a plate costs, a cut, and a millimetre of it."""

    plate: float
    cut: float
    length: float


def least_total(shapes: Sequence[Corners], plate: tuple[float, float], kerf: float, costs: Costs) -> float | None:
    """Of a few shapes; None where they cannot be cut."""
    count = len(shapes)
    alone = [_least([_at_origin((each,)) for each in ways(shape)]) for shape in shapes]
    of_two = {
        (n, m): _least([_at_origin(each) for each in _pairs(shapes[n], shapes[m], kerf)])
        for n, m in combinations(range(count), 2)
    }

    @cache
    def of_one(some: tuple[int, ...]) -> float:
        """The least that the cuts in one plate cost."""
        return min(
            (_parted(blocks, *plate, kerf, costs) for blocks in in_blocks(some, alone, of_two)), default=float("inf")
        )

    @cache
    def least(some: tuple[int, ...]) -> float:
        if not some:
            return 0.0
        first, *rest = some
        found = float("inf")
        for many in range(len(rest) + 1):
            for beside in combinations(rest, many):
                left = tuple(each for each in rest if each not in beside)
                here = of_one((first, *beside))
                if here < found:
                    found = min(found, costs.plate + here + least(left))
        return found

    total = least(tuple(range(count)))
    return None if total == float("inf") else total


def _pairs(one: Corners, other: Corners, kerf: float) -> Iterator[Laid]:
    """Two shapes a kerf apart along an edge of each."""
    for first in list(ways(one))[: len(one)]:
        for n, start in enumerate(first):
            along = (first[(n + 1) % len(first)] - start) / abs(first[(n + 1) % len(first)] - start)
            for second in ways(other):
                laid = tuple(start + kerf * along / 1j - each * along for each in second)
                for at in places(first, laid, along):
                    yield first, tuple(each + at * along for each in laid)


def _at_origin(some: Laid) -> Laid:
    corner = complex(min(p.real for each in some for p in each), min(p.imag for each in some for p in each))
    return tuple(tuple(p - corner for p in each) for each in some)


def _least(some: list[Laid]) -> list[Laid]:
    """Blocks whose box holds no other's, of those alike the first with the most edges on their box."""
    found: dict[tuple[float, float], Laid] = {}
    for each in some:
        long, wide = box([p for one in each for p in one])
        key = (round(long, 6), round(wide, 6))
        if key not in found or _flush(each, key) > _flush(found[key], key):
            found[key] = each
    return [
        each
        for (a, b), each in found.items()
        if not any(x <= max(a, b) and y <= min(a, b) and (x, y) != (max(a, b), min(a, b))
                   for x, y in ((max(k), min(k)) for k in found))
    ]  # fmt: skip


def _flush(some: Laid, sides: tuple[float, float]) -> int:
    """How many edges lie on the box."""
    return sum(
        abs(a.real - b.real) + min(abs(a.real), abs(a.real - sides[0])) < JUST
        or abs(a.imag - b.imag) + min(abs(a.imag), abs(a.imag - sides[1])) < JUST
        for each in some
        for a, b in zip(each, (*each[1:], each[0]), strict=True)
    )


def _parted(blocks: tuple[Laid, ...], long: float, wide: float, kerf: float, costs: Costs) -> float:
    """The least that it costs to cut blocks out of a rectangle."""
    if len(blocks) == 1:
        return _freed_from(blocks[0], round(long, 6), round(wide, 6), kerf, costs)
    sizes = [box([p for one in each for p in one]) for each in blocks]
    if sum(a * b for a, b in sizes) > long * wide:
        return float("inf")
    best = float("inf")
    for many in range(1, len(blocks)):
        for some in combinations(range(len(blocks)), many):
            if 0 not in some:
                continue
            here = tuple(blocks[n] for n in some)
            there = tuple(blocks[n] for n in range(len(blocks)) if n not in some)
            for x, y in ((long, wide), (wide, long)):
                for at in sums(tuple(sizes[n] for n in some), kerf):
                    left = x - at - kerf
                    if left <= 0:
                        continue
                    one = costs.cut + costs.length * y + _parted(here, at, y, kerf, costs)
                    if one < best:
                        best = min(best, one + _parted(there, left, y, kerf, costs))
    return best


@cache
def _freed_from(block: Laid, long: float, wide: float, kerf: float, costs: Costs) -> float:
    """The least that it costs to free a block's shapes out of a rectangle, in one of its corners: with a straight cut
    off either side first, or without."""
    best = float("inf")
    for turned in (False, True):
        laid = _at_origin(tuple(tuple(p * 1j for p in each) for each in block)) if turned else block
        a, b = box([p for each in laid for p in each])
        if a > long + JUST or b > wide + JUST:
            continue
        for x, y in dict.fromkeys(((long, wide), (a, wide), (long, b), (a, b))):
            trims = costs.cut * ((x != long) + (y != wide)) + costs.length * (
                min(wide * (x != long) + x * (y != wide), long * (y != wide) + y * (x != long))
            )
            for east, north in ((0, 0), (x - a, 0), (0, y - b), (x - a, y - b)):
                there = tuple(tuple(p + complex(east, north) for p in each) for each in laid)
                sheet = (0j, complex(x, 0), complex(x, y), complex(0, y))
                best = min(best, trims + _freed(sheet, there, kerf, costs))
    return best


def _freed(metal: Corners, shapes: Laid, kerf: float, costs: Costs) -> float:
    """The least that cuts along the edges of shapes cost that free them, in any order."""
    lines = [
        (n, a, (b - a) / abs(b - a))
        for n, shape in enumerate(shapes)
        for a, b in zip(shape, (*shape[1:], shape[0]), strict=True)
        if max(_right(p, a, (b - a) / abs(b - a)) for p in metal) > 1e-3
    ]
    best = float("inf")
    orders = permutations(range(len(lines))) if len(lines) <= 5 else _some(len(lines))
    for order in orders:
        best = min(best, _in_order(metal, shapes, [lines[n] for n in order], kerf, costs, best))
    return best if lines else 0.0


def _some(count: int) -> Iterator[tuple[int, ...]]:
    """Some orders of many lines: each first, the others as they stand and backwards."""
    for n in range(count):
        rest = [m for m in range(count) if m != n]
        yield (n, *rest)
        yield (n, *rest[::-1])


def _in_order(
    metal: Corners, shapes: Laid, lines: list[tuple[int, complex, complex]], kerf: float, costs: Costs, most: float
) -> float:
    pieces, total = {tuple(range(len(shapes))): metal}, 0.0
    for n, at, along in lines:
        held, piece = next((each, it) for each, it in pieces.items() if n in each)
        if max(_right(p, at, along) for p in piece) <= 1e-3:
            continue  # it is an edge of the piece by now
        beside = [m for m in held if max(_right(p, at, along) for p in shapes[m]) > 1e-3]
        if any(min(_right(p, at, along) for p in shapes[m]) < kerf - 1e-3 for m in beside):
            return float("inf")
        mid = at + along / 1j * kerf / 2
        total += costs.cut + costs.length * _chord(piece, mid, along)
        if total >= most:
            return float("inf")
        del pieces[held]
        pieces[tuple(m for m in held if m not in beside)] = _kept(piece, at, along)
        if beside:
            pieces[tuple(beside)] = _kept(piece, at + kerf * along / 1j, -along)
    return total


def _right(point: complex, at: complex, along: complex) -> float:
    """How far a point lies right of a line."""
    return -((point - at) * along.conjugate()).imag


def _kept(piece: Corners, at: complex, along: complex) -> Corners:
    """What of a piece lies left of a line."""
    found = []
    for a, b in zip(piece, (*piece[1:], piece[0]), strict=True):
        here, there = _right(a, at, along), _right(b, at, along)
        if here <= 0:
            found.append(a)
        if here * there < 0:
            found.append(a + (b - a) * here / (here - there))
    return tuple(found)


def _chord(piece: Corners, at: complex, along: complex) -> float:
    """How long a line runs in a piece."""
    hits = []
    for a, b in zip(piece, (*piece[1:], piece[0]), strict=True):
        here, there = _right(a, at, along), _right(b, at, along)
        if here * there <= 0 and here != there:
            hits.append(((a + (b - a) * here / (here - there) - at) * along.conjugate()).real)
    return max(hits) - min(hits) if hits else 0.0
