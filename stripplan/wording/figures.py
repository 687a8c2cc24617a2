"""Figures as they stand on paper and page: masses, times, readings of a scale, widths as callipers show them."""

from __future__ import annotations

import math
from collections.abc import Iterable

from stripplan.wording.quantity import show_length

KG_PER_LB = 0.45359237


def unit_of_costs(currency: str, money: str, units: str) -> tuple[str, float]:
    """What totals are told in, and how much of their own currency one of that is: `money` where they are money, else
    kilograms of steel, or pounds for who reads inches.

    >>> unit_of_costs("kg", "EUR", "in")
    ('lb of steel', 0.45359237)
    """
    if currency != "kg":
        return money, 1.0
    return ("lb of steel", KG_PER_LB) if units == "in" else ("kg of steel", 1.0)


"""One pound, by definition [kg]."""


def show_mass(kilograms: float, units: str = "mm") -> str:
    """A mass to read; pounds for a person who reads inches.

    >>> show_mass(9.25), show_mass(147.2), show_mass(147.2, "in"), show_mass(2.0, "in")
    ('9.2 kg', '147 kg', '325 lb', '4.4 lb')
    """
    value, unit = (kilograms / KG_PER_LB, "lb") if units == "in" else (kilograms, "kg")
    return f"{value:.1f} {unit}" if value < 10 else f"{value:.0f} {unit}"


def show_minutes(minutes: float) -> str:
    """A time to read.

    >>> show_minutes(0.4), show_minutes(12.26), show_minutes(153.4)
    ('24 s', '12 min 16 s', '2 h 33 min')
    """
    seconds = round(round(minutes * 60, 3))  # what no plan file holds, a millionth of a minute, decides no half second
    if seconds < 60:
        return f"{seconds} s"
    if seconds < 3600:
        return f"{seconds // 60} min" + (f" {seconds % 60} s" if seconds % 60 else "")
    whole = round(round(minutes, 4))
    return f"{whole // 60} h {whole % 60} min"


def show_tenths(kilograms: float, units: str) -> str:
    """A mass that costs are counted in, to a tenth.

    >>> show_tenths(30.0, "mm"), show_tenths(30.0, "in")
    ('30.0 kg', '66.1 lb')
    """
    return f"{kilograms / KG_PER_LB:.1f} lb" if units == "in" else f"{kilograms:.1f} kg"


def show_about(minutes: float) -> str:
    """A time of day's work, as near as it is worth saying: to the minute, from a quarter of an hour on to five minutes.

    >>> show_about(7.4), show_about(48.2), show_about(81), show_about(120)
    ('7 min', '50 min', '1 h 20 min', '2 h')
    """
    whole = round(minutes) if minutes < 15 else 5 * round(minutes / 5)
    hours, rest = divmod(whole, 60)
    return " ".join([f"{hours} h"] * bool(hours) + [f"{rest} min"] * bool(rest or not hours))


def scale_figure(reading: float, step: float, units: str) -> str:
    """A reading in the figures of a scale with marks every `step` [mm]; `units` are the job's.

    A scale whose step is whole in hundredths of a millimetre is read in mm, one whose step is whole in
    64ths or thousandths of an inch in inches; where both are true the job's units decide.

    >>> scale_figure(1239, 0.5, "mm"), scale_figure(38.1, 25.4 / 16, "in"), scale_figure(317.5, 0.5, "in")
    ('1239.0', '1 1/2"', '317.5 mm')
    """
    in_mm, in_64ths, in_mils = _whole(step * 100), _whole(step / 25.4 * 64), _whole(step / 25.4 * 1000)
    if (in_64ths or in_mils) and (units == "in" or not in_mm):
        return show_length(reading, "in", 64) if in_64ths else f'{reading / 25.4:.3f}"'
    places = next((n for n in range(3) if _whole(step * 10**n)), 2)
    return f"{reading:.{places}f}" + (" mm" if units == "in" else "")


def _whole(value: float) -> bool:
    return abs(value - round(value)) < 1e-6 and round(value) > 0


def show_fine(mm: float, units: str, *, towards: int = 0) -> str:
    """A width as callipers show it: mm to a tenth, inches to three places.

    `towards` 1 or -1 rounds a limit up or down, so that what is within it as shown is within it.

    >>> show_fine(500.45, "mm"), show_fine(500.45, "mm", towards=-1), show_fine(12.7, "in", towards=1)
    ('500.5', '500.4', '0.500"')
    """
    parts = mm / 25.4 * 1000 if units == "in" else mm * 10
    whole = {0: parts + 1e-6, 1: math.ceil(parts - 1e-6), -1: math.floor(parts + 1e-6)}[towards]
    return f'{whole / 1000:.3f}"' if units == "in" else f"{whole / 10:.1f}"


def show_exact(mm: float, units: str) -> str:
    """A figure that was given, as it was given: inches where it is one in 64ths or in ten-thousandths, else to the
    thousandth of an inch.

    >>> show_exact(1.25, "mm"), show_exact(0.5, "in"), show_exact(12.7, "in"), show_exact(0.381, "in")
    ('1.25', '0.020"', '1/2"', '0.015"')
    """
    if units != "in":
        return f"{mm:.6g}"
    if abs(mm / 25.4 * 64 - round(mm / 25.4 * 64)) < 0.01:
        return show_length(mm, "in", 64)
    decimal = abs(mm / 25.4 * 10_000 - round(mm / 25.4 * 10_000)) < 1e-6
    return f'{round(mm / 25.4, 4):g}"' if decimal else f'{mm / 25.4:.3f}"'


def in_runs(numbers: Iterable[int]) -> list[list[int]]:
    """Numbers in their order, those that follow each other together.

    >>> in_runs([1, 2, 3, 7])
    [[1, 2, 3], [7]]
    """
    runs: list[list[int]] = []
    for each in numbers:
        if runs and each == runs[-1][-1] + 1:
            runs[-1].append(each)
        else:
            runs.append([each])
    return runs
