"""The plans to choose from, as the page shows them: the command's table, and where each stands."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from stripplan.model.job import Job
from stripplan.model.plan.choice import Choice
from stripplan.sheets.rows.job.choices import choice_table

WIDE, HIGH, EDGE = 100.0, 60.0, 9.0
"""Size of the chart and its margin, in units of its own."""
LEAST, MOST = 2.6, 5.2
"""Radius of a point without an offcut, and of the one with the largest."""


def choices_shown(job: Job, some: Sequence[Choice]) -> dict[str, Any]:
    """Rows of the table, what stands around them, and the points of the chart: time to the right, plate upwards."""
    table = choice_table(job, some)
    return {
        "heads": list(table.heads),
        "rows": [
            {"number": each.number, "cells": list(cells), "buys": row.buys, "point": point}
            for each, row, cells, point in zip(some, table.rows, table.cells, _points(some), strict=True)
        ],
        "about": list(table.about),
    }


def _points(some: Sequence[Choice]) -> list[dict[str, float]]:
    minutes = [each.minutes for each in some]
    plates = [each.plate_cost for each in some]
    areas = [each.largest_offcut[0] * each.largest_offcut[1] if each.largest_offcut else 0.0 for each in some]
    widest = max(areas) or 1.0
    return [
        {
            "x": round(EDGE + (WIDE - 2 * EDGE) * _share(time, minutes), 2),
            "y": round(HIGH - EDGE - (HIGH - 2 * EDGE) * _share(plate, plates), 2),
            "r": round(LEAST + (MOST - LEAST) * (area / widest) ** 0.5, 2),
        }
        for time, plate, area in zip(minutes, plates, areas, strict=True)
    ]


def _share(value: float, of: Sequence[float]) -> float:
    """Where a figure stands between the least and the greatest, in the middle where all are alike."""
    low, high = min(of), max(of)
    return 0.5 if high - low < 1e-9 else (value - low) / (high - low)
