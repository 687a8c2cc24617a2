"""One currency for plate and hands: what plates, a minute at the rig and the offcuts kept are worth.

Money where the job gives it. Where plates have prices but a minute has none, an hour is worth so many kilograms of the
sheets at their own price; where plates have none, kilograms count. Kilograms count as of steel in both: dearer
materials by a factor, so that a minute costs alike whatever is cut. That an hour is worth 30 kg, stainless three and
aluminium four times as much as steel: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from stripplan.model.job import Job
from stripplan.model.material import family_of
from stripplan.model.plate import Plate
from stripplan.model.rig import Rig

MinuteFrom = Literal["job", "rig", "assumed"]
"""Where the price of a minute comes from: the job's options, the rig's prices, or what an hour is worth in plate."""


@dataclass(frozen=True)
class Worth:
    """The currency of a job: money, or kilograms of steel where plates have no prices.

    `plates` is what each plate of the job is worth, by its index; `minute` a minute at the rig; `share` of its price by
    area an offcut kept is worth, if it is the largest of its plate, and half of that if not.
    """

    currency: Literal["money", "kg"]
    plates: tuple[float, ...]
    minute: float
    minute_from: MinuteFrom
    share: float

    @property
    def share_of_others(self) -> float:
        """Share of its price by area that a lesser offcut is worth."""
        return self.share / 2

    def of_offcuts(self, plate_value: float, plate_area: float, areas: Sequence[float]) -> float:
        """What the offcuts of one plate are worth, from their areas and the plate's [mm2]: the largest its share of the
        plate's price by area, the others half of that.
        """
        largest = max(areas, default=0.0)
        return plate_value / plate_area * (self.share * largest + self.share_of_others * (sum(areas) - largest))


def worth_of_job(job: Job, rig: Rig) -> Worth:
    """The currency of a job whose materials and thicknesses are filled in."""
    options, priced = job.options, any(_price(plate) is not None for plate in job.plates)
    weights = [plate.mass * _factor(job, plate) for plate in job.plates]
    values = [
        weight if (price := _price(plate)) is None else price for plate, weight in zip(job.plates, weights, strict=True)
    ]
    if not priced:
        values = [
            _as_offcut(value, plate, options.offcut_share) for value, plate in zip(values, job.plates, strict=True)
        ]
        return Worth("kg", tuple(values), options.kg_per_hour / 60, "assumed", options.offcut_share)
    if options.price_per_minute is not None:
        return Worth("money", tuple(values), options.price_per_minute, "job", options.offcut_share)
    if rig.prices is not None and rig.prices.per_hour is not None:
        return Worth("money", tuple(values), rig.prices.per_hour / 60, "rig", options.offcut_share)
    minute = options.kg_per_hour / 60 * _price_of_kilogram(job.plates, values, weights, options.offcut_share)
    return Worth("money", tuple(values), minute, "assumed", options.offcut_share)


def _price(plate: Plate) -> float | None:
    if plate.cost is not None:
        return plate.cost
    return None if plate.price_per_kg is None else plate.price_per_kg * plate.mass


def _factor(job: Job, plate: Plate) -> float:
    return dict(job.options.material_factors).get(family_of(plate.material) or "", 1.0)


def _as_offcut(value: float, plate: Plate, share: float) -> float:
    """An offcut without a price of its own is worth what offcuts are when they are kept."""
    return value * share if plate.offcut else value


def _price_of_kilogram(
    plates: Sequence[Plate], values: Sequence[float], weights: Sequence[float], share: float
) -> float:
    """Money for a kilogram counted as steel: of the sheets, all together; where there are offcuts alone, as they count
    at a share of what sheets do."""
    sheets = [n for n, plate in enumerate(plates) if not plate.offcut]
    some = sheets or range(len(plates))
    return sum(values[n] for n in some) / sum(weights[n] for n in some) / (1.0 if sheets or not share else share)
