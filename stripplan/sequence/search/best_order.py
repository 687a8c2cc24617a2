"""The order of work: least time at the rig over sibling orders, datum edges, end stops and the order of cuts.

Problem. Plates with their patterns are given; wanted is the quickest order of all their cuts, with an option
for each. A cut costs what must be changed since the one before (`changeover.py`), and a piece must be made
before it is cut.

Method. Three searches that each hold fast what the others vary. Orders are begun layer by layer (`beam.py`),
narrowly, by a few ways of ranking and of several widths; then in turn the cuts are moved about as they are
(`reorder.py`), and the option of each is chosen again with the order as it is (`reassign.py`), until neither helps: a
variable neighbourhood descent (N. Mladenović, P. Hansen, Computers & Operations Research 24 (1997) 1097-1100, from
memory). For few cuts the beam is then widened: states that cannot beat the best order are dropped, and if nothing else
was, it is the least of all.

Exact only where it says `proven`: the bound is that of `bounds/completion.py`, or of the widened beam, and
the order meets it.
Rests of the power source and dry runs to new end stops are no part of the searches, for they depend on all
that went before; they are worked out for each order that is found (`duty_timeline.py`), and that with the
least time, these counted, is kept. The bound counts no rests, and of dry runs those that every order needs.

Cost: grows about with the square of the cuts. Very large jobs are ordered in batches of plates, one after the
other; only the first is searched at length.
Same plates, effort and seed: same order; only the clock of `out_of_time` can change that.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from random import Random

from stripplan.model.effort import Effort
from stripplan.model.rig import Rig
from stripplan.sequence.bench import FETCHED, TICKS, UNCONSTRAINED, Bench, cuts_left
from stripplan.sequence.bounds.completion import CompletionBound
from stripplan.sequence.bounds.handling import FEW_SIBLINGS, MOST_SIBLINGS
from stripplan.sequence.constraints import OrderConstraints
from stripplan.sequence.cut_options import BenchPiece, ChosenCut
from stripplan.sequence.cut_order import CutOrder, simulate
from stripplan.sequence.search.beam import CutPath, beam_search, bound_at_start, first_state
from stripplan.sequence.search.reassign import Reassigning
from stripplan.sequence.search.reorder import reordered

MOST_TOGETHER, BATCH = 1000, 400
"""Cuts that are ordered all together at the most; beyond, plates are taken in batches of so many cuts. Set
where a job of ten thousand equal parts took a tenth of the time and memory of one search of all.
"""
STARTS = (
    (100, 0.3, True), (100, 1.0, True), (300, 0.3, False), (300, 1.0, True), (800, 1.0, False), (100, 0.0, True),
    (800, 0.3, False),
)  # fmt: skip
"""Narrow searches that orders are begun by, the first in a light search: states looked at, the share of the likely
fence settings by which they are ranked, and whether pushes to come are in the rank. These are spared where wide pieces
come off first, true sizes where narrow ones do: so both are tried, in a light search as well, which goes on from the
better. None is best for all jobs, and what descent makes of a start is hardly better for a better one: on eleven drawn
jobs of a shop five such starts together found orders 0.9 % quicker in set-up than two of 800 states and one led by the
bound, in nine tenths of the time.
"""
LARGE_STARTS, USUAL_STARTS = 2, 5
"""How many of them for more than `MANY_CUTS` cuts, and for more than `FEW_CUTS`. Set by trial, not studied."""
NARROWEST, WIDEST = 2, 64
"""Least and most states to a layer of such a search."""
GREATEST_SHARE = 1.5
"""The greatest share that is drawn where there is time for further starts. Set by trial, not studied."""
IN_VAIN = 30
"""Starts in a row that bring nothing better, after which the time that is left goes to a proof."""
TRIES = 1500
"""Steps of the search for a better order of the same cuts, for each cut, in each turn. More are spent on an
order whose options are about to change, fewer leave the cuts where they were. Set by trial, not studied.
"""
REASSIGN_WIDTH = 12
"""States kept after each cut when options are chosen again. Time grows with it; with too few, an option that
pays only some cuts later is lost. Set by trial, not studied.
"""
FEW_CUTS, FEW_STATES = 40, 15_000
"""Up to so many cuts a proof is tried; states times cuts looked at for it where no time is given. More would
prove more orders, and make others wait for a proof that does not come. Set by trial, not studied.
"""
NEAR = 1000
"""Ticks that sums may differ by for their rounding: a thousandth of a second over thousands of roundings of
half a tick.
"""
EXACT_WIDTH = 20_000
"""States kept in a layer where a proof is tried: more need more memory; with fewer, more is cut off that stands
between an order and its proof. Set by trial, not studied.
"""
NOTHING = 10_000
"""A gap of one part in so many is not worth a search: a second in three hours."""
TURNS, FEW_TURNS = 6, 2
"""Turns of a round at the most: for few cuts or where time is given, and else. A turn that no longer helps
ends a round sooner.

