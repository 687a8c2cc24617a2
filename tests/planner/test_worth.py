"""What plates and minutes are worth beside each other: figures by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle
from stripplan.model.plate import Plate
from stripplan.model.prices import Prices
from stripplan.model.rig import Rig
from stripplan.planner.settling.worth import worth_of_job

SHEET = Plate(name="sheet", length=2000, width=1000, thickness=8, material="mild steel", cost=128)
"""2 m2 of 8 mm at 7850 kg/m3: 125.6 kg."""
REST = Plate(name="rest", length=870, width=410, thickness=8, material="mild steel", cost=20, offcut=True)
PRICED = Rig(prices=Prices(per_hour=45))


def job(*plates: Plate, **options: object) -> Job:
    """A job on these plates."""
    part = Rectangle(name="part", width=80, length=200)
    return Job(name="worth", plates=plates, parts=(part,), options=Options(**options))  # type: ignore[arg-type]


def unpriced(plate: Plate, **more: object) -> Plate:
    """A plate without a price."""
    return replace(plate, cost=None, **more)  # type: ignore[arg-type]


def test_a_minute_costs_what_the_job_says() -> None:
    """The job's price goes before the rig's price of an hour; offcuts are half their price, lesser a quarter."""
    worth = worth_of_job(job(SHEET, REST, price_per_minute=0.6), PRICED)
    assert (worth.currency, worth.plates, worth.minute, worth.minute_from) == ("money", (128, 20), 0.6, "job")
    assert (worth.share, worth.share_of_others) == (0.5, 0.25)


def test_an_hour_costs_what_the_rig_says() -> None:
    """45 an hour are 0.75 a minute."""
    worth = worth_of_job(job(SHEET), PRICED)
    assert (worth.minute, worth.minute_from) == (0.75, "rig")


def test_an_hour_is_worth_thirty_kilograms_of_the_sheet_at_its_price() -> None:
    """30 kg of 125.6 for 128: 30.573 an hour. The offcut's price says nothing. Common practice, no source."""
    worth = worth_of_job(job(SHEET, REST), Rig())
    assert worth.minute == pytest.approx(30 / 60 * 128 / 125.6)
    assert worth.minute_from == "assumed"
    assert worth_of_job(job(SHEET, REST, kg_per_hour=60), Rig()).minute == pytest.approx(128 / 125.6)
    per_kg = replace(SHEET, cost=None, price_per_kg=1.1)
    assert worth_of_job(job(per_kg), Rig()).minute == pytest.approx(0.55)
    assert worth_of_job(job(per_kg), Rig()).plates == pytest.approx((138.16,))


def test_offcuts_alone_give_the_price_where_there_is_no_sheet() -> None:
    """0.87 x 0.41 m of 8 mm are 22.400 kg for 20, half of what a sheet costs: offcuts count at that share."""
    assert worth_of_job(job(REST), Rig()).minute == pytest.approx(0.5 * (20 / 0.5) / 22.40076)


def test_a_minute_is_as_dear_on_stainless_as_on_steel() -> None:
    """A kilogram of stainless counts three of steel, so at three times the price of steel an hour costs the same.
    Common practice, no source.
    """
    steel = worth_of_job(job(replace(SHEET, cost=None, price_per_kg=1.1)), Rig())
    stainless = worth_of_job(job(replace(SHEET, cost=None, material="304", price_per_kg=3.3)), Rig())
    assert stainless.minute == pytest.approx(steel.minute)


@pytest.mark.parametrize(
    ("material", "kilograms"), [("mild steel", 125.6), ("S355", 125.6), ("304", 3 * 128.0), ("5083", 4 * 43.2)]
)
def test_without_prices_kilograms_count_as_of_steel(material: str, kilograms: float) -> None:
    """2 m2 of 8 mm: steel as it weighs, stainless (8000 kg/m3) three times, aluminium (2700 kg/m3) four times; half a
    kilogram is a minute. Common practice, no source.
    """
    worth = worth_of_job(job(unpriced(SHEET, material=material)), PRICED)
    assert worth.plates == pytest.approx((kilograms,))
    assert (worth.currency, worth.minute, worth.minute_from) == ("kg", 0.5, "assumed")


def test_factors_are_the_persons() -> None:
    """Other factors and another share in their place."""
    plates = (unpriced(SHEET, material="304"), unpriced(REST, material="304"))
    worth = worth_of_job(job(*plates, material_factors={"stainless": 5.0}, offcut_share=0.25), Rig())
    assert worth.plates == pytest.approx((5 * 128.0, 0.25 * 5 * 0.87 * 0.41 * 64))
    assert (worth.share, worth.share_of_others) == (0.25, 0.125)


def test_an_offcut_without_a_price_counts_half() -> None:
    """On the rack it is worth what an offcut is worth when it is kept: half of 22.4 kg."""
    worth = worth_of_job(job(unpriced(SHEET), unpriced(REST)), Rig())
    assert worth.plates == pytest.approx((125.6, 22.40076 / 2))


def test_the_jobs_price_of_a_minute_needs_prices_of_plates() -> None:
    """Money for a minute says nothing beside kilograms: half a kilogram stands."""
    worth = worth_of_job(job(unpriced(SHEET), price_per_minute=9.0), PRICED)
    assert (worth.currency, worth.minute, worth.minute_from) == ("kg", 0.5, "assumed")


def test_a_factor_of_nothing_is_refused() -> None:
    """A kilogram that counts for none would make a minute cost without end; it ended in a division by zero."""
    with pytest.raises(ValueError, match=r"material_factors, mild steel 0.* must be .*above 0"):
        job(SHEET, material_factors={"mild steel": 0.0})
