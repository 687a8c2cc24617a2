"""JSON Schema (draft 2020-12) of our file models, as editors like it: shared kinds named once, no null, no empty
titles.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from pydantic import BaseModel
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue

from stripplan.files.toml.quantities import KIND, KINDS
from stripplan.model.rig import Rig, Seconds

_MM, _MM_PER_MIN = ("size", "length", "offset"), ("speed",)


def described(model: type[BaseModel], name: str, built_in: Mapping[type[BaseModel], Rig | Seconds]) -> dict[str, Any]:
    """The schema called `name` of a model; keys of the models in `built_in` say what stands for them if left out."""
    made = model.model_json_schema(schema_generator=_TomlSchema)
    tables = {model.__name__: made} | made.get("$defs", {})
    for table, values in built_in.items():
        _say_built_in(tables[table.__name__], values)
    for each in tables.values():
        each.pop("title", None)
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema", "$id": name, "title": name}
    whole: dict[str, Any] = _with_kinds(head | made)
    return whole | {"$defs": whole["$defs"] | KINDS}


class _TomlSchema(GenerateJsonSchema):
    """Schema of what TOML can say: there is no null in it, and titles that repeat the key help nobody."""

    def nullable_schema(self, schema: Any) -> JsonSchemaValue:
        return self.generate_inner(schema["schema"])

    def default_schema(self, schema: Any) -> JsonSchemaValue:
        made = super().default_schema(schema)
        default = made.pop("default", None)
        if default is not None:
            made["default"] = int(default) if isinstance(default, float) and default.is_integer() else default
        return made

    def field_title_should_be_set(self, _schema: Any) -> bool:
        return False


def _with_kinds(made: Any) -> Any:
    """The schema with references in place of the marks of kinds."""
    if isinstance(made, list):
        return [_with_kinds(each) for each in made]
    if not isinstance(made, dict):
        return made
    inner = {key: _with_kinds(value) for key, value in made.items()}
    return inner if KIND not in inner else {"$ref": f"#/$defs/{inner.pop(KIND)}"} | inner


def _say_built_in(table: dict[str, Any], values: Rig | Seconds) -> None:
    for each in fields(values):
        value, about = getattr(values, each.name), table["properties"].get(each.name)
        if about is None or "left out:" in about["description"] or each.name == "name":
            continue
        if isinstance(value, (bool, float, str)):
            shown = (
                str(value).lower() if isinstance(value, bool) else f"{value:g}" if isinstance(value, float) else value
            )
            unit = " mm" if about.get(KIND) in _MM else " mm/min" if about.get(KIND) in _MM_PER_MIN else ""
            about["description"] += f"; left out: {shown}{unit}"
