"""The ways in which one cut can be set up: which sibling, off which end, which edge on the fence.

A `Lay` is a piece as it lies between two cuts, a `Way` one cut of it. Neither depends on the order of
work elsewhere on the bench, so both are worked out once and shared by all plates cut alike, whatever
orders are tried.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property

from stripplan.model.cut_rules import CutRules
from stripplan.model.feasible import SAME, beside_is_legal, for_two, reaches
from stripplan.model.pattern import Blank, Leaf, Node, across
from stripplan.model.plan.cut import Located, Segment
from stripplan.model.rig import Process, Rig
from stripplan.model.workpiece import (
    EAST,
    NORTH,
    SOUTH,
    WEST,
    Choice,
    Edges,
    Side,
    Workpiece,
    choices,
    dressed,
    rest_alone,
    split,
    start,
)
from stripplan.rig.machine.setting import FenceSetting, end_stops, fence_setting, longest_end_stop
from stripplan.rig.machine.timing import handling_seconds, scrape_seconds

UNEQUAL_SECONDS = 240.0
"""What it costs to let a part come out a step of the scale other than those beside it: more than a set-up spares."""
BOW_SHARE = 0.25
"""Share of what a part may be off that the bow of the edge on the fence may take unheeded."""
WRONG_SECONDS = 3600.0
"""What it costs more where it is further off than the part may be: no order does so that need not."""

TO_EAST, TO_NORTH, TO_WEST, TO_SOUTH = range(4)
"""Direction of travel in the plate frame."""


@dataclass(frozen=True)
class Stock:
    """What the ways of a plate's pieces depend on besides their own shape."""

    rig: Rig
    rules: CutRules
    process: Process
    sized: tuple[tuple[bool, bool], ...]
    """For each part of the job: whether its (width, length) is a stated size."""
    asked: tuple[bool, ...] = ()
    """For each part of the job: whether it asks how true its size must be; none: no part does."""
    limits: tuple[tuple[float, float], ...] = ()
    """For each part of the job: by how much its (width, length) may be off, +- [mm]; none: by any amount."""
    bow_constant: float = 0.0
    """C of bow = C (length / width)² [mm] for a piece with one hot edge; 0: not known."""
    equal: bool = True
    """Whether parts are to come out as a fence setting of their own makes them wherever that can be; else only seconds count."""
    _settings: dict[float, FenceSetting] = field(default_factory=dict, compare=False, repr=False)

    def setting(self, width: float) -> FenceSetting:
        """Fence setting for a piece of that width on it, worked out once."""
        found = self._settings.get(width)
        if found is None:
            found = self._settings[width] = fence_setting(self.rig, width, self.rules.kerf)
        return found


@dataclass(frozen=True, eq=False)
class Lay:
    """A piece as it lies: its metal, the face that is up, and which of its sizes rest on the plate's own.

    `rests` says for the extents along x and y whether they were never measured from a fence setting, `errors` by how much they will be over what
    they are in the plan, for the marks of the scale that the fence was set to [mm].
    """

    stock: Stock
    piece: Workpiece
    face_up: bool
    rests: tuple[bool, bool]
    errors: tuple[float, float] = (0.0, 0.0)

    @cached_property
    def mass(self) -> float:
        """Mass [kg]."""
        # From sizes as pieces are told alike by, so that alike pieces weigh alike to the last digit.
        return round(self.piece.length, 6) * round(self.piece.width, 6) * self.stock.rules.areal_mass

    @cached_property
    def two_person(self) -> bool:
        """Whether it is for two people or a hoist."""
        rig, longest = self.stock.rig, max(self.piece.length, self.piece.width)
        return for_two(self.mass, longest, mass_limit=rig.two_person_mass, length_limit=rig.two_person_length)

    @cached_property
    def fetch_seconds(self) -> float:
        """Fetching it and putting it on the bed."""
        return self._handled(self.stock.rig.seconds.fetch)

    @cached_property
    def quarter_seconds(self) -> float:
        """One quarter turn."""
        return self._handled(self.stock.rig.seconds.quarter_turn)

    @cached_property
    def over_seconds(self) -> float:
        """Turning it over."""
        return self._handled(self.stock.rig.seconds.turn_over)

    @cached_property
    def push_seconds(self) -> float:
        """Pushing it up to the fence."""
        return self._handled(self.stock.rig.seconds.push)

    @cached_property
    def carry_seconds(self) -> float:
        """What clearing it away takes for its mass, beside what clearing the bed takes at all."""
        return self._handled(0.0)

    def _handled(self, base: float) -> float:
        return handling_seconds(self.stock.rig, base, self.mass, two_person=self.two_person)

    @cached_property
    def ways(self) -> tuple[Way, ...]:
        """All legal ways to make the next cut; empty for a finished piece or where no cut can be located.

        Where parts are to be equal, what makes them so comes first: a part that can be cut on the fence is, and what is left over stays to the last.
        In a row that leaves nothing over one of them must take what is left, and which way is best is for the search.
        """
        found = [way for choice in choices(self.piece) for way in _ways(self, choice)]
        found = [way for way in found if way.located == "fence"] or found
        if self.stock.equal and not left_over(self):
            found = [way for way in found if not way.loss] or found
        return tuple(found)


