"""A table against its model: every fault at once, each with its place in the file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Generic, TypeVar

from pydantic import BaseModel, ValidationError

from stripplan.errors import Fault
from stripplan.files.fault_words import SHOWN, fault, meant, near_words, shortened
from stripplan.files.toml.document import TomlFile
from stripplan.files.toml.quantities import ValueRefusedError
from stripplan.wording.message import Fact

M = TypeVar("M", bound=BaseModel)
Place = tuple[str | int, ...]
Found = Mapping[str, Any]
"""A fault as pydantic tells it: type, loc, msg, input, ctx."""

WORDED = 100
"""So many faults are put into words; the others are counted, and none of them is ever shown."""

_SHAPES = {
    "bool_type", "string_type", "list_type", "tuple_type", "model_type", "dict_type", "string_too_long", "too_short",
    "too_long",
}  # fmt: skip
"""Kinds of faults, by pydantic's names, that have sentences of ours."""
_LISTED = {"plate", "part", "process"}
"""Tables of which there may be several."""


def checked(
    model: type[M], data: Mapping[str, Any], source: TomlFile, *, units: str, at: Place = ()
) -> tuple[M | None, list[Fault]]:
    """The model filled from `data`, or None with every fault in it.

    `units` are those of bare numbers; `at` is the place of `data` in the file, () for the whole.
    """
    try:
        return model.model_validate(dict(data), context={"units": units}), []
    except ValidationError as error:
        reader = _Reader(model, source, at)
        errors = reader.without_misspelt([dict(each) for each in error.errors(include_url=False)])
        rest = [fault("more.faults", str(number), count=1) for number in range(WORDED, len(errors))]
        return None, [*(reader.fault(each) for each in errors[:WORDED]), *rest]


class _Reader(Generic[M]):
    """Turns what pydantic found into faults in plain words."""

    def __init__(self, model: type[M], source: TomlFile, at: Place) -> None:
        self._model = model
        self._source = source
        self._at = at

    def without_misspelt(self, errors: list[Found]) -> list[Found]:
        """The errors, but a key that is only misspelt is not missing as well."""
        meant = set()
        for each in [each for each in errors if each["type"] == "extra_forbidden"][:WORDED]:
            *table, key = each["loc"]
            meant |= {(*table, near) for near in near_words(str(key), _known(self._model, tuple(table)))}
        return [each for each in errors if each["type"] != "missing" or each["loc"] not in meant]

    def fault(self, error: Found) -> Fault:
        """A fault in our own words; what is missing stands in the line of its table."""
        place = (*self._at, *_in_file(error["loc"]))
        line_of = place[:-1] if error["type"] == "missing" else place
        where = self._source.where(line_of, place_words(self._source.data, place))
        return replace(self._worded(error, place, where), place=place)

    def _worded(self, error: Found, place: Place, where: str) -> Fault:
        kind, context = error["type"], error.get("ctx", {})
        if kind == "missing":
            return fault("missing.key", where, purpose=_purpose(self._model, error["loc"]))
        if place == ("rig",) and kind != "value_error":
            return fault("value.rig", where)
        if kind == "extra_forbidden":
            return fault("unknown_key.table", where, **meant(str(place[-1]), _known(self._model, error["loc"][:-1])))
        if isinstance(context.get("error"), ValueRefusedError):
            refused: ValueRefusedError = context["error"]
            return refused.fault(where)
        if kind == "literal_error":
            says, facts = _no_choice(error.get("input"), context["expected"])
        else:
            says, facts = _shape(error, place[-1])
        return replace(fault(says, where, **facts), code=kind.replace("value_error", "value"))


def _in_file(loc: Place) -> Place:
    """The place that pydantic names, without what is none: a mark for keys, the kinds that a job's rig may be."""
    if loc[:1] == ("rig",) and loc[1:2] in (("str",), ("RigTable",)):
        return loc[:1]
    return tuple(part for part in loc if part != "[key]")


