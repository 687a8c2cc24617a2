"""Plate and hands in one currency: what plates, minutes and offcuts are worth, worked out from the job anew."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from stripplan.model.job import Job
from stripplan.model.material import family_of
from stripplan.model.plate import Plate
from stripplan.replay.finding import Finding, figures
from stripplan.replay.lookup import Bench
from stripplan.replay.sums import agree


def check_total(bench: Bench) -> Iterator[Finding]:
    """Each term of the total follows from the job, the pieces and the minutes; the bound does not lie above it."""
    said = bench.plan.total
    if said is None:
        return
    job, sheets = bench.plan.job, {plate.name: plate for plate in bench.plan.job.plates}
    money = any(plate.cost is not None or plate.price_per_kg is not None for plate in job.plates)
    minute, source = _minute(bench, money)
    bought = {each.id: _worth(job, sheets[each.stock], money) for each in bench.plan.plates if each.stock in sheets}
    wanted = {
        "plates": sum(bought.values()),
        "minute": minute,
        "hands": minute * bench.plan.totals.minutes,
        "offcuts": _offcuts(bench, bought),
        "total": said.plates + said.hands - said.offcuts,
    }
    for key, right in wanted.items():
        if not agree(right, getattr(said, key)):
            true, given = figures(right, getattr(said, key))
            yield Finding("total", f"total, {key}", f"In one currency {key} is {true}; the plan says {given}.")
    for key, word in (("currency", "money" if money else "kg"), ("minute_from", source)):
        if getattr(said, key) != word:
            yield Finding("total", f"total, {key}", f"{key} of the total is {word!r}, not {getattr(said, key)!r}.")
    if not 0 <= said.bound <= said.total + 1e-6 and said.bound != 0:
        yield Finding(
            "total", "total, bound", f"The least total is said to be {said.bound:g}; found was {said.total:g}."
        )


def _minute(bench: Bench, money: bool) -> tuple[float, str]:
    """What a minute is worth, and whence."""
    options, prices = bench.plan.job.options, bench.plan.rig.prices
    if money and options.price_per_minute is not None:
        return options.price_per_minute, "job"
    if money and prices is not None and prices.per_hour is not None:
        return prices.per_hour / 60, "rig"
    if not money:
        return options.kg_per_hour / 60, "assumed"
    job = bench.plan.job
    sheets = [plate for plate in job.plates if not plate.offcut]
    some = sheets or list(job.plates)
    kilograms = sum(plate.mass * _factor(job, plate) for plate in some)
    minute = options.kg_per_hour / 60 * sum(_worth(job, plate, money) for plate in some) / kilograms
    # Offcuts count at a share of what sheets cost; plans were made that took them for sheets here.
    before = sheets or bench.plan.total is None or agree(minute, bench.plan.total.minute)
    return minute if before or not options.offcut_share else minute / options.offcut_share, "assumed"


def _worth(job: Job, plate: Plate, money: bool) -> float:
    """What one plate is worth."""
    if money:
        return plate.cost if plate.cost is not None else (plate.price_per_kg or 0.0) * plate.mass
    return plate.mass * _factor(job, plate) * (job.options.offcut_share if plate.offcut else 1.0)


def _factor(job: Job, plate: Plate) -> float:
    return job.options.material_factors.get(family_of(plate.material) or "", 1.0)


def _offcuts(bench: Bench, bought: dict[str, float]) -> float:
    """What is kept: of each plate the largest at the job's share of its price by area, the others at half of that."""
    areas: dict[str, list[float]] = defaultdict(list)
    for piece in bench.plan.pieces:
        shape = bench.shape(piece)
        if piece.kind == "offcut" and shape is not None:
            areas[piece.plate].append(shape.area)
    share, worth = bench.plan.job.options.offcut_share, 0.0
    for plate in bench.plan.plates:
        if areas[plate.id] and plate.id in bought:
            counted = (max(areas[plate.id]) + sum(areas[plate.id])) / 2
            worth += share * counted * bought[plate.id] / (plate.length * plate.width)
    return worth
