"""What test cuts say of the window of good speeds: the posterior of its ends on a grid, and which speed tells most.

The model, its sources and what was measured stand in `speed_window`; here it is reckoned. What is taken for granted is
in `Assumptions` and is an assumption, not a measurement. It fades as cuts come in.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
from stripplan.rig.notebook.speed_log import ANSWERS, Entry, check_rig, judged


@dataclass(frozen=True)
class Assumptions:
    """What is taken for granted before the first cut; every figure is an assumption for this project, no source gives
    them.

    The five strokes from 0.8 to 1.2 of the estimate are meant to show both ends (common practice, no source), so the
    window is usually not wider than that; one paper gives 400 to 700 mm/min for 5 mm low-alloy steel with air (Begic
    and others, DAAAM 2012).

    `width`: median of ln(b/a), 0.25 = 28 %; `width_spread`: standard deviation of its logarithm (nine in ten windows
    from 10 to 95 %). `empty`: chance of no good speed at all. `scatter`, `scatter_spread`: the same for s, how sharply
    answers change with ln speed. `misread`: (share of answers that fall anyhow, two in three of these wrong; chance of
    that share). `inside`: chance that the middle of the window lies in the range of the estimate, as far as that range
    is believed; `astray`: chance that the estimate is worth nothing.
    """

    width: float = 0.25
    width_spread: float = 0.6
    empty: float = 0.05
    scatter: float = 0.02
    scatter_spread: float = 1.0
    misread: tuple[tuple[float, float], ...] = ((0.01, 0.7), (0.10, 0.3))
    inside: float = 0.80
    astray: float = 0.10
    status: str = "assumption, no source"

    def __post_init__(self) -> None:
        above = ("width", "width_spread", "scatter", "scatter_spread")
        faults = [
            f"{name} {getattr(self, name):g} must be above 0"
            for name in above
            if not 0 < getattr(self, name) < math.inf
        ]
        faults += [
            f"{name} {getattr(self, name):g} must be above 0 and below 1"
            for name in ("inside", "astray", "empty")
            if not 0 < getattr(self, name) < 1
        ]
        if not self.misread or any(not (0 < share < 1 and chance > 0) for share, chance in self.misread):
            faults.append("misread needs at least one share above 0 and below 1, each with a chance above 0")
        if faults:
            raise ValueError("\n".join(faults))


_CELLS = 44
_SCATTERS = (-2.2, -1.1, 0.0, 1.1, 2.2)
_ROUNDS = 2


@dataclass
class _Grid:
    """Cells of ln speed (`edges`, middles `points`), pairs of cells with a <= b, and the posterior on pairs x (scatter,
    misread).
    """

    edges: Array
    points: Array
    first: NDArray[np.intp]
    second: NDArray[np.intp]
    scatter: Array
    misread: Array
    mass: Array
    low: Array = field(init=False)
    high: Array = field(init=False)
    pair: Array = field(init=False)

    def __post_init__(self) -> None:
        import numpy as np

        self.pair = self.mass.sum(axis=1)
        cells = len(self.points)
        self.low = np.bincount(self.first, self.pair, cells).astype(float)
        self.high = np.bincount(self.second, self.pair, cells).astype(float)

    def below(self, marginal: Array, x: Any) -> Any:
        """Probability that an end with that marginal lies below `x` [ln mm/min]."""
        import numpy as np

        return np.interp(x, self.edges, np.concatenate(([0.0], np.cumsum(marginal))))

    def quantile(self, marginal: Array, share: float) -> float:
        """The speed below which an end lies with probability `share` [mm/min]."""
        import numpy as np

        total = np.concatenate(([0.0], np.cumsum(marginal)))
        return math.exp(float(np.interp(share * total[-1], total, self.edges)))


class Search:
    """Log and rig, checked, with the posterior that follows and what can be read from it."""

    def __init__(
        self,
        log: Sequence[Entry],
        start: float,
        start_range: tuple[float, float],
        v_min: float,
        v_max: float,
        dial_step: float | None,
        assumed: Assumptions,
    ) -> None:
        check_rig(start, start_range, v_min, v_max, dial_step)
        self.start, self.range, self.assumed = start, start_range, assumed
        self.v_min, self.v_max, self.step = v_min, v_max, dial_step or 1.0
        self.answers, self.not_judged = judged(log, v_min, v_max)
        self.settable = _settable(v_min, v_max, dial_step)
        self.grid = self._posterior()

    def _posterior(self) -> _Grid:
        """The grid laid where the prior lies, then twice where the posterior lies."""
        import numpy as np

        assumed = self.assumed
        scatters = math.log(assumed.scatter) + assumed.scatter_spread * np.array(_SCATTERS)
        tried = np.log(sorted({speed for speed, _ in self.answers}))
        grid = self._on(self._first_edges(tried), scatters)
        for _ in range(_ROUNDS if self.answers else 1):
            scatters = self._scatters_again(grid)
            grid = self._on(_edges_again(grid, tried), scatters)
        return grid

    def _reach(self) -> tuple[float, float]:
        """Least and greatest ln speed at which an end of the window is looked for: twice beyond rig and range."""
        least, most = min(self.v_min, self.range[0]), max(self.v_max, self.range[1])
        return math.log(least / 2.5), math.log(most * 2.5)

    def _sides(self) -> tuple[float, float]:
        """Standard deviations of ln of the middle of the window, below and above the estimate; 2 % at least."""
        from scipy.special import ndtri

        z = float(ndtri((1 + self.assumed.inside) / 2))
        below, above = math.log(self.start / self.range[0]), math.log(self.range[1] / self.start)
        return max(below / z, 0.02), max(above / z, 0.02)

    def _first_edges(self, tried: Array) -> Array:
        import numpy as np

        least, most = self._reach()
        fine = np.linspace(least, most, 401)
        middles = (fine[1:] + fine[:-1]) / 2
        density = self._middle(middles)
        # Ends lie about half a width off the middle: a little wider than the middle's own density.
        spread = np.convolve(density, np.ones(25) / 25, mode="same")
        weight = 0.75 * spread / spread.sum() + 0.25 / len(middles)
        return _levels(fine, weight, tried)

    def _middle(self, x: Array) -> Array:
        """Prior density of the middle of the window: two half normals about the estimate, and a flat share for an
        estimate gone astray.
        """
        import numpy as np

        below, above = self._sides()
        away = x - math.log(self.start)
        normal = (
            np.exp(-0.5 * (away / np.where(away < 0, below, above)) ** 2) * math.sqrt(2 / math.pi) / (below + above)
        )
        least, most = self._reach()
        return (1 - self.assumed.astray) * normal + self.assumed.astray / (most - least)

    def _prior(self, edges: Array, points: Array, first: Any, second: Any) -> Array:
        """Prior mass of each pair of cells; equal cells stand for the empty window."""
        import numpy as np

        assumed = self.assumed
        cell = np.diff(edges)
        a, b = points[first], points[second]
        width = b - a
        same = first == second
        z = np.log(np.where(same, 1.0, width) / assumed.width) / assumed.width_spread
        wide = np.exp(-0.5 * z * z) / (np.where(same, 1.0, width) * assumed.width_spread * math.sqrt(2 * math.pi))
        open_mass = (1 - assumed.empty) * wide * cell[first] * cell[second]
        prior: Array = np.where(same, assumed.empty * cell[first], open_mass) * self._middle((a + b) / 2)
        return prior

    def _on(self, edges: Array, scatters: Array) -> _Grid:
        """The posterior on those cells and scatters: prior times the chance of each answer."""
        import numpy as np
        from scipy.special import expit

        assumed = self.assumed
        points = (edges[1:] + edges[:-1]) / 2
        first, second = np.triu_indices(len(points))
        misread = np.array([share for share, _ in assumed.misread])
        shares = np.array([chance for _, chance in assumed.misread])
        spread = np.exp(-0.5 * ((scatters - math.log(assumed.scatter)) / assumed.scatter_spread) ** 2)
        s = np.repeat(np.exp(scatters), len(misread))
        lapse = np.tile(misread, len(scatters))
        with np.errstate(divide="ignore"):
            prior = np.log(self._prior(edges, points, first, second))
            total = prior[:, None] + np.log(np.outer(spread, shares).ravel())
            by_low = np.zeros((len(points), len(s)))
            by_high = np.zeros_like(by_low)
            for (speed, answer), count in _counted(self.answers).items():
                # z > 0: the end lies above the speed tried.
                z = (points[:, None] - math.log(speed)) / s
                if answer in ("slow", "not slow"):
                    chance = expit(z if answer == "slow" else -z)
                    by_low += count * np.log((1 - lapse) * chance + lapse * (1 if answer == "slow" else 2) / 3)
                elif answer in ("fast", "not fast"):
                    chance = expit(-z if answer == "fast" else z)
                    by_high += count * np.log((1 - lapse) * chance + lapse * (1 if answer == "fast" else 2) / 3)
                else:
                    below = expit(z) * (1 - lapse)
                    total += count * np.log(below[second] - below[first] + lapse / 3)
            total += by_low[first] + by_high[second]
        mass = np.exp(total - total.max())
        return _Grid(edges, points, first, second, s, lapse, mass / mass.sum())

    def _scatters_again(self, grid: _Grid) -> Array:
        """Five values of ln scatter, evenly apart, where its posterior lies."""
        import numpy as np

        weight = grid.mass.sum(axis=0)
        values = np.log(grid.scatter)
        mean = float(weight @ values)
        gap = (values[-1] - values[0]) / (len(_SCATTERS) - 1)
        sd = math.sqrt(float(weight @ (values - mean) ** 2) + (gap / 4) ** 2)
        return mean + min(sd, self.assumed.scatter_spread) * np.array(_SCATTERS)

    # --- what is read from it ---

    def good(self, speeds: Array) -> tuple[Array, Array, Array]:
        """Probabilities that each speed is good, below the window, above it: a < v < b is a < v less b < v."""
        import numpy as np

        x = np.log(speeds)
        low, high = self.grid.below(self.grid.low, x), self.grid.below(self.grid.high, x)
        return np.maximum(low - high, 0.0), 1 - low, high

    def nowhere(self) -> tuple[float, float, float, float]:
        """Probabilities that no settable speed is good, apart by reason: rig too slow, rig too fast, empty, between two
        marks.
        """
        import numpy as np

        grid, x = self.grid, np.log(self.settable)
        too_slow = max(0.0, float(1 - grid.below(grid.low, x[-1])))
        too_fast = float(grid.below(grid.high, x[0]))
        inside = (grid.points[grid.first] < x[-1]) & (grid.points[grid.second] > x[0])
        same = grid.first == grid.second
        # A pair of ends holds a mark where as many marks lie below b as below a and one more.
        marks = np.searchsorted(x, grid.points)
        held = marks[grid.second] > marks[grid.first]
        empty = float(grid.pair[same & inside].sum())
        between = float(grid.pair[~same & inside & ~held].sum())
        return too_slow, too_fast, empty, between

    def best(self, good: Array, too_slow: float, too_fast: float, empty: float) -> tuple[int, str | None]:
        """The settable speed to recommend, and "slow" where it is chosen for its dross."""
        import numpy as np

        if too_slow >= 0.5:
            return len(good) - 1, "slow"
        if too_fast >= 0.5:
            return 0, None
        if empty >= 0.5:
            _, _, above = self.good(self.settable)
            return max(int(np.searchsorted(above, 0.10, side="right")) - 1, 0), "slow"
        # The middle of all speeds that are as likely good as any: common practice is to use the middle of the window.
        top = np.flatnonzero(good >= good.max() - 0.005)
        middle = math.sqrt(self.settable[top[0]] * self.settable[top[-1]])
        return int(top[np.argmin(np.abs(np.log(self.settable[top] / middle)))]), None

    # --- the next cut ---

    def next(self) -> tuple[float, float, tuple[tuple[str, float], ...]]:
        """Settable speed whose answer tells most about (a, b), the expected information [bit], and the chances of its
        answers.
        """
        import numpy as np
        from scipy.special import expit

        grid = self.grid
        speeds = self._candidates()
        x = np.log(speeds)
        # Chance that an end in each cell lies above the speed: cells x (scatter, misread) x speeds.
        above = expit((grid.points[:, None, None] - x) / grid.scatter[:, None])
        misread = grid.misread[:, None]
        cells = len(grid.points)
        dense = np.zeros((cells, cells, grid.mass.shape[1]))
        dense[grid.first, grid.second] = grid.mass
        slow = np.matmul(dense, (1 - misread) * above + misread / 3)
        fast = np.matmul(dense.transpose(1, 0, 2), (1 - misread) * (1 - above) + misread / 3).transpose(1, 0, 2)
        kept = grid.pair > 1e-7 * grid.pair.max()
        a, b, pair = grid.first[kept], grid.second[kept], grid.pair[kept]
        slow, fast = slow[a, b], fast[a, b]
        joint = (slow, np.maximum(pair[:, None] - slow - fast, 0.0), fast)
        tiny = 1e-300
        information = -float(pair @ np.log(pair)) * np.ones(len(speeds))
        chances = []
        for each in joint:
            chance = each.sum(axis=0)
            information += (each * np.log(each + tiny)).sum(axis=0) - chance * np.log(chance + tiny)
            chances.append(chance)
        pick = int(np.argmax(np.round(information, 12)))
        told = tuple((word, float(each[pick])) for word, each in zip(ANSWERS[:3], chances, strict=True))
        return float(speeds[pick]), max(0.0, float(information[pick]) / math.log(2)), told

    def _candidates(self) -> Array:
        """Settable speeds nearest to every second edge of the cells: they lie thick where the posterior does."""
        import numpy as np

        x = np.log(self.settable)
        place = np.searchsorted((x[1:] + x[:-1]) / 2, self.grid.edges[1:-1:2])
        picked: Array = self.settable[np.unique(place)]
        return picked


def _levels(edges: Array, weight: Array, tried: Array) -> Array:
    """Edges of cells that share `weight`, given on the cells of `edges`, evenly; and an edge on each speed tried."""
    import numpy as np

    total = np.concatenate(([0.0], np.cumsum(weight)))
    laid = np.interp(np.linspace(0, total[-1], _CELLS + 1), total, edges)
    within = tried[(tried > laid[0]) & (tried < laid[-1])]
    if 0 < len(within) <= _CELLS // 2:
        laid = np.union1d(laid, within)
        # Two edges almost in one place would make a cell of no width.
        keep = np.concatenate(([True], np.diff(laid) > 1e-9))
        laid = laid[keep]
    return laid


def _edges_again(grid: _Grid, tried: Array) -> Array:
    """Cells where the ends now lie: two fifths by each end, a fifth evenly between, without the last tails."""
    import numpy as np

    low, high = _spread(grid.low), _spread(grid.high)
    both = np.concatenate(([0.0], np.cumsum(low + high))) / 2
    least, most = np.interp([2e-4, 1 - 2e-4], both, grid.edges)
    cell = np.diff(grid.edges)
    inside = np.clip(np.minimum(grid.edges[1:], most) - np.maximum(grid.edges[:-1], least), 0.0, None)
    share = inside / cell
    weight = share * 0.4 * (low + high) + 0.2 * inside / inside.sum()
    kept = np.flatnonzero(inside > 0)
    edges = np.clip(grid.edges[kept[0] : kept[-1] + 2], least, most)
    return _levels(edges, weight[kept], tried)


def _spread(marginal: Array) -> Array:
    """A share of each cell's mass handed to its neighbours: a coarse cell may hide what lies just beside it."""
    import numpy as np

    wide = np.convolve(marginal, (0.1, 0.8, 0.1), mode="same")
    return np.asarray(wide / wide.sum(), dtype=float)


def _settable(v_min: float, v_max: float, dial_step: float | None) -> Array:
    """Speeds that can be set [mm/min], ascending: multiples of the step; where that is thousands, enough of them, 0.2 %
    apart.
    """
    import numpy as np

    step = dial_step or 1.0
    first, last = math.ceil(v_min / step - 1e-9), math.floor(v_max / step + 1e-9)
    if last < first:
        # No step was given and the rig's speeds lie within one whole mm/min.
        return np.array([math.sqrt(v_min * v_max)])
    if last - first < 3000:
        return np.round(np.arange(first, last + 1) * step, 9)
    ratio = math.ceil(math.log(last / max(first, 1)) / 0.002)
    return np.unique(np.round(np.round(np.geomspace(max(first, 1), last, ratio)) * step, 9))


def _counted(answers: Sequence[tuple[float, str]]) -> dict[tuple[float, str], int]:
    """How often each answer was given at each speed, in order of speed."""
    counts: dict[tuple[float, str], int] = {}
    for each in sorted(answers):
        counts[each] = counts.get(each, 0) + 1
    return counts
