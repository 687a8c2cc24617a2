"""Every function of the library, typed: the only place that knows how Python and C hand things to one another.

The structures are those of the C files, field by field. What C is given stays Python's: a wrapper keeps it as long as C
may look at it. Where C says that memory was refused, MemoryError is raised; the search can then only be closed.
"""

from __future__ import annotations

import ctypes
import functools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from stripplan.kernel.library import library
from stripplan.kernel.rng import MASK

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Array = npt.NDArray[np.generic]

Int = ctypes.c_int64
Seed = ctypes.c_uint64
Handle = ctypes.c_void_p
IntArray = ctypes.Array[ctypes.c_int64]
_Ints = ctypes.POINTER(Int)
_Numbers = ctypes.POINTER(ctypes.c_int32)
_Sets = ctypes.POINTER(ctypes.c_uint64)


def ints(values: Sequence[int]) -> IntArray:
    """Whole numbers as an array that C reads and writes; never empty, as C needs an address."""
    return (Int * max(len(values), 1))(*values)


def _room(size: int) -> IntArray:
    return (Int * max(size, 1))()


class _Lists(ctypes.Structure):
    _fields_ = (("from", _Ints), ("of", _Ints))


def lists(rows: Sequence[Sequence[int]]) -> _Lists:
    """Rows of numbers: where each begins, and all one after another."""
    ends = [0]
    for row in rows:
        ends.append(ends[-1] + len(row))
    return _Lists(ints(ends), ints([each for row in rows for each in row]))


# layout/rectangles/ruin_recreate.py


class Stock(ctypes.Structure):
    """A stock: sizes with one kerf. Below 0 = no limit, for `far_max`, `limit` and `turnable`."""

    _fields_ = (
        ("size", Int * 2), ("kerf", Int), ("gap", Int), ("longest", Int), ("cuttable", Int), ("marked", Int),
        ("far_max", Int),
        ("reach_low", Int), ("reach_high", Int), ("order_fixed", Int), ("cost", Int), ("limit", Int), ("one_pass", Int),
        ("turnable", Int),
    )  # fmt: skip


class Terms(ctypes.Structure):
    """What a plate of a stock costs in plate and hands together, in ticks: `layout/objective.StockTerms`."""

    _fields_ = (
        *(
            (name, Int)
            for name in (
                "plate",
                "cut",
                "aside",
                "push",
                "stop",
                "stop_span",
                "heavy",
                "uneven",
                "unmeasured",
                "over",
                "one_pass",
            )
        ),
        *((name, ctypes.c_double) for name in ("per_length", "per_area", "two_person", "stop_per_length")),
        *((name, ctypes.c_double) for name in ("worth", "worth_other", "mark", "zero")),
    )


class _Way(ctypes.Structure):
    _fields_ = (("size", Int * 2), ("turned", Int))


class _Item(ctypes.Structure):
    _fields_ = (("demand", Int), ("over", Int), ("area", Int), ("first_way", _Ints), ("ways", ctypes.POINTER(_Way)))


class _RectanglesTask(ctypes.Structure):
    _fields_ = (
        ("stocks", Int), ("items", Int), ("depth", Int), ("enough", Int), ("setting", Int), ("keep", Int * 2),
        ("stock", ctypes.POINTER(Stock)), ("item", ctypes.POINTER(_Item)), ("terms", ctypes.POINTER(Terms)),
    )  # fmt: skip


class Twig(ctypes.Structure):
    """A node of a plate, its children after it: an item and the number of the way it lies, or -1 and the axis along
    which it is stacked.
    """

    item: int
    way_or_axis: int
    size: Sequence[int]
    children: int

    _fields_ = (("item", Int), ("way_or_axis", Int), ("size", Int * 2), ("children", Int))


class Result(ctypes.Structure):
    """The best so far: cost, area and number of items without a place, plates, nodes in all of them, total in ticks."""

    cost: int
    out_area: int
    out: int
    plates: int
    nodes: int
    total: int

    _fields_ = (("cost", Int), ("out_area", Int), ("out", Int), ("plates", Int), ("nodes", Int), ("total", Int))


Ways = Sequence[Sequence[tuple[int, int, bool]]]
"""For each stock the ways in which an item may lie: x + kerf, y + kerf, turned."""


