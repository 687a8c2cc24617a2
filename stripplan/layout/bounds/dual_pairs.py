"""Pairs of dual feasible functions, one for each edge of a plate, and the mix of pairs that bounds best.

A pair (f, g) gives a piece of extents x and y the value f(x) g(y), kerf counted in. No plate holds more than
f(length) g(width). Proof for any layout in a plate, guillotine or not: let f take whole numbers. Where a line
across the plate at height y meets pieces, their extents along it sum to at most the length, so their f
sum to at most f(length). Take each piece f(x) times, as an interval over y: nowhere do more than f(length)
of them overlap, so they can be shared out to f(length) rows in which none overlap (interval graphs are
perfect), and no row holds the same piece twice. The extents along y in a row sum to at most the width, so
their g sum to at most g(width). (S. P. Fekete, J. Schepers, 2001, say it for packings of boxes.)

So each stock's value of a full plate, and a piece's value there, may be any mix of pairs with weights of 0
or more; a piece that may turn counts the lesser of its ways. With several stocks a piece counts the least
over all stocks and ways. The best mix is a linear programme; its columns are pairs, priced by products of
matrices. Result: whole numbers, rounded so that the bound stays one. Cost: (functions)^2 x (kinds of piece)
for each pricing; one stock on which nothing turns needs one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stripplan.layout.bounds.dual_functions import Functions, functions
from stripplan.layout.linear_programme import new_programme
from stripplan.layout.problem import Problem

if TYPE_CHECKING:
    import numpy.typing as npt

    Floats = npt.NDArray[np.float64]
    Pair = tuple[int, int]

MOST_ROUNDS = 12
"""Rounds of pricing pairs: any round gives a bound, so few will do; more may raise it a little. Set by trial,
not studied."""
SCALE = 1 << 60
"""What a full plate is worth for each unit of weight: so large that rounding down loses nothing that a plate would
notice."""
WEIGHTS = 1 << 24
"""Weights are rounded to whole numbers of which the greatest is this: with `SCALE` the sums are Python's whole
numbers, so nothing overflows."""
ONE_THREAD = 200_000
"""Products of matrices are taken in pieces of so many steps, which no library shares out among threads: on a
busy machine that costs more than it saves. Set by trial, not studied."""


@dataclass(frozen=True)
class Worth:
    """What all parts are worth together, and the most that one plate of each stock can hold, in whole numbers.

    `holds` goes by the problem's stocks; by functions it is 0 for a stock that no part may come from. The two
    are in one scale, which is of no meaning otherwise: only their ratio bounds anything.
    """

    need: int
    holds: tuple[int, ...]


@dataclass(frozen=True)
class Kind:
    """Pieces alike on all stocks: extents with kerf for each stock and way, and how many; no ways = not from that
    stock.
    """

    ways: tuple[tuple[tuple[int, int], ...], ...]
    demand: int


def kinds_of(problem: Problem) -> list[Kind]:
    """The pieces of a problem, alike ones counted together; those that fit nowhere are left out."""
    counts: dict[tuple[tuple[tuple[int, int], ...], ...], int] = {}
    for item in problem.items:
        ways = tuple(
            tuple(sorted({(x + stock.kerf, y + stock.kerf) for x, y, _ in here}))
            for stock, here in zip(problem.stocks, item.bound_sizes, strict=True)
        )
        if any(ways):
            counts[ways] = counts.get(ways, 0) + item.demand
    return [Kind(ways, demand) for ways, demand in sorted(counts.items())]


class Face:
    """One stock: the kinds that may come from it and the functions along both of its edges.

    `length` and `width` have a kerf added, as the extents have. `kinds` are numbers in the list of all kinds;
    arrays of a face go by that order, one array for each way: as first shown, and as last (the same where a
    kind does not turn).
    """

    def __init__(self, length: int, width: int, kinds: Sequence[Kind], stock: int) -> None:
        self.stock = stock
        self.square = length == width
        self.kinds = [n for n, kind in enumerate(kinds) if kind.ways[stock]]
        shown = [(kinds[n].ways[stock], kinds[n].demand) for n in self.kinds]
        self.demand = np.array([demand for _, demand in shown], dtype=np.float64)
        self.turns = np.array([len(ways) > 1 for ways, _ in shown], dtype=bool)
        self.along, self.at_x = _edge(length, [(tuple(way[0] for way in ways), n) for ways, n in shown])
        self.across, self.at_y = _edge(width, [(tuple(way[1] for way in ways), n) for ways, n in shown])
        self._x = [self.along.shares()[:, at] for at in self.at_x]
        self._y = [self.across.shares()[:, at] for at in self.at_y]

    def best_pair(self, weights: Sequence[Floats]) -> tuple[float, Pair]:
        """The pair that values the kinds most, each way counted with its weight; and that value, a full plate
        being 1.

        By floats, so it may miss the best by a hair: the bound is made in whole numbers from whatever pair is
        chosen.
        """
        both = zip(self._x, self._y, weights, strict=True)
        sides = [(x * weight, y.T) for x, y, weight in both][: 2 if self.turns.any() else 1]
        step = max(1, ONE_THREAD // max(1, sides[0][1].size))
        best, found = -1.0, (0, 0)
        for first in range(0, len(sides[0][0]), step):
            total = np.add.reduce([x[first : first + step] @ y for x, y in sides])
            at = int(total.argmax())
            if total.flat[at] > best:
                best, found = float(total.flat[at]), (first + at // total.shape[1], at % total.shape[1])
        return best, found

    def shares(self, pair: Pair) -> list[Floats]:
        """Value of each kind by each way, as a share of a full plate."""
        return [x[pair[0]] * y[pair[1]] for x, y in zip(self._x, self._y, strict=True)]

    def even(self) -> list[Floats]:
        """Each way counted half, a kind that does not turn once: weights to choose a first pair by, before any
        programme.
        """
        return [np.where(self.turns, 0.5, 1.0) * self.demand, np.where(self.turns, 0.5, 0.0) * self.demand]

    def mirrored(self, pair: Pair) -> Pair | None:
        """The same two functions on the other edges, where the plate is square and shows the same sizes on both."""
        same = self.square and self.along.values.shape == self.across.values.shape
        return (pair[1], pair[0]) if same and (self.along.values == self.across.values).all() else None

    def least_values(self, mix: Sequence[tuple[Pair, int]]) -> dict[int, int]:
        """By kind: the lesser of its ways' values in a mix, rounded down. A full plate is worth SCALE a unit of
        weight.
        """
        values = [[0] * len(self.kinds) for _ in self.at_x]
        for (f, g), weight in mix:
            top = int(self.along.tops[f]) * int(self.across.tops[g])
            along, across = self.along.values[f].tolist(), self.across.values[g].tolist()
            for way, (xs, ys) in enumerate(zip(self.at_x, self.at_y, strict=True)):
                row = values[way]
                for n, (x, y) in enumerate(zip(xs.tolist(), ys.tolist(), strict=True)):
                    # Rounded down for each pair: a part counted too low weakens the bound, one counted too high
                    # would break it.
                    row[n] += weight * SCALE * along[x] * across[y] // top
        return {kind: min(each) for kind, each in zip(self.kinds, zip(*values, strict=True), strict=True)}


def _edge(
    capacity: int, pieces: Sequence[tuple[tuple[int, ...], int]]
) -> tuple[Functions, list[npt.NDArray[np.int64]]]:
    """Functions of the extents shown along an edge, and where each piece's first and last way stand among them."""
    sizes = sorted({size for shown, _ in pieces for size in shown})
    place = {size: n for n, size in enumerate(sizes)}
    ends = [np.array([place[shown[end]] for shown, _ in pieces], dtype=np.int64) for end in (0, -1)]
    return functions(sizes, capacity, pieces), ends


