"""Plan files of every edition to plans, and back to what their own edition wrote.

What the first edition, version 0.1, did not write has the default of its field; here stand its names for things that
are called otherwise now, and what it meant by leaving a key out. A plan keeps its edition, so that its id and its file
stay.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from stripplan.model.plan.plan import Plan
from stripplan.model.plan.record import from_record, to_record
from stripplan.model.rig import Seconds

_LATER: Mapping[str, frozenset[str]] = {
    "": frozenset({"runs", "other_order"}),
    "options": frozenset({"general_class", "finish"}),
    "rig": frozenset({"turn_over_mass_max", "hoist", "narrowest_part", "slot_width"}),
    "process": frozenset({"stand_off", "air_pressure", "estimated"}),
    "seconds": frozenset({"scrape_each", "finish_per_m", "process"}),
    "totals": frozenset({"process_changes", "finish_metres", "finish_minutes"}),
    "setup": frozenset({"process", "dry_run"}),
    "minutes": frozenset({"process", "dry_run"}),
    "warning": frozenset({"facts"}),
}
"""Keys that plan files of the first edition did not have, by table."""

_OF_TOTALS = frozenset({"offcut_share", "kg_per_hour", "material_factors"})
"""Options that came with the total of plate and hands."""

_OF_BEVELS = frozenset({"bevel_minutes", "bevel_metres", "hand_bevel_metres", "tilt_settings", "bevel_fence_settings"})
"""Totals that came with bevelled edges."""

_RENAMED = {"dress_per_m": "scrape_per_m"}
"""Keys of the rig's seconds in the first edition, by what they are called now."""

_MEANT = {"scrape_each": 0.0, "process": 0.0}
"""What the first edition counted where it had no key: an edge was dressed by its length alone."""


def is_first(stripplan_version: str) -> bool:
    """Whether a version is of the first edition."""
    return stripplan_version.startswith("0.1.")


def plan_from_record(data: Any) -> Plan:
    """The plan that the plain data of a plan file describe. Raises ValueError that names the place where they do not
    fit."""
    if isinstance(data, Mapping) and is_first(str(data.get("stripplan_version"))):
        data = _as_now(data)
    return from_record(Plan, data, "plan")


def record_of_plan(plan: Plan) -> dict[str, Any]:
    """A plan as plain data, as the edition that made it writes them."""
    record: dict[str, Any] = _only_if_any(to_record(plan))
    for line in record["parts"]:  # plans that were made before it was reckoned stay as they are
        if line["touch_minutes"] is None:
            del line["touch_minutes"]
    if plan.total is None:
        record = _before_totals(record)
    return _as_then(record) if is_first(plan.stripplan_version) else record


_OF_PARTS = ("note", "holes", "plate", "fence", "fence_width", "bevels")
"""What parts got later, written where there is any."""


def _only_if_any(record: dict[str, Any]) -> dict[str, Any]:
    """Without notes, holes, plates that parts are bound to, things left out, codes and what shapes bring where there
    are none, as a plan was written before it knew of them.
    """
    job = {key: value for key, value in record["job"].items() if key not in ("left_out", "due", "jobs") or value}
    job["parts"] = [
        {key: value for key, value in part.items() if key not in _OF_PARTS or value} for part in job["parts"]
    ]
    rare = ("end_stop", "hours_a_day", "start")
    job["options"] = {key: value for key, value in job["options"].items() if key not in rare or value is not None}
    job["plates"] = [
        {key: each for key, each in plate.items() if key not in ("first", "note") or each} for plate in job["plates"]
    ]
    cuts = [
        {**cut, "mitre": _without_reading(cut["mitre"])} if cut["mitre"] else cut
        for cut in (
            {key: value for key, value in each.items() if key != "edge_bow" or value} for each in record["cuts"]
        )
    ]
    given = {key: value for key, value in record["rig"].items() if key != "mitre_step" or value is not None}
    rig = {**given, "measured": [_coded(each) for each in given["measured"]]}
    if rig["seconds"]["tilt"] == Seconds.tilt and not any(rig[key] for key in rig if key.startswith("tilt_")):
        rig = {key: value for key, value in rig.items() if not key.startswith("tilt_")}
        rig["seconds"] = {key: value for key, value in rig["seconds"].items() if key != "tilt"}
    rarely = ("as_rectangles", "jobs", "together", "bevels", "hand_bevels")
    whole = {key: value for key, value in record.items() if key not in rarely or value}
    proof = {**record["proof"], **{of: _coded(record["proof"][of]) for of in ("plates", "cost")}}
    total = None if record["total"] is None else _coded(record["total"])
    quoted = _quotation(record["quotation"])
    plates = [
        {key: value for key, value in each.items() if key not in ("piece", "lies") or value}
        for each in record["plates"]
    ]
    parts = [{key: value for key, value in line.items() if key != "shape" or value} for line in record["parts"]]
    some = {
        **whole,
        "parts": parts,
        "job": job,
        "rig": rig,
        "plates": plates,
        "cuts": cuts,
        "quotation": quoted,
        "proof": proof,
        "total": total,
    }
    return some if record["bevels"] or record["hand_bevels"] else _without_bevels(some)