def item(demand: int, over: int, area: int, ways: Ways) -> _Item:
    """An item; its ways are numbered through all stocks."""
    first = [0]
    for some in ways:
        first.append(first[-1] + len(some))
    flat = [_Way((x, y), turned) for some in ways for x, y, turned in some]
    return _Item(demand, over, area, ints(first), (_Way * max(len(flat), 1))(*flat))


# layout/strips/pattern_reduction.py


class _StripsTask(ctypes.Structure):
    _fields_ = (
        ("items", Int), ("capacity", Int), ("least", Int), ("unit", Int), ("rest", Int), ("zone", Int),
        ("max_pieces", Int),
        ("max_distinct", Int), ("min_runs", Int), ("widths", _Ints), ("over", _Ints),
    )  # fmt: skip


def strips_task(widths: Sequence[int], over: Sequence[int], **limits: int) -> _StripsTask:
    """One stock; the limits by the names of `pattern_reduction.Task`."""
    return _StripsTask(items=len(widths), widths=ints(widths), over=ints(over), **limits)


# layout/single_plate/dp_tables.py


class Axis(ctypes.Structure):
    """`dp_tables.Axis` as C reads it."""

    _fields_ = (("sizes", Int), ("left", _Ints), ("start", _Ints), ("first", _Numbers), ("rest", _Numbers))


def axis(left: Array, start: Array, first: Array, rest: Array) -> Axis:
    """An axis; the arrays are kept by the caller."""
    pointers = (
        _pointer(left, Int),
        _pointer(start, Int),
        _pointer(first, ctypes.c_int32),
        _pointer(rest, ctypes.c_int32),
    )
    return Axis(len(left), *pointers)


def _pointer(array: Array, kind: Any) -> Any:
    """Address of an array; ValueError where it is not of the kind, or not in one piece."""
    if array.dtype != kind or not array.flags.c_contiguous:
        raise ValueError(f"an array of {array.dtype} in pieces, where C wants {kind.__name__} in one")
    return ctypes.cast(array.ctypes.data, ctypes.POINTER(kind))


# layout/single_plate/small_waste.py


class _PlateTask(ctypes.Structure):
    _fields_ = (
        ("kinds", Int), ("plate", Int * 2), ("gap", Int), ("reach", Int), ("most_builds", Int), ("most_holes", Int),
        ("copies", _Ints), ("area", _Ints), ("first_way", _Ints), ("ways", _Ints),
    )  # fmt: skip


# sequence/sop


class _SearchInput(ctypes.Structure):
    _fields_ = (
        ("jobs", Int), ("reach", Int), ("first_cycle", Int), ("turns", Int),
        ("cost", _Ints), ("warmths", _Ints), ("luck", _Ints), ("least", _Ints),
        ("above", _Lists), ("below", _Lists), ("good_before", _Lists), ("good_after", _Lists),
    )  # fmt: skip


class _WalkInput(ctypes.Structure):
    _fields_ = (("jobs", Int), ("cost", _Ints), ("follow", _Lists), ("low", _Ints), ("high", _Ints))


class _ExactInput(ctypes.Structure):
    _fields_ = (
        ("jobs", Int), ("words", Int), ("limit", Int), ("most", Int), ("cost", _Ints), ("follow", _Lists),
        ("gift", _Ints), ("rest", _Ints), ("before", _Sets),
    )  # fmt: skip