@dataclass(frozen=True, eq=False)
class Way:
    """One cut: `right` and `left` are the products as the piece lies (right = fence side).

    `datum` is the edge that lies on the fence, or from which the marks are measured. `stops` are
    (length cut, least end stop) of each pass; `longest_stop` how long a stop may be kept.
    `dress` are the sides to be cleaned first. `unmeasured` counts part sizes that rest on the plate's
    own size if the cut is made this way.
    """

    lay: Lay
    choice: Choice
    datum: Side
    travel: int
    located: Located
    setting: FenceSetting
    stops: tuple[tuple[float, float], ...]
    longest_stop: float
    dress: tuple[int, ...]

    @cached_property
    def _split(self) -> tuple[Workpiece | None, Workpiece | None, float]:
        """The pieces at the low and high end, and where the torch centreline runs."""
        return split(self.lay.piece, self.choice, self.lay.stock.rules.kerf)

    @property
    def length(self) -> float:
        """Length of the torch line inside the metal [mm]."""
        piece = self.lay.piece
        return piece.length if piece.direction == "along" else piece.width

    @cached_property
    def dress_seconds(self) -> float:
        """Scraping edges before the cut and, between two passes, what the first has cut."""
        piece = self.lay.piece
        lengths = [piece.length if side % 2 == 0 else piece.width for side in self.dress]
        if len(self.stops) == 2:
            lengths.append(self.stops[0][0])
        return sum(scrape_seconds(self.lay.stock.rig, round(length, 6)) for length in lengths)

    @property
    def least_stops(self) -> tuple[float, ...]:
        """The least end stop of each pass [mm]."""
        return tuple(stop for _, stop in self.stops)

    @property
    def line(self) -> Segment:
        """Torch centreline, entry to exit in the first pass's direction."""
        p, at = self.lay.piece, self._split[2]
        if p.direction == "along":
            ends = (p.x0, at), (p.x1, at)
        else:
            ends = (at, p.y0), (at, p.y1)
        return ends if self.travel in (TO_EAST, TO_NORTH) else (ends[1], ends[0])

    @property
    def datum_side(self) -> int:
        """The side (SOUTH, EAST, NORTH, WEST) that lies on the fence."""
        along = self.lay.piece.direction == "along"
        return {(True, "low"): SOUTH, (True, "high"): NORTH, (False, "low"): WEST, (False, "high"): EAST}[
            along, self.datum
        ]

    @property
    def face_up_after(self) -> bool:
        """The face that is up afterwards: a two-pass cut leaves the piece turned over."""
        return self.lay.face_up if len(self.stops) == 1 else not self.lay.face_up

    @property
    def travel_after(self) -> int:
        """Direction of the last pass in the plate frame."""
        return self.travel if len(self.stops) == 1 else (self.travel + 2) % 4

    @cached_property
    def right(self) -> Lay | None:
        """The product on the fence side."""
        return self._product(self.datum)

    @cached_property
    def left(self) -> Lay | None:
        """The product on the far side."""
        return self._product("high" if self.datum == "low" else "low")

    @cached_property
    def unmeasured(self) -> int:
        """How many part sizes would rest on the plate's own size after this cut."""
        left_over = rest_alone(self.lay.piece, self.choice)
        taken = _unmeasured(self.lay.stock, self.choice.child, self._rests(self.choice.end))
        other: Side = "high" if self.choice.end == "low" else "low"
        return taken + (0 if left_over is None else _unmeasured(self.lay.stock, left_over, self._rests(other)))

    @cached_property
    def loose(self) -> int:
        """How many parts that ask how true they are would take what is left beside the fence: two settings or more and a whole kerf are in that."""
        left_over = rest_alone(self.lay.piece, self.choice)
        other: Side = "high" if self.choice.end == "low" else "low"
        nodes = ((self.choice.child, self.choice.end), (left_over, other))
        return sum(node is not None and side != self.datum and _asks(self.lay.stock, node) for node, side in nodes)

    @cached_property
    def unequal_seconds(self) -> float:
        """What part sizes that are made here are worth less for being other than a fence setting of their own would make them."""
        return sum(_unequal_seconds(lay) for lay in (self.right, self.left) if lay is not None)

    @cached_property
    def datum_bow(self) -> float:
        """How far the edge on the fence stands off it between its ends [mm]: a piece with one cut edge bows, and what is cut off it is as much narrower there.

        Where both edges were cut they pull against each other, which counts as straight.
        """
        piece = self.lay.piece
        along = piece.direction == "along"
        south, east, north, west = (state != "mill" for state in piece.edges)
        low, high = (south, north) if along else (west, east)
        datum, other = (low, high) if self.datum == "low" else (high, low)
        if self.located != "fence" or not datum or other:
            return 0.0
        across_it = piece.width if along else piece.length
        return self.lay.stock.bow_constant * (self.length / across_it) ** 2

    @cached_property
    def bowed(self) -> tuple[Leaf, float] | None:
        """The part that is cut off on the fence, and the bow of the edge there, where that takes more than `BOW_SHARE` of what the part may be off."""
        node = self.right.piece.node if self.right is not None else None
        if not self.datum_bow or not isinstance(node, Leaf) or node.part is None or not self.lay.stock.limits:
            return None
        limit = self.lay.stock.limits[node.part][(self.lay.piece.direction == "along") == node.turned]
        return (node, self.datum_bow) if self.datum_bow > BOW_SHARE * limit else None

    @cached_property
    def bowed_seconds(self) -> float:
        """What that part is worth less: by the square of what it is narrower at the mean, two thirds of the bow of a parabola."""
        if self.bowed is None:
            return 0.0
        rig = self.lay.stock.rig
        return UNEQUAL_SECONDS * (2 / 3 * self.bowed[1] / (rig.fence_step * rig.fence_scale)) ** 2

    @cached_property
    def loss(self) -> float:
        """Seconds for part sizes that are made unequal here, or that will be by what remains of the row."""
        rest = (lay for lay in (self.right, self.left) if lay is not None and lay.piece.node is self.lay.piece.node)
        return self.unequal_seconds + sum(left_over(lay) for lay in rest)

    def _errors(self, side: Side) -> tuple[float, float]:
        """What the extents of the product at one end are over: on the fence what its mark is off by, else what is left of the piece's own."""
        x, y = self.lay.errors
        mark = self.setting.error if self.located == "fence" else 0.0
        across = y if self.lay.piece.direction == "along" else x
        new = round(mark if side == self.datum else across - mark, 6) + 0.0  # no minus nought
        return (x, new) if self.lay.piece.direction == "along" else (new, y)

    def _rests(self, side: Side) -> tuple[bool, bool]:
        """Which extents of the product at one end rest on the plate's own size: the fence measures what lies on it."""
        rests_x, rests_y = self.lay.rests
        measured = side == self.datum
        if self.lay.piece.direction == "along":
            return rests_x, rests_y and not measured
        return rests_x and not measured, rests_y

    def _product(self, side: Side) -> Lay | None:
        piece = self._split[0] if side == "low" else self._split[1]
        if piece is None:
            return None
        return Lay(self.lay.stock, piece, self.face_up_after, self._rests(side), self._errors(side))


