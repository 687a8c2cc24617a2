"""The ways in which one cut can be set up: which sibling, off which end, which edge on the fence.

Problem. A pattern says which siblings a blank is cut into, not in which order, from which end, or which side
of the cut lies on the fence. Each of these choices changes what is read off the scale, what must be scraped,
and how true the parts become.

Method. A `BenchPiece` is a piece as it lies between two cuts, with all of its past that matters: the face
that is up, which of its sizes were ever measured by a fence setting, and by how much its extents are over for
the marks that the fence was set to. A `CutOption` is one cut of it, with both products. Neither depends on
the order of work elsewhere on the bench, so both are worked out once, when first asked for, and shared by all
plates cut alike, whatever orders are tried. Products are the same objects each time, so searches may tell
pieces by identity.

Exact: every legal way is an option, but that marked cuts are left out where the fence reaches, and ways that
make parts unequal where the row leaves something over to take the rest (`BenchPiece.options`). Legality is
asked of `model.feasible`, as layout asks it.
Cost: at most four options for each different sibling.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, cached_property

from stripplan.model.feasible import SAME, beside_is_legal, for_two, reaches
from stripplan.model.pattern import Blank, Leaf, Node, across, leaves
from stripplan.model.plan.cut import Located, Segment
from stripplan.model.rig import Rig
from stripplan.model.workpiece import (
    EAST,
    NORTH,
    SOUTH,
    WEST,
    Edges,
    Separation,
    Side,
    Workpiece,
    dressed,
    separations,
    single_remainder,
    split,
    uncut,
)
from stripplan.rig.machine.setting import FenceSetting, end_stops, longest_end_stop
from stripplan.rig.machine.timing import scrape_seconds
from stripplan.sequence.conditions import CutConditions
from stripplan.sequence.handled import Handled
from stripplan.sequence.part_sizes import (
    BOW_SHARE,
    UNEQUAL_SECONDS,
    asks_accuracy,
    last_piece_loss,
    part_loss,
    unmeasured_sizes,
)

TO_EAST, TO_NORTH, TO_WEST, TO_SOUTH = range(4)
"""Direction of travel in the plate frame."""


@dataclass(frozen=True, eq=False)
class BenchPiece(Handled):
    """A piece as it lies: its metal, the face that is up, and which of its sizes rest on the plate's own.

    `unmeasured` says for the extents along x and y whether they were never measured from a fence setting,
    `errors` by how much they will be over what they are in the plan, for the marks of the scale that the
    fence was set to [mm].
    """

    conditions: CutConditions
    workpiece: Workpiece
    face_up: bool
    unmeasured: tuple[bool, bool]
    errors: tuple[float, float] = (0.0, 0.0)

    @cached_property
    def mass(self) -> float:
        """Mass [kg]."""
        # From sizes as pieces are told alike by, so that alike pieces weigh alike to the last digit.
        return round(self.workpiece.length, 6) * round(self.workpiece.width, 6) * self.conditions.rules.areal_mass

    @cached_property
    def two_person(self) -> bool:
        """Whether it is for two people or a hoist."""
        rig, longest = self.conditions.rig, max(self.workpiece.length, self.workpiece.width)
        return for_two(self.mass, longest, mass_limit=rig.two_person_mass, length_limit=rig.two_person_length)

    @cached_property
    def weighed(self) -> tuple[Rig, float, bool]:
        """The rig, the mass [kg], and whether it is for two people or a hoist."""
        return self.conditions.rig, self.mass, self.two_person

    @cached_property
    def last_piece_loss(self) -> float:
        """Seconds that are likely to be lost on the last piece of its row, which takes what is left."""
        if self.alike is not self and self.conditions.equal:
            return self.alike.last_piece_loss
        return last_piece_loss(self.conditions, self.workpiece, self.errors)

    @cached_property
    def alike(self) -> BenchPiece:
        """The first piece met that looks the same but for where it lies in its plate: to it all is done that no
        place changes, so it can stand for all of them.

        What the marks of the scale are off by is part of the look only where parts are to be equal.
        """
        workpiece, errors = self.workpiece, self.errors if self.conditions.equal else ()
        look = (
            workpiece.node, workpiece.children, workpiece.low, workpiece.high, workpiece.edges,
            round(workpiece.length, 6), round(workpiece.width, 6), self.face_up, self.unmeasured, errors,
        )  # fmt: skip
        found: BenchPiece = self.conditions.met.setdefault(look, self)
        return found

    @cached_property
    def options(self) -> tuple[CutOption, ...]:
        """All legal ways to make the next cut; empty for a finished piece or where no cut can be located.

        Pieces that are alike have the same, in the same order.

        Where parts are to be equal, what makes them so comes first: a part that can be cut on the fence is,
        and what is left over stays to the last. In a row that leaves nothing over one of them must take what
        is left, and which way is best is for the search.
        """
        if self.alike is not self:
            return tuple(option.of(self) for option in self.alike.options)
        # A mark scribed by hand is followed to half a millimetre, a fence to its step: marking is for where
        # no edge reaches the fence.
        found = [option for separation in separations(self.workpiece) for option in _ways(self, separation)]
        found = [option for option in found if option.located == "fence"] or found
        if self.conditions.pinned:
            found = [option for option in found if self._at_its_fence(option)] or found
        if self.conditions.equal and not self.last_piece_loss:
            found = [option for option in found if not option.loss] or found
        return tuple(found)

    def _at_its_fence(self, option: CutOption) -> bool:
        """Whether no part whose fence stays comes off on the far side, where the other is none."""
        fence, far = (self._is_pinned(each) for each in (option.right, option.left))
        return fence or not far

    def _is_pinned(self, product: BenchPiece | None) -> bool:
        """Whether a product has the width that such a part gets: it is one, or a strip that some are cut from."""
        if product is None:
            return False
        lies, way = product.workpiece, self.workpiece.direction
        wide = lies.width if way == "along" else lies.length
        nodes = (lies.node,) if lies.done else lies.children
        pinned = (self.conditions.pinned[leaf.part] for node in nodes for leaf in leaves(node) if leaf.part is not None)
        return any(width is not None and abs(wide - width) < SAME for width in pinned)


@dataclass(frozen=True, eq=False)
class CutOption:
    """One cut: `right` and `left` are the products as the piece lies (right = fence side).

    `datum` is the edge that lies on the fence, or from which the marks are measured (but see `measured_from`). `stops`
    are (length cut, least end stop) of each pass; `longest_stop` how long a stop may be kept.
    `dress` are the sides to be cleaned first. `unmeasured_sizes` counts part sizes that rest on the plate's
    own size if the cut is made this way.
    """

    piece: BenchPiece
    separation: Separation
    datum: Side
    travel: int
    located: Located
    setting: FenceSetting
    stops: tuple[tuple[float, float], ...]
    longest_stop: float
    dress: tuple[int, ...]

    @property
    def bar(self) -> None:
        """No setting of the mitre bar: cuts of rectangles have an edge that runs along them."""
        return None

    def of(self, piece: BenchPiece) -> CutOption:
        """The same cut of another piece that is alike."""
        return CutOption(
            _scraped(piece, self.dress), self.separation, self.datum, self.travel, self.located, self.setting,
            self.stops, self.longest_stop, self.dress,
        )  # fmt: skip

    @cached_property
    def _split(self) -> tuple[Workpiece | None, Workpiece | None, float]:
        """The pieces at the low and high end, and where the torch centreline runs."""
        return split(self.piece.workpiece, self.separation, self.piece.conditions.rules.kerf)

    @property
    def length(self) -> float:
        """Length of the torch line inside the metal [mm]."""
        workpiece = self.piece.workpiece
        return workpiece.length if workpiece.direction == "along" else workpiece.width

    @cached_property
    def dress_seconds(self) -> float:
        """Scraping edges before the cut and, between two passes, what the first has cut."""
        workpiece = self.piece.workpiece
        lengths = [workpiece.length if side % 2 == 0 else workpiece.width for side in self.dress]
        if len(self.stops) == 2:
            lengths.append(self.stops[0][0])
        return sum(scrape_seconds(self.piece.conditions.rig, round(length, 6)) for length in lengths)

    @property
    def least_stops(self) -> tuple[float, ...]:
        """The least end stop of each pass [mm]."""
        return tuple(stop for _, stop in self.stops)

    @property
    def line(self) -> Segment:
        """Torch centreline, entry to exit in the first pass's direction."""
        p, at = self.piece.workpiece, self._split[2]
        if p.direction == "along":
            ends = (p.x0, at), (p.x1, at)
        else:
            ends = (at, p.y0), (at, p.y1)
        return ends if self.travel in (TO_EAST, TO_NORTH) else (ends[1], ends[0])

    @property
    def datum_side(self) -> int:
        """The side (SOUTH, EAST, NORTH, WEST) that lies on the fence."""
        along = self.piece.workpiece.direction == "along"
        return {(True, "low"): SOUTH, (True, "high"): NORTH, (False, "low"): WEST, (False, "high"): EAST}[
            along, self.datum
        ]

    @property
    def measured_from(self) -> Side:
        """The end whose edge the cut is measured from: the datum, but where the torch line lies outside that edge.

        A kerf may run partly off the metal, and a part with square edges leaves no choice of datum; a mark beside the
        datum edge cannot be scribed towards the metal, so such a cut is marked from the other edge.
        """
        if self.setting.offset >= 0:
            return self.datum
        return "high" if self.datum == "low" else "low"

    @property
    def face_up_after(self) -> bool:
        """The face that is up afterwards: a two-pass cut leaves the piece turned over."""
        return self.piece.face_up if len(self.stops) == 1 else not self.piece.face_up

    @property
    def travel_after(self) -> int:
        """Direction of the last pass in the plate frame."""
        return self.travel if len(self.stops) == 1 else (self.travel + 2) % 4

    @cached_property
    def right(self) -> BenchPiece | None:
        """The product on the fence side: the fence is on the right of the travel, so that side is measured."""
        return self._product(self.datum)

    @cached_property
    def left(self) -> BenchPiece | None:
        """The product on the far side, which takes what is left."""
        return self._product("high" if self.datum == "low" else "low")

    @cached_property
    def unmeasured_sizes(self) -> int:
        """How many part sizes would rest on the plate's own size after this cut."""
        left_over = single_remainder(self.piece.workpiece, self.separation)
        taken = unmeasured_sizes(self.piece.conditions, self.separation.child, self._rests(self.separation.end))
        other: Side = "high" if self.separation.end == "low" else "low"
        return taken + (
            0 if left_over is None else unmeasured_sizes(self.piece.conditions, left_over, self._rests(other))
        )

    @cached_property
    def loose(self) -> int:
        """How many parts that ask how true they are would take what is left beside the fence: two settings or
        more and a whole kerf are in that.
        """
        left_over = single_remainder(self.piece.workpiece, self.separation)
        other: Side = "high" if self.separation.end == "low" else "low"
        nodes = ((self.separation.child, self.separation.end), (left_over, other))
        return sum(
            node is not None and side != self.measured_from and asks_accuracy(self.piece.conditions, node)
            for node, side in nodes
        )

    @cached_property
    def unequal_seconds(self) -> float:
        """What part sizes that are made here are worth less for being other than a fence setting of their own
        would make them.
        """
        return sum(
            part_loss(piece.conditions, piece.workpiece, piece.errors)
            for piece in (self.right, self.left)
            if piece is not None
        )

    @cached_property
    def datum_bow(self) -> float:
        """How far the edge on the fence stands off it between its ends [mm]: a piece with one cut edge bows,
        and what is cut off it is as much narrower there.

        Where both edges were cut they pull against each other, which counts as straight.
        """
        workpiece = self.piece.workpiece
        along = workpiece.direction == "along"
        south, east, north, west = (state != "mill" for state in workpiece.edges)
        low, high = (south, north) if along else (west, east)
        datum, other = (low, high) if self.datum == "low" else (high, low)
        if self.located != "fence" or not datum or other:
            return 0.0
        across_it = workpiece.width if along else workpiece.length
        return self.piece.conditions.bow_constant * (self.length / across_it) ** 2

    @cached_property
    def bowed(self) -> tuple[Leaf, float] | None:
        """The part that is cut off on the fence, and the bow of the edge there, where that takes more than
        `BOW_SHARE` of what the part may be off.
        """
        node = self.right.workpiece.node if self.right is not None else None
        if not self.datum_bow or not isinstance(node, Leaf) or node.part is None or not self.piece.conditions.limits:
            return None
        limit = self.piece.conditions.limits[node.part][(self.piece.workpiece.direction == "along") == node.turned]
        return (node, self.datum_bow) if self.datum_bow > BOW_SHARE * limit else None

    @cached_property
    def bowed_seconds(self) -> float:
        """What that part is worth less: by the square of what it is narrower at the mean, two thirds of the
        bow of a parabola.
        """
        if self.bowed is None:
            return 0.0
        rig = self.piece.conditions.rig
        return UNEQUAL_SECONDS * (2 / 3 * self.bowed[1] / (rig.fence_step * rig.fence_scale)) ** 2

    @cached_property
    def loss(self) -> float:
        """Seconds for part sizes that are made unequal here, or that will be by what remains of the row."""
        rest = (
            piece
            for piece in (self.right, self.left)
            if piece is not None and piece.workpiece.node is self.piece.workpiece.node
        )
        return self.unequal_seconds + sum(piece.last_piece_loss for piece in rest)

    def _errors(self, side: Side) -> tuple[float, float]:
        """What the extents of the product at one end are over: on the fence what its mark is off by, else
        what is left of the piece's own.
        """
        x, y = self.piece.errors
        mark = self.setting.error if self.located == "fence" else 0.0
        across = y if self.piece.workpiece.direction == "along" else x
        new = round(mark if side == self.measured_from else across - mark, 6) + 0.0  # no minus nought
        return (x, new) if self.piece.workpiece.direction == "along" else (new, y)

    def _rests(self, side: Side) -> tuple[bool, bool]:
        """Which extents of the product at one end rest on the plate's own size: the fence measures what lies on it."""
        rests_x, rests_y = self.piece.unmeasured
        measured = side == self.measured_from
        if self.piece.workpiece.direction == "along":
            return rests_x, rests_y and not measured
        return rests_x and not measured, rests_y

    def _product(self, side: Side) -> BenchPiece | None:
        workpiece = self._split[0] if side == "low" else self._split[1]
        if workpiece is None:
            return None
        return BenchPiece(self.piece.conditions, workpiece, self.face_up_after, self._rests(side), self._errors(side))