_to = ctypes.POINTER
SIGNATURES: dict[str, tuple[Any, list[Any]]] = {
    "kernel_grant": (None, [Int]),
    "kernel_drawn": (None, [Seed, Int, Int, _Ints]),
    "ruin_recreate_new": (Handle, [_to(_RectanglesTask), Seed]),
    "ruin_recreate_load": (Int, [Handle, Int, _to(Twig)]),
    "ruin_recreate_begin": (Int, [Handle]),
    "ruin_recreate_run": (Int, [Handle, Int]),
    "ruin_recreate_run_by_total": (Int, [Handle, Int]),
    "ruin_recreate_accept_up_to": (None, [Handle, Int]),
    "ruin_recreate_lower_budget": (Int, [Handle, Int]),
    "ruin_recreate_result": (Result, [Handle]),
    "ruin_recreate_found": (None, [Handle, _Ints, _to(Twig), _Ints]),
    "ruin_recreate_free": (None, [Handle]),
    "pattern_reduction_new": (Handle, [_to(_StripsTask), Int, _Ints, _Ints, Int, Seed]),
    "pattern_reduction_run": (Int, [Handle, Int]),
    "pattern_reduction_patterns": (Int, [Handle]),
    "pattern_reduction_found": (None, [Handle, _Ints, _Ints]),
    "pattern_reduction_free": (None, [Handle]),
    "dp_tables_fill": (None, [Int, Int, _Ints, _to(Axis), _to(Axis), Int, Int]),
    "dp_tables_fill_free": (None, [Int, Int, _Ints, _to(Axis), _to(Axis), Int, Int]),
    "dp_tables_outside": (None, [Int, Int, _Ints, _Ints, _Numbers, _Numbers]),
    "small_waste_new": (Handle, [_to(_PlateTask)]),
    "small_waste_begin": (Int, [Handle, Int]),
    "small_waste_run": (Int, [Handle, Int]),
    "small_waste_steps": (Int, [Handle]),
    "small_waste_found": (Int, [Handle, _Ints, _Ints]),
    "small_waste_build": (None, [Handle, Int, _Ints]),
    "small_waste_free": (None, [Handle]),
    "sop_search_new": (Handle, [_to(_SearchInput), _Ints, Int, Seed]),
    "sop_search_run": (None, [Handle, Int]),
    "sop_search_best": (Int, [Handle, _Ints]),
    "sop_search_free": (None, [Handle]),
    "sop_walk": (Int, [_to(_WalkInput), _Ints, _Ints, _Ints, _Ints, _Ints]),
    "sop_exact_new": (Handle, [_to(_ExactInput)]),
    "sop_exact_layer": (Int, [Handle]),
    "sop_exact_least": (Int, [Handle, _Ints]),
    "sop_exact_free": (None, [Handle]),
}
"""Result and arguments of every function that the library exports."""


def _kernel() -> ctypes.CDLL:
    found = library()
    if found is None:
        raise RuntimeError("the compiled searches are not there: ask `kernel.available` first")
    return _bound(found)


@functools.cache
def _bound(kernel: ctypes.CDLL) -> ctypes.CDLL:
    for name, (result, arguments) in SIGNATURES.items():
        function = getattr(kernel, name)
        function.restype, function.argtypes = result, arguments
    return kernel


class _Search:
    """A search of the library's, of which C holds the memory until it is closed."""

    def __init__(self, name: str, *given: Any) -> None:
        self._name, self._given = name, given
        self._at: int | None = getattr(_kernel(), f"{name}_new")(*given)
        if self._at is None:
            raise MemoryError(f"no memory for {name}")

    def _call(self, what: str, *given: Any) -> Any:
        if self._at is None:
            raise ValueError(f"{self._name} is closed")
        return getattr(_kernel(), f"{self._name}_{what}")(self._at, *given)

    def _count(self, what: str, *given: Any) -> int:
        """What a function counts, which may tell instead that memory was refused."""
        count = int(self._call(what, *given))
        if count < 0:
            raise MemoryError(f"no memory for {self._name}_{what}")
        return count

    def close(self) -> None:
        """Give the memory back; nothing may be asked after it."""
        if self._at is not None:
            self._call("free")
            self._at = None


