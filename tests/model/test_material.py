"""Materials by their grades. Numbers and names are those of EN 10025-2, EN 10088, EN 573 and ASTM A36, from memory:
high.
"""

from __future__ import annotations

import pytest

from stripplan.model.material import GRADES, family_of, grade_of, near_material, serves
from stripplan.model.plate import density
from stripplan.replay.parts_made import family as replayed
from tests.checking import in_turn


@in_turn(
    ("name", "family", "weight"),
    [
        *((name, "mild steel", 7850) for name in ("S235", "s235 jr", "S355J2+N", "A36", "ASTM A36", "1.0038",
         "mild  steel", "St37-2")),
        *((name, "mild steel", 7850) for name in ("MS", "M.S.", "S275 mild steel", "hot-rolled steel")),
        *((name, "stainless", 8000) for name in ("SS", "SS304", "304 SS", "Stainless Steel 316L", "S/S")),
        *((name, "aluminium", 2700) for name in ("AL 5083", "Aluminium 6082-T6", "5754 aluminum")),
        *((name, "stainless", 8000) for name in ("304", "AISI 316L", "1.4301", "316Ti", "stainless steel", "430")),
        *((name, "aluminium", 2700) for name in ("5754", "EN AW-6082 T6", "6082-T651", "AlMg3", "aluminum",
         "5083 H111")),
    ],
)  # fmt: skip
def test_usual_grades_belong_to_a_family(name: str, family: str, weight: float) -> None:
    """What stands about a grade does not matter; mass is that of the family."""
    assert (family_of(name), density(name)) == (family, weight)


@in_turn("name", ["brass", "mild stel", "", None, "40", "9999", "mild steel 304", "alu S235"])
def test_other_names_belong_to_none(name: str | None) -> None:
    """Nothing is taken for a grade that is none; it weighs as steel does."""
    assert (family_of(name), density(name)) == (None, 7850)


def test_one_grade_has_several_names() -> None:
    """1.4301 is 304, 1.0045 is S355JR, AlMg3 is 5754."""
    assert grade_of("1.4301") == grade_of("304") == "304"
    assert grade_of("1.0045") == grade_of("S355 JR") != grade_of("S355")
    assert grade_of("AlMg3") == grade_of("EN AW-5754")


@pytest.mark.parametrize(
    ("have", "asked", "well"),
    [
        ("S235JR", "S235", True), ("S235", "S235JR", False), ("S355JR", "S235", False), ("S235", "mild steel", True),
        ("1.4301", "304", True), ("316", "304", False), ("304", "steel", False), ("304L", "304", False),
        ("brass", "Brass", True), ("steel", "carbon steel", True), ("mild steel", "S235", False),
    ],
)  # fmt: skip
def test_which_plate_serves_which_part(have: str, asked: str, well: bool) -> None:
    """A plain name takes every grade of its family, a grade its own qualities,
    and nothing takes less than was asked.
    """
    assert serves(have, asked) == well


def test_mild_stel_is_no_aluminium() -> None:
    """A slip offers the name that is spelt most like it."""
    assert near_material("mild stel") == "mild steel"
    assert near_material("stainles") == "stainless"
    assert near_material("1.43011") == "1.4301"
    assert near_material("bras", ("brass", "mild steel")) == "brass"


def test_the_replay_reads_the_same_names_by_itself() -> None:
    """Its own reading of names agrees with the table, name by name."""
    for family, _, names in GRADES:
        for name in names:
            assert replayed(name) == family, name
    plain = ("EN AW-5754 H111", "s355j2+n", "aisi 304", "1.4301", "Carbon Steel", "MS", "HRS", "S/S", "al")
    for name in (*plain, "SS304", "304 stainless steel", "AL 5083", "S275 mild steel", "mild steel 304"):
        assert replayed(name) == (family_of(name) or name), name
    assert replayed("brass") == "brass"
