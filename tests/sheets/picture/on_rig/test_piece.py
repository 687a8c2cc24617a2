"""The small picture of a cut: to scale, or broken where that would be too slender; ends to chalk are marked."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace

import pytest

from stripplan.sheets.paper.text import BOLD, width_of
from stripplan.sheets.picture.on_rig.piece import CHALK, SEEN, draw_lie, spot_of
from stripplan.sheets.picture.svg_canvas import lie_svg
from stripplan.sheets.rows.plan_rows import sheet
from stripplan.sheets.rows.row_types import CutRow
from tests.sheets.pdf.test_sheet_walk import kept
from tests.sheets.rows.test_rows import frame_plan

ROOM = (0.0, 0.0, 94.0, 69.0)
"""Of the picture beside a block [pt]."""


def lying(on_fence: float, beside: float, along: float) -> CutRow:
    """A cut of a piece of these sizes."""
    row = next(each for each in sheet(frame_plan()).cuts if each.located == "fence" and not each.passes)
    return replace(row, lie=replace(row.lie, on_fence=on_fence, beside=beside, along=along))


@pytest.mark.parametrize("made", [frame_plan, lambda: kept("bench"), lambda: kept("brackets")])
def test_a_piece_is_drawn_to_scale(made: object) -> None:
    """Up to 12 to 1 both sides of the torch line and the length are in one scale, but for what is too narrow to see."""
    rows = sheet(made()).cuts  # type: ignore[operator]
    tried = 0
    for row in rows:
        lie, spot = row.lie, spot_of(row, *ROOM)
        across = lie.on_fence + lie.beside
        if max(across / lie.along, lie.along / across) > 12:
            assert spot.broken == ("along" if lie.along > across else "across")
            continue
        scale = (spot.y1 - spot.y0) / lie.along
        assert not spot.broken
        assert spot.x1 - spot.x0 == pytest.approx(max(across * scale, 2 * SEEN), rel=1e-6)
        for drawn, real in ((spot.x1 - spot.torch, lie.on_fence), (spot.torch - spot.x0, lie.beside)):
            assert drawn == pytest.approx(real * scale, abs=SEEN)
        tried += 1
    assert tried > 10


def test_a_slender_piece_is_broken() -> None:
    """A metre of 20 mm is drawn 12 to 1, either way round; the smaller side of the cut keeps its scale."""
    along, across = spot_of(lying(8, 12, 1000), *ROOM), spot_of(lying(40, 960, 20), *ROOM)
    assert (along.broken, across.broken) == ("along", "across")
    assert (along.y1 - along.y0) / (along.x1 - along.x0) == pytest.approx(12, rel=0.1)
    scale = (across.y1 - across.y0) / 20
    assert across.x1 - across.torch == pytest.approx(40 * scale, rel=1e-6)


def test_the_end_to_chalk_is_marked() -> None:
    """A lozenge at the start line for each piece that is put aside or kept, and for no other."""
    for row in sheet(kept("bench")).cuts:
        chalked = sum(fall is not None and "chalk" in fall.doing for fall in (row.left, row.right))
        lozenges = [
            each
            for each in re.findall(r'<path d="M([^"]+)Z" fill="#000000"/>', lie_svg(row))
            if each.count("L") == 3 and len({point.split()[1] for point in re.split("L", each)}) == 3
        ]
        assert len(lozenges) == chalked, row.number
    assert CHALK > 2


def test_a_piece_on_a_short_edge_is_held() -> None:
    """Where less than a third of it lies on the fence the sheet says so, and which edge goes along the start line."""
    rows = sheet(kept("bench")).cuts
    held = [row for row in rows if row.hold]
    assert held
    for row in rows:
        short = row.located == "fence" and 3 * row.lie.along < row.lie.on_fence + row.lie.beside
        assert bool(row.hold) == short
        assert not short or f"edge {row.lie.start} along the start line" in row.hold


class Writing:
    """A canvas that keeps the boxes of what is written on it, and nothing else."""

    def __init__(self) -> None:
        self.boxes: list[tuple[str, tuple[float, ...]]] = []
        self._font, self._at, self._kept = ("", 0.0), (0.0, 0.0, False), [(0.0, 0.0, False)]

    def __getattr__(self, stroke: str) -> object:
        return lambda *_, **__: self

    def setFont(self, name: str, size: float) -> None:  # noqa: N802
        self._font = name, size

    def saveState(self) -> None:  # noqa: N802
        self._kept.append(self._at)

    def restoreState(self) -> None:  # noqa: N802
        self._at = self._kept.pop()

    def translate(self, x: float, y: float) -> None:
        self._at = self._at[0] + x, self._at[1] + y, self._at[2]

    def rotate(self, _: float) -> None:
        self._at = *self._at[:2], True

    def drawString(self, x: float, y: float, text: str) -> None:  # noqa: N802
        name, size = self._font
        wide, high = width_of(text, size, bold=name == BOLD), 0.73 * size
        box = (-y - high, x, -y, x + wide) if self._at[2] else (x, y, x + wide, y + high)
        self.boxes.append((text, tuple(each + self._at[n % 2] for n, each in enumerate(box))))

    def drawCentredString(self, x: float, y: float, text: str) -> None:  # noqa: N802
        self.drawString(x - width_of(text, self._font[1], bold=self._font[0] == BOLD) / 2, y, text)


def test_no_words_of_the_small_picture_run_into_each_other() -> None:
    """Letters of edges, names, "start", "stop" and the figures of two passes stand clear of each other, also where a
    piece is narrow or low."""
    rows = [row for name in ("bench", "brackets", "stand") for row in sheet(kept(name)).cuts]
    rows += [row for row in sheet(frame_plan()).cuts if row.passes]
    sizes = (5.0, 12.0, 40.0, 90.0, 400.0)
    rows += [lying(near, beside, along) for near in sizes for beside in sizes for along in (*sizes, 1500.0)]
    for row in rows:
        canvas = Writing()
        draw_lie(canvas, row, *ROOM)
        for (one, a), (other, b) in itertools.combinations(canvas.boxes, 2):
            apart = a[0] > b[2] - 0.3 or b[0] > a[2] - 0.3 or a[1] > b[3] - 0.3 or b[1] > a[3] - 0.3
            assert apart, f"{one} and {other} at cut {row.number}, {row.lie}"