class RuinRecreate(_Search):
    """The search of ruin_recreate.c."""

    def __init__(
        self,
        stocks: Sequence[Stock],
        items: Sequence[_Item],
        *,
        depth: int | None,
        enough: int,
        seed: int,
        terms: Sequence[Terms] = (),
        setting: int = 0,
        keep: tuple[int, int] = (0, 0),
    ) -> None:
        stock, things = (Stock * max(len(stocks), 1))(*stocks), (_Item * max(len(items), 1))(*items)
        costs = (Terms * len(terms))(*terms) if terms else None
        task = _RectanglesTask(
            len(stocks), len(items), depth or 0, enough, setting, (Int * 2)(*keep), stock, things, costs
        )
        self._kept = (stocks, items, costs)
        super().__init__("ruin_recreate", task, seed & MASK)

    def load(self, stock: int, root: Sequence[Twig]) -> None:
        """A plate to begin with: its nodes, the root first; before `begin`."""
        self._count("load", stock, (Twig * len(root))(*root))

    def begin(self) -> None:
        """Place what is not in the plates loaded, large first."""
        self._count("begin")

    def run(self, steps: int) -> int:
        """Steps done: fewer than asked once the answer costs no more than `enough`."""
        return self._count("run", steps)

    def run_by_total(self, steps: int) -> int:
        """Steps done from the best plates to such as cost less in plate and hands together."""
        return self._count("run_by_total", steps)

    def accept_up_to(self, total: int) -> None:
        """Keep layouts of up to this total from here on, until late acceptance has come down."""
        self._call("accept_up_to", total)

    def lower_budget(self, budget: int) -> None:
        """Look only for answers that cost no more than this from now on."""
        self._count("lower_budget", budget)

    def result(self) -> Result:
        """The figures of the best so far."""
        result: Result = self._call("result")
        return result

    def found(self) -> tuple[list[int], Iterator[Twig], list[int]]:
        """The best so far: the stock of each plate; the nodes of all plates, one after another;
        items without a place.
        """
        result = self.result()
        stocks, nodes, out = _room(result.plates), (Twig * max(result.nodes, 1))(), _room(result.out)
        self._call("found", stocks, nodes, out)
        return stocks[: result.plates], iter(nodes), out[: result.out]


class PatternReduction(_Search):
    """The search of pattern_reduction.c."""

    def __init__(
        self, task: _StripsTask, runs: Sequence[int], counts: Sequence[int], *, warmest: int, seed: int
    ) -> None:
        self._items: int = task.items
        super().__init__("pattern_reduction", task, len(runs), ints(runs), ints(counts), warmest, seed & MASK)

    def run(self, steps: int) -> int:
        """Steps done: fewer than asked once one pattern is left."""
        return self._count("run", steps)

    def found(self) -> list[tuple[int, list[int]]]:
        """For each of the fewest patterns met its runs, and its numbers of all items."""
        many, items = self._count("patterns"), self._items
        runs, counts = _room(many), _room(many * items)
        self._call("found", runs, counts)
        return [(runs[n], counts[n * items : (n + 1) * items]) for n in range(many)]


def fill(worth: Array, x: Axis, y: Axis, rows: range, *, across: int, along: int, free: bool) -> None:
    """Raise the worth of these rows to that of the best cut, in place; `free`: any waste may be left, and none is below
    0.
    """
    function = _kernel().dp_tables_fill_free if free else _kernel().dp_tables_fill
    function(rows.start, rows.stop, _pointer(worth, Int), x, y, across, along)


def outside(worth: Array, result: Array, room_x: Array, room_y: Array) -> None:
    """The most that can be had from a plate round a rectangle in its corner, into `result`."""
    rooms = _pointer(room_x, ctypes.c_int32), _pointer(room_y, ctypes.c_int32)
    _kernel().dp_tables_outside(*worth.shape, _pointer(worth, Int), _pointer(result, Int), *rooms)


class SmallWaste(_Search):
    """The search of small_waste.c."""

    def __init__(
        self, plate: tuple[int, int], kinds: Sequence[tuple[int, int, Sequence[tuple[int, int]]]], **limits: int
    ) -> None:
        """Kinds: copies, area, ways; the limits by the names of `small_waste.Task`."""
        first = [0]
        for _, _, ways in kinds:
            first.append(first[-1] + len(ways))
        sides = [side for _, _, ways in kinds for way in ways for side in way]
        self._parts = sum(copies for copies, _, _ in kinds)
        task = _PlateTask(
            kinds=len(kinds), plate=(Int * 2)(*plate), copies=ints([each[0] for each in kinds]),
            area=ints([each[1] for each in kinds]), first_way=ints(first), ways=ints(sides), **limits,
        )  # fmt: skip
        super().__init__("small_waste", task)

    def begin(self, waste: int) -> None:
        """From the start, with builds that waste no more than this."""
        self._count("begin", waste)

    def run(self, steps: int) -> int:
        """Until so many steps are done in all; what it came to, by the numbers of `small_waste`."""
        return self._count("run", steps)

    def steps(self) -> int:
        """Steps done in all."""
        return int(self._call("steps"))

    def found(self) -> list[tuple[int, int]]:
        """The builds of the answer, each with its axis; -1 for the last."""
        builds, axes = _room(self._parts + 1), _room(self._parts + 1)
        many = int(self._call("found", builds, axes))
        return [*zip(builds[: many - 1], axes[: many - 1], strict=True), (builds[many - 1], -1)]

    def build(self, number: int) -> list[int]:
        """A build as seven numbers."""
        figures = _room(7)
        self._call("build", number, figures)
        return figures[:]


