"""Plan files, schema stripplan/plan/1."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from dataclasses import replace
from itertools import islice
from pathlib import Path
from typing import Any

from stripplan.errors import InputError
from stripplan.files.fault_words import capped, fault, fault_of, shortened
from stripplan.files.plan.file_limits import raw_faults, reference_faults
from stripplan.files.read_file import read_text
from stripplan.model.plan.older_editions import plan_from_record
from stripplan.model.plan.plan import SCHEMA, Plan
from stripplan.model.plan.run import runs_of
from stripplan.wording.message import Message

MOST_TOLD = 200
"""So many faults of one file are looked for; far fewer are told."""


class _NotFiniteError(ValueError):
    """A number that JSON cannot hold."""


def load_plan(path: Path | str) -> Plan:
    """A plan from its file, or from the folder that it was written to. Raises InputError that names what does not fit,
    and where.
    """
    path = Path(path)
    path = path / "plan.json" if path.is_dir() else path
    return plan_from(read_text(path, name=path.name), name=path.name)


def plan_from(text: str, *, name: str) -> Plan:
    """A plan from the text of its file, called `name` in what is said of it. Raises InputError."""
    data = _parsed(text, name)
    found = data.get("schema") if isinstance(data, dict) else None
    if found != SCHEMA:
        if isinstance(found, str):
            raise InputError(fault("schema.other", name, schema=shortened(found), read=SCHEMA))
        raise InputError(fault("schema.none", name, read=SCHEMA))
    _refuse(name, raw_faults(data))
    try:
        made = plan_from_record(data)
    except (ValueError, TypeError, OverflowError) as error:
        words = str(error) if len(str(error)) < 300 else f"{str(error)[:300]}..."
        raise InputError(fault("plan.record", name, said=words)) from None
    _refuse(name, reference_faults(made))
    return with_runs(made)


def _refuse(name: str, said: Iterable[Message]) -> None:
    """Raise InputError with what is said of the file, where anything is."""
    faults = [fault_of(each, name) for each in islice(said, MOST_TOLD)]
    if faults:
        raise InputError(capped(faults))


def with_runs(plan: Plan) -> Plan:
    """The plan with its runs: those of a plan of the first edition, whose file holds none, are derived."""
    if plan.runs or not plan.cuts:
        return plan
    pieces = {piece.id: piece for piece in plan.pieces}
    process = {plate.id: plate.process for plate in plan.plates}
    return replace(plan, runs=runs_of(plan.cuts, pieces, process))


def _parsed(text: str, name: str) -> Any:
    """JSON of finite numbers and sound text."""
    try:
        data = json.loads(text, parse_constant=_no_number, parse_float=_finite)
        if "\\ud" in text.lower():
            json.dumps(data, ensure_ascii=False).encode()
    except json.JSONDecodeError as error:
        where = f"{name} line {error.lineno}, column {error.colno}"
        raise InputError(fault("json.broken", where, said=f"{error.msg[0].lower()}{error.msg[1:]}")) from None
    except UnicodeEncodeError:
        raise InputError(fault("json.half_character", name)) from None
    except _NotFiniteError as error:
        raise InputError(fault("json.not_finite", name, figure=str(error))) from None
    except (ValueError, RecursionError) as error:
        nested = isinstance(error, RecursionError)
        raise InputError(fault("json.nested" if nested else "json.digits", name)) from None
    return data


def _no_number(word: str) -> float:
    raise _NotFiniteError(word)


def _finite(text: str) -> float:
    value = float(text)
    return value if math.isfinite(value) else _no_number(shortened(text))
