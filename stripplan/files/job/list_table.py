"""The table of a list that a job names: the file, and how it is read."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, ValidationInfo

from stripplan.files.parts.drawings.layers import read_layer
from stripplan.files.toml.quantities import KIND, FileName, Name, Size, ValueRefusedError
from stripplan.files.toml.table import Table
from stripplan.wording.quantity import LENGTH_PATTERN


class LayerTable(Table):
    """What a layer of a drawing says of its parts."""

    thickness: Size | None = Field(None, description="of its parts; may be left out where the whole job has one")
    material: Name | None = Field(None, description="of its parts; may be left out where the whole job has one")


def _layer_table(value: object, info: ValidationInfo) -> object:
    """A layer's table, of a thickness or of a text such as "6 mm, S235"."""
    if isinstance(value, (dict, LayerTable)):
        return value
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise ValueRefusedError("layer_type")
    if not isinstance(value, str):
        return {"thickness": value}
    thickness, material = read_layer(value, (info.context or {})["units"])
    return {"thickness": f"{Decimal(repr(thickness)):f} mm", "material": material}


def _layers_by_name(value: object) -> object:
    """Layers by name, also where they are only listed."""
    if isinstance(value, list) and all(isinstance(each, str) for each in value):
        return {each: {} for each in value}
    if not isinstance(value, dict):
        raise ValueRefusedError("no_layers")
    return value


LayerText = Annotated[str, Field(pattern=LENGTH_PATTERN.removesuffix("$") + r"(?:,\s*\S.*)?$")]
LayerGiven = Size | LayerText | LayerTable
LayersGiven = Annotated[
    dict[Name, Annotated[LayerTable, BeforeValidator(_layer_table, json_schema_input_type=LayerGiven)]],
    Field(min_length=1, max_length=1000),
    BeforeValidator(
        _layers_by_name,
        json_schema_input_type=Annotated[list[Name], Field(min_length=1, max_length=1000)]
        | Annotated[
            dict[Name, LayerGiven],
            Field(min_length=1, max_length=1000, json_schema_extra={"propertyNames": {KIND: "name"}}),
        ],
    ),
]


class ListTable(Table):
    """A list of parts, and how it is read."""

    file: FileName = Field(description="CSV, workbook (.xlsx) or drawing (.dxf, .svg) beside the job file")
    units: Literal["mm", "cm", "m", "in", "ft"] | None = Field(
        None,
        description="of its bare numbers; of a drawing, before those that it names; left out: the file's, the job's",
    )
    tolerance: Size | None = Field(
        None, description="drawings: how far an outline may be off a true rectangle; left out: 0.05 mm"
    )
    layers: LayersGiven | None = Field(
        None,
        description="drawings: the layers that are read, a list of names, or what each says: "
        '"6 mm, S235"; left out: all',
    )
    layer_names: bool = Field(
        False, description="drawings: true: thickness and material stand in the names of layers, as in PLATE_6MM_S235"
    )
    leave_out: bool = Field(
        False, description="drawings: true: what is drawn and is no part is not planned, and the sheet says so"
    )
    drill_later: bool = Field(
        False, description="drawings: true: of a rectangle with holes the rectangle is planned, and the holes are noted"
    )
    sheet: Name | None = Field(None, description="workbooks: the sheet to read; left out: the first that is not hidden")
