"""A plan to the rows that paper, page and terminal show alike: plain strings in the job's units."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from typing import Any

from stripplan.model.plan.plan import Plan
from stripplan.sheets.plan_json import filed_record
from stripplan.sheets.rows.job.jobs import job_rows, together_words
from stripplan.sheets.rows.job.quotation import quoted_of
from stripplan.sheets.rows.job.settings import measured_of, settings_of
from stripplan.sheets.rows.job.summary import assumed_times, other_order, warnings
from stripplan.sheets.rows.job.totals import proof_of, totals_of
from stripplan.sheets.rows.lookup import Bench
from stripplan.sheets.rows.parts import most_of_all, of_all_sizes, part_row
from stripplan.sheets.rows.plates import kept_from, measure_first, offcut_row, stock_row
from stripplan.sheets.rows.row_types import (
    Field,
    Sheet,
)
from stripplan.sheets.rows.work.bevels import bevel_groups, hand_rows
from stripplan.sheets.rows.work.cuts import cut_rows
from stripplan.sheets.rows.work.runs import plate_marks, run_rows
from stripplan.sheets.rows.work.torch import PROVED
from stripplan.sheets.worked_out_once import once_a_plan
from stripplan.wording.figures import show_about


@once_a_plan
def sheet(plan: Plan) -> Sheet:
    """Rows of a whole plan."""
    bench = Bench(plan)
    cuts, said = cut_rows(bench), bool(most_of_all(bench))
    return Sheet(
        job=plan.job.name,
        plan=plan_id(plan),
        units=bench.units,
        made_at=plan.made_at or "",
        stock=tuple(stock_row(bench, plate) for plate in plan.plates),
        cuts=cuts,
        runs=run_rows(bench, cuts),
        parts=tuple(part_row(bench, line, said=said) for line in plan.parts),
        offcuts=tuple(offcut_row(bench, piece) for piece in plan.pieces if piece.kind == "offcut"),
        measure_first=measure_first(bench),
        first=warnings(plan, first=True),
        warnings=warnings(plan, first=False),
        totals=totals_of(bench),
        proof=proof_of(bench),
        other_order=other_order(bench),
        assumed_times=assumed_times(bench),
        settings=settings_of(bench),
        measured=tuple(measured_of(plan)),
        quoted=quoted_of(plan),
        two_person_mass=bench.mass(plan.rig.two_person_mass),
        square_side=_SQUARE[plan.rig.square_side],
        marks=tuple(plate_marks(bench)),
        lasts=show_about(plan.totals.minutes),
        jobs=job_rows(plan),
        together=together_words(plan),
        bevels=bevel_groups(bench),
        by_hand=hand_rows(bench),
        of_all_sizes=of_all_sizes(bench),
        kept_from=kept_from(bench),
    )


def sheet_of_cuts(plan: Plan, first: int, last: int) -> Sheet:
    """Rows of a plan with some of its cuts alone, to go on with the work: at the first of them everything is to be set,
    and the end stop proved. ValueError where there is no such cut."""
    if not 1 <= first <= last <= len(plan.cuts):
        raise ValueError(f"cuts {first} to {last}: the plan has cuts 1 to {len(plan.cuts)}")
    bench = Bench(plan)
    begin, *others = cut_rows(bench, first, last)
    fields: dict[str, Any] = {
        key: replace(value, changed=True) for key, value in vars(begin).items() if isinstance(value, Field)
    }
    rows = (replace(begin, **fields, dry_run=PROVED), *others)
    whole = sheet(plan)
    bevels = whole.bevels if last == len(plan.cuts) else ()  # they follow the last of the cuts
    return replace(whole, cuts=rows, runs=run_rows(bench, rows), bevels=bevels, by_hand=())


_SQUARE = {"fence": "right, on the fence", "far": "left, away from the fence", "equal": "both alike"}
"""By the rig's `square_side`, as seen along the travel."""


def plan_id(plan: Plan) -> str:
    """Eight characters that change whenever anything in the plan file changes but its date."""
    record = {key: value for key, value in filed_record(plan).items() if key != "made_at"}
    text = json.dumps(record, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()[:8]