def faces_of(problem: Problem, kinds: Sequence[Kind]) -> list[Face]:
    """The stocks from which any kind may come."""
    return [
        Face(stock.length + stock.kerf, stock.width + stock.kerf, kinds, n)
        for n, stock in enumerate(problem.stocks)
        if any(kind.ways[n] for kind in kinds)
    ]


def simple_worth(problem: Problem, kinds: Sequence[Kind], face: Face) -> Worth:
    """The best single pair of the only stock; on a square plate mixed half with its mirror image."""
    _, pair = face.best_pair(face.even())
    mirror = face.mirrored(pair) if face.turns.any() else None
    mix = [(pair, 1)] + ([(mirror, 1)] if mirror is not None else [])
    return _worth(problem, kinds, [face], [mix])


def _worth(
    problem: Problem, kinds: Sequence[Kind], faces: Sequence[Face], mixes: Sequence[Sequence[tuple[Pair, int]]]
) -> Worth:
    holds = [0] * len(problem.stocks)
    least: dict[int, int] = {}
    for face, mix in zip(faces, mixes, strict=True):
        holds[face.stock] = SCALE * sum(weight for _, weight in mix)
        for kind, value in face.least_values(mix).items():
            # Nobody says which stock a piece will come from: it may count no more than on any of them.
            least[kind] = min(value, least.get(kind, value))
    return Worth(sum(kind.demand * least[n] for n, kind in enumerate(kinds)), tuple(holds))


