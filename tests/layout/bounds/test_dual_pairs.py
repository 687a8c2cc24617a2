"""The best mix of pairs of dual feasible functions, beside the same programme written out in full for another
solver.
"""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from scipy.optimize import linprog

from stripplan.layout.bounds.dual_pairs import Face, Kind, Worth, faces_of, kinds_of, mixed_worth
from stripplan.layout.problem import Problem
from tests.checking import few
from tests.layout.tiny import problem


def drawn(chance: Random) -> tuple[Problem, list[float]]:
    """Two stocks at different prices, the second limited, and two to four kinds of part in many copies."""
    items = [
        (chance.randint(20, 60), chance.randint(15, 50), chance.randint(1, 30)) for _ in range(chance.randint(2, 4))
    ]
    limits = [None, chance.choice([None, 1, 2, 5])]
    plates = [(100, 100), (chance.randint(60, 140), chance.randint(50, 120))]
    return problem(plates, items, turn=chance.random() < 0.5, limits=limits), [1.0, chance.choice([0.3, 0.7, 1.0, 2.5])]


def least_price(asked: Problem, worth: Worth, prices: list[float]) -> float:
    """What a worth shows: the least price of parts of plates that hold what all parts are worth, stock limits kept."""
    need, price = float(worth.need), 0.0
    for n in sorted(range(len(prices)), key=lambda n: prices[n] / max(worth.holds[n], 1e-9)):
        limit, hold = asked.stocks[n].limit, float(worth.holds[n])
        take = need / hold if hold else 0.0
        take = take if limit is None else min(take, float(limit))
        need, price = need - take * hold, price + take * prices[n]
    assert need <= 1e-6 * worth.need
    return price


def by_full_programme(asked: Problem, kinds: list[Kind], faces: list[Face], prices: list[float]) -> float:
    """Values v of the kinds, weights w of all pairs, m for each limit: sum demand v - sum limit m is greatest where v
    is at most a kind's value in the mix by each way on each stock, and a stock's weights sum to its price and m at
    most.
    """
    pairs = [
        (n, f, g)
        for n, face in enumerate(faces)
        for f in range(len(face.along.tops))
        for g in range(len(face.across.tops))
    ]
    columns = len(kinds) + len(pairs) + len(faces)
    rows, most = [], []
    for n, face in enumerate(faces):
        for at, kind in enumerate(face.kinds):
            for xs, ys in zip(face.at_x, face.at_y, strict=True):
                row = np.zeros(columns)
                row[kind] = 1.0
                for p, (face_number, f, g) in enumerate(pairs):
                    if face_number == n:
                        x = face.along.values[f][xs[at]] / face.along.tops[f]
                        row[len(kinds) + p] = -x * face.across.values[g][ys[at]] / face.across.tops[g]
                rows.append(row)
                most.append(0.0)
        row = np.zeros(columns)
        for p, (face_number, _, _) in enumerate(pairs):
            row[len(kinds) + p] = float(face_number == n)
        row[len(kinds) + len(pairs) + n] = -1.0
        rows.append(row)
        most.append(prices[face.stock])
    limits = [asked.stocks[face.stock].limit for face in faces]
    aim = [-float(kind.demand) for kind in kinds] + [0.0] * len(pairs) + [float(limit or 0) for limit in limits]
    bounds = [(0.0, None)] * (len(kinds) + len(pairs)) + [(0.0, 0.0 if limit is None else None) for limit in limits]
    return -float(linprog(aim, A_ub=np.array(rows), b_ub=most, bounds=bounds).fun)


@pytest.mark.parametrize("seed", few(6, range(12)))
def test_the_best_mix_shows_as_much_as_the_programme_in_full(seed: int) -> None:
    """Every demand, price and limit counts as it should: the bound in parts of plates is the other solver's optimum."""
    asked, prices = drawn(Random(seed))
    kinds = kinds_of(asked)
    faces = faces_of(asked, kinds)
    worth = mixed_worth(asked, kinds, faces, prices)
    assert worth is not None
    full = by_full_programme(asked, kinds, faces, prices)
    assert least_price(asked, worth, prices) == pytest.approx(full, rel=1e-4)