@dataclass(frozen=True)
class ChosenCut:
    """One cut of the order: on which plate, of which piece, how, and where the end stop stands for each pass."""

    plate: int
    piece: BenchPiece
    option: CutOption
    stops: tuple[float, ...]


def alone(conditions: CutConditions, node: Node) -> BenchPiece:
    """A piece by itself, with clean edges: for bounds, which do not know what it was cut from.

    Face up, and measured both ways, so that nothing is counted that some order could spare.
    """
    return BenchPiece(conditions, uncut(node, ("dressed",) * 4), True, (False, False))


def travel_for(along: bool, datum: Side, face_up: bool) -> int:
    """Direction of travel in the plate frame that has the datum edge on its right, as the piece lies.

    >>> travel_for(True, "low", True) == TO_EAST, travel_for(False, "low", True) == TO_SOUTH
    (True, True)
    """
    low_face_up = TO_EAST if along else TO_SOUTH
    turned = (datum == "high") != (not face_up)
    return (low_face_up + 2) % 4 if turned else low_face_up


def leading_side(travel: int) -> int:
    """The side of a rectangle that the torch enters through: it must be clean for the arc to start on.

    >>> leading_side(TO_EAST) == WEST, leading_side(TO_NORTH) == SOUTH
    (True, True)
    """
    return {TO_EAST: WEST, TO_NORTH: SOUTH, TO_WEST: EAST, TO_SOUTH: NORTH}[travel]