@dataclass(frozen=True)
class Step:
    """One cut of the order: on which plate, of which piece, how, and where the end stop stands for each pass."""

    plate: int
    lay: Lay
    way: Way
    stops: tuple[float, ...]


def alone(stock: Stock, node: Node) -> Lay:
    """A piece by itself, with clean edges."""
    return Lay(stock, start(node, ("dressed",) * 4), True, (False, False))


def _asks(stock: Stock, node: Node) -> bool:
    return isinstance(node, Leaf) and node.part is not None and bool(stock.asked) and stock.asked[node.part]


def _unequal_seconds(lay: Lay) -> float:
    """What the sizes of a finished part are worth less for being other than a fence setting of their own would make them; 0 for anything else."""
    node, stock = lay.piece.node, lay.stock
    if not isinstance(node, Leaf) or node.part is None:
        return 0.0
    return sum(_off_its_mark(stock, node, at, over) for at, over in enumerate(lay.errors))


def _off_its_mark(stock: Stock, leaf: Leaf, at: int, over: float) -> float:
    """Seconds that it is worth to have the extent of a part along x (`at` 0) or y as its own fence setting would make it, where it is over by so much [mm].

    The loss goes with the square of how far it is off, as is usual for sizes about a target (G. Taguchi, from memory), and is `UNEQUAL_SECONDS` for one step of
    the scale: many small differences are better than a great one. Where the fence does not reach, the cut is marked out by hand, and over by nothing.
    """
    assert leaf.part is not None
    if not _sized(stock, leaf)[at]:
        return 0.0
    extent = leaf.length if at == 0 else leaf.width
    off = over - (stock.setting(extent).error if reaches(stock.rules, extent) else 0.0)
    if abs(off) <= SAME:
        return 0.0
    limit = stock.limits[leaf.part][at == leaf.turned] if stock.limits else math.inf
    wrong = WRONG_SECONDS if abs(over) > limit + SAME else 0.0
    return UNEQUAL_SECONDS * (off / (stock.rig.fence_step * stock.rig.fence_scale)) ** 2 + wrong


