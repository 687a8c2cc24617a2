"""The least handling that a piece and all that is cut from it must cost, whatever the order: turning,
fetching, pushing up, scraping, clearing.

Problem. A bound on handling over all orders of a row, which has n! of them, for each state that a search meets.

Method. Which sibling comes off next matters little for handling, only where from and what lies on the fence.
So a row is taken apart by number alone: so many parts, scraps and blanks are left, with these edges, lying
so. That is a small dynamic programme over (what is left, edges, face, measured or not, pose). Two relaxations
make it a bound: sizes that it does not know it takes as small as they can be, so that masses and edges are
the least; and what a rig might mark out by hand counts as marked wherever that is cheaper. The number of cuts
with the rest on the fence is kept apart, for `completion.py` weighs it against fence settings.

Of what a cut leaves, one piece at most can stay on the bed for the next cut. So pieces are bounded one by
one, all fetched but one.
Blanks that come off a row are rows of their own, with clean edges, the cheapest way that they may lie.

Exact: no, a lower bound; met by rows of equal strips. Cost: n³ states at most for a row of n (three counts),
each with 4 ways to cut and 3 kinds of sibling, and n entries; remembered by row, so alike blanks are worked
out once.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from itertools import product

from stripplan.model.feasible import for_two, reaches
from stripplan.model.pattern import Blank, Leaf, Node, across
from stripplan.model.workpiece import EAST, NORTH, SOUTH, WEST, Edges, Side, State, uncut
from stripplan.rig.machine.setting import end_stops
from stripplan.rig.machine.timing import handling_seconds, scrape_seconds
from stripplan.sequence.bench import FETCHED, Bench, cuts_of
from stripplan.sequence.conditions import CutConditions
from stripplan.sequence.cut_options import BenchPiece, alone, to_dress, travel_for
from stripplan.sequence.part_sizes import unmeasured_in_row

MOST_SIBLINGS, FEW_SIBLINGS = 60, 12
"""Longer rows are bounded by what must be cleared away; far sooner in very large jobs, for the work grows
with the square. A greater number makes the bound of long rows nearer and slower.