def all_ways(piece: BenchPiece) -> list[CutOption]:
    """Every legal way to make the next cut, those among them that a search leaves out; none of a finished piece."""
    return [option for separation in separations(piece.workpiece) for option in _ways(piece, separation)]


def _ways(piece: BenchPiece, separation: Separation) -> list[CutOption]:
    """The legal options of one separation: one for each datum edge, or none.

    Where both can only be marked out, the marks are taken from the nearer edge: the other way would make the
    same cut with a longer measure.
    """
    rules, rig, workpiece = piece.conditions.rules, piece.conditions.rig, piece.workpiece
    along = workpiece.direction == "along"
    whole, length = (workpiece.width, workpiece.length) if along else (workpiece.length, workpiece.width)
    size = across(separation.child, workpiece.direction)
    stops = end_stops(rig, length)
    longest = longest_end_stop(rig, length) if len(stops) == 1 else stops[0][1]
    found = []
    # Two edges could lie on the fence, or be what the marks are measured from.
    datums: tuple[Side, Side] = ("low", "high")
    for datum in datums:
        # rounded, so that a reading between two marks does not depend on where the piece lies in its plate
        on_fence = size if datum == separation.end else round(whole - size - rules.kerf, 6)
        if not _square_kept(piece, separation, datum, len(stops)):
            continue
        if not beside_is_legal(rules, whole - on_fence - rules.kerf):
            continue
        located: Located = "fence" if reaches(rules, on_fence) else "marked"
        if located == "marked" and not rules.marked:
            continue
        travel = travel_for(along, datum, piece.face_up)
        dress = to_dress(
            workpiece.edges, along=along, datum=datum, travel=travel, two=len(stops) == 2, fence=located == "fence"
        )
        # The option cuts the piece as it is once its edges are scraped: so what it leaves has clean edges too.
        setting = piece.conditions.setting(on_fence)
        found.append(
            CutOption(_scraped(piece, dress), separation, datum, travel, located, setting, stops, longest, dress)
        )
    if len(found) == 2 and found[0].located == found[1].located == "marked":
        inside = [
            option for option in found if option.setting.offset >= 0
        ] or found  # a mark beside the metal cannot be scribed
        nearer = min(option.setting.offset for option in inside)  # marks are taken from the nearer edge
        return [option for option in inside if option.setting.offset <= nearer + SAME]
    return found


