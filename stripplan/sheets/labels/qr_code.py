"""The code on a label as dark modules, and drawn as few rectangles."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Any

from reportlab.graphics.barcode.qrencoder import QR8bitByte, QRCode, QRErrorCorrectLevel

QUIET = 4
"""Blank modules around a code (ISO/IEC 18004: 4)."""

CODE_SHARE, CODE_LARGEST = 0.38, 30.0
"""Side of the code, with its quiet zone, over the width of the label's inner field; and at most [mm]."""

LEAST_MODULE = 0.3
"""A telephone reads modules of this size on a plain print [mm]: common practice, no source."""

LONGEST_CODE = 300
"""Bytes beyond which a code would be too fine for any label."""


def modules_of(text: str, mask: int | None = None) -> list[list[bool]]:
    """The dark modules of a text's code, row by row from the top, without the quiet zone; nothing for a text that is
    too long.

    `mask` is one of the eight patterns (0 to 7) that are laid over the data; None weighs them as the standard asks.
    """
    data = text.encode("utf-8", "replace")
    if len(data) > LONGEST_CODE:
        return []
    code = QRCode(None, QRErrorCorrectLevel.M)
    code.addData(QR8bitByte(data))
    code.version = code.calculate_version()
    code.makeImpl(False, code.getBestMaskPattern() if mask is None else mask)
    return [[bool(each) for each in row] for row in code.modules]


def best_mask(text: str) -> int:
    """The mask that the standard's weighing picks for a text.

    >>> best_mask("stripplan:0a1b2c3d:P1-1") in range(8)
    True
    """
    code = QRCode(None, QRErrorCorrectLevel.M)
    code.addData(QR8bitByte(text.encode("utf-8", "replace")[:LONGEST_CODE]))
    code.version = code.calculate_version()
    return int(code.getBestMaskPattern())


def _bars(modules: Sequence[Sequence[bool]]) -> Iterator[tuple[int, int, int, int]]:
    """Rectangles that cover the dark modules, each once: runs of a row, those of one place and length in rows that
    follow drawn together."""
    open_: dict[tuple[int, int], int] = {}
    for y, row in enumerate((*modules, ())):
        runs, at = set(), 0
        for dark, run in groupby(row):
            long = len(list(run))
            if dark:
                runs.add((at, long))
            at += long
        for ended in [each for each in open_ if each not in runs]:
            start = open_.pop(ended)
            yield ended[0], start, ended[1], y - start
        for each in sorted(runs):
            open_.setdefault(each, y)


def draw_code(canvas: Any, modules: Sequence[Sequence[bool]], x: float, y: float, side: float) -> None:
    """A code with its quiet zone, the lower left corner at (x, y)."""
    step = side / (len(modules) + 2 * QUIET)
    path = canvas.beginPath()
    for x0, y0, long, high in _bars(modules):
        path.rect(x0, len(modules) - y0 - high, long, high)
    canvas.saveState()
    canvas.transform(step, 0, 0, step, x + QUIET * step, y + QUIET * step)
    canvas.drawPath(path, stroke=0, fill=1)
    canvas.restoreState()