Set by trial, not studied.
"""

NEVER = 1 << 62
"""Ticks of what cannot be."""

DATUMS: tuple[Side, Side] = ("low", "high")
"""The edges of a row that may be its datum, and the ends that a sibling may come off."""

Left = tuple[int, int, int]
"""How many parts, scraps and blanks are left of a row."""


@dataclass(frozen=True)
class _Row:
    """What a row costs in ticks, by the number of siblings left where that matters; which siblings these are
    nothing in it tells.
    """

    along: bool
    """Whether its cuts run along x."""
    two: bool
    """Whether a cut takes two passes, with the piece turned over between them."""
    marks: bool
    """Whether some cut of it might be marked out by hand; where none can, marked cuts are not tried."""
    sized: bool
    """Whether all its parts have a stated size across the row: if some part has none, it may be the one whose
    size rests on the plate's own, so nothing is counted.
    """
    datum_dress: int
    """Scraping the edge that goes on the fence: as long as the cuts, however many siblings are left."""
    lead_dress: tuple[int, ...]
    """Scraping an edge that the torch enters through: as long as what is left is wide."""
    quarter: tuple[int, ...]
    fetch: tuple[int, ...]
    over: tuple[int, ...]
    push: tuple[int, ...]
    carry: tuple[int, ...]
    """Clearing away for its mass."""
    first_pass: int
    """Scraping what the first of two passes has cut; 0 for one pass."""
    clear: int
    """Clearing the bed after a cut, whatever lies there."""
    later: int
    """Least that a blank costs more where it is put aside and fetched later than where it is cut at once."""


ByRest = tuple[int, ...]
"""Ticks by the number of cuts that have the rest of the row, more than one sibling, on the fence."""


@dataclass(frozen=True)
class _Known:
    """What was worked out for a row: by what is left, edges, face up and whether the extent rests on the plate's own
    the ways of the next cut; and with how it lies as well the least of them.
    """

    ways: dict[tuple[Left, Edges, bool, bool], tuple[tuple[int, bool, ByRest], ...]]
    by_pose: dict[tuple[Left, Edges, bool, bool, int], ByRest]


class HandlingBound:
    """Least handling of pieces, remembered by row.

    Nothing here depends on the conditions of a piece but its rules and which sizes are stated.
    """

    def __init__(self, bench: Bench, most_siblings: int) -> None:
        self.most_siblings = most_siblings
        self.bench = bench
        self._rows: dict[tuple[int, int, int], tuple[_Row, _Known]] = {}
        self._known: dict[_Row, _Known] = {}
        self._ready: dict[tuple[Node, int, int], tuple[ByRest, ByRest]] = {}

    def least(self, piece: BenchPiece, pose: int, *, measured: bool = False) -> ByRest:
        """Ticks for the row of a piece that lies so, or is FETCHED; clearing away after each cut included,
        blanks cut from it not.

        With `measured` nothing is counted for sizes that rest on the plate's own.
        """
        workpiece = piece.workpiece
        assert isinstance(workpiece.node, Blank)
        blanks = sum(map(bool, map(cuts_of, workpiece.children)))
        ends = (workpiece.low is not None) + (workpiece.high is not None)
        count = len(workpiece.children) + ends
        parts = sum(isinstance(child, Leaf) and child.part is not None for child in workpiece.children)
        left = parts, count - parts - blanks, blanks
        key = id(piece.conditions.rules), id(piece.conditions.sized), id(workpiece.node)
        found_row = self._rows.get(key)
        if found_row is None:
            row = self._row(piece.conditions, workpiece.node)
            found_row = self._rows[key] = row, self._known.setdefault(row, _Known({}, {}))
        row, known = found_row
        fixed = (
            0
            if measured
            else self.bench.unmeasured_ticks * unmeasured_in_row(piece.conditions, workpiece, piece.unmeasured)
        )
        # Of a long row only such sizes and clearing away after each cut are counted.
        if count > self.most_siblings:
            return (fixed + row.clear * (count - 1),) * max(count - 1, 1)
        unmeasured = (piece.unmeasured[1] if row.along else piece.unmeasured[0]) and row.sized and not measured
        found = self._apart(row, known, left, workpiece.edges, piece.face_up, unmeasured, pose)
        return tuple(fixed + each for each in found) if fixed else found

    def blank(self, conditions: CutConditions, node: Node) -> ByRest:
        """Ticks for the row of a blank with clean edges, however it lies."""
        return self._blank(conditions, node)[0]

    def _apart(
        self, row: _Row, known: _Known, left: Left, edges: Edges, face_up: bool, unmeasured: bool, pose: int
    ) -> ByRest:
        """The dynamic programme: the least of all ways to make the next cut, each with the least of what follows.

        For n siblings there are n - 1 entries: the last cut leaves one, which is no rest. How the piece lies decides
        nothing but what bringing it into place takes, so what follows is worked out once for all poses.
        """
        count = sum(left)
        if count < 2:
            return (0,)
        key = left, edges, face_up, unmeasured, pose
        found = known.by_pose.get(key)
        if found is None:
            what = left, edges, face_up, unmeasured
            ways = known.ways.get(what)
            if ways is None:
                ways = known.ways[what] = self._ways(row, known, *what)
            lifted = [(self._lifted(row, count, travel, pose, marked), by_rest) for travel, marked, by_rest in ways]
            found = known.by_pose[key] = _least(tuple([more + each for each in rest]) for more, rest in lifted)
        return found

    def _ways(
        self, row: _Row, known: _Known, left: Left, edges: Edges, face_up: bool, unmeasured: bool
    ) -> tuple[tuple[int, bool, ByRest], ...]:
        """The next cut by direction of travel, on the fence or marked, each with the least of what follows, without
        bringing the piece into place.

        Tried are which edge is the datum, from which end a sibling comes off, and of which sort it is.
        """
        count, found = sum(left), []
        low, high = (SOUTH, NORTH) if row.along else (WEST, EAST)
        for datum, marked in product(DATUMS, (False, True) if row.marks else (False,)):
            best = [NEVER] * (count - 1)
            travel = travel_for(row.along, datum, face_up)
            sides = to_dress(edges, along=row.along, datum=datum, travel=travel, two=row.two, fence=not marked)
            cost = row.clear + (self.bench.fence if marked else 0)
            for side in sides:
                cost += row.datum_dress if side in (low, high) else row.lead_dress[count]
            cleaned = _with(edges, sides, "dressed")
            travel_after = (travel + 2) % 4 if row.two else travel
            for end in DATUMS:
                new = _with(cleaned, (low if end == "low" else high,), "fresh")
                on_fence = datum != end  # the rest lies on the fence where the sibling comes off the other end
                how = (0 if on_fence and not marked else 4) + travel_after
                # The fence measures what lies on it; a rest on the far side is as little measured as before.
                measured = unmeasured and not on_fence
                more = on_fence and not marked and count > 2
                for taken in range(3):
                    if left[taken]:
                        rest = left[0] - (taken == 0), left[1] - (taken == 1), left[2] - (taken == 2)
                        below = self._after(row, known, rest, new, face_up != row.two, measured, how, taken == 2)
                        # A part that falls on the far side takes what is left of the row: its size is then
                        # the plate's own.
                        far = taken == 0 if on_fence else rest == (1, 0, 0)
                        cost_now = cost + (self.bench.unmeasured_ticks if unmeasured and far else 0)
                        for m, each in enumerate(below, start=more):
                            if cost_now + each < best[m]:
                                best[m] = cost_now + each
            found.append((travel, marked, tuple(best)))
        return tuple(found)

    def _after(
        self,
        row: _Row,
        known: _Known,
        left: Left,
        edges: Edges,
        face_up: bool,
        unmeasured: bool,
        pose: int,
        blank: bool,
    ) -> ByRest:
        """What is left of a row stays on the bed for the next cut, or is fetched; a blank just cut off it may
        stay instead.
        """
        # Where a blank has come off, one of the two must be put aside, and what that takes counts if the rest
        # of the row is the one that stays.
        later = row.later if blank else 0
        stays = self._apart(row, known, left, edges, face_up, unmeasured, pose)
        count = sum(left)
        if count < 2:
            return (stays[0] + (later if left[2] else 0),)  # two blanks: one of them is fetched
        fetched, carry = self._apart(row, known, left, edges, face_up, unmeasured, FETCHED), row.carry[count]
        return tuple([min(as_lying + later, each + carry) for as_lying, each in zip(stays, fetched, strict=True)])

    def _lifted(self, row: _Row, count: int, travel: int, pose: int, marked: bool) -> int:
        """Bringing a piece into place, and turning it over between two passes. A marked cut needs no push
        where its datum edge lies ready.
        """
        over = row.over[count] + row.first_pass if row.two else 0
        if pose == FETCHED:
            return over + row.fetch[count]
        # A quarter turn either way is one turn, half a turn is two; a turned piece comes to the fence with that.
        side, before = divmod(pose, 4)
        turns = (before - travel) % 4
        if turns:
            return over + row.quarter[count] * (2 if turns == 2 else 1)
        return over + (0 if marked and not side else row.push[count])

    def _row(self, conditions: CutConditions, node: Blank) -> _Row:
        """The costs of a row by number of siblings left, each at the least that so many can be.

        What is left may be any of the siblings, so its width is taken as that of the narrowest: all costs grow
        with mass and length, and so none is reckoned too high.
        """
        rig, rules, s = self.bench.rig, conditions.rules, self.bench.rig.seconds
        along = node.direction == "along"
        length, whole = (node.length, node.width) if along else (node.width, node.length)
        siblings: list[Node] = [*node.children, *(each for each in (node.low, node.high) if each is not None)]
        sizes = sorted(across(each, node.direction) for each in siblings)
        blanks = [child for child in node.children if cuts_of(child)]
        # What so many siblings measure at the least: the narrowest of them and a kerf between each two.
        least = [0.0]
        for size in sizes:
            least.append(least[-1] + size + (rules.kerf if len(least) > 1 else 0.0))
        least = [min(each, whole) for each in least]
        masses = [each * length * rules.areal_mass for each in least]
        two = [
            for_two(mass, max(length, extent), mass_limit=rig.two_person_mass, length_limit=rig.two_person_length)
            for mass, extent in zip(masses, least, strict=True)
        ]

        def lifts(cause: str, base: float) -> tuple[int, ...]:
            lifted = (
                handling_seconds(rig, base, mass, two_person=both) for mass, both in zip(masses, two, strict=True)
            )
            return tuple(self.bench.ticks(cause, each) for each in lifted)

        passes = end_stops(rig, length)
        # For each blank: its least costs where it is cut at once, where it is fetched, and what putting it
        # aside takes.
        later = [(*self._blank(conditions, child), self.bench.carry(alone(conditions, child))) for child in blanks]
        return _Row(
            along=along,
            two=len(passes) == 2,
            marks=rules.marked
            and (node.square or rules.far_max is not None or not all(reaches(rules, size) for size in sizes)),
            sized=all(
                conditions.sized[child.part][(not along) != child.turned]
                for child in node.children
                if isinstance(child, Leaf) and child.part is not None
            ),
            datum_dress=self.bench.ticks("dress", scrape_seconds(rig, length)),
            lead_dress=tuple(self.bench.ticks("dress", scrape_seconds(rig, each)) for each in least),
            quarter=lifts("quarter_turn", s.quarter_turn),
            fetch=lifts("fetch", s.fetch),
            over=lifts("turn_over", s.turn_over),
            push=lifts("push", s.push),
            carry=lifts("clear", 0.0),
            first_pass=self.bench.ticks("dress", scrape_seconds(rig, passes[0][0])) if len(passes) == 2 else 0,
            # With nothing narrower than an offcut allowed, each cut leaves two pieces, of which one is cleared away.
            clear=self.bench.clear
            if self.bench.rig.narrowest_offcut
            else 0,  # a kerf half off the edge leaves one piece
            # Some blank must be put aside where two are left: the one for which that costs least.
            later=min(
                (
                    away - cost_now + aside
                    for ready, fetched, aside in later
                    for cost_now, away in zip(ready, fetched, strict=True)
                ),
                default=0,
            ),
        )

    def _blank(self, conditions: CutConditions, node: Node) -> tuple[ByRest, ByRest]:
        """Least handling of a blank with clean edges: cut at once, however it lies; and fetched."""
        key = node, id(conditions.rules), id(conditions.sized)
        found = self._ready.get(key)
        if found is None:
            pieces = [
                BenchPiece(conditions, uncut(node, ("dressed",) * 4), face_up, (False, False))
                for face_up in (True, False)
            ]
            fetched = _least(self.least(piece, FETCHED) for piece in pieces)
            ready = _least(self.least(piece, pose) for piece in pieces for pose in range(FETCHED))
            found = self._ready[key] = _least((ready, fetched)), fetched
        return found


def _least(some: Iterable[ByRest]) -> ByRest:
    """Entry by entry the least of several bounds."""
    return tuple(map(min, zip(*some, strict=True)))


@cache
def _with(edges: Edges, sides: tuple[int, ...], state: State) -> Edges:
    """Edges with some of them in another state."""
    south, east, north, west = (state if side in sides else old for side, old in enumerate(edges))
    return south, east, north, west
