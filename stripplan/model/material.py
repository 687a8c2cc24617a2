"""Materials by their usual names: which family a grade belongs to, and which names mean the same grade.

A family is what the torch knows: mild steel, stainless, aluminium. Numbers and names are those of the standards, from
memory: high. Densities are the family's.
"""

from __future__ import annotations

import difflib
import re
from functools import cache
from typing import Literal

Family = Literal["mild steel", "stainless", "aluminium"]

FAMILIES: dict[Family, tuple[str, ...]] = {
    "mild steel": (
        "mild steel",
        "steel",
        "carbon steel",
        "structural steel",
        "low-alloy steel",
        "black steel",
        "ms",
        "m.s.",
        "hot-rolled steel",
        "hrs",
        "cold-rolled steel",
        "crs",
    ),
    "stainless": ("stainless", "stainless steel", "inox", "ss", "s/s", "s.s.", "sst"),
    "aluminium": ("aluminium", "aluminum", "alu", "al"),
}
"""Plain names of a family; the first is what we call it."""

GRADES: tuple[tuple[Family, str, tuple[str, ...]], ...] = (
    ("mild steel", "EN 10025-2", ("S185", "1.0035")),
    ("mild steel", "EN 10025-2", ("S235", "St37", "St37-2")),
    ("mild steel", "EN 10025-2", ("S235JR", "1.0038")),
    ("mild steel", "EN 10025-2", ("S235J0", "1.0114")),
    ("mild steel", "EN 10025-2", ("S235J2", "1.0117")),
    ("mild steel", "EN 10025-2", ("S275",)),
    ("mild steel", "EN 10025-2", ("S275JR", "1.0044")),
    ("mild steel", "EN 10025-2", ("S275J0", "1.0143")),
    ("mild steel", "EN 10025-2", ("S275J2", "1.0145")),
    ("mild steel", "EN 10025-2", ("S355", "St52", "St52-3")),
    ("mild steel", "EN 10025-2", ("S355JR", "1.0045")),
    ("mild steel", "EN 10025-2", ("S355J0", "1.0553")),
    ("mild steel", "EN 10025-2", ("S355J2", "1.0577")),
    ("mild steel", "EN 10025-2", ("S355K2", "1.0596")),
    ("mild steel", "ASTM A36", ("A36",)),
    ("mild steel", "ASTM A572", ("A572", "A572-50")),
    ("mild steel", "EN 10111", ("DD11", "1.0332")),
    ("mild steel", "EN 10130", ("DC01", "1.0330")),
    ("stainless", "EN 10088, ASTM A240", ("304", "1.4301")),
    ("stainless", "EN 10088, ASTM A240", ("304L", "1.4307")),
    ("stainless", "EN 10088, ASTM A240", ("316", "1.4401")),
    ("stainless", "EN 10088, ASTM A240", ("316L", "1.4404")),
    ("stainless", "EN 10088, ASTM A240", ("316Ti", "1.4571")),
    ("stainless", "EN 10088, ASTM A240", ("321", "1.4541")),
    ("stainless", "EN 10088, ASTM A240", ("430", "1.4016")),
    ("aluminium", "EN 573", ("1050A", "1050")),
    ("aluminium", "EN 573", ("5005",)),
    ("aluminium", "EN 573", ("5083",)),
    ("aluminium", "EN 573", ("5754", "AlMg3")),
    ("aluminium", "EN 573", ("6060",)),
    ("aluminium", "EN 573", ("6061",)),
    ("aluminium", "EN 573", ("6082", "AlSi1MgMn", "AlMgSi1")),
    ("aluminium", "EN 573", ("7075",)),
)
"""Family, standard, and the names and numbers of one grade."""

_BEFORE = re.compile(r"^(?:en ?aw|aw|astm|aisi|en|grade|type) ?-? ?")
_AFTER = re.compile(r"(?:[ +-]+(?:n|ar|m|c)|[ -]+(?:f|o|[ht]\d{1,4}))$")


def word(material: str | None) -> str:
    """A material's name as it is compared: case and spaces do not matter."""
    return " ".join((material or "").lower().split())


def family_of(material: str | None) -> Family | None:
    """The family of a material by its plain name or its grade, None for others.

    What stands about a grade, as "EN AW-" before or "+N" and "H111" behind, does not matter.

    >>> family_of("Aluminum"), family_of("S355J2+N"), family_of("EN AW-5754 H111")
    ('aluminium', 'mild steel', 'aluminium')
    >>> family_of("1.4301"), family_of("brass")
    ('stainless', None)
    """
    return _families().get(word(material)) or _grades().get(grade_of(material), (None, ""))[0]


def grade_of(material: str | None) -> str:
    """The first name of the grade that a name means; "" where it is none of the table.

    A plain name of its family may stand beside it.

    >>> grade_of("aisi 304"), grade_of("1.4301"), grade_of("6082-T6"), grade_of("mild steel")
    ('304', '304', '6082', '')
    >>> grade_of("SS304"), grade_of("S275 mild steel"), grade_of("mild steel 304")
    ('304', 'S275', '')
    """
    whole = word(material)
    found = _names().get(_bare(whole), "")
    if found or not whole:
        return found
    for family in sorted(_families(), key=len, reverse=True):
        rest = re.sub(rf"^{re.escape(family)} ?-?(?=[ 0-9])|[ -]{re.escape(family)}$", "", whole).strip()
        found = _names().get(_bare(rest), "") if rest != whole else ""
        if found and _grades()[found][0] == _families()[family]:
            return found
    return ""


def _bare(name: str) -> str:
    """A name without what stands about a grade."""
    return _AFTER.sub("", _BEFORE.sub("", name)).replace(" ", "")


def serves(have: str | None, asked: str | None) -> bool:
    """Whether plate of the material `have` is what was `asked` for: the same word or grade, one of its qualities, or
    any of the family asked for.

    >>> serves("S235JR", "S235"), serves("S235", "S235JR"), serves("1.4301", "stainless"), serves("S355", "S235")
    (True, False, True, False)
    """
    one, other = grade_of(have), grade_of(asked)
    if word(have) == word(asked) or (one and one == other):
        return True
    if word(asked) in _families():
        return family_of(have) == family_of(asked)
    return bool(other) and family_of(have) == "mild steel" and one.startswith(other)


def near_material(material: str, known: tuple[str, ...] = ()) -> str | None:
    """The known name that is spelt most like this one, those of `known` first; None where none is like it.

    >>> near_material("mild stel"), near_material("1.43011"), near_material("brass")
    ('mild steel', '1.4301', None)
    """
    names = (
        *known,
        *(name for each in FAMILIES.values() for name in each),
        *(name for _, _, each in GRADES for name in each),
    )
    by_word = {word(name): name for name in reversed(names)}
    near = difflib.get_close_matches(word(material)[:60], by_word, 1, 0.6)
    return by_word[near[0]] if near else None


@cache
def _families() -> dict[str, Family]:
    return {name: family for family, names in FAMILIES.items() for name in names}


@cache
def _grades() -> dict[str, tuple[Family, str]]:
    return {names[0]: (family, standard) for family, standard, names in GRADES}


@cache
def _names() -> dict[str, str]:
    return {name.lower(): names[0] for _, _, names in GRADES for name in names}
