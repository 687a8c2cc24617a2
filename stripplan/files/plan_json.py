"""Plan files, schema stripplan/plan/1."""

from __future__ import annotations

import json
from pathlib import Path

from ..errors import Fault, InputError
from ..model.plan import SCHEMA, Plan
from ..model.record import from_record
from .faults import read_bytes


def _no_number(word: str) -> float:
    raise ValueError(f"{word} is no number")


def load_plan(path: Path | str) -> Plan:
    """A plan from its file. Raises InputError that names what does not fit."""
    path = Path(path)
    try:
        data = json.loads(read_bytes(path).decode("utf-8-sig"), parse_constant=_no_number)
    except UnicodeDecodeError:
        raise InputError(Fault("encoding", path.name, "the file is not UTF-8 text")) from None
    except (ValueError, RecursionError) as error:
        raise InputError(Fault("json", path.name, f"this is not JSON: {error}")) from None
    found = data.get("schema") if isinstance(data, dict) else None
    if found != SCHEMA:
        raise InputError(Fault("schema", path.name, f"this is no plan: its schema is {found!r}", f"{SCHEMA!r} is read"))
    try:
        return from_record(Plan, data, "plan")
    except (ValueError, TypeError, OverflowError) as error:
        raise InputError(Fault("plan", path.name, str(error))) from None
