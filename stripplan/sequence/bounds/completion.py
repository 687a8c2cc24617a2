"""What the cuts that are still to be made must cost at least, in any order: the bound for the beam, and for the proof.

Problem. A bound must see that handling and fence settings hang together. With the rest of a row on the fence
nothing need be pushed up or scraped, but each such cut takes a reading of its own; with the sibling on the
fence one reading serves all of its width, but each cut pushes and scrapes. The least handling and the fewest
settings, each for itself, are met by different orders, and their sum is far below the best.

Method. Each row is bounded for every number m of its cuts that have the rest on the fence: its least handling
(`handling.py`) less the settings that m such cuts can spare it. A reading that several rows need is spared
only if all of them do without it, so each row is credited with its share. Rows whose readings with the rest
on the fence can meet form a family, which takes as many readings of that sort as the row with the most
(`fence_readings.py`). Trying each number for a family gives the least of the sum. Readings are numbers on one
line: the fence travels at least from the least to the greatest that cannot be spared. End stops are added:
cuts of one length are served by an interval of stops, and the fewest points that meet all intervals are found
by always taking the end of the interval that ends first (the greedy rule for intervals, known from
scheduling; from memory). Changes of process are added: one for each process beyond the first.

Exact: no, a lower bound; on rows of equal strips it is met. It is tried against all orders of small random
jobs (tests/sequence/search/test_every_order.py).
Cost: for a family of r rows of up to m siblings r m² once, then a look-up for each set of waiting pieces.
Everything is remembered by what it depends on, for the beam asks for thousands of states that differ in one
piece.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from functools import cached_property
from itertools import accumulate

from stripplan.model.pattern import Blank, Node, leaves
from stripplan.sequence.bench import FETCHED, Bench, PricedCut, lengths
from stripplan.sequence.bounds.fence_readings import Row, Rows, families
from stripplan.sequence.bounds.handling import MOST_SIBLINGS, ByRest, HandlingBound
from stripplan.sequence.bounds.pushes import Pushes
from stripplan.sequence.cut_options import BenchPiece, alone

BEST = -math.inf
"""No reading: the key of the best cuts of a kind, whatever their reading."""

Joint = tuple[int, frozenset[float], tuple[Row, ...]]
"""Ticks of handling and settings, readings that must be set unless spared, and the rows."""

Apart = tuple[tuple[Row, ByRest], ...]
"""The rows of a piece, each with its least handling by the number of cuts with the rest on the fence."""


MOST_TRIED, FEW_ROWS = 40, 3
"""Numbers of cuts with the rest on the fence that are tried one by one; rows for which settings spared are
tried so too. Beyond, all numbers are bounded at once, which is weaker and quick. Set by trial on jobs of
hundreds of cuts, where the tries took most of the time; not studied.
"""


class CompletionBound:
    """Bounds for what waits: ticks that it takes at least, with the person's weights.

    `most_siblings`: rows longer than that are bounded by what clearing away after their cuts takes, and no more
    (`HandlingBound`). What waits is given as the kinds of the pieces, sorted, each as often as there are such
    pieces; so whatever is alike to wait for has one entry in the tables. `known` is a bound for the same rig, weights
    and rules, whose rows are taken over.
    """

    def __init__(self, bench: Bench, most_siblings: int = MOST_SIBLINGS, known: CompletionBound | None = None) -> None:
        self.bench, self.most_siblings = bench, most_siblings
        self._all_rows: Rows = Rows(bench) if known is None else known._all_rows
        self._handling: HandlingBound = HandlingBound(bench, most_siblings) if known is None else known._handling
        self._apart: dict[int, Apart] = {}
        self._by_kind: dict[int, int] = {}
        self._roughly: dict[int, int] = {}
        self._pushed: dict[int, int] = {}
        self._pushes: Pushes = Pushes(bench) if known is None else known._pushes
        self._carried: dict[int, int] = {}
        self._spared: dict[tuple[int, int], int] = {}
        self._waiting: dict[tuple[int, ...], Joint] = {}
        self._families: dict[frozenset[Row], list[list[Row]]] = {}
        self._readings: dict[int, int] = {}
        self._node_readings: dict[tuple[int, int], int] = {}
        self._bit_of: dict[float, int] = {}
        self._likely: dict[tuple[int, ...], int] = {}
        self._promising: dict[int, dict[float | None, tuple[PricedCut, ...]]] = {}
        self._stops: dict[int, frozenset[tuple[float, float]]] = {}
        self._points: dict[tuple[frozenset[tuple[float, float]], float | None], int] = {}
        self._credits: dict[tuple[Row, tuple[int, ...]], tuple[int, ...]] = {}

    def handling(self, kind: int) -> int:
        """Least handling of a piece that is fetched and of all that is cut from it, clearing away after each
        cut included.
        """
        found = self._by_kind.get(kind)
        if found is None:
            found = self._by_kind[kind] = sum(min(by_rest) for _, by_rest in self._rows(kind)) + self.carried(kind)
        return found

    def rough_handling(self, kind: int) -> int:
        """What clearing away after all cuts of a piece takes, and sizes that are bound to rest on the plate's own or to
        be unequal; to rank by.
        """
        found = self._roughly.get(kind)
        if found is None:
            each = self.bench.kinds[kind]
            found = self.bench.clear * each.cut_count + self.carried(kind) + self.bench.feared_ticks(each.piece)
            self._roughly[kind] = found
        return found

    def rough_with_pushes(self, kind: int) -> int:
        """The same, and what pushing up the rests of its rows takes, the widest off first."""
        found = self._pushed.get(kind)
        if found is None:
            found = self.rough_handling(kind) + self._pushes.of_piece(self.bench.kinds[kind].piece)
            self._pushed[kind] = found
        return found

    def carried(self, kind: int) -> int:
        """Clearing away, for their mass, of all finished pieces that come out of a kind."""
        found = self._carried.get(kind)
        if found is None:
            found = self._carried[kind] = self.bench.carried(self.bench.kinds[kind].piece)
        return found

    @cached_property
    def last_carried(self) -> int:
        """What is not cleared away after the last cut of all, at most: the two heaviest finished pieces of
        one plate. Clearing is counted after each cut, so a bound for the whole work gives this back.
        """
        found = [0]
        for piece in (self.bench.kinds[kind].piece for kind in self.bench.roots):
            # A cut leaves two pieces at the most, and they may be alike: so each different one is there twice.
            finished = [
                self.bench.carry(alone(piece.conditions, leaf))
                for leaf in dict.fromkeys(leaves(piece.workpiece.node))
                for _ in range(2)
            ]
            found.append(sum(sorted(finished)[-2:]))
        return max(found)

    @cached_property
    def least_dry_runs(self) -> int:
        """Ticks of the dry runs that every order needs: of cuts of a plate that no end stop serves together,
        each at its least.

        By plate, for an end stop is proved anew on each: the intervals chosen have no point in common, so
        each needs a run, and a run is the shorter the nearer the stop.
        """
        ticks = 0
        for kind in self.bench.roots:
            # The greedy rule for intervals again: the one that ends first takes its end, and all that hold that
            # point are served with it.
            at = -math.inf
            for least, most in sorted(self._spans(kind), key=lambda stop_interval: stop_interval[1]):
                if least > at + 1e-9:
                    ticks, at = ticks + self.bench.dry_ticks(least), most
        return ticks

    def spared(self, kind: int, pose: int) -> int:
        """What all bounds come to less at most where a piece lies so and need not be fetched.

        One piece at most lies there for the next cut, so bounds are summed as if all were fetched, and this
        is taken off once.
        """
        key = kind, pose
        found = self._spared.get(key)
        if found is None:
            each = self.bench.kinds[kind]
            # Poses are told as others of the kind lie; the piece at hand may be the one turned by half a turn.
            side, travel = divmod(pose, 4)
            as_it_lies = 4 * side + (travel + 2 * each.turned) % 4
            precedences = zip(self._rows(kind)[0][1], self._handling.least(each.piece, as_it_lies), strict=True)
            found = self._spared[key] = max(0, *(fetched - as_lying for fetched, as_lying in precedences))
        return found

    def least(
        self, waiting: tuple[int, ...], reading: float | None, stop: float | None, process: int | None = None
    ) -> int:
        """Least ticks for all that waits, each piece fetched, from how the rig stands; without clearing away
        before it.
        """
        known = self._waiting.get(waiting)
        if known is None:
            handling, own, rows = self._joint([pair for kind in waiting for pair in self._rows(kind)])
            known = self._waiting[waiting] = handling + sum(map(self.carried, waiting)), own, rows
        ticks, own, rows = known
        # The process burning now is no change if one of the waiting pieces is cut by it.
        processes = {self.bench.kinds[kind].process for kind in waiting}
        ticks += self.bench.process * (len(processes) - (process is None or process in processes))
        # The fence may stand where one of the cuts needs it: then one of the settings is had for nothing. Its
        # way from there is not counted, so the bound stays one whichever cut comes next.
        if reading is not None and (reading in own or any(row.may_read(reading) for row in rows)):
            ticks -= self.bench.fence
        spans = frozenset().union(*(self._spans(each) for each in dict.fromkeys(waiting)))
        return ticks + self._fewest_stops(spans, stop) * self.bench.end_stop

    def least_setup(self, waiting: tuple[int, ...]) -> int:
        """As `least` of whole plates, with nothing counted for sizes that rest on the plates' own.

        So it bounds the plain minutes of set-up, in which such sizes take no time.
        """
        # Only a plate's own row can have such sizes here: blanks that are to come out of it are bounded as if
        # they had been measured.
        rows = [
            (row, self._handling.least(self.bench.kinds[kind].piece, FETCHED, measured=True) if not number else by_rest)
            for kind in waiting
            for number, (row, by_rest) in enumerate(self._rows(kind))
        ]
        spans = frozenset().union(*(self._spans(each) for each in waiting))
        processes = {self.bench.kinds[kind].process for kind in waiting}
        ticks = self._joint(rows)[0] + sum(map(self.carried, waiting)) + self.bench.process * (len(processes) - 1)
        return ticks + self._fewest_stops(spans, None) * self.bench.end_stop

    def fewest_settings(self, waiting: tuple[int, ...]) -> int:
        """Fence settings that no order of what waits goes below, whatever else it costs.

        The same bound with handling at nought, in units of a setting. Rows that may be marked out by hand
        take no setting, so they are left out unless they have readings that no marking replaces.
        """
        # Settings that cost no time are not counted by ticks, so nothing is claimed about their number.
        if not self.bench.fence:
            return 0
        rows = [(row, (0,) * len(by_rest)) for kind in waiting for row, by_rest in self._rows(kind)]
        ticks, _, _ = self._joint([each for each in rows if each[0].own or each[0].located], travel=False)
        return max(0, math.ceil(ticks / self.bench.fence - 1e-6))

    def likely(self, waiting: tuple[int, ...]) -> int:
        """Ticks for the fence as it is mostly set, one setting for each width that waits, to rank by; no
        bound, for widths can be had from the rest.
        """
        found = self._likely.get(waiting)
        if found is None:
            own = 0
            for kind in waiting:
                readings = self._readings.get(kind)
                own |= self._own(kind) if readings is None else readings
            found = self._likely[waiting] = own.bit_count() * self.bench.fence
        return found

    def _own(self, kind: int) -> int:
        """Readings of all siblings that come out of a piece, at any depth, as bits: they are joined for every state."""
        found = self._readings.get(kind)
        if found is None:
            piece = self.bench.kinds[kind].piece
            found = self._bits(self._all_rows.of_piece(piece))
            for child in piece.workpiece.children:
                found |= self._own_of(piece, child)
            self._readings[kind] = found
        return found

    def _own_of(self, piece: BenchPiece, node: Node) -> int:
        key = id(piece.conditions), id(node)
        found = self._node_readings.get(key)
        if found is None:
            found = 0
            if isinstance(node, Blank):
                found = self._bits(self._all_rows.of_blank(piece, node))
                for child in node.children:
                    found |= self._own_of(piece, child)
            self._node_readings[key] = found
        return found

    def _bits(self, row: Row) -> int:
        """The readings of a row as bits, numbered as they are met."""
        found = 0
        for reading, _ in row.own:
            found |= 1 << self._bit_of.setdefault(reading, len(self._bit_of))
        return found

    def promising(self, kind: int) -> dict[float | None, tuple[PricedCut, ...]]:
        """The cuts of a kind that are worth a thought in a narrow search: by reading the best, and under BEST
        the best of all.
        """
        found = self._promising.get(kind)
        if found is None:
            by_reading: dict[float | None, list[tuple[int, PricedCut]]] = {}
            for priced in self.bench.priced_cuts(kind):
                score = priced.handling[FETCHED] + sum(self.rough_handling(each) for each in priced.products)
                by_reading.setdefault(priced.reading, []).append((score, priced))
            # Two for each reading, three over all: so narrow that a beam of some dozens stays varied, set by trial.
            kept = {reading: sorted(each)[:2] for reading, each in by_reading.items()}
            best = sorted(each[0] for each in kept.values())[:3]
            found = {reading: tuple(priced for _, priced in each) for reading, each in kept.items()}
            found[BEST] = tuple(priced for _, priced in best)
            self._promising[kind] = found
        return found

    def _rows(self, kind: int) -> Apart:
        """The rows of a piece that is fetched; its own is the first."""
        found = self._apart.get(kind)
        if found is None:
            piece = self.bench.kinds[kind].piece
            rows = [(self._all_rows.of_piece(piece), self._handling.least(piece, FETCHED))]
            for child in piece.workpiece.children:
                self._inner(piece, child, rows)
            found = self._apart[kind] = tuple(rows)
        return found

    def _inner(self, piece: BenchPiece, node: Node, rows: list[tuple[Row, ByRest]]) -> None:
        """Add the rows of a blank that is to come out of a piece, and of all blanks within it."""
        if isinstance(node, Blank):
            rows.append((self._all_rows.of_blank(piece, node), self._handling.blank(piece.conditions, node)))
            for child in node.children:
                self._inner(piece, child, rows)

    def _joint(self, each_row: Sequence[tuple[Row, ByRest]], *, travel: bool = True) -> Joint:
        """Handling and settings together, the readings that must be set unless spared, and the rows.

        With `travel` the way of the fence over the readings of one row is counted too; without, a tick of fence
        is a setting and nothing else, so that settings can be counted by it.
        """
        needed = Counter(reading for row, _ in each_row for reading, _ in row.own)
        rows = tuple(dict.fromkeys(row for row, _ in each_row))
        fence = self.bench.fence
        # Where a setting takes no time there is nothing to weigh handling against.
        if not fence:
            return sum(min(by_rest) for _, by_rest in each_row), frozenset(needed), rows
        fixed, some = 0, defaultdict(list)
        for row, by_rest in each_row:
            # Its readings cannot be told apart, so it is bounded by its handling alone.
            if row.fine:
                fixed += min(by_rest)
                continue
            # A row that a width is needed by twice spares the setting only with both, hence the share by rows
            # and siblings.
            worth = self._credit(row, tuple(needed[reading] for reading, _ in row.own))
            net = (cost - worth[min(m, len(worth) - 1)] for m, cost in enumerate(by_rest))
            met = sum(
                map(row.may_read, needed)
            )  # these are needed anyway, and may serve cuts with the rest on the fence too
            # By the most such cuts, not by their number: leave for more of them can only make the least less.
            some[row].append((tuple(accumulate(by_rest, min)), tuple(accumulate(net, min)), met))
        each_family = [
            tuple(
                zip(*self._by_most(family, [each for row in family for each in some[row]], travel=travel), strict=True)
            )
            for family in self._in_families(frozenset(some))
        ]
        if not each_family:
            return fixed, frozenset(needed), rows
        # Two bounds hold for each family: settings of all needed readings less those spared, and handling
        # with at least as many settings as the row with the most such cuts. Of one family the greater counts
        # for each number; of several, sums of the same sort are compared.
        if len(each_family) == 1:
            ticks = min(max(len(needed) * fence + spared, taken) for spared, taken in zip(*each_family[0], strict=True))
        else:
            spared, taken = (sum(min(family[n]) for family in each_family) for n in (0, 1))
            ticks = max(len(needed) * fence + spared, taken)
        return fixed + ticks, frozenset(needed), rows

    def _by_most(
        self, family: list[Row], some: list[tuple[tuple[int, ...], tuple[int, ...], int]], *, travel: bool
    ) -> Iterator[tuple[int, int]]:
        """Two bounds for a family by the most cuts of one row, P = 0, 1, ..., that have the rest on the fence.

        One is handling less the settings spared, to be added to a setting for each reading needed. The other
        is handling and P settings: more by one for the last cut of a row, which reads less than all before
        it, where none is a marked cut.
        """
        fence, last = self.bench.fence, all(row.located for row in family)
        longest = max(len(by_rest) for by_rest, _, _ in some)
        spared = None
        if len(some) > FEW_ROWS or longest > MOST_TRIED:  # for all P at once then, which is less, and so a bound too
            spared = self._net(some, longest)
        if longest > MOST_TRIED:
            yield spared or 0, sum(by_rest[-1] for by_rest, _, _ in some) + fence * last
            return
        for most in range(longest):
            taken = sum(by_rest[min(most, len(by_rest) - 1)] for by_rest, _, _ in some)
            fall = min((row.falls[most] for row in family if most < len(row.falls)), default=0.0)
            # Some row of the family makes so many such cuts; the one that moves the fence least counts, rounded
            # down, as becomes a bound.
            taken += math.floor(self.bench.fence_rate * fall) if travel else 0
            yield self._net(some, most) if spared is None else spared, taken + fence * (most + last)

    def _net(self, some: list[tuple[tuple[int, ...], tuple[int, ...], int]], most: int) -> int:
        """Handling less the settings spared, with at most so many cuts of a row that have the rest on the
        fence; those readings that meet needed ones come free.

        `more` is the number of readings that no sibling needs and that are set for such cuts: each is a setting
        more, for all rows together. A row can then make as many such cuts as those, and as it meets needed ones.
        """
        return min(
            self.bench.fence * more + sum([net[min(most, more + met, len(net) - 1)] for _, net, met in some])
            for more in range(most + 1)
        )

    def _in_families(self, rows: frozenset[Row]) -> list[list[Row]]:
        found = self._families.get(rows)
        if found is None:
            found = self._families[rows] = families(rows)
        return found

    def _credit(self, row: Row, needed: tuple[int, ...]) -> tuple[int, ...]:
        """Ticks of fence setting that a row can at most spare by m = 0, 1, ... cuts with the rest on the fence.

        A reading is worth the setting divided by how many rows need it, and to spare it all its siblings must
        be cut so, or be the last: the most valuable first, the last of them in part.
        """
        key = row, needed
        found = self._credits.get(key)
        if found is None:
            fence = self.bench.fence
            slots = sorted(
                (
                    fence / (rows * siblings)
                    for (_, siblings), rows in zip(row.own, needed, strict=True)
                    for _ in range(siblings)
                ),
                reverse=True,
            )
            # Entry m holds m + 1 siblings, for the last of a row comes off without a cut of its own. Rounded up:
            # a credit that is too small would make the bound too high.
            found = self._credits[key] = tuple(math.ceil(each + 1e-6) for each in accumulate(slots)) or (0,)
        return found

    def _spans(self, kind: int) -> frozenset[tuple[float, float]]:
        """For each length that is cut in a piece: the least and greatest end stop that serves it."""
        found = self._stops.get(kind)
        if found is None:
            piece = self.bench.kinds[kind].piece
            found = self._stops[kind] = frozenset(self.bench.stop_interval(length) for length in lengths(piece))
        return found

    def _fewest_stops(self, spans: frozenset[tuple[float, float]], stop: float | None) -> int:
        """How often the end stop must be moved at the least, from where it stands, to serve all lengths.

        What the stop serves as it stands is left out first: it would cost nothing wherever it came in the order.
        """
        key = spans, stop
        found = self._points.get(key)
        if found is None:
            found, at = 0, -math.inf
            for least, most in sorted(spans, key=lambda stop_interval: stop_interval[1]):
                if stop is not None and least - 1e-9 <= stop <= most + 1e-9:
                    continue
                if least > at + 1e-9:
                    found, at = found + 1, most
            self._points[key] = found
        return found
