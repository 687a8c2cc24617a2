"""Same plates, same parts: gather what is left into one offcut that is worth more.

An offcut is asked for as if it were one more part: as long or as wide as the plate or one of its blanks, the other
size bisected between what is left now and what the free area allows. Each trial is a short search (see `rebuild.py`) that
starts from the plates as they are and may not cost more. Not exact.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass, replace

from stripplan.layout.problem import Problem
from stripplan.layout.rectangles.ruin_recreate import (
    Board,
    Compiled,
    Found,
    Search,
    Task,
    Thing,
    Tree,
    blank,
    located,
    search_of,
)
from stripplan.layout.rectangles.search import Sheet, free_rects, rects, task_of, to_sheet, to_tree
from stripplan.layout.stop import Clock

TRIALS = 7
"""Bisections of one width: down to a hundredth of the plate."""

MOST_EXTENTS = 3
"""Sizes across that are tried for each direction of each board."""

MOST_UNASKED = 50_000
"""Steps of a trial until the clock is asked again: well below a second."""

MOST_PLATES = 4
MOST_PARTS = 120
"""Of many plates only the emptiest are laid out anew."""

Value = Callable[[float, float], float]
"""What an offcut of length x width [mm] is worth; 0 = not worth keeping."""


@dataclass(frozen=True)
class Gathered:
    """Plates with their offcuts gathered, whether that is better than before, and search steps done."""

    sheets: list[Sheet]
    better: bool
    steps: int


def gather(
    problem: Problem, sheets: Sequence[Sheet], *, value: Value, seed: int, steps: int, out_of_time: Clock
) -> Gathered:
    """Plates of the same cost or less with the same parts, whose best offcut is worth as much or more."""
    task = task_of(problem)
    loose, fixed = _loosest(task, sheets)
    hunt = _Hunt(_for_these(task, fixed), float(problem.grid.unit), loose, value, seed, out_of_time)
    before = hunt.worth
    families = hunt.families()
    hunt.worth = max([before, *hunt.worths(fixed)])
    for family in families:
        hunt.widen(family, max(50, steps // (TRIALS * len(families))))
    return Gathered([*fixed, *hunt.sheets], hunt.kept > 0, hunt.steps)


def _loosest(task: Task, sheets: Sequence[Sheet]) -> tuple[list[Sheet], list[Sheet]]:
    """The emptiest plates, which are laid out anew, and the others."""
    order = sorted(range(len(sheets)), key=lambda n: (-_free(task, sheets[n]), n))
    loose: list[int] = []
    for number in order[:MOST_PLATES]:
        if sum(len(sheets[n].items) for n in [*loose, number]) <= MOST_PARTS:
            loose.append(number)
    return [sheets[n] for n in loose], [sheet for n, sheet in enumerate(sheets) if n not in loose]


def _free(task: Task, sheet: Sheet) -> int:
    x, y = task.boards[sheet.stock].size
    return x * y - sum(task.things[item].area for item in sheet.items)


def _for_these(task: Task, fixed: Sequence[Sheet]) -> Task:
    """The task less the plates that stay as they are."""
    used = [sum(sheet.stock == n for sheet in fixed) for n in range(len(task.boards))]
    boards = tuple(
        board if board.limit is None else replace(board, limit=board.limit - n)
        for board, n in zip(task.boards, used, strict=True)
    )
    return replace(task, boards=boards)


@dataclass(frozen=True)
class _Family:
    """Offcuts of one board whose size along `axis` varies; `across`, one kerf added, is the other size."""

    board: int
    axis: int
    across: int


class _Hunt:
    """The plates so far, what their best offcut is worth, and trials for a better one."""

    def __init__(
        self, task: Task, unit: float, sheets: list[Sheet], value: Value, seed: int, out_of_time: Clock
    ) -> None:
        self.task, self.unit, self.sheets, self.value, self.seed = task, unit, sheets, value, seed
        self.out_of_time = out_of_time
        self.steps = self.kept = 0
        self.worth = max(self.worths(sheets), default=0.0)

    def families(self) -> list[_Family]:
        """Families on the boards in use, where more than one part leaves something to choose."""
        if sum(len(sheet.items) for sheet in self.sheets) < 2:
            return []
        return [
            _Family(board, axis, across)
            for board in sorted({sheet.stock for sheet in self.sheets})
            for axis in (1, 0)
            for across in self._extents(board, 1 - axis)
        ]

    def _extents(self, board: int, axis: int) -> list[int]:
        """The plate's size along an axis and the largest sizes of its blanks that the rig can cut."""
        kerf, longest = self.task.boards[board].kerf, self.task.boards[board].longest
        found = {self.task.boards[board].size[axis]}
        for sheet in self.sheets:
            if sheet.stock == board:
                found |= {size + kerf for rect in rects(sheet) for size in ((rect.length, rect.width)[axis],)}
        return sorted((size for size in found if size - kerf <= longest), reverse=True)[:MOST_EXTENTS]

    def widen(self, family: _Family, turn: int) -> None:
        """Bisect the width of the offcut; each success is kept."""
        board = self.task.boards[family.board]
        low, high = self._range(board, family)
        least = max(1, board.size[family.axis] // 100)
        while high - low >= least and not self.out_of_time():
            width = (low + high + 1) // 2
            found = self._tried(family, width, turn)
            if found is None:
                high = width - 1
            else:
                self._keep(found)
                low = max(width, self._range(board, family)[0])

    def _range(self, board: Board, family: _Family) -> tuple[int, int]:
        """Widths of the offcut: one that is worth no more than the best now, the most that the free area allows."""
        length = family.across - board.kerf
        free = sum(_free(self.task, sheet) for sheet in self.sheets)
        high = min(board.size[family.axis], free // family.across) - board.kerf
        low, top = 0, max(high, 0)
        while low < top:
            middle = (low + top + 1) // 2
            if self.value(length * self.unit, middle * self.unit) <= self.worth:
                low = middle
            else:
                top = middle - 1
        return low, high

    def _tried(self, family: _Family, width: int, turn: int) -> Found | None:
        task, extra = self._with_offcut(family, width), len(self.task.things)
        start = [to_tree(task, sheet) for sheet in self.sheets]
        with closing(search_of(task, self.seed + self.steps)) as search:
            search.load(start)
            search.lower_budget(task.enough)
            search.begin()
            self._run(search, turn)
            found = search.found()
        if found.out:
            return None
        plates = tuple((stock, pruned) for stock, tree in found.plates if (pruned := _without(tree, extra)) is not None)
        sound = all(located(task.boards[stock], tree) for stock, tree in plates)
        return replace(found, plates=plates) if sound else None

    def _run(self, search: Search | Compiled, turn: int) -> None:
        """A trial's steps; a long trial asks the clock on its way."""
        while turn > 0:
            done = search.run(min(turn, MOST_UNASKED))
            self.steps += done
            turn -= MOST_UNASKED
            if done < MOST_UNASKED or (turn > 0 and self.out_of_time()):
                return

    def _with_offcut(self, family: _Family, width: int) -> Task:
        size = [family.across, family.across]
        size[family.axis] = width + self.task.boards[family.board].kerf
        ways = tuple(((size[0], size[1], False),) if n == family.board else () for n in range(len(self.task.boards)))
        cost = sum(self.task.boards[sheet.stock].cost for sheet in self.sheets)
        offcut = Thing(1, 0, size[0] * size[1], ways)
        placed = [0] * len(self.task.things)
        for sheet in self.sheets:
            for item in sheet.items:
                placed[item] += 1
        things = tuple(replace(thing, demand=n) for thing, n in zip(self.task.things, placed, strict=True))
        return replace(self.task, things=(*things, offcut), enough=cost)

    def _keep(self, found: Found) -> None:
        sheets = [to_sheet(self.task, stock, _rooted(self.task, stock, tree)) for stock, tree in found.plates]
        worth = max(self.worths(sheets), default=0.0)
        if worth > self.worth:
            self.sheets, self.worth, self.kept = sheets, worth, self.kept + 1

    def worths(self, sheets: Sequence[Sheet]) -> Iterator[float]:
        """What each free rectangle is worth."""
        for sheet in sheets:
            for rect in free_rects(sheet):
                yield self.value(rect.length * self.unit, rect.width * self.unit)


def _without(tree: Tree, item: int) -> Tree | None:
    """A tree without one item: what it leaves is joined to what else is free in its blank."""
    if tree.item is not None:
        return None if tree.item == item else tree
    made = blank(tree.size, tree.along, (_without(child, item) for child in tree.children))
    return made.children[0] if made is not None and len(made.children) == 1 and made.rest == 0 else made


def _rooted(task: Task, stock: int, tree: Tree) -> Tree:
    """A plate's tree as a blank."""
    return tree if tree.item is None else Tree(task.boards[stock].size, None, None, 0, (tree,))