def _scraped(piece: BenchPiece, sides: tuple[int, ...]) -> BenchPiece:
    """The piece with these sides clean; itself where there are none."""
    if not sides:
        return piece
    clean = dressed(piece.workpiece, sides)
    return BenchPiece(piece.conditions, clean, piece.face_up, piece.unmeasured, piece.errors)


@cache
def to_dress(edges: Edges, *, along: bool, datum: Side, travel: int, two: bool, fence: bool) -> tuple[int, ...]:
    """Freshly cut sides that must be cleaned: the datum edge on the fence, and each edge the torch enters through.

    `two`: in two passes, of which the second enters from the other end. Dross on the datum edge would hold the
    piece off the fence, and so make it narrower than the reading says. Sides are counted from SOUTH on.

    >>> fresh = ("fresh", "mill", "mill", "fresh")
    >>> to_dress(fresh, along=True, datum="low", travel=TO_EAST, two=False, fence=True) == (SOUTH, WEST)
    True
    >>> to_dress(fresh, along=True, datum="low", travel=TO_EAST, two=False, fence=False) == (WEST,)
    True
    """
    sides = {leading_side(travel)}
    if two:
        sides.add(leading_side((travel + 2) % 4))
    if fence:
        sides.add((SOUTH if datum == "low" else NORTH) if along else (WEST if datum == "low" else EAST))
    return tuple(side for side in sorted(sides) if edges[side] == "fresh")


def _square_kept(piece: BenchPiece, separation: Separation, datum: Side, passes: int) -> bool:
    """In a blank made for a square part, the part must lie on the square side of each cut.

    One side of a plasma cut is squarer than the other; which, the rig says. The far side is not counted on
    where a cut takes two passes.
    """
    node = piece.workpiece.node
    if not (isinstance(node, Blank) and node.square) or piece.conditions.rules.square_side == "equal":
        return True
    part_end = separation.end if not _is_scrap(separation) else ("high" if separation.end == "low" else "low")
    on_fence_side = datum == part_end
    if piece.conditions.rules.square_side == "fence":
        return on_fence_side
    return not on_fence_side and passes == 1


def _is_scrap(separation: Separation) -> bool:
    return isinstance(separation.child, Leaf) and separation.child.kind != "part"