Set by trial, not studied.
"""
FEWEST_CUTS, MANY_CUTS = 8, 150
"""Up to so many cuts even a light search is led by the bound and tries a proof; beyond so many, fewer starts are taken
where no time is given. Set by trial, not studied.
"""
PROVABLE = 0.01
"""Share of the best by which a bound may lie below it where a proof is tried: with a wider gap the few states
are mostly used up in vain. Set by trial, not studied.
"""
LIGHT_STEPS = 100
"""Where fewer steps are asked for the search is a light one, of one round. Set by trial, not studied."""


def best_order(
    rig: Rig,
    roots: Sequence[BenchPiece],
    *,
    effort: Effort,
    weights: Mapping[str, float],
    constraints: OrderConstraints = UNCONSTRAINED,
    out_of_time: Callable[[], bool] = lambda: False,
    tell: Callable[[float, float], None] = lambda _best, _least: None,
    bounds: bool = True,
    hasty: bool = False,
    known: CutOrder | None = None,
    promising: Callable[[CutOrder], bool] = lambda _best: True,
) -> CutOrder:
    """The best order found for plates whose pieces before the first cut are `roots`, among those that keep
    the constraints.

    `weights` multiply seconds by cause (`changeover.CAUSES`, and "arc" and "return"); what is not in it counts
    once. `tell` is called with the seconds of each better order, and their lower bound. When `out_of_time` says
    so, the best order so far is handed over; one there always is. Without `bounds` the answer says nothing of what
    no order undercuts, which spares a light search about a third of its time. A `hasty` answer is the first order that
    a search comes to, for something to look at. `known` is what a search of the same plates and effort found without
    bounds: its rounds are not made again. After each round `promising` is asked whether to go on from the best so far;
    jobs in batches are always searched to the end.
    Raises ValueError where a cut cannot be located at all (layout asks the same limits first).
    """
    # Wishes bind plates to plates, so with any of them a job is never parted into batches.
    batches = _batches(roots) if constraints == UNCONSTRAINED else [list(range(len(roots)))]
    if len(batches) < 2:
        bench = Bench(rig, roots, weights, constraints=constraints)
        search = _Search(bench, roots, effort, out_of_time, tell, bounds=bounds, hasty=hasty)
        return search.best_of_all(known, promising)
    cuts: list[ChosenCut] = []
    # Only the first batch is searched at length, the others lightly: else time would grow with each batch.
    light = replace(effort, steps=0, seconds=None)
    for at, batch in enumerate(batches):
        pieces = [roots[plate] for plate in batch]
        bench, how = Bench(rig, pieces, weights), effort if at == 0 else light
        search = _Search(bench, pieces, how, out_of_time, lambda *_: None, FEW_SIBLINGS, bounds=False, hasty=hasty)
        cuts += [replace(cut, plate=batch[cut.plate]) for cut in search.best_of_all().cuts]
    # The batches one after the other are one order. It is summed as such, for the rig comes to each batch as
    # the one before has left it, and bounded as a whole.
    bench = Bench(rig, roots, weights)
    whole = _Search(bench, roots, light, out_of_time, tell, FEW_SIBLINGS, bounds=bounds)
    return whole.rated(simulate(bench, cuts))


def rated(bench: Bench, roots: Sequence[BenchPiece], found: CutOrder) -> CutOrder:
    """An order that was found elsewhere, with what is known of how good it is."""
    light = Effort(steps=0)
    few = FEW_SIBLINGS if len(found.cuts) > MOST_TOGETHER else MOST_SIBLINGS
    return _Search(bench, roots, light, lambda: False, lambda *_: None, few, bounds=True).rated(found)


def _batches(roots: Sequence[BenchPiece]) -> list[list[int]]:
    """Plates of a very large job in batches that are ordered one after the other: what a search holds grows
    with the square of its cuts.

    Plates stay in their order and whole; a plate with more cuts than a batch has room for is one by itself.
    """
    counts = [cuts_left(piece) for piece in roots]
    if sum(counts) <= MOST_TOGETHER:
        return [list(range(len(roots)))]
    batches: list[list[int]] = [[]]
    room = BATCH
    for plate, count in enumerate(counts):
        if batches[-1] and count > room:
            batches.append([])
            room = BATCH
        batches[-1].append(plate)
        room -= count
    return batches


class _Search:
    """Rounds of searching, the best order kept, with what bounds it."""

    def __init__(
        self,
        bench: Bench,
        roots: Sequence[BenchPiece],
        effort: Effort,
        out_of_time: Callable[[], bool],
        tell: Callable[[float, float], None],
        most_siblings: int = MOST_SIBLINGS,
        *,
        bounds: bool,
        hasty: bool = False,
    ) -> None:
        self.bench, self.roots, self.effort, self.out_of_time, self.tell = bench, roots, effort, out_of_time, tell
        self.reassigning = Reassigning(bench, roots)
        self.completion = CompletionBound(bench, most_siblings)
        self.cut_count = sum(bench.kinds[kind].cut_count for kind in bench.roots)
        self.bounds, self.hasty, self.dry_runs, self.least = bounds, hasty, 0, 0
        if bounds or self._led_by_bound:
            self.dry_runs = self.completion.least_dry_runs
            self.least = bound_at_start(bench, self.completion) + self.dry_runs
        self.best: CutOrder | None = None

    def best_of_all(
        self, known: CutOrder | None = None, promising: Callable[[CutOrder], bool] = lambda _best: True
    ) -> CutOrder:
        """The best of rounds, each from another start, and a proof where cuts are few and it is near.

        Each round has a seed of its own, made from the person's: so rounds differ, and the same seed gives the
        same order again. A longer search begins with the rounds of a lighter one. What the clock leaves after the
        rounds goes into starts that are drawn, and once these are in vain into the proof.
        """
        if known is None:
            self._search_in_rounds(promising)
        else:
            self._keep(known)
        few = self.cut_count <= FEW_CUTS and (self._thorough or self._led_by_bound)
        if few and not self._over() and self._provable:
            self._prove(FEW_STATES // self.cut_count)
        if self._timed:
            self._go_on()
            if few and not self._over():
                self._prove()
        assert self.best is not None
        return self.rated(self.best)

    def _search_in_rounds(self, promising: Callable[[CutOrder], bool]) -> None:
        if self._led_by_bound:
            found = beam_search(self.bench, self.completion, width=1, proves=False)
            self._keep(self._bettered(self._steps(found.path), self.effort.seed))
        for number in range(self._rounds()):
            if self._over() or (self.best is not None and not promising(self.best)):
                break
            self._keep(self._bettered(self._started(number), self.effort.seed + number))

    def _go_on(self) -> None:
        """Rounds until the time is over or they are in vain."""
        number, in_vain = len(STARTS), 0
        while in_vain < IN_VAIN and not self._over():
            before = self.best
            self._keep(self._bettered(self._started(number), self.effort.seed + number))
            number, in_vain = number + 1, in_vain + 1 if self.best is before else 0

    def _over(self) -> bool:
        """Whether an order is there, and the time is over or nothing is left to gain."""
        return self.best is not None and (self._done() or self.out_of_time())

    def rated(self, found: CutOrder) -> CutOrder:
        """An order with what is known of how good it is, if that is wanted: its bounds in seconds, and whether it is
        proven.
        """
        self.best = found
        if not self.bounds:
            return found
        return replace(
            found,
            least=self.least / TICKS,
            least_setup=self._least_setup() / TICKS,
            least_settings=self.completion.fewest_settings(first_state(self.bench).waiting),
            proven=self._ticks() <= self.least + NEAR,
        )

    def _least_setup(self) -> int:
        """The least plain seconds of set-up: as the search has it where it weighs seconds alone, else by a
        bench of its own without weights and wishes.

        The sheet prints this bound beside the minutes, so it must hold for every order, also for those that a
        wish rules out.
        """
        asked = any(any(piece.conditions.asked) or piece.conditions.equal for piece in self.roots)
        if self.bench.weights or self.bench.constraints.ranks or asked:
            conditions_of = {
                id(piece.conditions): replace(piece.conditions, asked=(), equal=False) for piece in self.roots
            }
            roots = [replace(piece, conditions=conditions_of[id(piece.conditions)]) for piece in self.roots]
            plain = Bench(self.bench.rig, roots, {})
            # Where nothing is weighed, rows take the same seconds there, and need not be worked out again.
            known = None if self.bench.weights else self.completion
            return _least_setup(plain, CompletionBound(plain, self.completion.most_siblings, known))
        if not any(any(piece.unmeasured) for piece in self.roots):
            return self.least
        return _least_setup(self.bench, self.completion)

    @property
    def _led_by_bound(self) -> bool:
        """Whether cuts are so few that the bound leads a start: a slow guide, and where cuts are more, a poor one."""
        return self.cut_count <= FEWEST_CUTS

    @property
    def _provable(self) -> bool:
        """Whether the bound is near enough for the few states of a proof without a clock to close the gap."""
        return self.cut_count <= FEWEST_CUTS or self._ticks() - self.least <= PROVABLE * self._ticks()

    def _rounds(self) -> int:
        """How many of the starts are taken: one in a light search, fewer for more cuts."""
        if not self._thorough:
            return 1
        if self.cut_count > MANY_CUTS and not self._timed:
            return LARGE_STARTS
        return len(STARTS) if self.cut_count <= FEW_CUTS or self._timed else USUAL_STARTS

    @property
    def _thorough(self) -> bool:
        """Whether the person lets it search at all."""
        return self.effort.steps is None or self.effort.steps >= LIGHT_STEPS

    @property
    def _timed(self) -> bool:
        """Whether the clock alone ends the search."""
        return self.effort.seconds is not None and self.effort.steps is None

    def _done(self) -> bool:
        """Whether searching on is worth nothing; few cuts are searched to the last second."""
        assert self.best is not None
        near = NEAR if self.cut_count <= FEWEST_CUTS else max(NEAR, self.least // NOTHING)
        return self.effort.is_enough(self._ticks(), self.least + near)

    def _ticks(self) -> int:
        """The best order's seconds in ticks, to be held against bounds."""
        assert self.best is not None
        return round((self.best.seconds + self.best.extra) * TICKS)

    def _keep(self, found: CutOrder) -> None:
        """Take an order if it is better than the best so far, rests and dry runs counted, and say so."""
        if self.best is None or found.seconds + found.extra < self.best.seconds + self.best.extra - 1e-9:
            self.best = found
            self.tell(found.seconds + found.extra, self.least / TICKS)

    def _started(self, number: int) -> list[ChosenCut]:
        """The order of a narrow search; after those of `STARTS` its width and ranking are drawn."""
        if number < len(STARTS):
            states, share, pushes = STARTS[number]
        else:
            chance = Random(self.effort.seed + number)
            states, share, pushes = chance.choice(STARTS)[0], chance.uniform(0.0, GREATEST_SHARE), chance.random() < 0.5
        begun = self._begun(states, share, pushes=pushes)
        if number or self.hasty:
            return begun
        other = self._begun(states, share, pushes=not pushes)
        one, two = (simulate(self.bench, each) for each in (begun, other))
        return other if two.seconds + two.extra < one.seconds + one.extra else begun

    def _begun(self, states: int, share: float, *, pushes: bool) -> list[ChosenCut]:
        width = 1 if self.hasty else max(NARROWEST, min(WIDEST, states // max(1, self.cut_count)))
        found = beam_search(self.bench, self.completion, width=width, likely_share=share, pushes=pushes)
        return self._steps(found.path)

    def _steps(self, path: CutPath | None) -> list[ChosenCut]:
        """The cuts of a path found without a limit: there is none where the search has met pieces of which no cut
        can be located.
        """
        if path is None:
            raise ValueError("a cut of this layout cannot be located on the rig")
        return steps_of(self.bench, self.roots, path)

    def _bettered(self, cuts: list[ChosenCut], seed: int) -> CutOrder:
        """In turn the same cuts in another order, and other options in the same order, until neither helps."""
        best = simulate(self.bench, cuts)
        self._keep(best)
        if self.effort.steps == 0 or self._done():
            return best
        for turn in range(TURNS if self._thorough and (self.cut_count <= FEW_CUTS or self._timed) else FEW_TURNS):
            if self.out_of_time():
                break
            moved = reordered(self.bench, best.cuts, seed=1000 * seed + turn, tries=TRIES * self.cut_count)
            # What comes out is summed on the real bench, rests and dry runs too, and taken only if it is better.
            found = simulate(self.bench, self.reassigning.better(moved, width=REASSIGN_WIDTH))
            if found.seconds + found.extra > best.seconds + best.extra - 1e-6:
                break
            best = found
        return best

    def _prove(self, most: int | None = None) -> None:
        """Search all orders that might be better than the best, as far as time and so many states reach.

        The beam sees no dry runs; those that every order needs are taken off what is known before and added
        to the bound after.
        """
        known = self._ticks() - self.dry_runs
        found = beam_search(
            self.bench, self.completion, width=EXACT_WIDTH, known=known, out_of_time=self.out_of_time, most=most,
        )  # fmt: skip
        if found.path is not None:
            self._keep(simulate(self.bench, self._steps(found.path)))
        # Below what was known the beam has looked at everything, or says by its bound what it has left out.
        self.least = max(self.least, min(found.least, known) + self.dry_runs)


def _least_setup(bench: Bench, completion: CompletionBound) -> int:
    """Ticks of set-up that no order of all the work goes below; as `bound_at_start`, for the plain minutes."""
    waiting = first_state(bench).waiting
    least = completion.least_setup(waiting) + completion.least_dry_runs
    return least - bench.clear - completion.last_carried if waiting else 0


def steps_of(bench: Bench, roots: Sequence[BenchPiece], path: CutPath) -> list[ChosenCut]:
    """A path of kinds as cuts of pieces: where kinds are one, any piece of the kind will do that lies as the path says.

    Of those that wait and do not lie on the bed the one that came last is taken, so that plates are finished
    one after another where nothing else decides.
    """
    waiting = [(plate, piece) for plate, piece in enumerate(roots) if not piece.workpiece.done]
    on_bed: list[tuple[tuple[int, int], int, BenchPiece, bool]] = []
    cuts = []
    for kind, pose, priced, stop in path.taken:
        if pose == FETCHED:
            lying = {(p, id(piece)) for _, p, piece, _ in on_bed}
            plate, piece = next(
                (p, each)
                for p, each in reversed(waiting)
                if bench.number(each, p)[0] == kind and (p, id(each)) not in lying
            )
            turned = bench.number(piece, plate)[1]
        else:
            plate, piece, turned = next((p, piece, turned) for how, p, piece, turned in on_bed if how == (kind, pose))
        waiting.remove((plate, piece))
        # The priced cuts of this very piece stand in the order of its options; those of the kind may be of another.
        option = piece.options[bench.priced_cuts_of(piece, plate, turned=turned).index(priced)]
        cuts.append(ChosenCut(plate, piece, option, (stop,) * len(option.stops)))
        on_bed = []
        for side, product in zip((0 if option.located == "fence" else 1, 1), (option.right, option.left), strict=True):
            if product is not None and not product.workpiece.done:
                number, turned = bench.number(product, plate, option.travel_after)
                on_bed.append(((number, 4 * side + (option.travel_after + 2 * turned) % 4), plate, product, turned))
        waiting += [(plate, product) for _, plate, product, _ in on_bed]
    return cuts
