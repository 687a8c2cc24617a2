"""Mixes of blocks that hold different shapes: small ones in what falls beside large ones, two that share a cut.

Method. The shapes go in turn, the largest first: in the blocks of some form, and each block is filled with smaller ones
that are still wanted, where they cost less there than in the least form of their own. What is then left of the smaller
ones goes on. Before that, pairs of different shapes may be laid along one cut, first those that save most.

Not exact: a greedy choice. Cost: that of `nested.filled` for each kind of block, in each form.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import combinations

from stripplan.layout.shapes.forms import Forms, by_longest
from stripplan.layout.shapes.mix import Mix, mix_of
from stripplan.layout.shapes.nested import TreeOf, couples, filled
from stripplan.model.polygon import area
from stripplan.model.shapes.block import Block, Freed

MOST_COUPLED = 6
"""Of so many shapes, the largest, any two are laid along one cut. Chosen, not tuned."""

Counted = Sequence[tuple[Block, int]]
"""Blocks and how many of each."""


class Several:
    """Shapes of several kinds, and how many of each, by part, are wanted."""

    def __init__(self, forms: Sequence[Forms], counts: Mapping[int, int], kerf: float, tree_of: TreeOf) -> None:
        self._forms = sorted(forms, key=lambda each: -area(each.shape.outline))
        self._counts, self._kerf, self._any_tree = counts, kerf, tree_of
        self._fits, self._cost = forms[0].fits, forms[0].price
        self._plates = {each.shape.part: each.shape.plate for each in forms}
        self._singly = {
            each.shape.part: each.least(count).cost(self._cost) / count
            for each in forms
            if (count := counts[each.shape.part])
        }

    def mixes(self) -> Iterator[Mix]:
        """With the blocks of each form, of the least one, and with those of two that share a cut."""
        for n in range(max(len(each.of(self._counts[each.shape.part])) for each in self._forms)):
            yield self._nested((), lambda each, count, n=n: _form(each, count, n))  # type: ignore[misc]
        yield self._nested((), Forms.least)
        for coupled in (self._coupled(), *([self._coupled(short=True)] if self._forms[0].few else [])):
            if coupled:
                yield self._nested(coupled, Forms.least)
                if self._forms[0].few:
                    yield self._nested(coupled, lambda each, count: _form(each, count, 1))

    def _tree_of(self, block: Block) -> Freed | None:
        """The cuts of a block that lies on some plate; those of others need not be sought."""
        return self._any_tree(block) if self._fits.cuttable(block) else None

    def _nested(self, coupled: Counted, choose: Callable[[Forms, int], Mix]) -> Mix:
        """All shapes: those that are coupled, then the others in the form that is chosen."""
        left = Counter(self._counts)
        for each, count in coupled:
            left.subtract(dict.fromkeys(each.parts, count))
        done = [*self._filled(coupled, self._forms, left)]
        for n, form in enumerate(self._forms, 1):
            # Those that lie in blocks of larger shapes by now are not wanted any more.
            count = left.pop(form.shape.part)
            if count:
                done += self._filled(choose(form, count).blocks, self._forms[n:], left)
        return mix_of(done)

    def _filled(self, hosts: Counted, smaller: Sequence[Forms], left: Counter[int]) -> Iterator[tuple[Block, int]]:
        """Blocks filled as long as guests of their plate are left, which are taken from these."""
        for host, count in hosts:
            plate = self._plates[host.parts[0]]
            guests = [each.shape for each in smaller if each.shape.plate == plate]
            while count:
                made = filled(host, guests, left, self._tree_of, self._cost, self._singly)
                inside = Counter(made.parts)
                inside.subtract(host.parts)
                # The same guests as often as they last: equal blocks are cut alike, and each is worked out once.
                many = min([count, *(left[n] // each for n, each in inside.items() if each)])
                left.subtract({n: many * each for n, each in inside.items()})
                count -= many
                yield made, many

    def _coupled(self, *, short: bool = False) -> list[tuple[Block, int]]:
        """Blocks of two shapes that share a cut, first those that save most; where they cost less so, or as `short` as
        can be on some plate whatever they cost: a small plate may hold them where it does not hold each by itself.
        """
        some = []
        for one, other in combinations(self._forms[:MOST_COUPLED], 2):
            if one.shape.plate != other.shape.plate:
                continue
            blocks = couples(one.shape, other.shape, self._kerf, self._fits.rooms if short else ())
            found = self._fits.first(by_longest(blocks) if short else blocks)
            if found is not None:
                some.append((sum(self._singly[n] for n in found.parts) - self._cost(found), found))
        left, chosen = Counter(self._counts), list[tuple[Block, int]]()
        for saved, found in sorted(some, key=lambda each: -each[0]):
            many = min(left[n] for n in found.parts)
            if many and (saved > 0 or short):
                chosen.append((found, many))
                left.subtract(dict.fromkeys(found.parts, many))
        return chosen


def _form(forms: Forms, count: int, number: int) -> Mix:
    """A form by its number; the last one where a shape has fewer."""
    some = forms.of(count)
    return some[min(number, len(some) - 1)]
