"""Where the lines of a label stand, and how high its letters are.

Letters are 2 mm high or more (capitals and figures). Where a label is small, fewer things stand on it, never smaller
ones. A name may end in an ellipsis, a size is whole or not there.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from reportlab.lib.units import mm

from stripplan.sheets.labels.label_sheet import SLACK
from stripplan.sheets.labels.label_text import Label, Line
from stripplan.sheets.labels.qr_code import CODE_LARGEST, CODE_SHARE, LEAST_MODULE
from stripplan.sheets.paper.text import as_read, points, printable, width_of

LEAST = 2.0
"""Least height of capitals and figures [mm]."""

LINE = 1.6
"""Height of a line over that of its capitals: accents above (0.27) and what hangs below (0.33) of one line stay off the
next."""

DEPTH = 1.27
"""From the top of a line to its baseline, over the height of capitals."""

SCALES = (
    (9.0, 6.0, 4.0), (8.2, 5.4, 3.6), (7.5, 5.0, 3.2), (6.5, 4.4, 2.9), (5.6, 4.0, 2.7), (4.8, 3.6, 2.5), (4.2,
    3.2, 2.3),
    (4.0, 2.8, 2.1), (3.2, 2.6, 2.0), (2.8, 2.2, 2.0), (2.4, 2.0, 2.0),
)  # fmt: skip
"""Heights of capitals of name, size and other lines [mm], the largest first."""

WAYS = (*((scale, False) for scale in SCALES[:-3]), *((scale, True) for scale in SCALES[-5:]))
"""In which order the scales are tried, and whether lines share a line where they fit: small letters only when that does
not help."""

LONGEST = 400
"""Letters of a name that are looked at: no label shows more."""

_BREAKS = re.compile(r"(?<=[\s_/\-])(?=\S)")


@lru_cache(maxsize=8192)
def _measured(text: str, bold: bool) -> tuple[str, float]:
    """Text as it is printed, and its width at capitals of 1 mm [pt]."""
    shown = as_read(printable(text))
    return shown, width_of(shown, points(1.0), bold=bold)


@lru_cache(maxsize=4096)
def fitted(text: str, width: float, largest: float, least: float = LEAST, *, bold: bool = False) -> tuple[str, float]:
    """Printable text and the height of its capitals [mm]: as high as fits a width [pt], from `largest` to `least`, then
    cut with an ellipsis."""
    if len(text) > LONGEST:
        text = text[:LONGEST] + "…"
    shown, wide = _measured(text, bold)
    if wide * least <= width:
        return shown, min(largest, width / wide) if wide else largest
    low, high = 0, len(text)
    while high - low > 1:  # the most letters that fit before an ellipsis
        middle = (low + high) // 2
        low, high = (middle, high) if _measured(_cut(text, middle), bold)[1] * least <= width else (low, middle)
    return _measured(_cut(text, low), bold)[0], least


def _cut(text: str, letters: int) -> str:
    return text[:letters].rstrip(" …") + "…"


@lru_cache(maxsize=4096)
def name_lines(name: str, width: float, height: float) -> tuple[tuple[str, float], ...]:
    """A name in one line of capitals up to `height` [mm], or in two of half that, whichever shows more and larger
    letters."""
    one = fitted(name, width, height, bold=True)
    half = height / 2
    if half < LEAST or (one[1] > half and _measured(name, True)[1] * one[1] <= width + SLACK):
        return (one,)
    breaks = [each.start() for each in _BREAKS.finditer(name[:LONGEST])]
    fits = [at for at in breaks if _measured(name[:at].rstrip(), True)[1] * LEAST <= width]
    if not fits:
        return (one,)
    balanced = [at for at in fits if abs(at - len(name) / 2) <= len(name) / 4]
    at = min(balanced, key=lambda each: abs(each - len(name) / 2)) if balanced else fits[-1]
    two = [fitted(each, width, half, bold=True) for each in (name[:at].rstrip(), name[at:])]
    if two[1][0].endswith("…") and at != fits[-1]:
        two = [fitted(each, width, half, bold=True) for each in (name[: fits[-1]].rstrip(), name[fits[-1] :])]
    common = min(capitals for _, capitals in two)
    return tuple((shown, common) for shown, _ in two)


@dataclass(frozen=True)
class Placed:
    """A line of printable text: its left end and baseline from the label's inner top left corner [pt], capitals
    [mm]."""

    text: str
    x: float
    y: float
    capitals: float
    bold: bool


@dataclass(frozen=True)
class _Arranged:
    """What stands on a label and how high: heights of capitals of name and other lines, the size's box [mm]; side of
    the code [pt]."""

    name: float
    size: float
    rest: float
    side: float
    sizes: tuple[tuple[str, float], ...]
    lines: tuple[tuple[str, bool], ...]

    @property
    def used(self) -> float:
        """Height of all lines [pt]."""
        return float((self.name + self.size * len(self.sizes) + self.rest * len(self.lines)) * LINE * mm)


def _arranged(label: Label, width: float, height: float, modules: int) -> _Arranged:
    """The first way that has room for every line in its fullest wording, else for every line, else the last with the
    first lines."""
    shorter: _Arranged | None = None
    for (name, size, rest), packed in WAYS:
        side = min(CODE_SHARE * width, CODE_LARGEST * mm, height - name * LINE * mm)
        if side < modules * LEAST_MODULE * mm or _widest(label.size) * LEAST > width - side:
            side = 0.0
        lines, curt = _other_lines(label.lines, width - side, rest, packed=packed)
        made = _Arranged(name, size, rest, side, _size_lines(label.size, width - side, size), lines)
        if made.used <= height and not curt:
            return made
        if made.used <= height and shorter is None:
            shorter = made
    if shorter is not None:
        return shorter
    over = math.ceil((made.used - height) / (made.rest * LINE * mm) - 1e-9)
    return replace(made, lines=made.lines[: max(0, len(made.lines) - over)])


def placed(label: Label, width: float, height: float, modules: int) -> tuple[list[Placed], float]:
    """The lines of a label on an inner field of `width` x `height` [pt], and the side of its code with the quiet zone
    [pt].

    The name stands over the whole width, the code below on the right, the rest beside it on the left. `modules` are
    those along a side with the quiet zone. A side of 0: no code, for its modules would be too small to read.
    """
    made = _arranged(label, width, height, modules)
    heads = name_lines(label.name, width, made.name)
    found, top = [], 0.0
    for text, capitals in heads:
        box = made.name * LINE * mm / len(heads)
        found.append(Placed(text, 0.0, top + (box - capitals * LINE * mm) / 2 + capitals * DEPTH * mm, capitals, True))
        top += box
    for text, capitals in made.sizes:
        found.append(Placed(text, 0.0, top + capitals * DEPTH * mm, capitals, True))
        top += made.size * LINE * mm
    for text, bold in made.lines:
        found.append(Placed(text, 0.0, top + made.rest * DEPTH * mm, made.rest, bold))
        top += made.rest * LINE * mm
    return found, made.side


def _widest(size: tuple[str, str]) -> float:
    """Width of the wider side of a size, at capitals of 1 mm [pt]."""
    return max(_measured(f"{size[0]} ×", True)[1], _measured(size[1], True)[1])


def _size_lines(size: tuple[str, str], width: float, height: float) -> tuple[tuple[str, float], ...]:
    """A size in one line, or in two where that is what it takes: never cut."""
    whole = " × ".join(size)
    if _measured(whole, True)[1] * max(LEAST, 0.7 * height) <= width:
        return (fitted(whole, width, height, bold=True),)
    return tuple(fitted(each, width, height, bold=True) for each in (f"{size[0]} ×", size[1]))


def _other_lines(
    lines: Sequence[Line], width: float, height: float, *, packed: bool
) -> tuple[tuple[tuple[str, bool], ...], bool]:
    """Lines as they are printed and whether each is bold; and whether any had to take a shorter wording or go.

    `packed` puts neighbours that fit together into one line, bold with bold and plain with plain.
    """
    found: list[tuple[str, bool]] = []
    curt = False
    for line in lines:
        good = line.wordings if line.as_good else line.wordings[:1]
        if packed and found and found[-1][1] == line.bold:
            joined = (f"{found[-1][0]}, {each}" for each in good if each)
            together = next((each for each in joined if _measured(each, line.bold)[1] * height <= width), None)
            if together is not None:
                found[-1] = (together, line.bold)
                continue
        fits = next((each for each in line.wordings if _measured(each, line.bold)[1] * height <= width), None)
        curt = curt or (fits not in good and (line.whole or len(line.wordings) > 1))
        if fits is None and line.whole:
            continue
        text = line.wordings[-1] if fits is None else fits
        found += [(text, line.bold)] if text else []
    return tuple((fitted(text, width, height, height, bold=bold)[0], bold) for text, bold in found), curt
