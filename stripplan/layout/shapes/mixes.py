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
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from heapq import nsmallest
from itertools import islice, product, zip_longest

from stripplan.layout.shapes.blocks import SAME_HEIGHT, Lying, ShapeToPlace, block, lying, pushed_up
from stripplan.layout.shapes.fits import Fits, PlateSizes
from stripplan.layout.shapes.forms import Forms, bars_of, single
from stripplan.layout.shapes.mix import FEW_SHAPES, Cost, Mix, joined, mix_of
from stripplan.layout.shapes.nested import TreeOf, filled
from stripplan.layout.shapes.several import Several
from stripplan.layout.shapes.together import filling
from stripplan.model.polygon import Outline
from stripplan.model.shapes.block import Block, Freed, Placed

MOST_PRODUCT, MOST_CHOSEN = 4096, 48
"""Up to so many ways to give each of few shapes a form of its own are looked at, and so many that cost least are mixes.
Chosen, not tuned."""
MOST_WITH_GUESTS = 3
"""Of so many mixes, the first, rectangles are laid into what falls beside shapes. Chosen, not tuned."""
MOST_FILLING = 12
"""Of few shapes, so many mixes with blocks that fill a plate together. Chosen, not tuned."""
MOST_SHARED = 200
"""Up to so many shapes are laid into shared rows: each is held against all rows. The work grows with their
square. Chosen, not tuned."""


def mixes(
    wanted: Sequence[tuple[ShapeToPlace, int]],
    kerf: float,
    plates: PlateSizes,
    can_be_cut: Callable[[Block], bool],
    *,
    tree_of: TreeOf,
    margin: float,
    longest: float,
    cost: Cost,
    guests: Sequence[tuple[ShapeToPlace, int]] = (),
) -> list[Mix]:
    """A few mixes for shapes and how many are wanted of each: each by itself first, the others by what they cost.

    `can_be_cut` says whether the rig can free the shapes of a block, `tree_of` by which cuts; `margin` is the narrowest
    strip that it can cut off and the kerf beside it, `longest` its longest cut in one pass. Shapes that can be cut in
    no way are left out. `guests` are rectangles, which need no block: mixes that hold some of them, in what falls
    beside shapes, come after all others. Those of one shape and those of several go by turns, as what these save is
    told less well by a block alone.
    """
    fits = Fits(plates, margin, can_be_cut)
    few = sum(count for _, count in wanted) <= FEW_SHAPES
    counts: dict[int, int] = {}
    forms: list[Forms] = []
    for shape, count in wanted:
        alone = single(shape, fits, margin)
        if alone is not None:
            counts[shape.part] = count
            forms.append(Forms(shape, alone, kerf, bars_of(plates, longest, turns=shape.turns), fits, cost, few))
    singly, *of_one = _of_one_kind(forms, counts, few=few)
    for bar in bars_of(plates, longest, turns=True):
        shared = _shared(wanted, kerf, bar, fits.cuttable)
        of_one += [] if shared is None else [_and_the_others(shared, forms, counts)]
    of_several = list(Several(forms, counts, kerf, tree_of).mixes()) if len(forms) > 1 else []
    plain = _each_once([singly, *_by_turns((of_one, of_several), cost)])
    if few:
        larger = (each for mix in plain for each in filling(mix, fits, kerf))
        plain = _each_once([*plain, *islice(larger, MOST_FILLING)])
    if not guests:
        return plain
    hosts = {each.shape.part: each.shape.plate for each in forms}
    held = (
        _with_guests(each, guests, hosts, fits, tree_of, cost, whatever=whatever)
        for each in plain[:MOST_WITH_GUESTS]
        for whatever in (True, False)
    )
    return [*plain, *dict.fromkeys(each for each in held if each is not None)]


def _of_one_kind(forms: Sequence[Forms], counts: Mapping[int, int], *, few: bool) -> Iterator[Mix]:
    """Mixes whose blocks hold one kind of shape: each shape by itself first, then all shapes in the same form, of few
    shapes the cheapest choices of forms, and each shape in the form that takes the least plate.
    """
    ways = [each.of(counts[each.shape.part]) for each in forms]
    yield joined(some[0] for some in ways)
    for n in range(1, max(map(len, ways), default=0)):
        yield joined(some[min(n, len(some) - 1)] for some in ways)
    if few and math.prod(map(len, ways)) <= MOST_PRODUCT:
        priced = ([(mix.cost(each.price), mix) for mix in some] for each, some in zip(forms, ways, strict=True))
        likeliest = nsmallest(MOST_CHOSEN, product(*priced), key=lambda choice: sum(cost for cost, _ in choice))
        yield from (joined(mix for _, mix in choice) for choice in likeliest)
    yield joined(each.least(counts[each.shape.part]) for each in forms)


def _and_the_others(shared: Mix, forms: Sequence[Forms], counts: Mapping[int, int]) -> Mix:
    """A mix of some shapes, and those that are not in it in the form that takes the least plate."""
    there = {n for some, _ in shared.blocks for n in some.parts}
    rest = (each.least(counts[each.shape.part]) for each in forms if each.shape.part not in there)
    return joined([shared, *rest])


def _by_turns(kinds: Iterable[Sequence[Mix]], cost: Cost) -> Iterator[Mix]:
    """The cheapest of each kind, then the next of each, and so on."""
    ranked = (sorted((each for each in some if each.blocks), key=lambda each: each.cost(cost)) for some in kinds)
    yield from (each for row in zip_longest(*ranked) for each in row if each is not None)


def _each_once(some: Iterable[Mix]) -> list[Mix]:
    """Mixes without those of the same blocks as one before."""
    told: dict[frozenset[tuple[Block, int]], Mix] = {}
    for each in some:
        told.setdefault(frozenset(each.blocks), each)
    return list(told.values())


def _with_guests(
    mix: Mix,
    guests: Sequence[tuple[ShapeToPlace, int]],
    hosts: Mapping[int, str | None],
    fits: Fits,
    tree_of: TreeOf,
    cost: Cost,
    *,
    whatever: bool,
) -> Mix | None:
    """A mix with rectangles in what falls beside its shapes, the largest first, where each costs less there than by
    itself, or `whatever` it costs, as it may save a plate; None where there are none.
    """
    left = {guest.part: count for guest, count in guests}
    singly = {
        guest.part: math.inf if whatever else cost(block((Placed(guest.part, guest.outline),), turns=guest.turns))
        for guest, _ in guests
    }
    found: list[tuple[Block, int]] = []

    def cuts(some: Block) -> Freed | None:
        return tree_of(some) if fits.cuttable(some) else None

    for host, count in mix.blocks:
        plate = hosts[host.parts[0]]
        here = [guest for guest, _ in guests if guest.plate == plate]
        while count:
            made = filled(host, here, left, cuts, cost, singly)
            inside = Counter(made.parts)
            inside.subtract(host.parts)
            many = min([count, *(left[n] // each for n, each in inside.items() if each)])
            left |= {n: left[n] - many * each for n, each in inside.items() if each}
            count -= many
            found.append((made, many))
    return mix_of(found) if any(part in left for each, _ in found for part in each.parts) else None


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
        rows = _in_shared_rows(some, bar, kerf)
        if rows is not None and all(cuttable(each) for each in rows):
            found.append(mix_of((each, 1) for each in rows))
            taken |= {shape.part for shape, _, _ in some}
    return joined(found) if found else None


def _in_shared_rows(
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