class Mixer:
    """The linear programme: values of kinds and weights of pairs, so that all parts are worth most.

    Maximise sum demand v - sum limit m subject to v <= value of the kind in the mix, for each stock and way,
    and weights of a stock's mix summing to at most price + m (m: what its limit is worth; 0 without one).
    """

    def __init__(self, problem: Problem, kinds: Sequence[Kind], faces: Sequence[Face], prices: Sequence[float]) -> None:
        self.problem, self.kinds, self.faces = problem, kinds, faces
        self._lp = new_programme()
        self._pairs: list[tuple[int, Pair]] = []
        infinity = self._lp.getInfinity()
        self._first_row = []
        rows = 0
        for face in faces:
            self._first_row.append(rows)
            rows += 2 * len(face.kinds)
        for _ in range(rows):
            self._lp.addRow(-infinity, 0.0, 0, [], [])
        for face in faces:
            self._lp.addRow(-infinity, prices[face.stock], 0, [], [])
        self._price_row = rows
        self._infinity = infinity
        self._add_kinds()
        self._add_limits()

    def _add_kinds(self) -> None:
        rows: list[list[int]] = [[] for _ in self.kinds]
        for face, first in zip(self.faces, self._first_row, strict=True):
            for n, number in enumerate(face.kinds):
                rows[number].append(first + n)
                if face.turns[n]:
                    rows[number].append(first + len(face.kinds) + n)
        for kind, where in zip(self.kinds, rows, strict=True):
            ones = np.ones(len(where))
            self._lp.addCol(-float(kind.demand), 0.0, self._infinity, len(where), np.array(where, np.int32), ones)

    def _add_limits(self) -> None:
        for n, face in enumerate(self.faces):
            limit = self.problem.stocks[face.stock].limit
            most = 0.0 if limit is None else self._infinity
            row = np.array([self._price_row + n], np.int32)
            self._lp.addCol(float(limit or 0), 0.0, most, 1, row, np.array([-1.0]))

    def add(self, number: int, pair: Pair) -> bool:
        """Add a pair of one face; False if it is there already."""
        if (number, pair) in self._pairs:
            return False
        self._pairs.append((number, pair))
        values = np.concatenate(self.faces[number].shares(pair))
        at = np.flatnonzero(values)
        rows = np.append(self._first_row[number] + at, self._price_row + number).astype(np.int32)
        self._lp.addCol(0.0, 0.0, self._infinity, len(rows), rows, np.append(-values[at], 1.0))
        return True

    def solve(self) -> Worth | None:
        """Add pairs until none helps, at most `MOST_ROUNDS` times; the worth by the last mix. None = not solved."""
        from highspy import HighsModelStatus

        for _ in range(MOST_ROUNDS):
            self._lp.run()
            if self._lp.getModelStatus() != HighsModelStatus.kOptimal:
                return None
            solution = self._lp.getSolution()
            if not self._improved([-float(each) for each in solution.row_dual]):
                break
        return self._rounded([float(each) for each in solution.col_value])

    def _improved(self, duals: Sequence[float]) -> bool:
        better = False
        for number, (face, first) in enumerate(zip(self.faces, self._first_row, strict=True)):
            n = len(face.kinds)
            # Duals below 0 are noise within the solver's tolerance.
            weights = np.maximum(0.0, np.array(duals[first : first + 2 * n]))
            value, pair = face.best_pair([weights[:n], weights[n:]])
            # A pair helps where it values the kinds, by their duals, above the dual of its plate: a negative
            # reduced cost.
            if value > duals[self._price_row + number] * (1 + 1e-6) + 1e-9:
                better |= self.add(number, pair)
        return better

    def _rounded(self, columns: Sequence[float]) -> Worth:
        """The worth by the weights found, made whole: any weights of 0 or more bound, so rounding them down does
        no harm.
        """
        weights = columns[len(self.kinds) + len(self.faces) :]
        unit = max(max(weights, default=0.0), 1e-12) / WEIGHTS
        mixes: list[list[tuple[Pair, int]]] = [[] for _ in self.faces]
        for (number, pair), weight in zip(self._pairs, weights, strict=False):  # the last pairs came after the solution
            if weight > unit:
                mixes[number].append((pair, int(weight / unit)))
        return _worth(self.problem, self.kinds, self.faces, mixes)


def mixed_worth(
    problem: Problem, kinds: Sequence[Kind], faces: Sequence[Face], prices: Sequence[float]
) -> Worth | None:
    """The worth by the best mix found, where a full plate of each stock counts its price; None = not found.

    `prices` has one for each stock: all 1 to bound the number of plates, their costs to bound the cost. None
    only where the solver fails: other bounds stand without it.
    """
    mixer = Mixer(problem, kinds, faces, prices)
    for number, face in enumerate(faces):
        pair = face.best_pair(face.even())[1]
        mixer.add(number, pair)
        mirror = face.mirrored(pair)
        if mirror is not None:
            mixer.add(number, mirror)
    return mixer.solve()