def _without_reading(bar: dict[str, Any]) -> dict[str, Any]:
    """A setting of the mitre bar without a mark where the steps of these are not known."""
    return {key: value for key, value in bar.items() if key != "reading" or value is not None}


def _without_bevels(record: dict[str, Any]) -> dict[str, Any]:
    """Without the figures of bevels, of which there are none."""
    parts = [{key: value for key, value in line.items() if key != "bevels"} for line in record["parts"]]
    totals = {key: value for key, value in record["totals"].items() if key not in _OF_BEVELS}
    return {**record, "parts": parts, "totals": totals}


def _quotation(record: dict[str, Any] | None) -> dict[str, Any] | None:
    if record is None:
        return None
    some = {key: value for key, value in record.items() if key != "missing" or value}
    return {**some, "lines": [_coded(line) for line in record["lines"]]}


def _coded(record: dict[str, Any]) -> dict[str, Any]:
    """Without codes and facts where it comes from an edition that knew only the words."""
    known = record.get("code") or record.get("codes")
    return {key: value for key, value in record.items() if key not in ("code", "codes", "facts") or known}


def _before_totals(record: dict[str, Any]) -> dict[str, Any]:
    """As plans were written that knew no total of plate and hands, nor the options that it goes by."""
    options = {key: value for key, value in record["job"]["options"].items() if key not in _OF_TOTALS}
    job = {**record["job"], "options": options}
    return {key: job if key == "job" else value for key, value in record.items() if key != "total"}


def _as_now(data: Mapping[str, Any]) -> Mapping[str, Any]:
    rig = data.get("rig")
    if not isinstance(rig, Mapping):
        return data
    rig = {"hoist": True, **rig}  # that edition knew no limit of what people turn over
    if isinstance(rig.get("seconds"), Mapping) and _RENAMED.keys() & rig["seconds"].keys():
        rig["seconds"] = _MEANT | {_RENAMED.get(key, key): value for key, value in rig["seconds"].items()}
    if isinstance(rig.get("assumed"), list):
        rig["assumed"] = _renamed(rig["assumed"], _RENAMED)
    return {**data, "rig": rig}


def _as_then(record: dict[str, Any]) -> dict[str, Any]:
    job, rig = record["job"], _without(record["rig"], "rig")
    then = {new: old for old, new in _RENAMED.items()}
    rig["seconds"] = {then.get(key, key): value for key, value in _without(rig["seconds"], "seconds").items()}
    rig["processes"] = [_without(each, "process") for each in rig["processes"]]
    rig["assumed"] = _renamed(rig["assumed"], then)
    cuts = [
        {**cut, "setup": _without(cut["setup"], "setup"), "minutes": _without(cut["minutes"], "minutes")}
        for cut in record["cuts"]
    ]
    return {
        **_without(record, ""),
        "job": {**job, "options": _without(job["options"], "options")},
        "rig": rig,
        "cuts": cuts,
        "totals": _without(record["totals"], "totals"),
        "warnings": [_without(each, "warning") for each in record["warnings"]],
    }


def _without(table: Mapping[str, Any], name: str) -> dict[str, Any]:
    return {key: value for key, value in table.items() if key not in _LATER[name]}


def _renamed(names: list[Any], by: Mapping[str, str]) -> list[Any]:
    """Names of the rig's figures, those of its seconds by what they are called."""
    of_seconds = {f"seconds.{one}": f"seconds.{other}" for one, other in by.items()}
    return [of_seconds.get(each, each) if isinstance(each, str) else each for each in names]