@dataclass(frozen=True)
class SearchTables:
    """What `sop.search` works out of a problem for itself and for its twin."""

    jobs: int
    reach: int
    first_cycle: int
    turns: bool
    cost: Sequence[int]
    warmths: Sequence[int]
    luck: Sequence[int]
    least: Sequence[int]
    above: Sequence[Sequence[int]]
    below: Sequence[Sequence[int]]
    good_before: Sequence[Sequence[int]]
    good_after: Sequence[Sequence[int]]


class SopSearch(_Search):
    """The search of sop.c."""

    def __init__(self, tables: SearchTables, row: Sequence[int], value: int, seed: int) -> None:
        self._jobs = tables.jobs
        given = _SearchInput(
            tables.jobs, tables.reach, tables.first_cycle, tables.turns,
            *map(ints, (tables.cost, tables.warmths, tables.luck, tables.least)),
            *map(lists, (tables.above, tables.below, tables.good_before, tables.good_after)),
        )  # fmt: skip
        super().__init__("sop_search", given, ints([tables.jobs, *row, tables.jobs]), value, seed & MASK)

    def run(self, steps: int) -> None:
        """Do so many steps."""
        self._call("run", steps)

    def found(self) -> tuple[int, list[int]]:
        """The least cost met [units], and its order."""
        row = _room(self._jobs)
        value = int(self._call("best", row))
        return value, row[: self._jobs]


class SopWalk:
    """The relaxed walk of sop.c, for one gift after another."""

    def __init__(
        self, cost: Sequence[int], follow: Sequence[Sequence[int]], low: Sequence[int], high: Sequence[int]
    ) -> None:
        self.jobs = len(low)
        self._given = _WalkInput(self.jobs, ints(cost), lists(follow), ints(low), ints(high))
        square = (self.jobs + 1) ** 2
        self._rest, self._second, self._then, self._walk = *(_room(square) for _ in range(3)), _room(self.jobs)

    def least(self, gift: Sequence[int]) -> tuple[int, list[int]]:
        """Least cost of a walk less gifts, and its jobs."""
        value = _kernel().sop_walk(self._given, ints(gift), self._rest, self._second, self._then, self._walk)
        return int(value), self._walk[: self.jobs]

    def rest(self) -> list[int]:
        """By place and job, the least cost of what follows, from the last walk."""
        return self._rest[:]


class SopExact(_Search):
    """The layers of sop.c."""

    def __init__(
        self, *, words: int, limit: int, most: int, cost: Sequence[int], follow: Sequence[Sequence[int]],
        gift: Sequence[int], rest: Sequence[int], before: Sequence[int],
    ) -> None:  # fmt: skip
        """`before`: for each job the set of those before it, in `words` numbers of 64 bits."""
        self._jobs = len(gift)
        sets = [some >> 64 * word & MASK for some in before for word in range(words)]
        given = _ExactInput(
            self._jobs, words, limit, most, ints(cost), lists(follow), ints(gift), ints(rest),
            (ctypes.c_uint64 * max(1, len(sets)))(*sets),
        )  # fmt: skip
        super().__init__("sop_exact", given)

    def layer(self) -> int:
        """One place further; the states made, or -1 = no more room."""
        return int(self._call("layer"))

    def least(self, place: int) -> tuple[int, list[int]]:
        """The least value in the layer with what must follow, and the jobs of its state."""
        row = _room(self._jobs)
        value = int(self._call("least", row))
        return value, row[:place]


# for tests


def drawn(seed: int, n: int, many: int) -> list[int]:
    """The first numbers below n of C's random generator."""
    numbers = _room(many)
    _kernel().kernel_drawn(seed & MASK, n, many, numbers)
    return numbers[:many]