def resting(lay: Lay) -> int:
    """How many parts of a row have a size at right angles to it that rests on the plate's own: no cut of the row mends that."""
    along = lay.piece.direction == "along"
    if not lay.rests[0 if along else 1]:
        return 0
    return sum(_sized(lay.stock, leaf)[0 if along else 1] for leaf in _parts(lay))


def uneven(lay: Lay) -> float:
    """Seconds for parts of a row whose size at right angles to it is not as a fence setting of its own would make it: no cut of the row mends that."""
    at = 0 if lay.piece.direction == "along" else 1
    return sum(_off_its_mark(lay.stock, leaf, at, lay.errors[at]) for leaf in _parts(lay))


def left_over(lay: Lay) -> float:
    """Seconds for a row that leaves nothing over: a part, or a blank, must take what is left, with all that the marks of the scale are off by.

    A guess: each part on the fence but the last, that being the best of them; or the rest on the fence each time, which takes a setting for each cut, and
    marks that are off by little.
    """
    piece, stock = lay.piece, lay.stock
    at = 1 if piece.direction == "along" else 0
    siblings = [each for each in (*piece.children, piece.low, piece.high) if each is not None]
    if any(isinstance(each, Leaf) and each.part is None for each in siblings):
        return 0.0
    marks = {each: stock.setting(across(each, piece.direction)).error for each in set(siblings)}
    spent = lay.errors[at] - sum(marks[each] for each in siblings)
    last = min(_loss(stock, each, at, spent + mark) for each, mark in marks.items())
    return min(last, (len(siblings) - 1) * (stock.rig.seconds.fence + UNEQUAL_SECONDS / 16))


def _loss(stock: Stock, node: Node, at: int, over: float) -> float:
    """Seconds for a part, or for the parts that are next cut from a blank, whose extent along x (`at` 0) or y is over by so much [mm]."""
    if isinstance(node, Leaf):
        return 0.0 if node.part is None else _off_its_mark(stock, node, at, over)
    return sum(
        _off_its_mark(stock, each, at, over)
        for each in node.children
        if isinstance(each, Leaf) and each.part is not None
    )


def _parts(lay: Lay) -> Iterator[Leaf]:
    return (child for child in lay.piece.children if isinstance(child, Leaf) and child.part is not None)


