"""Plate that straight-sided shapes take, beside rectangles of their own and beside their area; blocks and replay.

    python -m tests.benchmarks.shapes [--jobs N] [--seed S] [--steps N] [--aim plate]
    python -m tests.benchmarks.shapes --replayed N    # so many small random jobs on random rigs, each replayed
    python -m tests.benchmarks.shapes --blocks N      # blocks of so many random outlines, by polygon geometry

Jobs drawn at random with a seed and invented: gussets, triangles, trapezia, parallelograms, mitred strips, clipped
corners and hulls of random points, one to three kinds in one to twelve copies, often with rectangles beside them. A
plan takes its plates less the offcuts kept. Every plan has passed the replay, or is counted. Not part of the test run.
"""

from __future__ import annotations

import argparse
import math
import random
import statistics
import time
from collections import Counter
from dataclasses import dataclass, replace

from stripplan import plan
from stripplan.errors import CannotMakeError, InputError, PlanFaultError
from stripplan.files.parts.named_shapes import clipped, mitred
from stripplan.model.bevel import Bevel
from stripplan.model.effort import Effort
from stripplan.model.job import Aim, Job, Options
from stripplan.model.part import Part, Rectangle, Shape
from stripplan.model.plate import Plate
from stripplan.model.polygon import Outline, area, edges
from stripplan.model.rig import Process, Rig
from tests.layout.shapes.test_blocks import check_blocks, hull


