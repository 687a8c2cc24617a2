"""The bench as numbers: pieces of one kind share a number, and every cut of a kind has its cost for each way
that the piece may lie.

Problem. An order of work is a long row of choices, and most of them differ in nothing that costs time: two
plates cut alike may change places, and so may two strips of a row, or a piece and the same piece turned round
by half a turn. A search that tells them apart does the same work many times over.

Method. What does not matter is left out of the state: where a piece lies in its plate, which of several alike
plates it comes from, and which way round it lies, as long as the way that it lies on the bed is turned with
it. What is left is a key; pieces with the same key are of one *kind*, numbered in the order in which they are
met. All cuts of a kind are priced once (`PricedCut`).

Poses. A piece lies on the bed as the cut before has left it, on the fence side or beyond the torch (two
sides), with that cut's direction of travel (four): eight poses, and FETCHED for a piece that lies elsewhere.
The turns to the next cut follow from the difference of the two directions alone.

Exact: merging kinds loses no order, for costs, limits and sizes of the members of a kind are the same to the
last digit (lengths are rounded to 6 decimals for the key, and masses are taken from lengths rounded so; a
test draws pairs apart by the last bit). Costs are whole ticks, for sums of floating point numbers depend on
the order in which they are added, and then two equal orders would not be equal.

Cost: a kind has at most 4 cuts for each different sibling (two ends, two edges), each with 9 handling costs,
worked out when first asked for.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from stripplan.model.pattern import Blank, Leaf, Node, leaves
from stripplan.model.rig import Rig
from stripplan.rig.machine.setting import end_stops, longest_end_stop
from stripplan.rig.machine.timing import arc_seconds, dry_run_seconds, post_flow_seconds, return_seconds
from stripplan.sequence.conditions import CutConditions
from stripplan.sequence.constraints import OrderConstraints
from stripplan.sequence.cut_options import BenchPiece, CutOption, alone
from stripplan.sequence.part_sizes import row_loss, unmeasured_in_row

TICKS = 1_000_000
"""Ticks a second: a millionth is far below anything that matters, and a day of work still fits 37 bits."""
UNMEASURED_SECONDS = 900.0
"""What it costs to let a part's size rest on the plate's own: no order does so to save a set-up.

Chosen, not measured: a quarter of an hour is several times the dearest set-up of one cut (fetching, turning
and both settings are some two minutes).
"""
LOOSE_SECONDS = 120.0
"""What it costs to let a part that asks how true it is take what is left beside the fence: about a metre of
edge dressed and a setting.