def _shape(error: Found, key: str | int) -> tuple[str, dict[str, Fact]]:
    """The sentence for a value that has not the shape it should have, and its facts."""
    kind, context = error["type"], error.get("ctx", {})
    facts: dict[str, Fact] = {"shown": _shown(error.get("input"))}
    if kind not in _SHAPES:
        return "shape.other", facts | {"said": error["msg"][0].lower() + error["msg"][1:]}
    if kind in ("list_type", "model_type") and key in _LISTED:
        facts["table"] = str(key)
    names = {"max_length": "most", "min_length": "least", "actual_length": "count"}
    return f"shape.{kind}", facts | {
        new: context[old] for old, new in names.items() if isinstance(context.get(old), int)
    }


def _no_choice(value: object, expected: str) -> tuple[str, dict[str, Fact]]:
    """A word that is none of those wanted; `expected` as pydantic lists them: 'mm' or 'in'."""
    choices = [each.strip("' ") for each in expected.replace(" or ", ",").split(",")]
    said = shortened(value) if isinstance(value, str) else "this"
    if len(choices) == 1:
        return "value.only", {"said": said, "only": choices[0]}
    near: dict[str, Fact] = meant(value, choices) if isinstance(value, str) else {"known": tuple(choices), "more": 0}
    return "value.choice", {"said": said, **near}


def _shown(value: object) -> str:
    """What was written, where it is short enough to be said again."""
    if not isinstance(value, (str, int, float)):
        return ""
    text = str(value).lower() if isinstance(value, bool) else repr(value)
    return text if len(text) < SHOWN else ""


def place_words(data: Mapping[str, Any], place: Place) -> str:
    """A place in words.

    >>> place_words({"part": [{"name": "bar"}]}, ("part", 0, "width"))
    "[[part]] 1 'bar', width"
    >>> place_words({"options": {"keep": [1]}}, ("options", "keep", 0))
    '[options], keep, entry 1'
    """
    tables: list[str] = []
    here: Any = data
    words, rest = "", list(place)
    while len(rest) > 1 and isinstance(here, Mapping):
        value = here.get(rest[0])
        if isinstance(value, Mapping):
            tables.append(str(rest.pop(0)))
            words, here = f"[{'.'.join(tables)}], ", value
        elif isinstance(value, list) and isinstance(rest[1], int) and _is_table(value, rest[1]):
            tables.append(str(rest.pop(0)))
            here = value[int(rest.pop(0))]
            name = here.get("name")
            shown = f" {shortened(name)}" if isinstance(name, str) else ""
            words = f"[[{'.'.join(tables)}]] {place[len(place) - len(rest) - 1] + 1}{shown}, "  # type: ignore[operator]
        else:
            break
    keys = [f"entry {part + 1}" if isinstance(part, int) else repr(part[:60])[1:-1] for part in rest]
    return (words + ", ".join(keys)).removesuffix(", ") or "the file"


def _is_table(value: list[Any], number: int) -> bool:
    return number < len(value) and isinstance(value[number], Mapping)


def _known(model: type[BaseModel], place: Place) -> list[str]:
    """Keys of the table at `place`."""
    inner = _model_at(model, place)
    return [field.alias or name for name, field in inner.model_fields.items()]


def _purpose(model: type[BaseModel], place: Place) -> str:
    """What the key at `place`, or the list that it is in, is for."""
    keys = [at for at, part in enumerate(place) if isinstance(part, str)]
    field = _model_at(model, place[: keys[-1]]).model_fields.get(str(place[keys[-1]])) if keys else None
    return (field.description or "") if field is not None else ""


def _model_at(model: type[BaseModel], place: Place) -> type[BaseModel]:
    for part in place:
        field = None if isinstance(part, int) else model.model_fields.get(part)
        model = (_table_of(field.annotation) if field is not None else None) or model
    return model


def _table_of(hint: Any) -> type[BaseModel] | None:
    """The model in a type such as list[PartTable] | None."""
    if isinstance(hint, type) and issubclass(hint, BaseModel):
        return hint
    return next((found for each in getattr(hint, "__args__", ()) if (found := _table_of(each)) is not None), None)
