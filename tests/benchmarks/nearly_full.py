"""Jobs that one plate nearly full is known to make: `python -m tests.benchmarks.nearly_full [--jobs N] [--seconds S]`.

Plates of 2000 x 1000 mm are cut up at random into 10 to 20 parts, some of which are then made smaller, until 0 to 6 %
is left beside parts and kerfs; parts may be turned. With `--narrowest MM` nothing narrower is taken off, so that the
known answer leaves no sliver. `--strangers` takes parts drawn at random, of as much area: for most of them nobody knows
whether one plate does. Printed for each job: parts, what is left, the plates of a whole plan and its CPU seconds;
found, refuted or given up by the exact search alone, and its CPU seconds. Not part of the test run.
"""

from __future__ import annotations

import argparse
import random
import time
from collections import Counter
from dataclasses import replace
from fractions import Fraction

from stripplan.layout.grid import Grid
from stripplan.layout.problem import Problem, Stock, build_problem
from stripplan.layout.single_plate.nearly_full import DEFAULT_STEPS, on_nearly_full_plate
from stripplan.layout.solver import lay_out
from stripplan.layout.stop_rule import never
from stripplan.model.effort import Effort
from stripplan.model.part import Part, Rectangle
from stripplan.model.plate import Plate
from tests.benchmarks.open_data import free_rules

LENGTH, WIDTH, KERF = 2000, 1000, 2
Size = tuple[int, int]


def planted(chance: random.Random, parts: int, left: float, least: int) -> list[Size]:
    """Sizes of parts that come from one plate: a cut-up, then sides made shorter by `least` or more, until `left` of it
    is wasted.
    """
    pieces = [(LENGTH, WIDTH)]
    while len(pieces) < parts:
        pieces.sort(key=lambda piece: piece[0] * piece[1])
        # Mostly the largest, or a few parts would be nearly the whole plate.
        whole = pieces.pop() if chance.random() < 0.7 else pieces.pop(chance.randrange(len(pieces) // 2, len(pieces)))
        across = chance.random() * sum(whole) < whole[0]
        side = whole[0] if across else whole[1]
        low = max(20, side // 5)
        if side - KERF - low < low:
            pieces.append(whole)
            continue
        at = chance.randint(low, side - KERF - low)
        cuts = (at, side - KERF - at)
        pieces += [(cut, whole[1]) if across else (whole[0], cut) for cut in cuts]
    return shortened(chance, pieces, left, least)


def shortened(chance: random.Random, pieces: list[Size], left: float, least: int) -> list[Size]:
    """One side after the other made shorter, until so much of the plate is left."""
    made = [list(piece) for piece in pieces]
    most = (LENGTH + KERF) * (WIDTH + KERF) * (1 - left)
    while sum((x + KERF) * (y + KERF) for x, y in made) > most:
        piece, axis = chance.choice(made), chance.randrange(2)
        # Where nothing may be narrow, less often and more.
        by = 1 if least <= 1 else least + chance.randrange(least)
        if piece[axis] > 2 * by:
            piece[axis] -= by
    return [(x, y) for x, y in made]


def strangers(chance: random.Random, parts: int, left: float) -> list[Size]:
    """Sizes drawn at random that would leave so much of a plate."""
    while True:
        mean = LENGTH * WIDTH / parts
        drawn = []
        for _ in range(parts):
            area, ratio = mean * chance.uniform(0.3, 1.7), chance.uniform(1, 3) ** chance.choice((1, -1))
            drawn.append(((area * ratio) ** 0.5, (area / ratio) ** 0.5))
        scale = (LENGTH * WIDTH / sum(x * y for x, y in drawn)) ** 0.5
        sizes = [(round(x * scale), round(y * scale)) for x, y in drawn]
        if all(max(size) <= LENGTH and min(size) <= WIDTH for size in sizes):
            return shortened(chance, sizes, left, 1)


def problem_of(sizes: list[Size], narrowest: int) -> tuple[Problem, list[Part]]:
    """The parts of one job, from as many plates as they need."""
    rules = replace(free_rules(KERF), narrowest_offcut=narrowest)
    plate = Plate(name="plate", thickness=5, material="steel", length=LENGTH, width=WIDTH)
    parts: list[Part] = [
        Rectangle(name=f"p{n}", length=x, width=y, quantity=1, rotate=True) for n, (x, y) in enumerate(sizes)
    ]
    return build_problem(
        Grid(Fraction(1)), [Stock(0, plate, rules, 1.0)], list(enumerate(parts)), (1e12, 1e12), None
    ), parts


def main() -> None:
    """Lay out, a row a job, and the totals."""
    words = argparse.ArgumentParser()
    words.add_argument("--jobs", type=int, default=40)
    words.add_argument("--seconds", type=float)
    words.add_argument("--steps", type=int, default=DEFAULT_STEPS)
    words.add_argument("--narrowest", type=int, default=0)
    words.add_argument("--strangers", action="store_true")
    given = words.parse_args()
    plates: Counter[int] = Counter()
    answers: Counter[str] = Counter()
    taken = [0.0, 0.0]
    for seed in range(given.jobs):
        chance = random.Random(seed)
        many, left = chance.randint(10, 20), chance.uniform(0, 0.06)
        least = KERF + given.narrowest if given.narrowest else 1
        sizes = strangers(chance, many, left) if given.strangers else planted(chance, many, left, least)
        problem, parts = problem_of(sizes, given.narrowest)
        start, clock = time.process_time(), time.monotonic()
        out_of_time = never if given.seconds is None else lambda at=clock: time.monotonic() - at > given.seconds
        made = lay_out(problem, parts, effort=Effort(seconds=given.seconds), out_of_time=out_of_time)
        used = sum(pattern.count for pattern in made.patterns)
        middle = time.process_time()
        fit = on_nearly_full_plate(problem, steps=given.steps)
        answer = "found" if fit.filled else "refuted" if fit.excluded else "given up"
        seconds = (middle - start, time.process_time() - middle)
        plates[used] += 1
        answers[answer] += 1
        taken = [total + each for total, each in zip(taken, seconds, strict=True)]
        area = sum((x + KERF) * (y + KERF) for x, y in sizes) / ((LENGTH + KERF) * (WIDTH + KERF))
        print(
            f"{seed:>4}{many:>4} parts{100 * (1 - area):>6.2f} % left: {used} of {made.bound.plates} plates"
            f"{seconds[0]:>8.2f} s; {answer}{seconds[1]:>8.2f} s",
            flush=True,
        )
    print(f"plates {dict(sorted(plates.items()))} in {taken[0]:.1f} s, exact {dict(answers)} in {taken[1]:.1f} s")


if __name__ == "__main__":
    main()