def _sized(stock: Stock, leaf: Leaf) -> tuple[bool, bool]:
    """Whether the extents of a part along x and y are stated sizes."""
    assert leaf.part is not None
    width_sized, length_sized = stock.sized[leaf.part]
    return (width_sized, length_sized) if leaf.turned else (length_sized, width_sized)


def _unmeasured(stock: Stock, node: Node, rests: tuple[bool, bool]) -> int:
    if not isinstance(node, Leaf) or node.part is None:
        return 0
    sized_x, sized_y = _sized(stock, node)
    return (rests[0] and sized_x) + (rests[1] and sized_y)


def travel_for(along: bool, datum: Side, face_up: bool) -> int:
    """Direction of travel in the plate frame that has the datum edge on its right, as the piece lies.

    >>> travel_for(True, "low", True) == TO_EAST, travel_for(False, "low", True) == TO_SOUTH
    (True, True)
    """
    low_face_up = TO_EAST if along else TO_SOUTH
    turned = (datum == "high") != (not face_up)
    return (low_face_up + 2) % 4 if turned else low_face_up


def leading_side(travel: int) -> int:
    """The side of a rectangle that the torch enters through."""
    return {TO_EAST: WEST, TO_NORTH: SOUTH, TO_WEST: EAST, TO_SOUTH: NORTH}[travel]


def _ways(lay: Lay, choice: Choice) -> list[Way]:
    rules, rig, piece = lay.stock.rules, lay.stock.rig, lay.piece
    along = piece.direction == "along"
    whole, length = (piece.width, piece.length) if along else (piece.length, piece.width)
    size = across(choice.child, piece.direction)
    stops = end_stops(rig, length)
    longest = longest_end_stop(rig, length) if len(stops) == 1 else stops[0][1]
    found = []
    datums: tuple[Side, Side] = ("low", "high")
    for datum in datums:
        # rounded, so that a reading between two marks does not depend on where the piece lies in its plate
        on_fence = size if datum == choice.end else round(whole - size - rules.kerf, 6)
        if not _square_kept(lay, choice, datum, len(stops)):
            continue
        if not beside_is_legal(rules, whole - on_fence - rules.kerf):
            continue
        located: Located = "fence" if reaches(rules, on_fence) else "marked"
        if located == "marked" and not rules.marked:
            continue
        travel = travel_for(along, datum, lay.face_up)
        dress = to_dress(
            piece.edges, along=along, datum=datum, travel=travel, two=len(stops) == 2, fence=located == "fence"
        )
        lies = replace(lay, piece=dressed(piece, dress)) if dress else lay
        setting = lay.stock.setting(on_fence)
        found.append(Way(lies, choice, datum, travel, located, setting, stops, longest, dress))
    if len(found) == 2 and found[0].located == found[1].located == "marked":
        inside = [way for way in found if way.setting.offset >= 0] or found  # a mark beside the metal cannot be scribed
        nearer = min(way.setting.offset for way in inside)  # marks are taken from the nearer edge
        return [way for way in inside if way.setting.offset <= nearer + SAME]
    return found


def to_dress(edges: Edges, *, along: bool, datum: Side, travel: int, two: bool, fence: bool) -> tuple[int, ...]:
    """Freshly cut sides that must be cleaned: the datum edge on the fence, and each edge the torch enters through."""
    sides = {leading_side(travel)}
    if two:
        sides.add(leading_side((travel + 2) % 4))
    if fence:
        sides.add((SOUTH if datum == "low" else NORTH) if along else (WEST if datum == "low" else EAST))
    return tuple(side for side in sorted(sides) if edges[side] == "fresh")


def _square_kept(lay: Lay, choice: Choice, datum: Side, passes: int) -> bool:
    """In a blank made for a square part, the part must lie on the square side of each cut."""
    node = lay.piece.node
    if not (isinstance(node, Blank) and node.square) or lay.stock.rules.square_side == "equal":
        return True
    part_end = choice.end if not _is_scrap(choice) else ("high" if choice.end == "low" else "low")
    on_fence_side = datum == part_end
    if lay.stock.rules.square_side == "fence":
        return on_fence_side
    return not on_fence_side and passes == 1


def _is_scrap(choice: Choice) -> bool:
    return isinstance(choice.child, Leaf) and choice.child.kind != "part"