Chosen, not measured: an order should go so far out of its way for a truer part, and no further.
"""
FIRST_SECONDS = 3600.0
"""What each cut costs that comes before a part which is wanted first is made: an hour each outweighs any
saving, and the search still prefers the order with the fewest such cuts where some are needed.
"""
FIRST_TICKS = round(FIRST_SECONDS * TICKS)
"""The same in ticks."""
DUE_SECONDS = 10.0
"""What a cut before the last one of parts that are due before others counts, for each rank of those that wait: so a
strip of a later job is not cut off on the way without need, and a setting is not given up for it. Chosen, not
measured."""
DUE_TICKS = round(DUE_SECONDS * TICKS)
"""The same in ticks."""
UNCONSTRAINED = OrderConstraints()
"""No wish at all: only then may a very large job be ordered in batches."""

NONE = -1
"""No kind, no cut: where an end piece or a maker is wanted and there is none."""
FETCHED = 8
"""Index into `PricedCut.handling`: the piece does not lie on the bed. Below it: 4 * (0 right, 1 left of the
cut before) + its travel, seen from the piece as others of its kind lie.
"""


class Stop(NamedTuple):
    """An end stop that serves a cut, and the ticks that it takes longer than the least one."""

    at: float
    longer: int


class PricedCut(NamedTuple):
    """One way to cut a piece of one kind.

    `reading` is None for a marked cut. `handling` are the ticks of all handling for each way the piece may
    lie before. `on_bed` are the products that are still to be cut, as (kind, how it lies), and `bed_count`
    counts what lies on the bed afterwards, parts and scrap too; `carried` are the ticks that clearing the
    latter away takes for their mass. `products` are the kinds that wait from now on.
    """

    reading: float | None
    stops: tuple[Stop, ...]
    handling: tuple[int, ...]
    on_bed: tuple[tuple[int, int], ...]
    bed_count: int
    carried: int
    products: tuple[int, ...]


@dataclass(frozen=True)
class Kind:
    """Pieces that are alike for the order of work, some of them turned round; `piece` is one of them, and
    `turned` says whether it is.
    """

    piece: BenchPiece
    plate: int
    turned: bool
    process: int
    """Number of the process that it is cut by."""
    carry: int
    """Ticks that clearing it away takes for its mass."""

    @cached_property
    def cut_count(self) -> int:
        """How many cuts are still to be made of it."""
        return cuts_left(self.piece)


def siblings_left(piece: BenchPiece) -> int:
    """Pieces that are still to come off a piece, its ends among them."""
    workpiece = piece.workpiece
    return len(workpiece.children) + (workpiece.low is not None) + (workpiece.high is not None)


def cuts_left(piece: BenchPiece) -> int:
    """Cuts still to be made of a piece that lies there: each but the last sibling takes one, and what comes off
    it takes its own.
    """
    return siblings_left(piece) - 1 + sum(cuts_of(child) for child in piece.workpiece.children)


def cuts_of(node: Node) -> int:
    """Cuts that it takes to make everything of a node."""
    if isinstance(node, Leaf):
        return 0
    ends = (node.low is not None) + (node.high is not None)
    return max(len(node.children) + ends - 1, 0) + sum(cuts_of(child) for child in node.children)


class Bench:
    """Kinds of pieces and their priced cuts, worked out as they are met.

    `weights` multiply seconds by cause. Where `constraints` tell plates apart, pieces of different plates are
    never of one kind.
    """

    def __init__(
        self,
        rig: Rig,
        roots: Sequence[BenchPiece],
        weights: Mapping[str, float],
        *,
        constraints: OrderConstraints = UNCONSTRAINED,
    ) -> None:
        self.rig, self.weights, self.constraints = rig, weights, constraints
        self.kinds: list[Kind] = []
        self._numbers: dict[Hashable, int] = {}
        self._nodes: dict[int, tuple[int, int]] = {}
        self._node_numbers: dict[Hashable, int] = {}
        self._kept: list[Node] = []
        self._allowed: dict[tuple[int, ...], frozenset[int]] = {}
        self._ranks: dict[int, int] = {}
        self._looks: dict[tuple[BenchPiece, int, bool], tuple[int, bool]] = {}
        self._priced_looks: dict[tuple[BenchPiece, int, bool], tuple[PricedCut, ...]] = {}
        self._priced_cuts: list[tuple[PricedCut, ...] | None] = []
        self._stops: dict[tuple[Hashable, ...], tuple[Stop, ...]] = {}
        self._against_fetched: dict[tuple[int, int], tuple[int, int]] = {}
        self._processes: dict[str, int] = {}
        self._carried_of: dict[tuple[int, int], int] = {}
        # All least stops of the job: no cut is better served by a stop between two of them (`serving_stops`).
        self.least_stops = sorted({self.stop_interval(length)[0] for piece in roots for length in lengths(piece)})
        self.fence = self.ticks("fence", rig.seconds.fence)
        self.end_stop = self.ticks("end_stop", rig.seconds.end_stop)
        self.clear = self.ticks("clear", rig.seconds.clear)
        self.process = self.ticks("process", rig.seconds.process)
        self.unmeasured_ticks = round(UNMEASURED_SECONDS * TICKS)
        self.fetch = self.ticks("fetch", rig.seconds.fetch)
        self.fence_rate = weights.get("fence", 1.0) * TICKS * rig.seconds.fence_per_mm
        self._stop_rate = weights.get("end_stop", 1.0) * TICKS * rig.seconds.end_stop_per_mm
        self.roots = tuple(
            self.number(piece, plate)[0] for plate, piece in enumerate(roots) if not piece.workpiece.done
        )

    def number(self, piece: BenchPiece, plate: int, travel: int = 0) -> tuple[int, bool]:
        """The number of a piece's kind, and whether the piece is turned round (by half a turn in its plane)
        against others of it.

        A piece that looks the same either way counts as turned where it lies for the other half of the `travel`.
        """
        look = piece.alike, plate if self.constraints.tell_plates else 0, travel > 1
        found = self._looks.get(look)
        if found is None:
            found = self._looks[look] = self._number(piece, plate, travel)
        return found

    def _number(self, piece: BenchPiece, plate: int, travel: int) -> tuple[int, bool]:
        workpiece = piece.workpiece
        children = [self._node(child) for child in workpiece.children]
        low, high = (NONE if end is None else self._node(end)[0] for end in (workpiece.low, workpiece.high))
        south, east, north, west = workpiece.edges
        one = workpiece.edges, low, high, tuple(sorted(node for node, _ in children))
        other = (north, west, south, east), high, low, tuple(sorted(node for _, node in children))
        # The lesser of the two ways round is taken as the kind's own, so that both give one key; a piece that
        # looks the same either way is told by its travel, or a half turn of it would cost nothing.
        turned = travel > 1 if other == one else other < one
        assert isinstance(workpiece.node, Blank)
        key = (
            id(piece.conditions), plate if self.constraints.tell_plates else 0, round(workpiece.length, 6),
            round(workpiece.width, 6),
            workpiece.node.direction, workpiece.node.square, piece.face_up, piece.unmeasured,
            piece.errors if piece.conditions.equal else (), min(one, other),
        )  # fmt: skip
        # Marks of the scale are carried along only where parts are to be equal: else they would split kinds
        # for nothing.
        found = self._numbers.get(key)
        if found is None:
            found = self._numbers[key] = len(self.kinds)
            process = self._processes.setdefault(piece.conditions.process.name, len(self._processes))
            self.kinds.append(Kind(piece, plate, turned, process, self.carry(piece)))
            self._priced_cuts.append(None)
        return found, turned

    def allowed(self, waiting: tuple[int, ...]) -> frozenset[int]:
        """The kinds of what waits that may be cut next as the constraints have it."""
        found = self._allowed.get(waiting)
        if found is None:
            some = frozenset(waiting)
            if self.constraints.tell_plates:
                begun = {self.kinds[kind].plate for kind in some.difference(self.roots)}
                plates = self.constraints.open_plates((self.kinds[kind].plate for kind in some), begun)
                some = frozenset(kind for kind in some if self.kinds[kind].plate in plates)
            if ranks := {kind: self.rank(kind) for kind in some} if self.constraints.ranks else {}:
                least = min(ranks.values())
                some = frozenset(kind for kind in some if ranks[kind] == least)
            found = self._allowed[waiting] = some
        return found

    def rank(self, kind: int) -> int:
        """The rank of a piece as the constraints have it."""
        found = self._ranks.get(kind)
        if found is None:
            found = self._ranks[kind] = self.constraints.rank(self.kinds[kind].piece)
        return found

    def wanted_first(self, kind: int) -> bool:
        """Whether a piece holds a part that is wanted first."""
        return bool(self.constraints.first) and self.constraints.holds_first(self.kinds[kind].piece)

    def delay(self, waiting: tuple[int, ...]) -> int:
        """Ticks for a cut after which parts that are wanted first still wait, or that are due before others."""
        if not self.constraints.ranks:
            return 0
        waits = self.constraints.first and any(map(self.wanted_first, dict.fromkeys(waiting)))
        first = FIRST_TICKS if waits else 0
        if not self.constraints.due:
            return first
        ranks = len(self.constraints.ranks)
        return first + DUE_TICKS * (ranks - min(map(self.rank, waiting), default=ranks))

    def priced_cuts(self, kind: int) -> tuple[PricedCut, ...]:
        """All priced cuts of a kind."""
        known = self._priced_cuts[kind]
        if known is None:
            each = self.kinds[kind]
            known = self._priced_cuts[kind] = self.priced_cuts_of(each.piece, each.plate, turned=each.turned)
        return known

    def priced_cuts_of(self, piece: BenchPiece, plate: int, *, turned: bool) -> tuple[PricedCut, ...]:
        """A priced cut for each option of a piece, in the same order."""
        look = piece.alike, plate if self.constraints.tell_plates else 0, turned
        found = self._priced_looks.get(look)
        if found is None:
            found = tuple(self._priced(piece.alike, plate, option, turned) for option in piece.alike.options)
            self._priced_looks[look] = found
        return found

    def against_fetched(self, kind: int, pose: int) -> tuple[int, int]:
        """What cutting a piece as it lies costs less, and more, at most, than fetching it; neither below 0.

        The beam compares states by it: whatever cut is made next, lying so gains no more than the first over
        being fetched, and loses no more than the second.
        """
        key = kind, pose
        found = self._against_fetched.get(key)
        if found is None:
            less = [priced.handling[FETCHED] - priced.handling[pose] for priced in self.priced_cuts(kind)]
            found = self._against_fetched[key] = max(0, *less), max(0, *(-each for each in less))
        return found

    def carry(self, piece: BenchPiece) -> int:
        """Clearing a piece away, for its mass: the fixed part is paid once for all that lies on the bed, so
        it is not in here.
        """
        return self.ticks("clear", piece.carry_seconds)

    def carried(self, piece: BenchPiece) -> int:
        """Clearing away, for their mass, of all finished pieces that are still to come out of a piece: no
        order spares that, but for the last cut.
        """
        workpiece = piece.workpiece
        ends = (each for each in (workpiece.low, workpiece.high) if each is not None)
        return sum(self._carried(piece.conditions, node) for node in (*workpiece.children, *ends))

    def _carried(self, conditions: CutConditions, node: Node) -> int:
        """The same for a node, remembered; the node is kept, for with its id free another might be given it."""
        key = id(conditions), id(node)
        found = self._carried_of.get(key)
        if found is None:
            self._kept.append(node)
            found = self._carried_of[key] = sum(self.carry(alone(conditions, leaf)) for leaf in leaves(node))
        return found

    def unequal_ticks(self, option: CutOption) -> int:
        """For part sizes that come out other than their own fence setting would make them, off a straight edge."""
        return round((option.unequal_seconds + option.bowed_seconds) * TICKS) if option.piece.conditions.equal else 0

    def feared_ticks(self, piece: BenchPiece) -> int:
        """What is likely to come for sizes of a piece's parts: those that rest on the plate's own, or will be unequal.

        A guess, to rank by: without it a narrow search takes the cheap cut now and pays for the spoilt size
        at the end of the row.
        """
        found = self.unmeasured_ticks * unmeasured_in_row(piece.conditions, piece.workpiece, piece.unmeasured)
        if piece.conditions.equal:
            found += round((row_loss(piece.conditions, piece.workpiece, piece.errors) + piece.last_piece_loss) * TICKS)
        return found

    def aside(self, on_bed: Iterable[tuple[int, int]]) -> int:
        """Clearing away, for their mass, of kinds that lie on the bed."""
        return sum([self.kinds[kind].carry for kind, _ in on_bed])

    def process_ticks(self, before: int | None, kind: int) -> int:
        """Setting the torch up for the process of a kind."""
        return 0 if before is None or before == self.kinds[kind].process else self.process

    def fence_ticks(self, before: float | None, reading: float) -> int:
        """Moving the fence to a reading, from wherever it stands: before the first cut that is not known, so
        the way is not counted.
        """
        if before is None:
            return self.fence
        if abs(before - reading) < 1e-9:
            return 0
        return self.fence + round(self.fence_rate * abs(before - reading))

    def stop_ticks(self, before: float | None, stop: float) -> int:
        """Moving the end stop, counted as the fence is."""
        if before is None:
            return self.end_stop
        if abs(before - stop) < 1e-9:
            return 0
        return self.end_stop + round(self._stop_rate * abs(before - stop))

    def dry_ticks(self, stop: float) -> int:
        """Proving an end stop by a run with the arc off; not weighed by the person, for it is the carriage's time."""
        return round(dry_run_seconds(self.rig, stop) * TICKS)

    def ticks(self, cause: str, seconds: float) -> int:
        """Seconds of a cause with the person's weight."""
        return round(self.weights.get(cause, 1.0) * seconds * TICKS)

    def _node(self, node: Node) -> tuple[int, int]:
        """Numbers of a node as it is and turned round: siblings may lie in any order, ends change places.

        The canonical form of a tree whose children are unordered: a node's number is that of its shape and
        the sorted numbers of its children (A. V. Aho, J. E. Hopcroft, J. D. Ullman 1974, for equality of
        unordered trees, from memory).
        """
        found = self._nodes.get(id(node))
        if found is None:
            if isinstance(node, Leaf):
                as_it_is = turned = self._node_number(node)
            else:
                children = [self._node(child) for child in node.children]
                low, high = (NONE if end is None else self._node(end)[0] for end in (node.low, node.high))
                shape = node.length, node.width, node.direction, node.square
                as_it_is = self._node_number((*shape, low, high, *sorted(one for one, _ in children)))
                turned = self._node_number((*shape, high, low, *sorted(other for _, other in children)))
            found = self._nodes[id(node)] = as_it_is, turned
            self._kept.append(node)  # so that its id is never another's
        return found

    def _node_number(self, key: Hashable) -> int:
        return self._node_numbers.setdefault(key, len(self._node_numbers))

    def _priced(self, piece: BenchPiece, plate: int, option: CutOption, turned: bool) -> PricedCut:
        """An option as numbers, seen from the piece as others of its kind lie.

        After a marked cut both products count as lying beyond the torch: neither has its datum edge on the fence,
        so neither is spared the push where the next cut is a marked one too.
        """
        fence = option.located == "fence"
        on_bed, bed_count, carried = [], 0, 0
        for product, side in ((option.right, 0 if fence else 1), (option.left, 1)):
            bed_count += product is not None
            if product is not None and not product.workpiece.done:
                kind, other_way_round = self.number(product, plate, option.travel_after)
                on_bed.append((kind, 4 * side + (option.travel_after + 2 * other_way_round) % 4))
            elif product is not None:
                carried += self.carry(product)
        reading = option.setting.reading if fence else None
        handling = self.handling(piece, option, (option.travel + 2 * turned) % 4)
        return PricedCut(
            reading,
            self.serving_stops(option),
            handling,
            tuple(sorted(on_bed)),
            bed_count,
            carried,
            tuple(sorted(each for each, _ in on_bed)),
        )

    def handling(self, piece: BenchPiece, option: CutOption, travel: int) -> tuple[int, ...]:
        """All handling before a cut, and what marking it out takes, for each way to lie; neither fence nor
        stop, nor clearing away.
        """
        fixed = self.ticks("dress", option.dress_seconds) + self.unmeasured_ticks * option.unmeasured_sizes
        fixed += round(LOOSE_SECONDS * TICKS) * option.loose + self.unequal_ticks(option)
        if len(option.stops) == 2:
            fixed += self.ticks("turn_over", piece.over_seconds)
        if option.located == "marked":
            fixed += self.fence
        quarter, push = self.ticks("quarter_turn", piece.quarter_seconds), self.ticks("push", piece.push_seconds)
        # Straight on it is pushed up to the fence; a quarter or a half turn brings it there without a push of its own.
        by_turns = (fixed + push, fixed + quarter, fixed + 2 * quarter, fixed + quarter)
        pose = [by_turns[(before - travel) % 4] for before in range(4)] * 2
        if option.located == "marked":
            pose[travel] = fixed  # where its datum edge lies is as good as any
        return (*pose, fixed + self.ticks("fetch", piece.fetch_seconds))

    def serving_stops(self, option: CutOption) -> tuple[Stop, ...]:
        """End stops that are worth a thought: the least, and each that is the least of another cut and may
        stay for this one.

        Any stop between two of these serves the same cuts as the shorter one and makes the carriage go
        further, so no best order needs it. Where the person has set one, it alone, for every cut that it serves.
        """
        least, speed = option.stops[0][1], option.piece.conditions.process.travel_speed
        key = (least, option.longest_stop, len(option.stops), speed)
        found = self._stops.get(key)
        if found is None:
            stops = [least] + [each for each in self.least_stops if least + 1e-9 < each <= option.longest_stop + 1e-9]
            if (asked := self.constraints.end_stop) is not None and least - 1e-9 <= asked <= option.longest_stop + 1e-9:
                stops = [asked]
            shortest = self.travel_ticks([least] * len(option.stops), speed)
            found = tuple(Stop(at, self.travel_ticks([at] * len(option.stops), speed) - shortest) for at in stops)
            self._stops[key] = found
        return found

    def travel_ticks(self, stops: Sequence[float], speed: float) -> int:
        """Arc, return and the air after it of a cut's passes."""
        arc = self.weights.get("arc", 1.0) * arc_seconds(stops, speed)
        back = self.weights.get("return", 1.0) * return_seconds(stops, self.rig.return_speed)
        return round((arc + back + post_flow_seconds(self.rig, stops)) * TICKS)

    def stop_interval(self, length: float) -> tuple[float, float]:
        """The least and the greatest end stop at which a cut of some length may be made [mm]."""
        stops = end_stops(self.rig, length)
        least = stops[0][1]
        return least, max(least, longest_end_stop(self.rig, length)) if len(stops) == 1 else least


def promising_stops(stops: Sequence[Stop], now: float | None) -> Sequence[Stop]:
    """The stop as it is where it serves, else the least and the longest.

    For searches that prove nothing: leaving the stop alone is nearly always right, and where it must move,
    either the way of the carriage is spared or as many later cuts as can be are served.
    """
    for stop in stops:
        if stop.at == now:
            return (stop,)
    return stops[:: len(stops) - 1] if len(stops) > 1 else stops


def lengths(piece: BenchPiece) -> set[float]:
    """Lengths of all cuts of a piece [mm]; which they are does not depend on their order: all cuts of a row are
    as long as the row.
    """
    found: set[float] = set()

    def visit(node: Node) -> None:
        if isinstance(node, Blank) and cuts_of(node):
            found.add(node.length if node.direction == "along" else node.width)
            for child in node.children:
                visit(child)

    workpiece = piece.workpiece
    if not workpiece.done:
        found.add(workpiece.length if workpiece.direction == "along" else workpiece.width)
        for child in workpiece.children:
            visit(child)
    return found
