"""Specimen plans for all that is drawn and written: small, by hand, each sound by the independent replay."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, partial

from stripplan.model.plan.plan import Plan
from stripplan.model.plan.record import from_record, to_record
from tests.replay import by_hand

NAMES = (
    "Träger Ø40 ½", "kő Łom 日本", "=SUM(A1)", "<b>&amp;</b>", "%%c ^J \\U+0041", "lid \N{GRINNING FACE}",
    "\N{HEBREW LETTER ALEF}\N{HEBREW LETTER BET}",
    "a name far too long for any strip that was ever cut on a bench " * 3,
    "line\nbreak\ttab", "\N{RIGHT-TO-LEFT OVERRIDE}gnp.exe", "W" * 40, ".",
)  # fmt: skip
"""Letters in and out of the code page, commands of drawing programs, formulas, markup, length."""


def in_units(made: Plan, units: str = "mm", name: str = "bar") -> Plan:
    """The plan as a person with these units reads it, with another name for its part "bar"."""
    record = to_record(made)
    record["job"] |= {"units": units, "currency": ""}
    for each in (*record["parts"], *record["job"]["parts"]):
        each["name"] = name if each["name"] == "bar" else each["name"]
    for each in record["pieces"]:
        each["part"] = name if each["part"] == "bar" else each["part"]
    for each in record["runs"]:
        each["parts"] = [name if part == "bar" else part for part in each["parts"]]
    for each in record["warnings"]:
        each["about"] = name if each["about"] == "bar" else each["about"]
    return from_record(Plan, record)


def hair_strips(count: int = 100) -> Plan:
    """Strips of 0.5 mm off one plate, 2 mm apart by a kerf of 1.5; the rest is pushed up each time."""
    width, pieces, cuts = 2.0 * count + 20.0, [by_hand.piece(1, None, "plate", (0, 0, 1000, 2.0 * count + 20))], []
    for each in range(count):
        low, of = 2.0 * each, 2 * each + 1
        rest = "scrap" if each == count - 1 else "blank"
        pieces += [
            by_hand.piece(of + 1, of, "part", (0, low, 1000, low + 0.5), "bar"),
            by_hand.piece(of + 2, of, rest, (0, low + 2, 1000, width)),
        ]
        line, edge = [[0.0, low + 1.25], [1000.0, low + 1.25]], [[0.0, low], [1000.0, low]]
        first = {"fence": True, "end_stop": True, "fetch": True}
        setup = {"push": True, "clear": True, "dress": [edge]} if each else first
        only = [(True, [[0.0, width], [0.0, low]], 1000.0, 1020.0)]
        cuts.append(by_hand.fence_cut(each + 1, of, (of + 1, of + 2), line, edge, 1.25, 1.5, only, **setup))
    part = {**by_hand.PART, "width": 0.5, "quantity": count}
    sizes = {part["name"]: ([[0.75, 1000.0]], [0.25, 0.0])}
    rig = {"fence_min": 1.0, "two_person_mass": 50.0, "narrowest_part": 0.5}
    return by_hand.plan_of(
        pieces, cuts, [part], sizes, [(1, count, 1.5, 1020.0, ["bar"])], 2.0 * count - 1, rig=rig,
        stock={"width": width},
        warnings=(("narrow", "bar"), ("hold_down", "bar"), ("size_class", "bar"), ("bow_at_fence", "bar")),
    )  # fmt: skip


PLANS: dict[str, Callable[[], Plan]] = {
    **{name: cache(partial(lambda make: in_units(make()), make)) for name, make in by_hand.SOUND.items()},
    "inches": cache(lambda: in_units(by_hand.two_passes(), "in")),
    "hair strips": cache(lambda: in_units(hair_strips(40))),
    **{f"name {n}": cache(partial(lambda name: in_units(by_hand.pushed_up(), "mm", name), name))
       for n, name in enumerate(NAMES)},
}  # fmt: skip
"""Every specimen by name: strips only, two stages and an offcut, two passes, marked, inches, 40 cuts, hard names."""
