"""Lists as people hand them in: each is read as a careful person would read it, or refused with a good reason.

Beside each list in `messy/` lies what somebody read out of it by eye, before any program did: the parts, or words that
a refusal must hold. A list may be read in several ways that the reader was `told`.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from stripplan.errors import InputError
from stripplan.files.parts.read import HowRead, read_list
from stripplan.model.material import family_of
from stripplan.model.part import Part

FOLDER = Path(__file__).parent / "messy"
LISTS = sorted(each.with_suffix("") for each in FOLDER.glob("*.json"))
CASES = [
    (each, case) for each in LISTS for case in json.loads(each.with_suffix(each.suffix + ".json").read_text("utf-8"))
]


def seen(part: Part) -> dict[str, Any]:
    """A part as it is written beside a list: only what is said of it."""
    found: dict[str, Any] = {"name": part.name, "width": part.width, "length": getattr(part, "length", None)}
    found |= {"quantity": part.quantity, "thickness": part.thickness, "material": part.material, "note": part.note}
    found["holes"] = [[each.x, each.y, each.length, each.width] for each in part.holes]
    return found


def meant(part: dict[str, Any]) -> dict[str, Any]:
    """The same of what lies beside the list."""
    blank: dict[str, Any] = {"thickness": None, "material": None, "note": "", "holes": []}
    return {**blank, **{key: value for key, value in part.items() if key != "family"}}


@pytest.mark.parametrize(("path", "case"), CASES, ids=[f"{path.name} {case.get('told', '')}" for path, case in CASES])
def test_a_list_is_read_as_a_careful_person_would(path: Path, case: dict[str, Any]) -> None:
    """All right or refused with a good reason, none silently wrong."""
    how = HowRead(**case.get("told", {}))
    if "refused" in case:
        with pytest.raises(InputError) as caught:
            read_list(path, how)
        words = str(caught.value).replace(path.name, "")
        assert [each for each in case["refused"] if each not in words] == [], words
        assert len(set(words.splitlines())) == len(words.splitlines())
        return
    read = read_list(path, how)
    assert [seen(part) for part in read.parts] == [
        {key: pytest.approx(value) if isinstance(value, float) else value for key, value in meant(part).items()}
        for part in case["parts"]
    ]
    assert [[each.name, each.quantity] for each in read.left_out] == case.get("not_planned", [])
    families = [(part.name, family_of(part.material)) for part in read.parts]
    assert [(part["name"], part["family"]) for part in case["parts"] if "family" in part] == [
        each for each, part in zip(families, case["parts"], strict=True) if "family" in part
    ]


def test_there_are_lists_of_each_kind() -> None:
    """Each list has a reading beside it; thirty and more, of every kind that is read."""
    lists = {each for each in FOLDER.iterdir() if each.suffix != ".json"}
    assert lists == set(LISTS)
    assert len(lists) >= 30
    assert {each.suffix for each in lists} == {".csv", ".xlsx", ".dxf", ".svg"}
