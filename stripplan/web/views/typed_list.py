"""A list as it was typed on the page, and the job that it is; what tells one list from another.

Fields hold texts. A text that is a plain number is one, a decimal comma is understood where it has one meaning, and
what is empty was not typed. Everything else stays as it is: what cannot be understood is said by who reads jobs.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from typing import Any

from stripplan.model.rack.piece import piece_number
from stripplan.web.store.profiles import profiles

TEXTS = frozenset(
    (
        "name", "material", "note", "shape", "length_to", "process", "tip", "currency", "units", "rolling", "square",
        "aim", "fill", "general_class", "square_side", "schema", "kerf_measured_on", "before", "first", "edges", "why",
        "wear", "plate", "bevels", "job", "due", "start", "piece",
    )
)  # fmt: skip
"""Keys whose values are words, also where they look like numbers."""
_COMMA = re.compile(r"^\s*([0-9]+),([0-9]+)(?![0-9.,])")
_PLAIN = re.compile(r"[+-]?[0-9]{1,15}(\.[0-9]{1,15})?")


def without_paths(job: Mapping[str, Any]) -> dict[str, Any]:
    """The job without what names files: a page may not read the machine's files; empty fields are left out.

    A rig is a profile's name, or a table of settings: what is measured lies in a file, so a table has no notebook.
    """
    rig = job.get("rig")
    named: dict[str, Any] = {}
    if isinstance(rig, str) and rig in profiles():
        named = {"rig": rig}
    elif isinstance(rig, dict) and (table := _cleaned({key: each for key, each in rig.items() if key != "notebook"})):
        named = {"rig": table}
    made: dict[str, Any] = _cleaned({key: each for key, each in job.items() if key not in ("cut_list", "rig")})
    return {**made, **named}


FROM_RACK = "from_rack"
"""Of a list: whether pieces may be taken off the rack beside its plates."""
PIECES = "piece"
"""Of a plate: the pieces of the rack that it is, as "R1, R4"."""
AGAIN = "again"
"""Of a list that is the rest of a plan: the plan, and the batch of it that was begun."""


def job_of(typed: Mapping[str, Any]) -> dict[str, Any]:
    """The job table of a typed list; what the page alone knows of it, rack and plan of before, is left out.

    >>> job_of({"part": [{"name": "12", "width": "82,5", "length": "3 1/4 in", "quantity": "4", "note": " "}]})
    {'part': [{'name': '12', 'width': 82.5, 'length': '3 1/4 in', 'quantity': 4}]}
    >>> job_of({"from_rack": True, "plate": [{"name": "R3", "length": 900, "piece": "R3"}]})
    {'plate': [{'name': 'R3', 'length': 900, 'quantity': 1}]}
    """
    read = {key: each for key, each in as_typed(typed).items() if key not in (FROM_RACK, AGAIN)}
    rows = read.get("plate")
    if isinstance(rows, list):
        read["plate"] = [_without_piece(row) if isinstance(row, dict) else row for row in rows]
    return read


def as_typed(typed: Mapping[str, Any]) -> dict[str, Any]:
    """A typed list with its figures read, and all that the page knows of it."""
    read: dict[str, Any] = _read(without_paths(typed))
    return read


def numbers_in(text: Any) -> list[int]:
    """The pieces of the rack that a plate of a list is, by their numbers.

    >>> numbers_in("R1, R4"), numbers_in(None)
    ([1, 4], [])
    """
    words = re.split(r"[,\s]+", text.strip()) if isinstance(text, str) else []
    return [number for word in words if (number := piece_number(word)) is not None]


def _without_piece(row: Mapping[str, Any]) -> dict[str, Any]:
    """A plate of a list; of pieces of the rack there are so many and no more."""
    count, asked = len(numbers_in(row.get(PIECES))), row.get("quantity")
    plain = {key: each for key, each in row.items() if key != PIECES}
    return {**plain, "quantity": asked if isinstance(asked, int) and 0 < asked < count else count} if count else plain


def digest_of(typed: Mapping[str, Any]) -> str:
    """What tells a list from any other, however its tables are ordered."""
    text = json.dumps(as_typed(typed), sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:16]


LISTS = frozenset(("ends", "corners", "outline"))
"""Keys of a part whose field holds several figures, with semicolons between them."""
_BETWEEN = {"ends": "", "corners": r"\s*[x×*]\s*", "outline": r"\s*,\s+|\s+|,"}
"""What stands between the two figures of one entry."""
_HOW_MANY = {"ends": 2, "corners": 4}
"""So many entries a field has in all."""


def several(key: str, text: str) -> list[Any] | str:
    """What a field with several figures holds: figures, or pairs of them. A text without a semicolon is parted at
    spaces and commas, or at strokes as in a list; one figure is that of both ends, of all four corners. What is no list
    stays the text that it is.

    >>> several("ends", "45; 60"), several("ends", "45 60"), several("corners", "20; 15 x 30; 0; 0")
    ([45, 60], [45, 60], [20, [15, 30], 0, 0])
    >>> several("ends", "45/60"), several("ends", "45"), several("corners", "20"), several("corners", "20/20/0/0")
    ([45, 60], [45, 45], [20, 20, 20, 20], [20, 20, 0, 0])
    >>> several("outline", "0, 0; 200, 0; 0,150")
    [[0, 0], [200, 0], [0, 150]]
    """
    entries = [each.strip() for each in text.split(";") if each.strip()]
    if len(entries) == 1 and key != "outline":
        entries = re.split(r"\s+|,", re.sub(r"\s*([x×*])\s*", r"\1", text.strip()))
    if len(entries) == 1 and entries[0].count("/") == _HOW_MANY.get(key, 0) - 1:
        entries = [each.strip() for each in entries[0].split("/")]
    if not entries:
        return text
    if len(entries) == 1:
        entries *= _HOW_MANY.get(key, 1)
    pairs = [re.split(_BETWEEN[key], each) if _BETWEEN[key] else [each] for each in entries]
    return [number(pair[0]) if len(pair) == 1 else [number(each) for each in pair] for pair in pairs]


def _cleaned(value: Any) -> Any:
    if isinstance(value, dict):
        inside = {key: _cleaned(each) for key, each in value.items()}
        return {key: each for key, each in inside.items() if each not in ("", None, {}, [])}
    if isinstance(value, list):
        return [_cleaned(each) for each in value]
    return value.strip() if isinstance(value, str) else value


def _read(value: Any, key: str = "") -> Any:
    if isinstance(value, dict):
        return {
            each: several(each, inside) if each in LISTS and isinstance(inside, str) else _read(inside, each)
            for each, inside in value.items()
        }
    if isinstance(value, list):
        return [_read(each, key) for each in value]
    return number(value) if isinstance(value, str) and key not in TEXTS else value


def number(text: str) -> float | int | str:
    """A plain number as one, else the text, its decimal comma a point where it has one meaning: 1,200 has two.

    >>> number("82,5"), number("1,200"), number("0,250"), number("4"), number("3 1/4 in")
    (82.5, '1,200', 0.25, 4, '3 1/4 in')
    """
    found = _COMMA.match(text)
    if found and (len(found[2]) != 3 or found[1] == "0"):
        text = text.replace(",", ".", 1)
    if not _PLAIN.fullmatch(text):
        return text
    return float(text) if "." in text else int(text)
