"""The plans of a job that a person may choose from, as strings: one table for screen and page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from stripplan.model.job import Job
from stripplan.model.plan.choice import Choice
from stripplan.wording.figures import show_minutes, show_tenths
from stripplan.wording.quantity import show_length
from stripplan.wording.show import Units, worded

SCHEMA = "stripplan/choices/1"


@dataclass(frozen=True)
class ChoiceRow:
    """One choice as it is read. `plate_share` and `time_share` are its bars: shares of the longest bar of all."""

    number: str
    default: bool
    total: str
    plates: str
    plate_cost: str
    time: str
    cuts: str
    fence_settings: str
    largest_offcut: str
    buys: str
    plate_share: float
    time_share: float


@dataclass(frozen=True)
class ChoiceTable:
    """All choices, what stands above them, and how the bars are read."""

    heads: tuple[str, ...]
    rows: tuple[ChoiceRow, ...]
    about: tuple[str, ...]
    bars: str

    @property
    def cells(self) -> list[tuple[str, ...]]:
        """The cells of each row, in the order of `heads`."""
        return [
            (
                row.number + (" *" if row.default else ""),
                row.total,
                row.plates,
                row.plate_cost,
                row.time,
                row.cuts,
                row.fence_settings,
                row.largest_offcut,
            )
            for row in self.rows
        ]


HEADS = ("", "total", "plates", "plate cost", "time", "cuts", "fence settings", "largest offcut")
ABOUT = "All figures are about: the plan itself may be some minutes or a fence setting off."


def choice_table(job: Job, choices: Sequence[Choice]) -> ChoiceTable:
    """The choices of a job in the person's units."""
    first = choices[0]
    longest = max(_metal(each) + _hands(each) for each in choices) or 1.0
    rows = tuple(_row(job, each, longest) for each in choices)
    about = ["* is made where none is chosen; more and less are meant beside it.", ABOUT]
    if len(choices) == 1:
        about.append("No other plan was found that anything speaks for.")
    if first.currency == "kg":
        about.append(f"Costs are {'pounds' if job.units == 'in' else 'kilograms'} of steel, as no prices are given.")
    bars = "# plate less the offcuts kept, = time at the rig, at " + _money(job, first, first.minute * 60) + " an hour"
    return ChoiceTable(HEADS, rows, tuple(about), bars)


def choices_record(job: Job, choices: Sequence[Choice]) -> dict[str, Any]:
    """The choices in plain values, for JSON: money or kilograms of steel, minutes, mm."""
    units = Units(job.units, job.inch_fraction)
    currency = job.currency if choices[0].currency == "money" else "kg of steel"
    return {
        "schema": SCHEMA,
        "job": job.name,
        "currency": currency,
        "price_per_minute": round(choices[0].minute, 6),
        "choices": [
            {
                "number": each.number,
                "default": each.default,
                "total": round(each.total, 6),
                "plates": each.plates,
                "plate_cost": round(each.plate_cost, 6),
                "minutes": round(each.minutes, 6),
                "cuts": each.cuts,
                "fence_settings": each.fence_settings,
                "offcuts": round(each.offcuts, 6),
                "largest_offcut": None if each.largest_offcut is None else [round(mm, 6) for mm in each.largest_offcut],
                "best": list(each.best),
                "buys": worded(each.buys, units).text,
            }
            for each in choices
        ],
    }


def _row(job: Job, each: Choice, longest: float) -> ChoiceRow:
    return ChoiceRow(
        number=str(each.number),
        default=each.default,
        total=_money(job, each, each.total),
        plates=str(each.plates),
        plate_cost=_money(job, each, each.plate_cost),
        time=show_minutes(float(round(each.minutes))),
        cuts=str(each.cuts),
        fence_settings=str(each.fence_settings),
        largest_offcut=_size(job, each),
        buys=worded(each.buys, Units(job.units, job.inch_fraction)).text,
        plate_share=_metal(each) / longest,
        time_share=_hands(each) / longest,
    )


def _metal(each: Choice) -> float:
    """Plate less the offcuts kept; worth no less than nothing, as a bar is."""
    return max(0.0, each.plate_cost - each.offcuts)


def _hands(each: Choice) -> float:
    return each.minute * each.minutes


def _money(job: Job, each: Choice, value: float) -> str:
    return show_tenths(value, job.units) if each.currency == "kg" else f"{value:.2f} {job.currency}".strip()


def _size(job: Job, each: Choice) -> str:
    if each.largest_offcut is None:
        return "none"
    return " × ".join(show_length(side, job.units, job.inch_fraction) for side in each.largest_offcut)
