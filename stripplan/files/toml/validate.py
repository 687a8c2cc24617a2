"""A table against its model: every fault at once, each with its place in the file."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Generic, TypeVar

from pydantic import BaseModel, ValidationError

from stripplan.errors import Fault
from stripplan.files.fault_words import near_words, nearest, shortened
from stripplan.files.toml.document import TomlFile

M = TypeVar("M", bound=BaseModel)
Place = tuple[str | int, ...]
Found = Mapping[str, Any]
"""A fault as pydantic tells it: type, loc, msg, input, ctx."""

WORDED = 100
"""So many faults are put into words; the others are counted, and none of them is ever shown."""

_PLAIN = {
    "bool_type": ("must be true or false", "write true or false, without quotes"),
    "string_type": ("must be text", "put it in quotes"),
    "list_type": ("must be a list", "write [ ... ]"),
    "tuple_type": ("must be a list", "write [ ... ]"),
    "model_type": ("must be a table", "write its keys below a header in brackets"),
    "dict_type": ("must be a table", "write its keys below a header in brackets"),
    "string_too_long": ("is too long", "at most {max_length} letters"),
    "too_short": ("has {actual_length} entries", "{min_length} are wanted"),
    "too_long": ("has too many entries", "at most {max_length:,}"),
}
_TABLES = {"plate": "write [[plate]] in double brackets", "part": "write [[part]] in double brackets",
           "process": "write [[process]] in double brackets"}  # fmt: skip


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
        rest = [Fault("more", str(number), "") for number in range(WORDED, len(errors))]
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
        place = (*self._at, *_in_file(error["loc"]))
        kind, value = error["type"], error.get("input")
        if kind == "missing":
            hint = _about(self._model, error["loc"])
            return Fault("missing", self._where(place[:-1], place), "is missing", hint, place)
        if place == ("rig",) and kind != "value_error":
            hint = "name a file or a profile in quotes, or write [rig]"
            return Fault("value", self._where(place, place), "this is neither text nor a table", hint, place)
        if kind == "extra_forbidden":
            hint = nearest(str(place[-1]), _known(self._model, error["loc"][:-1]))
            return Fault("unknown_key", self._where(place, place), "this key is not known", hint, place)
        return Fault(kind.replace("value_error", "value"), self._where(place, place), *self._words(error, value), place)

    def _where(self, at: Place, named: Place) -> str:
        return self._source.where(at, place_words(self._source.data, named))

    def _words(self, error: Found, value: object) -> tuple[str, str]:
        """What is wrong, and what would mend it."""
        context = error.get("ctx", {})
        cause = context.get("error")
        if cause is not None and hasattr(cause, "said"):
            return cause.said, cause.hint
        if error["type"] == "literal_error":
            return _no_choice(value, context["expected"])
        said, hint = _PLAIN.get(error["type"], (error["msg"][0].lower() + error["msg"][1:], ""))
        key = _in_file(error["loc"])[-1]
        if error["type"] in ("list_type", "model_type") and key in _TABLES:
            hint = _TABLES[str(key)]
        return (_shown(value) + said).format(**context), hint.format(**context)


def _in_file(loc: Place) -> Place:
    """The place that pydantic names, without what is none: a mark for keys, the kinds that a job's rig may be."""
    if loc[:1] == ("rig",) and loc[1:2] in (("str",), ("RigTable",)):
        return loc[:1]
    return tuple(part for part in loc if part != "[key]")


def _no_choice(value: object, expected: str) -> tuple[str, str]:
    """A word that is none of those wanted; `expected` as pydantic lists them: 'mm' or 'in'."""
    choices = [each.strip("' ") for each in expected.replace(" or ", ",").split(",")]
    said = shortened(value) if isinstance(value, str) else "this"
    if len(choices) == 1:
        return f"{said} is not {choices[0]!r}", f'write "{choices[0]}", or leave the key out'
    hint = nearest(value, choices) if isinstance(value, str) else "known are " + ", ".join(choices)
    return f"{said} is not known here", hint


def _shown(value: object) -> str:
    """What was written, where it is short enough to be said again; braces would be taken for places to fill."""
    text = (
        f"{str(value).lower() if isinstance(value, bool) else value!r} " if isinstance(value, (str, int, float)) else ""
    )
    return text.replace("{", "{{").replace("}", "}}") if len(text) <= 60 else ""


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


def _about(model: type[BaseModel], place: Place) -> str:
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
