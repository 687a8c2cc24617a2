"""Answers as data, for other programs: one object a command, schema `stripplan/<command>/1`."""

from __future__ import annotations

import json
from typing import Any

from stripplan.cli.streams import put
from stripplan.errors import Fault
from stripplan.wording.message import Message, facts_record
from stripplan.wording.show import MM, Units, worded


def print_json(schema: str, **values: Any) -> None:
    """One object to stdout, its schema first, and nothing else."""
    record = {"schema": f"stripplan/{schema}/1", **values}
    put(f"{json.dumps(record, ensure_ascii=False, indent=1, allow_nan=False)}\n".encode())


def said(message: Message | Fault, units: Units = MM) -> dict[str, Any]:
    """What is said, as data: its code, what it is about, the sentence, and the facts that the sentence is made of."""
    if isinstance(message, Fault):
        about, text = message.where, message.sentence(units)
    else:
        about, text = message.about, worded(message, units).text
    return {"code": message.code, "about": about, "text": text, "facts": facts_record(message.facts)}