def drawn_shape(chance: random.Random) -> Outline:
    """An outline as a shop has them, or any convex one."""
    long, wide = float(chance.randint(60, 500)), float(chance.randint(40, 250))
    kind = chance.choice(("gusset", "triangle", "trapezium", "parallelogram", "mitred", "clipped", "hull"))
    if kind == "gusset":
        return (0.0, 0.0), (long, 0.0), (0.0, wide)
    if kind == "triangle":
        return (0.0, 0.0), (long, 0.0), (float(chance.randint(10, int(long))), wide)
    if kind == "trapezium":
        left, right = (float(chance.randint(0, int(long) // 3)) for _ in range(2))
        return (0.0, 0.0), (long, 0.0), (long - right, wide), (left, wide)
    if kind == "parallelogram":
        off = float(chance.randint(10, 100))
        return (0.0, 0.0), (long, 0.0), (long + off, wide), (off, wide)
    if kind == "mitred":
        strip = float(chance.randint(30, 80))
        return mitred(3 * long, strip, (45.0, chance.choice((45.0, 90.0, 135.0))), "long")
    if kind == "clipped":
        cut = min(float(chance.randint(10, 30)), float(int(min(long, wide) / 3)))
        return clipped(long, wide, tuple((each, each) for each in (cut, 0.0, cut, cut)))
    return hull(chance)


def drawn_job(seed: int, steps: int | None) -> Job:
    """A job of shapes, and rectangles in six of ten."""
    chance = random.Random(seed)
    parts: list[Part] = [
        Shape(
            name=f"shape {n}",
            outline=drawn_shape(chance),
            quantity=chance.choice((1, 2, 3, 4, 6, 9, 12)),
            allowance=chance.choice((0.0, 0.0, 1.0)),
        )
        for n in range(1, chance.randint(1, 3) + 1)
    ]
    if chance.random() < 0.6:
        size = {"width": float(chance.randint(40, 300)), "length": float(chance.randint(60, 600))}
        parts.append(Rectangle(name="rectangle", quantity=chance.randint(1, 6), **size))
    long, wide = chance.choice(((2000.0, 1000.0), (2500.0, 1250.0), (1500.0, 1000.0)))
    plate = Plate(name="sheet", length=long, width=wide, thickness=8, material="mild steel")
    return Job(name=f"job {seed}", plates=(plate,), parts=tuple(parts), options=Options(effort=Effort(steps=steps)))


def with_bevels(job: Job, seed: int) -> Job:
    """A third of the jobs with some of their edges bevelled, no edge deeper or wider than there is metal for."""
    chance = random.Random(f"bevels {seed}")
    if chance.random() > 1 / 3:
        return job
    return replace(job, parts=tuple(_bevelled(part, chance) for part in job.parts))


def _bevelled(part: Part, chance: random.Random) -> Part:
    least = min(math.dist(*edge) for edge in edges(part.outline)) if isinstance(part, Shape) else part.width
    if least < 40 or chance.random() < 0.4:
        return part
    count = len(part.outline) if isinstance(part, Shape) else 4
    some = tuple(
        Bevel(
            edge=edge,
            angle=chance.choice((15.0, 30.0, 37.5, 45.0, 55.0)),
            root_face=chance.choice((1.0, 2.0, 3.0)),
            face=chance.choice(("first", "first", "other", "both")),
        )
        for edge in sorted(chance.sample(range(count), chance.randint(1, 2)))
    )
    return replace(part, bevels=some, allowance=0.0)


def drawn_rig(seed: int) -> Rig:
    """A rig of a shed, short or long, with or without marks and two passes."""
    chance = random.Random(seed)
    kerf = chance.choice((1.2, 1.5, 1.55, 2.0))
    process = Process(name="steel 8", material="mild steel", thickness=8, kerf=kerf, travel_speed=500)
    return Rig(
        processes=(process,),
        stroke=chance.choice((1300.0, 1300.0, 1600.0, 2600.0)),
        marked=chance.random() < 0.8,
        narrowest_offcut=chance.choice((0.0, 5.0, 8.0)),
        fence_min=chance.choice((12.0, 30.0)),
        mitre_stop_max=chance.choice((300.0, 600.0)),
        fence_scale=chance.choice((1.0, 1.0, 0.998)),
        hoist=True,
        tilt_max=chance.choice((0.0, 45.0, 60.0)),
        tilt_pivot=chance.choice((0.0, 20.0)),
    )


@dataclass(frozen=True)
class Taken:
    """What a job takes of plate [mm2]: as planned, with rectangles of their own, and the area of its parts; and what
    both cost in plate and hands together."""

    own: float
    rectangles: float
    parts: float
    total: float
    total_of_rectangles: float


def taken(job: Job, rig: Rig) -> Taken | None:
    """None where a part cannot be made, or nothing can be told of rectangles."""
    try:
        made = plan(job, rig)
    except CannotMakeError:
        return None
    if made.as_rectangles is None or made.total is None:
        return None
    own = sum(plate.length * plate.width for plate in made.plates) - made.totals.offcut_area
    parts = sum(part.wanted * _area(part) for part in made.job.parts)
    return Taken(own, made.as_rectangles.used_area, parts, made.total.total, made.as_rectangles.total)


def _area(part: Part) -> float:
    if isinstance(part, Shape):
        return area(part.outline_as_cut)
    return part.width_as_cut * part.length_as_cut if isinstance(part, Rectangle) else 0.0


def saved(jobs: int, first: int, steps: int | None, aim: Aim) -> None:
    """One line a job, then the medians."""
    found: list[Taken] = []
    for seed in range(first, first + jobs):
        began = time.perf_counter()
        job = drawn_job(seed, steps)
        each = taken(replace(job, options=replace(job.options, aim=aim)), drawn_rig(0))
        if each is None:
            print(f"{seed:4d}  cannot be made")
            continue
        found.append(each)
        print(
            f"{seed:4d}  takes {each.own / 1e6:6.3f} m2, {100 * (1 - each.own / each.rectangles):5.1f} % less than "
            f"rectangles; parts are {100 * each.parts / each.own:4.1f} % of it   {time.perf_counter() - began:.1f} s",
            flush=True,
        )
    less = sorted(1 - each.own / each.rectangles for each in found)
    filled = sorted(each.parts / each.own for each in found)
    cheaper = sorted(1 - each.total / each.total_of_rectangles for each in found)
    print(
        f"{len(found)} jobs: plate saved beside rectangles {100 * statistics.median(less):.1f} % at the median, "
        f"{100 * less[0]:.1f} % at worst, {100 * less[-1]:.1f} % at best; parts fill "
        f"{100 * statistics.median(filled):.1f} % at the median, {100 * filled[0]:.1f} % at worst; cheaper in plate "
        f"and hands by {100 * statistics.median(cheaper):.1f} % at the median, {100 * cheaper[0]:.1f} % at worst"
    )


def replayed(jobs: int, first: int) -> None:
    """How many random jobs on random rigs pass the replay; faults by their codes."""
    passed = left_out = bevelled = 0
    refused: Counter[str] = Counter()
    faults: Counter[str] = Counter()
    for seed in range(first, first + jobs):
        try:
            found = plan(with_bevels(drawn_job(seed, 1), seed), drawn_rig(seed))
            passed += 1
            bevelled += bool(found.bevels or found.hand_bevels)
        except CannotMakeError:
            left_out += 1
        except InputError as error:
            refused.update(each.says or each.code for each in error.faults)
        except PlanFaultError as error:
            faults.update({each.code for each in error.faults})
            print(f"{seed}: {error}", flush=True)
        if (seed - first) % 100 == 99:
            print(f"{seed - first + 1} jobs", flush=True)
    print(
        f"{passed} of {jobs} planned and replayed, {bevelled} of them with bevels, {left_out} cannot be made; "
        f"bevels refused: {dict(refused) or 'none'}; faults: {dict(faults) or 'none'}"
    )


def main() -> None:
    """What was asked for."""
    words = argparse.ArgumentParser()
    words.add_argument("--jobs", type=int, default=60)
    words.add_argument("--seed", type=int, default=1)
    words.add_argument("--steps", type=int, default=None)
    words.add_argument("--aim", choices=("total", "plate"), default="total")
    words.add_argument("--replayed", type=int)
    words.add_argument("--blocks", type=int)
    given = words.parse_args()
    if given.replayed is not None:
        replayed(given.replayed, given.seed)
    elif given.blocks is not None:
        tried = sum(check_blocks(seed, outlines=1) for seed in range(given.seed, given.seed + given.blocks))
        print(f"{tried} blocks of {given.blocks} outlines hold their shapes, and their cuts free all of them")
    else:
        saved(given.jobs, given.seed, given.steps, "plate" if given.aim == "plate" else "one_setting")


if __name__ == "__main__":
    main()
