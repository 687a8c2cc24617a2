"""The plan file: stable JSON, a piece or a cut on each line so that two plans compare well."""

from __future__ import annotations

import json
import math
from typing import Any

from stripplan.model.plan.older_editions import plan_from_record, record_of_plan
from stripplan.model.plan.plan import Plan

_LISTS = ("plates", "pieces", "cuts", "parts", "warnings")


def plan_text(plan: Plan) -> str:
    """plan.json: mm to six decimals, UTF-8 letters as they are. Raises ValueError for a number that is not finite."""
    record = filed_record(plan)
    lines = []
    for key, value in record.items():
        if key in _LISTS and value:
            inner = ",\n".join("  " + _json(each) for each in value)
            lines.append(f" {_json(key)}: [\n{inner}\n ]")
        else:
            lines.append(f" {_json(key)}: {_json(value)}")
    return "{\n" + ",\n".join(lines) + "\n}\n"


def filed_record(plan: Plan) -> dict[str, Any]:
    """A plan as its file carries it; ValueError for a figure that is not finite."""
    record: dict[str, Any] = _rounded(record_of_plan(plan))
    return record


def as_filed(plan: Plan) -> Plan:
    """The plan as it is read back from its file, so that what is written now and from the file later is the same to the
    byte."""
    return plan_from_record(filed_record(plan))


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        if not math.isfinite(value):
            raise ValueError(f"{value} cannot be written")
        near = round(value, 6)
        return int(near) if near.is_integer() else near
    if isinstance(value, dict):
        return {key: _rounded(each) for key, each in value.items()}
    if isinstance(value, list):
        return [_rounded(each) for each in value]
    return value
