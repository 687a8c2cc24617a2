"""A table against its model: every fault at once, each with its place in the file."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from ..errors import Fault, InputError
from .faults import capped, line_of, nearest

M = TypeVar("M", bound=BaseModel)

RIG_KINDS = ("str", "RigTable")

_PLAIN = {
    "missing": "is missing",
    "int_type": "must be a whole number",
    "int_from_float": "must be a whole number",
    "float_type": "must be a number",
    "bool_type": "must be true or false",
    "string_type": "must be text in quotes",
    "list_type": "must be a list",
    "model_type": "must be a table",
    "dict_type": "must be a table",
    "greater_than": "is not above {gt:,}",
    "greater_than_equal": "is below {ge:,}",
    "less_than_equal": "is above {le:,}",
    "too_short": "has {actual_length} entries; {min_length} are wanted",
    "too_long": "has {actual_length} entries; {max_length} are wanted",
    "literal_error": "is none of {expected}",
}


def checked(model: type[M], data: Mapping[str, Any], text: str, where: str) -> M:
    """The model filled from `data`; InputError with every fault, placed in `text` where that is certain."""
    try:
        return model.model_validate(data)
    except ValidationError as error:
        faults = [_fault(model, dict(each), data, text, where) for each in error.errors(include_url=False)]
        raise InputError(capped(list(dict.fromkeys(faults)))) from None


def _fault(model: type[BaseModel], error: dict[str, Any], data: Mapping[str, Any], text: str, where: str) -> Fault:
    # A job's `rig` is text or a table, and the kind that was tried is no place in the file.
    loc = [
        part for at, part in enumerate(error["loc"]) if not (at == 1 and error["loc"][0] == "rig" and part in RIG_KINDS)
    ]
    place, line = _place(loc, data, text, missing=error["type"] == "missing")
    at = f"{where} line {line}, {place}" if line else f"{where}, {place}"
    if error["type"] == "extra_forbidden":
        return Fault("unknown_key", at, "this key is not known", nearest(str(loc[-1]), _known(model, loc[:-1])))
    if error["type"] == "value_error":
        words, write, form = error["msg"].removeprefix("Value error, ").partition("; write ")
        return Fault("value", at, words, f"write {form}" if write else "")
    words = _PLAIN.get(error["type"], error["msg"]).format(**error.get("ctx", {}))
    return Fault(error["type"], at, f"{_shown(error.get('input'))}{words}" if error["type"] != "missing" else words)


def _shown(value: object) -> str:
    """What was written, where it is short enough to be said again."""
    if isinstance(value, bool):
        return f"{str(value).lower()} "
    if isinstance(value, int) and abs(value) > 10**15:
        return "the number "
    return f"{value!r} " if isinstance(value, (int, float)) or (isinstance(value, str) and len(value) <= 60) else ""


def _place(loc: list[Any], data: Mapping[str, Any], text: str, *, missing: bool) -> tuple[str, int | None]:
    """The place in words, as "[[part]] 3 'shelf', width", and its line."""
    tables: list[str] = []
    words, number, rest, entry = "", 0, list(loc), data
    while rest and isinstance(entry, Mapping):
        value = entry.get(rest[0])
        if isinstance(value, Mapping) and len(rest) > 1:
            tables.append(str(rest.pop(0)))
            words, number, entry = f"[{'.'.join(tables)}]", 0, value
        elif isinstance(value, list) and len(rest) > 1 and isinstance(value[rest[1]], Mapping):
            tables.append(str(rest.pop(0)))
            number = int(rest.pop(0))
            entry = value[number]
            name = entry.get("name")
            words = f"[[{'.'.join(tables)}]] {number + 1}" + (f" {name[:60]!r}" if isinstance(name, str) else "")
        else:
            break
    key = str(rest[0]) if rest and not missing else None
    line = line_of(text, ".".join(tables) or None, number, key) if tables or key else None
    keys = [f"entry {part + 1}" if isinstance(part, int) else str(part)[:60] for part in rest]
    return ", ".join([words, *keys] if words else keys) or "the file", line


def _known(model: type[BaseModel], loc: list[Any]) -> list[str]:
    """Keys of the table at `loc`."""
    for part in loc:
        if isinstance(part, int):
            continue
        field = model.model_fields.get(str(part))
        inner = _table_of(field.annotation) if field is not None else None
        if inner is None:
            break
        model = inner
    return [field.alias or name for name, field in model.model_fields.items()]


def _table_of(hint: Any) -> type[BaseModel] | None:
    if isinstance(hint, type) and issubclass(hint, BaseModel):
        return hint
    return next((found for each in getattr(hint, "__args__", ()) if (found := _table_of(each)) is not None), None)
