"""A table against its model: every fault at once, each with its place in the file."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from ..errors import Fault, InputError
from .faults import capped, line_of, nearest

M = TypeVar("M", bound=BaseModel)

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
}


def checked(model: type[M], data: Mapping[str, Any], text: str, where: str) -> M:
    """The model filled from `data`; InputError with every fault, placed in `text` where that is certain."""
    try:
        return model.model_validate(data)
    except ValidationError as error:
        faults: dict[tuple[str, str], Fault] = {}
        for each in error.errors(include_url=False):
            fault = _fault(model, dict(each), data, text, where)
            faults.setdefault((fault.where, fault.text), fault)
        raise InputError(capped(list(faults.values()))) from None


def _fault(model: type[BaseModel], error: dict[str, Any], data: Mapping[str, Any], text: str, where: str) -> Fault:
    # Members of a union ("int", "float", "function-after...") are no place in the file.
    loc = [part for part in error["loc"] if isinstance(part, int) or _is_key(part)]
    place, line = _place(loc, data, text, missing=error["type"] == "missing")
    at = f"{where} line {line}" if line else where
    value = error.get("input")
    shown = f"{value!r} " if isinstance(value, (str, int, float)) and not isinstance(value, bool) else ""
    if error["type"] == "extra_forbidden":
        known = _known(model, loc[:-1])
        return Fault("unknown_key", f"{at}, {place}", "this key is not known", nearest(str(loc[-1]), known))
    if error["type"] == "value_error":
        words = error["msg"].removeprefix("Value error, ")
        return Fault("value", f"{at}, {place}", words)
    words = _PLAIN.get(error["type"], "")
    message = f"{shown}{words}" if words else f"{shown}{error['msg'][0].lower()}{error['msg'][1:]}"
    return Fault(error["type"], f"{at}, {place}", message if error["type"] != "missing" else words)


def _is_key(part: object) -> bool:
    return isinstance(part, str) and part not in ("int", "float", "str", "RigTable") and "[" not in part


def _place(loc: list[Any], data: Mapping[str, Any], text: str, *, missing: bool) -> tuple[str, int | None]:
    if len(loc) >= 2 and isinstance(loc[1], int):
        table, number, keys = str(loc[0]), loc[1], [str(part) for part in loc[2:]]
        entry = data.get(table, [{}])[number] if isinstance(data.get(table), list) else {}
        name = entry.get("name") if isinstance(entry, Mapping) else None
        place = f"[[{table}]] {number + 1}" + (f" {name!r}" if isinstance(name, str) else "")
        key = keys[0] if keys and not missing else None
        return ", ".join([place, ".".join(keys)]) if keys else place, line_of(text, table, number, key)
    if len(loc) >= 2:
        return f"[{loc[0]}] {'.'.join(map(str, loc[1:]))}", line_of(
            text, str(loc[0]), 0, None if missing else str(loc[1])
        )
    key = str(loc[0]) if loc else "the file"
    return key, None if missing else line_of(text, None, 0, key)


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
