"""Cuts at an angle on paper and in drawings: what the words say is what the picture shows, and what the plan holds."""

from __future__ import annotations

import io
import itertools
import math
import re

import ezdxf
import pytest
from pypdf import PdfReader
from shapely.geometry import Polygon, box

from stripplan.model.plan.plan import Plan
from stripplan.sheets.dxf.drawing import plate_drawing
from stripplan.sheets.labels.label_text import label_list
from stripplan.sheets.pdf.setup_sheet import setup_sheet
from stripplan.sheets.picture.animation import sequence_svg, step_svgs
from stripplan.sheets.picture.lettering import text_box
from stripplan.sheets.picture.plate import plate_picture
from stripplan.sheets.picture.polygons import room_in
from stripplan.sheets.picture.svg_canvas import lie_svg
from stripplan.sheets.rows.forms import form_of, least_corner
from stripplan.sheets.rows.plan_rows import sheet
from stripplan.sheets.rows.row_types import CutRow
from tests.checking import in_turn
from tests.replay.aslant_by_hand import SOUND, clipped, parallelograms, trapezia, two_gussets

Point = tuple[float, float]
ON_BAR = re.compile(r"^Edge ([A-Z]) \(.*\) on the bar, corner ([A-Z])([A-Z]) at the stop on the (LEFT|RIGHT)\.$")
STANDS = re.compile(r"Mitre bar at ([\d.]+)° to the travel(?:, its (LEFT|RIGHT) end ahead \(([\d.]+) in 500\))?\.$")
ON_FENCE = re.compile(r"^Corner ([A-Z])([A-Z]), on the fence, ([\d.]+) AHEAD of the start line: .* by edge ([A-Z]) ")


def edges_of(row: CutRow) -> dict[str, tuple[Point, Point]]:
    """Edges of a piece as it lies, by their letters: right of the torch line and ahead of its entry."""
    assert row.lie.shape is not None
    points = row.lie.shape.outline
    return dict(zip(row.lie.shape.letters, itertools.pairwise((*points, points[0])), strict=True))


def corner(row: CutRow, one: str, other: str) -> Point:
    """Where two edges meet."""
    edges = edges_of(row)
    return next(
        (a[0] + b[0]) / 2 * 0 + a[0] and a or a
        for a in edges[one]
        for b in edges[other]
        if math.dist(a, b) < 1e-3
    )
