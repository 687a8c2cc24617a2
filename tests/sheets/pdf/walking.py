"""The setup sheet walked back to the plan: what it must say is reckoned here from plan.json alone, number by number.

Nothing that writes the sheet is asked. A `Claim` is a run of words with the numbers that belong to it; claims are found
on paper in the order of reading, and between two of them no digit may stand. Where a figure is in the plan and can also
be reckoned from others, both must agree. Drawings are walked by place: what stands where on the plate.
"""

from __future__ import annotations

import hashlib
import io
import json
import math
import re
import unicodedata
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from fractions import Fraction
from functools import cache, cached_property
from itertools import pairwise
from typing import Any

import pypdf

from stripplan.model.plan.plan import Plan
from stripplan.sheets.plan_json import plan_text

Point = tuple[float, float]
INCH = 25.4
SCRIBED = 0.5
"""A scribed line is followed to about this, plus or minus [mm]: common practice, no source."""
KERF_AND_RAIL = 0.25
"""Half a kerf to 0.10 and a rail to 0.15 [mm]: common practice, no source. What the band to measure in has beyond the
fence's step.
"""
NEAR = 1e-5
"""Figures of the plan file are rounded to a millionth; so far may sums of them be off."""


def most_of(size: dict[str, Any]) -> str:
    """What most of a doubt about a size comes from."""
    return " and ".join(doubt["cause"] + " (assumed)" * doubt["assumed"] for doubt in size["doubts"][:2])


class AstrayError(AssertionError):
    """A number on the sheet that the plan does not bear out, or one of the plan that the sheet does not tell."""


def raw(plan: Plan) -> dict[str, Any]:
    """The plan as its file has it."""
    return dict(json.loads(plan_text(plan)))


def tag(plan: dict[str, Any]) -> str:
    """The plan's id: the first eight figures of the SHA-256 of its file, less the date;
    of the first edition's file as it was.
    """
    rest = {key: value for key, value in plan.items() if key != "made_at"}
    if plan["stripplan_version"].startswith("0.1."):  # its file had none of these
        rest = {key: value for key, value in rest.items() if key not in ("runs", "other_order")}
        later = ("process_changes", "finish_metres", "finish_minutes")
        rest["totals"] = {key: value for key, value in plan["totals"].items() if key not in later}
        rest["cuts"] = [
            {
                **cut,
                **{
                    at: {k: v for k, v in cut[at].items() if k not in ("process", "dry_run")}
                    for at in ("setup", "minutes")
                },
            }
            for cut in plan["cuts"]
        ]
    return hashlib.sha256(json.dumps(rest, sort_keys=True, separators=(",", ":")).encode()).hexdigest()[:8]


# --- the sheet ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Item:
    """A run of letters; `at` is the middle of its line, if it was set by its middle, else where it starts [pt]."""

    text: str
    at: Point
    size: float
    centred: bool


Rectangle = tuple[float, float, float, float]


@dataclass(frozen=True)
class Page:
    """What stands on a page, and the outlines drawn there."""

    items: tuple[Item, ...]
    outlines: tuple[tuple[Point, ...], ...]
    frames: tuple[Rectangle, ...] = ()
    """Of details and of the regions that they show: low left corner and high right one."""

    def around(self, items: list[Item], shape: float) -> tuple[Point, ...]:
        """The largest outline about the middle of some items that is so many times as long as wide, else the largest:
        the plate whose drawing they are. Details are drawn whole and clipped, so pieces of theirs may be larger.
        """
        x, y = (sum(each.at[n] for each in items) / len(items) for n in (0, 1))

        def holds(outline: tuple[Point, ...]) -> bool:
            xs, ys = zip(*outline, strict=True)
            return min(xs) <= x <= max(xs) and min(ys) <= y <= max(ys)

        found = [each for each in self.outlines if holds(each)] or list(self.outlines)
        alike = [e for e in found if abs(math.dist(e[0], e[1]) - shape * math.dist(e[1], e[2])) < 1e-3 * shape]
        return max(alike or found, key=lambda each: math.dist(each[0], each[1]) * math.dist(each[1], each[2]))


Paper = tuple[Page, ...]

_OUTLINE = re.compile(rb"([-\d.]+) ([-\d.]+) m ([-\d.]+) ([-\d.]+) l ([-\d.]+) ([-\d.]+) l ([-\d.]+) ([-\d.]+) l h")

_FRAME = re.compile(rb"(?:0 G 1\.3 w|1\.3 w 0 G) n ([-\d.]+) ([-\d.]+) ([-\d.]+) ([-\d.]+) re S")


def read(data: bytes) -> Paper:
    """The pages of a PDF as a reader of other makers sees them."""
    return tuple(_page(each) for each in pypdf.PdfReader(io.BytesIO(data)).pages)


def _page(page: pypdf.PageObject) -> Page:
    items: list[Item] = []

    def seen(text: str, matrix: Any, place: Any, _: Any, size: Any) -> None:
        if text.strip():
            moved = tuple(matrix[4:]) != (0.0, 0.0)
            at = matrix[4:] if moved else place[4:]
            items.append(Item(text, (float(at[0]), float(at[1])), float(size or 0), moved))
        elif items:
            items[-1] = replace(items[-1], text=items[-1].text + text)

    page.extract_text(visitor_text=seen)
    contents = page.get_contents()
    found = _OUTLINE.finditer(b" ".join(contents.get_data().split())) if contents is not None else ()
    flat = [[float(each) for each in one.groups()] for one in found]
    outlines = tuple(tuple(zip(each[::2], each[1::2], strict=True)) for each in flat)
    framed = _FRAME.finditer(b" ".join(contents.get_data().split())) if contents is not None else ()
    sizes = [tuple(float(each) for each in one.groups()) for one in framed]
    return Page(tuple(items), outlines, tuple((x, y, x + wide, y + high) for x, y, wide, high in sizes))


# --- figures, as a person would round them ----------------------------------------------------------------------------


def rounded(value: float, places: int) -> str:
    """To so many decimals, halves up; what is below a millionth is noise of the file."""
    exact = Decimal(repr(round(value, 6)))
    return f"{exact.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP):f}"


def bare(value: float, places: int) -> str:
    """The same without zeros at the end."""
    text = rounded(value, places)
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def inches(mm: float, parts: int) -> str:
    """Whole inches and a fraction to the nearest of so many parts, halves up."""
    count = math.floor(Fraction(repr(round(mm, 6))) * 10 / 254 * parts + Fraction(1, 2))
    whole, rest = divmod(count, parts)
    return " ".join([str(whole)] * bool(whole or not rest) + [str(Fraction(rest, parts))] * bool(rest)) + '"'


def about(minutes: float) -> str:
    """A time to the minute, from a quarter of an hour on to five; half a step may go either way."""
    near = sorted({_about(minutes - NEAR / 10), _about(minutes + NEAR / 10)})
    return near[0] if len(near) == 1 else f"{{{near[0]}|{near[1]}}}"


def _about(minutes: float) -> str:
    whole = round(minutes) if minutes < 15 else 5 * round(minutes / 5)
    return " ".join(
        ([f"{whole // 60} h"] if whole >= 60 else []) + ([f"{whole % 60} min"] if whole % 60 or whole < 60 else [])
    )


def clock(minutes: float) -> str:
    """Seconds below a minute, minutes and seconds below an hour, then hours and minutes;
    half a second may go either way.
    """
    near = sorted({_clock(minutes - NEAR / 10), _clock(minutes + NEAR / 10)})
    return near[0] if len(near) == 1 else f"{{{near[0]}|{near[1]}}}"


def _clock(minutes: float) -> str:
    seconds = round(minutes * 60)
    if seconds < 60:
        return f"{seconds} s"
    if seconds < 3600:
        return " ".join([f"{seconds // 60} min"] + [f"{seconds % 60} s"] * bool(seconds % 60))
    return f"{round(minutes) // 60} h {round(minutes) % 60} min"


_NUMBERED = re.compile(r"\[U\+[0-9A-F]{4,6}\]")
"""A letter by its number: in a drawing of a plate a question mark, where there is no room for more."""


def printed(name: str) -> str:
    """A name as the paper shows it: spaces for white space, a character's number where the letter cannot be shown."""

    def one(letter: str) -> str:
        if letter.isspace():
            return " "
        hidden = unicodedata.category(letter)[0] == "C" or ord(letter) > 0xFFFF or "CJK" in unicodedata.name(letter, "")
        return f"[U+{ord(letter):04X}]" if hidden else letter

    return "".join(map(one, unicodedata.normalize("NFC", name)))


# --- claims -----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Claim:
    """Words with numbers that must be read next; `more` is what must be true of the drawings before them, by page."""

    said: str
    pattern: re.Pattern[str]
    where: str = ""
    more: Callable[[list[tuple[Page, list[Item]]]], None] | None = None


def loose(text: str) -> str:
    """A pattern of a text that may be broken over lines at its spaces, and within words too long for a line."""
    either = _EITHER.split(text)
    if len(either) > 1:
        before, one, other, after = either
        return rf"{loose(before)}\s*(?:{loose(one)}|{loose(other)})\s*{loose(after)}"
    words = (r"\s?".join(map(re.escape, word)) if len(word) > 12 else re.escape(word) for word in text.split())
    return r"\s+".join(words)


_EITHER = re.compile(r"\{(\d[^{}|]*)\|(\d[^{}|]*)\}")


def shortened(full: str) -> str:
    """A pattern of a text or of its beginning with an ellipsis."""
    begun = ""
    for letter in reversed(full[:60]):
        begun = (r"\s?" if letter == " " else re.escape(letter)) + (f"(?:{begun})?" if begun else "")
    return f"(?:{loose(full)}|{begun}\\s?…)"


@cache
def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern)


def claim(*parts: str | tuple[str, ...]) -> Claim:
    """Parts one after the other; a tuple is a choice of patterns."""
    said = " ".join(each if isinstance(each, str) else each[0] for each in parts)
    pattern = r"\s*".join(loose(each) if isinstance(each, str) else f"(?:{'|'.join(each)})" for each in parts)
    return Claim(said, _compiled(pattern))


TELLING = r"[\d¹²³]|\b(?:ASSUMED|NOT MEASURED|TWO PEOPLE or|SHORT|nominal size)\b"
"""What may not be passed over: digits, and words that stand for a figure of the plan."""
LEFT_OVER = {
    False: re.compile(TELLING),
    True: re.compile(
        TELLING
        + r"|\b(?:SET|same|REST|TWO|FENCE OUT|PUT ASIDE|Fetch|Clear|Push|Leave|Line|Scrape|DRY RUN|CHANGE|Pass)\b"
        r"|\b(?:Quarter|Half) turn\b|\bTurn (?:the piece )?over\b|\bFENCE\b|…"
    ),
}
"""By whether it is a cut that is read."""


class Cursor:
    """Reads a paper from its first word to its last."""

    def __init__(self, paper: Paper, heads: list[Claim], foot: Claim) -> None:
        self.items: list[tuple[int, int, Item]] = []
        text, at = [], 0
        for number, (page, head) in enumerate(zip(paper, heads, strict=True)):
            first, last = "".join(each.text for each in page.items[:2]), page.items[-1].text
            for wanted, found in ((head, first), (foot, last)):
                if not wanted.pattern.fullmatch(found.strip()):
                    raise AstrayError(f"page {number + 1}: {found!r} is not {wanted.said!r}")
            for item in page.items[2:-1]:
                self.items.append((at, number, item))
                text.append(item.text)
                at += len(item.text)
            text.append("\n")
            at += 1
        self.paper, self.text, self.at = paper, "".join(text), 0

    def take(self, wanted: Claim) -> None:
        """Go to the end of a claim; nothing that tells a figure may be passed over, unless it is a drawing."""
        found = wanted.pattern.search(self.text, self.at)
        if found is None:
            raise AstrayError(
                f"{wanted.where}: {wanted.said!r} is not after {self.text[max(0, self.at - 60) : self.at]!r}"
            )
        passed = self.text[self.at : found.start()]
        if wanted.more is not None:
            inside = [(page, item) for at, page, item in self.items if self.at <= at < found.start()]
            numbers = sorted({page for page, _ in inside})
            wanted.more([(self.paper[number], [item for page, item in inside if page == number]) for number in numbers])
            passed = ""
        if LEFT_OVER[wanted.where.startswith("cut ")].search(passed):
            raise AstrayError(f"{wanted.where}: {passed!r} is left over before {wanted.said!r}")
        self.at = found.end()

    def end(self) -> None:
        """Nothing with a digit may be left."""
        if LEFT_OVER[False].search(self.text[self.at :]):
            raise AstrayError(f"{self.text[self.at :]!r} is left over at the end")


# --- the plan
# -----------------------------------------------------------------------------------------------------------


def agree(held: float, reckoned: float, what: str, near: float = NEAR) -> float:
    """A figure of the plan that is also the sum of others."""
    if not math.isclose(held, reckoned, rel_tol=1e-6, abs_tol=near):
        raise AstrayError(f"{what}: the plan holds {held}, its other figures make {reckoned}")
    return held


def box(piece: dict[str, Any]) -> tuple[float, float, float, float]:
    xs, ys = zip(*piece["outline"], strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def area(piece: dict[str, Any]) -> float:
    """By the shoelace."""
    points = piece["outline"]
    return abs(math.fsum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, [*points[1:], points[0]], strict=True))) / 2


def side(piece: dict[str, Any], letter: str) -> float:
    """Where the edge of a letter lies: A at the least y, then counter-clockwise."""
    x0, y0, x1, y1 = box(piece)
    return {"A": y0, "B": x1, "C": y1, "D": x0}[letter]


def letter_of(piece: dict[str, Any], edge: list[list[float]]) -> str:
    """The letter of the edge of a piece that a segment is, from corner to corner."""
    x0, y0, x1, y1 = box(piece)
    ends = {"A": ((x0, y0), (x1, y0)), "B": ((x1, y0), (x1, y1)), "C": ((x0, y1), (x1, y1)), "D": ((x0, y0), (x0, y1))}
    for letter, corners in ends.items():
        if all(math.dist(one, other) < 0.01 for one, other in zip(sorted(map(tuple, edge)), corners, strict=True)):
            return letter
    raise AstrayError(f"{piece['id']}: none of its edges is {edge}")


def facing(x: float, y: float) -> str:
    """The letter of the edge on the side that a direction points to."""
    return ("B" if x > 0 else "D") if abs(x) > abs(y) else ("C" if y > 0 else "A")


@dataclass(frozen=True)
class Chain:
    """What a piece will measure along x and y, and by how much the settings may be off [mm]."""

    size: tuple[float, float]
    off: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True)
class Lie:
    """Letters of the edges round a piece on the rig."""

    right: str
    left: str
    start: str
    end: str


@dataclass
class Reckoning:
    """A plan's figures worked out for the sheet; `pieces` and `cuts` by id and number."""

    plan: dict[str, Any]
    form: str = "full"
    pieces: dict[str, dict[str, Any]] = field(init=False)
    plates: dict[str, dict[str, Any]] = field(init=False)

    def __post_init__(self) -> None:
        plan = self.plan
        self.cuts: list[dict[str, Any]] = plan["cuts"]
        self.rig, self.job = plan["rig"], plan["job"]
        self.units = self.job["units"]
        self.pieces = {each["id"]: each for each in plan["pieces"]}
        self.plates = {each["id"]: each for each in plan["plates"]}
        self.maker = {made: cut for cut in self.cuts for made in cut["makes"] if made is not None}
        self.opened = {cut["piece"]: cut for cut in self.cuts}
        self._sound()

    def _sound(self) -> None:
        """What the plan says twice, it says alike."""
        if [cut["number"] for cut in self.cuts] != list(range(1, len(self.cuts) + 1)):
            raise AstrayError("the cuts are not numbered in their order")
        for piece in self.pieces.values():
            plate = self.plates[piece["plate"]]
            density = plate["mass"] / (plate["length"] * plate["width"] * plate["thickness"])
            agree(piece["mass"], area(piece) * plate["thickness"] * density, f"mass of {piece['id']}")
            maker = self.maker.get(piece["id"])
            if piece["parent"] != (maker["piece"] if maker else None):
                raise AstrayError(f"{piece['id']} does not come from {piece['parent']}")
        for plate in self.plates.values():
            roots = [each for each in self.pieces.values() if each["plate"] == plate["id"] and each["parent"] is None]
            if [box(root) for root in roots] != [(0, 0, plate["length"], plate["width"])]:
                raise AstrayError(f"plate {plate['id']} is not laid on the bench once, as large as it is")
        for cut in self.cuts:
            self._sound_cut(cut)

    def _sound_cut(self, cut: dict[str, Any]) -> None:
        what, rig = f"cut {cut['number']}", self.rig
        agree(cut["kerf"], self.plates[cut["plate"]]["kerf"], f"{what}, kerf")
        agree(cut["length"], math.dist(*cut["line"]), f"{what}, length")
        agree(*(point[self.axis(cut)] for point in cut["line"]), f"{what}, both ends of its line")
        passes = cut["passes"]
        together = cut["length"] + (rig["two_pass_overlap"] if len(passes) == 2 else 0)
        agree(math.fsum(each["length"] for each in passes), together, f"{what}, metal cut")
        over = rig["overrun"] if len(passes) == 1 else 0.0
        for each in passes:
            if not rig["lead_in"] + each["length"] + over - NEAR <= each["end_stop"] <= rig["stroke"] + NEAR:
                raise AstrayError(f"{what}: the stop at {each['end_stop']} does not serve {each['length']} mm")
        if cut["located"] == "fence":
            offset = rig["fence_zero"] + rig["fence_scale"] * cut["fence_reading"]
            agree(cut["reading_error"], offset - cut["fence_offset"], f"{what}, reading error")
            agree(cut["fence_offset"], self.to_fence(cut), f"{what}, offset", 0.01)
            if letter_of(self.pieces[cut["piece"]], cut["edge_on_fence"]) != self.lie(cut).right:
                raise AstrayError(f"{what}: the edge on the fence is not on the right")
        for n, (each, enters) in enumerate(zip(passes, (self.lie(cut).start, self.lie(cut).end), strict=False)):
            if letter_of(self.pieces[cut["piece"]], each["leading"]) != enters:
                raise AstrayError(f"{what}: the leading edge is not where the torch enters")
            if each["face_up"] != (passes[0]["face_up"] ^ (n == 1)):
                raise AstrayError(f"{what}: the piece was not turned over between the passes")
        x, right = self.axis(cut), self.lie(cut).right
        line, sign = cut["line"][0][x], 1 if right in "BC" else -1
        for made, hand in zip(cut["makes"], (1, -1), strict=True):
            near = line + sign * hand * cut["kerf"] / 2
            if made is not None:
                facing_it = {1: "DA", -1: "BC"}[sign * hand][x]
                agree(side(self.pieces[made], facing_it), near, f"{what}, edge of {made}", 0.01)

    # -- how a piece lies, what it will measure --

    def axis(self, cut: dict[str, Any]) -> int:
        """0 where sizes across a cut run along x."""
        (ax, ay), (bx, by) = cut["line"]
        return 0 if abs(bx - ax) < abs(by - ay) else 1

    def lie(self, cut: dict[str, Any]) -> Lie:
        """Right of the travel as the piece lies: as drawn with its first face up, mirrored with the other."""
        (ax, ay), (bx, by) = cut["line"]
        dx, dy = bx - ax, by - ay
        hand = 1 if cut["passes"][0]["face_up"] else -1
        return Lie(facing(hand * dy, -hand * dx), facing(-hand * dy, hand * dx), facing(-dx, -dy), facing(dx, dy))

    def to_fence(self, cut: dict[str, Any]) -> float:
        """From the torch line to the edge of the piece on its right."""
        return abs(side(self.pieces[cut["piece"]], self.lie(cut).right) - cut["line"][0][self.axis(cut)])

    @cached_property
    def chains(self) -> dict[str, Chain]:
        """F - k/2 for what lies on the fence, what is left for the other side, errors and doubts summed along."""
        found: dict[str, Chain] = {}
        for piece in self.pieces.values():
            if piece["parent"] is None:
                found[piece["id"]] = Chain((box(piece)[2], box(piece)[3]))
        for cut in self.cuts:
            if cut["piece"] not in found:
                raise AstrayError(f"cut {cut['number']}: {cut['piece']} is not made yet")
            whole, x = found[cut["piece"]], self.axis(cut)
            if cut["located"] == "fence":
                offset = self.rig["fence_zero"] + self.rig["fence_scale"] * cut["fence_reading"]
                doubt = self.rig["fence_step"] * self.rig["fence_scale"] / 2
            else:
                offset, doubt = self.to_fence(cut), SCRIBED
            near = offset - cut["kerf"] / 2
            for made, size, off in zip(
                cut["makes"], (near, whole.size[x] - near - cut["kerf"]), (doubt, whole.off[x] + doubt), strict=True
            ):
                if made is not None:
                    sizes = (size, whole.size[1]) if x == 0 else (whole.size[0], size)
                    found[made] = Chain(sizes, (off, whole.off[1]) if x == 0 else (whole.off[0], off))
        return found

    # -- figures in the job's units --

    def kilograms(self, mass: float) -> str:
        """A mass; a pound is 0.45359237 kg by international agreement of 1959."""
        value, unit = (mass / 0.45359237, "lb") if self.units == "in" else (mass, "kg")
        return f"{value:.1f} {unit}" if value < 10 else f"{value:.0f} {unit}"

    def long(self, mm: float) -> str:
        return inches(mm, self.job.get("inch_fraction", 32)) if self.units == "in" else bare(mm, 2)

    def given(self, mm: float) -> str:
        """A figure as it was given: inches where it is one in 64ths (to a hundredth of one) or has four decimals,
        else to a thousandth of an inch.
        """
        if self.units != "in":
            return f"{mm:.6g}"
        parts = mm * 64 / INCH
        if abs(parts - round(parts)) < 0.01:
            return inches(mm, 64)
        decimals = f"{mm / INCH:.9f}"
        return decimals.rstrip("0").rstrip(".") + '"' if decimals.endswith("00000") else f'{mm / INCH:.3f}"'

    def fine(self, mm: float) -> str:
        return rounded(mm / INCH, 3) + '"' if self.units == "in" else rounded(mm, 1)

    def square(self, mm2: float) -> str:
        return f"{mm2 / 304.8**2:.1f} ft²" if self.units == "in" else f"{mm2 / 1e6:.2f} m²"

    def size(self, piece: dict[str, Any]) -> str:
        x0, y0, x1, y1 = box(piece)
        return f"{self.long(x1 - x0)} × {self.long(y1 - y0)}"

    def long_by_short(self, piece: dict[str, Any]) -> str:
        """Sides of what is left, the longer first."""
        x0, y0, x1, y1 = box(piece)
        one, other = sorted((x1 - x0, y1 - y0), reverse=True)
        return f"{self.long(one)} × {self.long(other)}"

    def scale(self, value: float, step: float) -> str:
        """A mark of a scale: in mm or inches as the scale is divided, and that said where the job is in the other."""
        whole = {by: abs(step * by - round(step * by)) < 1e-6 < step * by for by in (100, 64 / INCH, 1000 / INCH)}
        metric, sixty_fourths, mils = whole.values()
        if (sixty_fourths or mils) and (self.units == "in" or not metric):
            return inches(value, 64) if sixty_fourths else rounded(value / INCH, 3) + '"'
        places = next(n for n in (0, 1, 2) if n == 2 or abs(step * 10**n - round(step * 10**n)) < 1e-6)
        return rounded(value, places) + (" mm" if self.units == "in" else "")

    def reading(self, cut: dict[str, Any]) -> str:
        return self.scale(cut["fence_reading"], self.rig["fence_step"])

    def stop(self, each: dict[str, Any]) -> str:
        return self.scale(each["end_stop"], self.rig["end_stop_step"])

    def stops(self, cut: dict[str, Any]) -> str:
        return " / ".join(dict.fromkeys(self.stop(each) for each in cut["passes"]))

    def speed(self, cut: dict[str, Any]) -> str:
        """With its unit."""
        if self.units == "in":
            return bare(cut["travel_speed"] / INCH, 1) + " in/min"
        return rounded(cut["travel_speed"], 0) + " mm/min"

    # -- words with numbers in them --

    def part_name(self, name: str) -> str:
        line = next(each for each in self.plan["parts"] if each["name"] == name)
        return f"{name} (filler)" if line["filler"] else name

    def called(self, piece: dict[str, Any], *, onto: Callable[[str], str] = printed) -> str:
        """A part's name as paper or a list shows it, and which of so many it is; nothing for what is no part."""
        if piece["kind"] != "part":
            return ""
        same = [each["id"] for each in self.plan["pieces"] if each["kind"] == "part" and each["part"] == piece["part"]]
        count = f", {same.index(piece['id']) + 1} of {len(same)}" if len(same) > 1 else ""
        return onto(self.part_name(piece["part"])) + count

    def edge(self, piece: dict[str, Any], letter: str) -> str:
        """The letter with the cut that made the edge: the last one whose kerf ends there.
        Else it is the plate's own.
        """
        at, above = side(piece, letter), piece
        while above["parent"] is not None:
            cut = self.maker[above["id"]]
            line, x = cut["line"][0][self.axis(cut)], self.axis(cut)
            if letter in ("BD", "AC")[x]:
                edge = line - cut["kerf"] / 2 if letter in "BC" else line + cut["kerf"] / 2
                if abs(edge - at) < 0.01:
                    return f"{letter} (cut {cut['number']})"
            above = self.pieces[above["parent"]]
        if abs(side(above, letter) - at) > 0.01:
            raise AstrayError(f"{piece['id']}: nothing made its edge {letter}")
        return f"{letter} ({self.plates[piece['plate']]['edges']['ABCD'.index(letter)]})"

    def two(self, piece: dict[str, Any]) -> bool:
        """Above the rig's mass for one person, or long and above six tenths of it."""
        x0, y0, x1, y1 = box(piece)
        limit, longest = self.rig["two_person_mass"], max(x1 - x0, y1 - y0)
        return piece["mass"] > limit or (longest > self.rig["two_person_length"] and piece["mass"] > 0.6 * limit)

    def lifted_by(self, piece: dict[str, Any]) -> str:
        """Beyond twice one person's limit a hoist alone: common practice, no source."""
        return "HOIST" if piece["mass"] > 2 * self.rig["two_person_mass"] else "TWO PEOPLE or hoist"

    def bring(self, cut: dict[str, Any]) -> list[str]:
        """What is done with pieces before edges are scraped, in the order of doing it."""
        setup, piece = cut["setup"], self.pieces[cut["piece"]]
        told = ["Clear the bed." if setup["fetch"] else "Clear the other piece."] * setup["clear"]
        if setup["fetch"] and piece["parent"] is None:
            told.append(f"Fetch plate {cut['plate']} ({printed(self.plates[cut['plate']]['stock'])}) from the rack.")
        elif setup["fetch"]:
            told.append(f"Fetch {piece['id']} (aside since cut {self.maker[piece['id']]['number']}).")
        told += ["Turn the piece over."] * setup["turn_over"]
        turns = {
            1: "Quarter turn LEFT (anticlockwise).",
            2: "Half turn, end for end.",
            3: "Quarter turn RIGHT (clockwise).",
        }
        told += [turns[each] for each in turns if each == setup["quarter_turns"]]
        return told

    def at_the_fence(self, cut: dict[str, Any], before: dict[str, Any] | None) -> list[str]:
        """What is done once edges are clean: pushed up, and the middle pressed where it has bowed."""
        told = [self.push(cut, before)] if cut["setup"]["push"] else []
        bow = cut.get("edge_bow")
        if bow is not None:
            off = f'{bow / 25.4:.3f}"' if self.units == "in" else f"{bow:.1f} mm"
            told.append(f"PRESS its middle to the fence. That edge has bowed by about {off}.")
        return told

    def push(self, cut: dict[str, Any], before: dict[str, Any] | None) -> str:
        """A piece that lay on the fence already and was not turned stays there."""
        if cut["located"] == "marked":
            return "Line the marks up under the torch."
        stays = before is not None and before["makes"][0] == cut["piece"] and len(before["passes"]) == 1
        stays = stays and not cut["setup"]["fence"]
        if stays and before is not None and self.lie(before) == self.lie(cut):
            return "Leave it against the fence."
        return "Push it up to the fence."

    def steps(self, cut: dict[str, Any], before: dict[str, Any] | None, *, origin: bool = True) -> list[str]:
        """The same in few words, scraping before pushing up; in a run without where a scraped edge comes from."""
        few = {"Clear the other piece.": "Clear.", "Turn the piece over.": "TURN OVER.",
         "Push it up to the fence.": "Push up.",
               "Leave it against the fence.": "Leave it."}  # fmt: skip
        told, last = self.bring(cut), [each.partition(" That edge")[0] for each in self.at_the_fence(cut, before)]
        told, last = ([few.get(each, each) for each in some] for some in (told, last))
        piece = self.pieces[cut["piece"]]
        if not origin:
            for long, short in (
                (" (anticlockwise)", " ↺"), (" (clockwise)", " ↻"),
                (f"Fetch {piece['id']} (aside since", "Fetch it (from"),
            ):  # fmt: skip
                told = [each.replace(long, short) for each in told]
        letters = [letter_of(piece, each["edge"]) for each in cut["setup"]["dress"]]
        scraped = [f"Scrape {self.edge(piece, letter) if origin else letter}." for letter in letters]
        return [*told, *scraped, *last]

    def dress(self, cut: dict[str, Any]) -> list[str]:
        piece, lie = self.pieces[cut["piece"]], self.lie(cut)
        use = {lie.right: "goes on the fence", lie.start: "goes to the start", lie.end: "leads in pass 2"}
        letters = [letter_of(piece, each["edge"]) for each in cut["setup"]["dress"]]
        return [f"Edge {self.edge(piece, letter)}: it {use[letter]}." for letter in letters]

    def scribe(self, cut: dict[str, Any]) -> str:
        return " / ".join(dict.fromkeys(self.long(each) for each in cut["marks"]["distance"]))

    def marks(self, cut: dict[str, Any], in_the_way: bool) -> list[str]:
        """The scribed line of a marked cut."""
        if cut["marks"] is None:
            return []
        piece, marks = self.pieces[cut["piece"]], cut["marks"]
        letter = letter_of(piece, marks["edge"])
        at = cut["line"][0][self.axis(cut)]
        for each in marks["distance"]:
            agree(each, abs(side(piece, letter) - at), f"cut {cut['number']}, scribed distance", 0.01)
        x, y = marks["from"]
        corner = "".join(each for each in "ABCD" if abs(side(piece, each) - (x if each in "BD" else y)) < 0.01)
        near, far = (self.long(each) for each in marks["along"])
        distance = self.long(marks["distance"][0])
        room = "FENCE OUT OF THE WAY. " if in_the_way else ""
        return [
            (
                f"{room}Scribe two marks {distance} from edge {self.edge(piece, letter)}, at {near} and {far} from "
                f"corner {corner}."
            )
        ]

    def passes(self, cut: dict[str, Any]) -> list[str]:
        """Two passes in the order of doing."""
        if len(cut["passes"]) == 1:
            return []
        lie, (one, two) = self.lie(cut), map(self.stop, cut["passes"])
        fence = (
            f"edge {lie.right} stays on the fence" if cut["located"] == "fence" else "scribe the marks on this face too"
        )
        return [
            f"Pass 1: cut in to the stop at {one}; it ends inside the metal. Let it cool, scrape the dross.",
            f"Turn over end for end: {fence}, edge {lie.end} to the start line. Letter the new face.",
            f"Pass 2: end stop {two}; cut back to meet pass 1.",
        ]

    def hold(self, cut: dict[str, Any]) -> list[str]:
        """How to hold a piece with a short edge on the fence: it is a third of the other, or less."""
        x0, y0, x1, y1 = box(self.pieces[cut["piece"]])
        across = (y1 - y0) if self.axis(cut) == 1 else (x1 - x0)
        if cut["located"] != "fence" or 3 * cut["length"] >= across:
            return []
        start = self.lie(cut).start
        return [f"HOLD: only {self.long(cut['length'])} on the fence; edge {start} along the start line, clamp it."]

    def passes_in_few(self, cut: dict[str, Any]) -> list[str]:
        """Both passes in one sentence."""
        if len(cut["passes"]) == 1:
            return []
        first, second = (self.stop(each) for each in cut["passes"])
        lie = self.lie(cut)
        held = f"{lie.right} stays on the fence" if cut["located"] == "fence" else "scribe this face too"
        return [
            f"Pass 1 to stop {first}, scrape; TURN OVER end for end, {held}, {lie.end} to the start line; "
            f"pass 2 to stop {second}."
        ]

    def doing(self, cut: dict[str, Any], piece: dict[str, Any]) -> str:
        """What becomes of a piece: a blank waits for the cut that it is for."""
        if piece["kind"] != "blank":
            return {"part": "part, done", "offcut": "OFFCUT, chalk it, to the rack", "scrap": "scrap bin"}[
                piece["kind"]
            ]
        then = self.opened[piece["id"]]
        stays = then["number"] == cut["number"] + 1 and not then["setup"]["fetch"]
        return (
            f"stays on the bed for cut {then['number']}" if stays else f"chalk it, PUT ASIDE for cut {then['number']}"
        )

    def fall(self, cut: dict[str, Any], hand: int) -> list[str | tuple[str, ...]]:
        """What falls right (0) or left (1) of the travel."""
        name = cut["makes"][hand]
        if name is None:
            return ["nothing: the kerf takes it"]
        piece = self.pieces[name]
        told = f"{self.size(piece)}: {self.doing(cut, piece)}."
        return [(shortened(self.called(piece)),), f"({name}) {told}"] if self.called(piece) else [f"{name}, {told}"]

    def measures(self, cut: dict[str, Any]) -> list[tuple[str, str]]:
        """Pieces to measure, each with its width and the band it may lie in: parts that have come off before others,
        then what the next part hangs on.
        """
        made = [name for name in cut["makes"] if name is not None and self.pieces[name]["kind"] != "scrap"]
        x = self.axis(cut)
        matter = [name for name in made if self.matters(name, x)]
        parts = [name for name in matter if self.pieces[name]["kind"] == "part"]
        order = [*parts, *(name for name in matter if name not in parts)] or made[:1]
        return [(name, self.band(name, x)) for name in order[:2]]

    def matters(self, name: str, x: int) -> bool:
        """Whether a part has the piece's size: as it is, or as the next cut alongside leaves it away from the fence."""
        found = [name]
        for each in self.reaching(name, x):
            then = self.opened.get(each["id"])
            if then is not None and self.axis(then) == x and then["makes"][1] is not None:
                found.append(then["makes"][1])
        return any(each["kind"] == "part" for one in found for each in self.reaching(one, x))

    def reaching(self, name: str, x: int) -> Iterator[dict[str, Any]]:
        """A piece, and what is cut from it and reaches from side to side of it."""
        whole = box(self.pieces[name])
        for piece in self.pieces.values():
            line, up = [], piece
            while up is not None:
                line.append(up["id"])
                up = self.pieces.get(up["parent"])  # type: ignore[assignment]
            if name in line and all(abs(box(piece)[side] - whole[side]) < 0.01 for side in (x, x + 2)):
                yield piece

    def band(self, name: str, x: int) -> str:
        """Width to expect, and from where to where it is good."""
        chain = self.chains[name]
        width, band = chain.size[x], chain.off[x] + KERF_AND_RAIL
        low, high = self.fine(max(0.0, width - band)), self.fine(width + band)
        limits = list(self.asked(name, x, width, band))
        least = max((wanted - asked for wanted, asked in limits), default=-math.inf)
        most = min((wanted + asked for wanted, asked in limits), default=math.inf)
        if least > width - band:
            low = self.limit(least, ROUND_CEILING)
        if most < width + band:
            high = self.limit(most, ROUND_FLOOR)
        return f"{self.fine(width)}, go {low} to {high}"

    def limit(self, mm: float, way: str) -> str:
        """A limit, rounded so that what is within it as printed is within it."""
        inch = self.units == "in"
        step = Decimal("0.001") if inch else Decimal("0.1")
        near = Decimal(repr(round(mm / INCH if inch else mm, 7)))
        return f"{near.quantize(step, way)}" + '"' * inch

    def asked(self, name: str, x: int, width: float, band: float) -> Iterator[tuple[float, float]]:
        """The size that a part asks and how true: of the piece,
        or of parts in it that reach from side to side of it.
        """
        for piece in self.reaching(name, x):
            if piece["kind"] != "part":
                continue
            given = next(each for each in self.job["parts"] if each["name"] == piece["part"])
            if given.get("plus_minus") and not given.get("allowance"):
                sizes = (given[key] for key in ("width", "length") if given.get(key))
                wanted = min(sizes, key=lambda each: abs(each - width))
                if abs(width - wanted) <= given["plus_minus"] + band:
                    yield wanted, given["plus_minus"]

    # -- the sheet from its first word to its last --

    def heads(self, pages: int, *, by_id: bool = True) -> list[Claim]:
        """Head of each page: the job, the plan's id, page n of so many."""
        name, by = shortened(printed(self.job["name"])), self.tag(by_id=by_id)
        return [claim((name,), "plan", (by,), f"page {number} of {pages}") for number in range(1, pages + 1)]

    def tag(self, *, by_id: bool = True) -> str:
        """A pattern of the plan's id."""
        return tag(self.plan) if by_id else "[0-9a-f]{8}"

    def claims(self, *, by_id: bool = True) -> list[Claim]:
        """All that must be read, in the order of reading."""
        found: list[Claim] = []
        watch = claim("Last cut at ____________ watch for fire until ____________ (60 minutes later)")
        how = ("how to work", map(claim, HOW[self.form]))
        large = (
            ("first page", self.first(by_id=by_id)),
            how,
            ("cautions", self.cautions()),
            ("overview", self.overview()),
            ("plates", (each for plate in self.plan["plates"] for each in self.plate(plate))),
            ("cuts", self.work()),
            ("parts", self.parts()),
            ("offcuts", self.offcuts()),
            ("cost", self.costs()),
            ("fire watch", iter([watch])),
        )
        small = (
            ("first page", self.beside(by_id=by_id)),
            ("cuts", self.work()),
            ("parts", self.parts_in_few()),
            ("fire watch", iter([watch])),
            ("behind the plan", self.behind()),
            ("cost", self.costs()),
            ("cautions", self.cautions()),
            how,
        )
        for where, part in small if len(self.cuts) <= 5 else large:
            found += [replace(each, where=each.where or where) for each in part]
        return found

    def beside(self, *, by_id: bool) -> Iterator[Claim]:
        """The head of a job of few cuts: what to take and to mind, beside the drawings."""
        yield from self.title(by_id=by_id)
        yield from self.stock()
        yield from self.mind()
        yield claim(f"Takes about {about(self.plan['totals']['minutes'])}.")
        for plate in self.plan["plates"]:
            yield claim(f"Plate {plate['id']}: {printed(plate['stock'])}")
            yield self.drawn(plate, f"{plate['id']}: numbers are cuts, in the order of work.")

    def parts_in_few(self) -> Iterator[Claim]:
        """Parts and offcuts to tick, a line or two each."""
        yield claim("Parts: want, made; finished size; size to expect")
        for line, made, over in self.lines():
            count = f"filler, {line['made']}" if line["filler"] else f"{line['wanted']}, {line['made']}"
            short = " SHORT" if line["made"] < line["wanted"] else ""
            size, expected = self.size_of(line, over), self.expected(line, made, over)
            yield claim(f"{printed(line['name'])} {count}{short}; {size}{';' if expected else ''}")
            yield claim(expected, *self.truth(line))
            yield from (claim(f"☐ {each}") for each in made)
        for each in self.plan["pieces"]:
            if each["kind"] == "offcut":
                yield claim(f"Offcut ☐ {each['id']} {self.left(each)}, rack place ________")

    def left(self, piece: dict[str, Any]) -> str:
        """An offcut's size with its thickness, material and mass."""
        plate = self.plates[piece["plate"]]
        size = f"{self.long_by_short(piece)} × {self.given(plate['thickness'])}"
        return f"{size} {plate['material']} {self.kilograms(piece['mass'])}"

    def behind(self) -> Iterator[Claim]:
        """What stands behind the plan of few cuts."""
        yield claim("Rests on:")
        yield from map(claim, self.settings())
        yield from map(claim, self.measured())
        yield from self.assumed()
        yield claim("Totals:")
        yield from map(claim, self.totals())
        yield claim("How good:")
        yield from map(claim, self.proof())
        yield from self.other()
        for each in self.of_all_sizes():
            yield claim("Sizes:")
            yield each
        for line in self.plan["parts"]:
            if line["accuracy"] or line["bow"] is not None or line.get("touch_minutes") is not None:
                yield claim(f"{printed(line['name'])}:")
                yield from self.trueness(line)
        yield claim("Number: cut, in the order of work.")
        yield claim(f"Edge that comes out square: {SIDES[self.rig['square_side']]}.")

    def title(self, *, by_id: bool) -> Iterator[Claim]:
        made = f", made {self.plan['made_at']}" if self.plan["made_at"] else ""
        yield claim(printed(self.job["name"]))
        yield claim(
            "Setup sheet, plan",
            (self.tag(by_id=by_id),),
            f"{made}. All lengths in {'inches, masses in pounds' if self.units == 'in' else 'mm, masses in kg'}.",
        )
        yield claim("Before the first arc read the cautions")

    def first(self, *, by_id: bool) -> Iterator[Claim]:
        yield from self.title(by_id=by_id)
        yield from self.stock()
        yield from self.mind()
        yield claim("Totals")
        yield from map(claim, self.totals())
        left = [each for each in self.plan["pieces"] if each["kind"] == "offcut"]
        for each in left[:8]:
            yield claim(
                f"{each['id']}: {self.long_by_short(each)} × {self.given(self.plates[each['plate']]['thickness'])}"
            )
        if len(left) > 8:
            yield claim(f"and {len(left) - 8} more")
        yield from map(claim, self.proof())
        yield from self.other()
        yield claim("The plan rests on")
        yield from map(claim, self.settings())
        yield from self.assumed()
        yield from map(claim, self.measured())

    def assumed(self) -> Iterator[Claim]:
        if told := self.assumed_times():
            yield claim(f"Assumed figures that move the minutes: {'; '.join(told)}.")

    def other(self) -> Iterator[Claim]:
        """What the other order of work would cost."""
        if (other := self.plan.get("other_order")) is not None:
            apart = other["minutes"] - self.plan["totals"]["minutes"]
            some = "setting" if other["fence_settings"] == 1 else "settings"
            unit = "" if self.units == "in" else " mm"
            time = "as long" if abs(apart) < 0.5 / 60 else f"{clock(abs(apart))} {'less' if apart < 0 else 'more'}"
            alike = (
                f"differ by up to {self.fine(other['differ'])}{unit}" if other["differ"] > 1e-6 else "come out alike"
            )
            wrong = other.get("wrong") or 0
            sizes = f", {wrong} size{'s' * (wrong != 1)} further off than allowed" if wrong else ""
            here = self.plan["totals"]["fence_settings"]
            beside = "too" if here == other["fence_settings"] else f"instead of {here}"
            yield claim(
                f"The other order of work: {other['fence_settings']} fence {some} {beside}: {time}, "
                f"pieces of a part {alike}{sizes}."
            )

    def stock(self) -> Iterator[Claim]:
        for plate in self.plan["plates"]:
            root = next(each for each in self.plan["pieces"] if each["plate"] == plate["id"] and each["parent"] is None)
            agree(plate["mass"], root["mass"], f"mass of plate {plate['id']}")
            heavy = [f": {self.lifted_by(root)}"] * self.two(root)
            notes = ["nominal size, not measured"] * (not plate["measured"])
            given = next(each for each in self.job["plates"] if each["name"] == plate["stock"])
            notes = ["offcut"] * bool(given.get("offcut")) + notes
            if not plate.get("piece") and any(each.get("piece") for each in self.plan["plates"]):
                notes.insert(0, "to be bought")
            if root["id"] not in self.opened:
                notes.append(f"no cut: it is {self.called(root) or root['kind']} as it stands")
            note = f"({'; '.join(notes)})" if notes else ""
            yield claim(f"☐ {plate['id']} {printed(plate['stock'])} {note}")
            yield claim(self.plate_size(plate), plate["material"], self.kilograms(plate["mass"]), *heavy)

    def plate_size(self, plate: dict[str, Any]) -> str:
        return " × ".join([self.long(plate["length"]), self.long(plate["width"]), self.given(plate["thickness"])])

    def mind(self) -> Iterator[Claim]:
        """Plates to measure first, and warnings: those of one kind on pieces of one part count as one,
        with how many more.
        """
        warnings = self.plan["warnings"]
        first = [each for each in warnings if each["code"] in FIRST or "ESTIMATED" in each["text"]]
        yield from self.warned(first)
        resting = {self.pieces[each["about"]]["plate"] for each in warnings if each["code"] == "rests_on_plate_size"}
        for plate in self.plan["plates"]:
            if plate["id"] in resting:
                size = f"{self.long(plate['length'])} × {self.long(plate['width'])}"
                yield claim(f"Plate {plate['id']} ({printed(plate['stock'])}): the plan counts on {size}.")
        yield from self.warned([each for each in warnings if each not in first])
        names = {self.job["name"], *(part["name"] for part in self.plan["parts"])}
        names |= {plate[key] for plate in self.plan["plates"] for key in ("stock", "material")}
        count = sum("[U+" in printed(name) for name in names)
        if count:
            holds = "name holds" if count == 1 else "names hold"
            yield claim(
                f"! {count} {holds} letters that this print lacks: they stand by number, [U+hhhh]; drawings have them."
            )

    def warned(self, warnings: list[dict[str, Any]]) -> Iterator[Claim]:
        """Warnings, those of one kind on pieces of one part as one."""
        alike: dict[tuple[str, str], list[str]] = {}
        for each in warnings:
            part = self.pieces.get(each["about"], {}).get("part")
            alike.setdefault((each["code"], part or each["text"]), []).append(each["text"])
        for (_, about), texts in alike.items():
            more = [f"The same goes for {len(texts) - 1} more of {printed(about)}."] * (len(texts) > 1)
            yield claim(f"! {printed(texts[0])}", *more)

    def totals(self) -> Iterator[str]:
        """Each total is the sum over what the plan lists."""
        held, cuts, pieces = self.plan["totals"], self.cuts, self.plan["pieces"]

        def summed(key: str, value: float) -> float:
            return agree(held[key], value, f"total of {key}", 1e-3)

        def over(kind: str) -> float:
            return math.fsum(area(each) for each in pieces if each["kind"] == kind)

        def count(key: str) -> int:
            return round(summed({"fetch": "fetches", "quarter_turns": "turns"}.get(key, f"{key}_settings"),
                                sum(bool(cut["setup"][key]) for cut in cuts)))  # fmt: skip

        yield (
            "time at the rig: "
            f"{clock(summed('minutes', math.fsum(m for cut in cuts for m in cut['minutes'].values())))}"
        )
        yield f"of that arc: {clock(summed('arc_minutes', math.fsum(cut['minutes']['arc'] for cut in cuts)))}"
        rests = math.fsum(cut["rest_before"] for cut in cuts)
        agree(math.fsum(cut["minutes"]["rest"] for cut in cuts), rests, "rests")
        yield f"of that rests: {clock(rests)}"
        yield f"cuts: {len(cuts)}"
        yield f"arc starts: {round(summed('starts', sum(len(cut['passes']) for cut in cuts)))}"
        yield f"fence settings: {count('fence')}"
        yield f"end stop settings: {count('end_stop')}"
        yield f"turns: {count('quarter_turns')}"
        yield f"pieces fetched: {count('fetch')}"
        yield f"edges scraped: {round(summed('dressings', sum(len(cut['setup']['dress']) for cut in cuts)))}"
        if not self.plan["stripplan_version"].startswith("0.1."):
            ways = [self.plates[cut["plate"]]["process"] for cut in cuts]
            yield f"process changes: {round(summed('process_changes', sum(a != b for a, b in pairwise(ways))))}"
            metres, minutes = held["finish_metres"], held["finish_minutes"]
            length = f"{metres / 0.3048:.1f} ft" if self.units == "in" else f"{metres:.1f} m"
            yield f"edges to finish: {length}" + (f", {clock(minutes)}" if minutes else "")
        yield f"plates: {round(summed('plates', len(self.plates)))}"
        cost = summed("cost", math.fsum(plate["cost"] for plate in self.plates.values()))
        currency = self.job.get("currency") or ""
        yield (
            f"plate cost: {f'{cost:.2f} {currency}' if self.priced else f'{self.square(cost * 1e6)} (no price given)'}"
        )
        whole = math.fsum(plate["length"] * plate["width"] for plate in self.plates.values())
        yield f"plate made into parts: {100 * summed('plate_used', over('part') / whole):.0f} %"
        yield f"kept as offcuts: {self.square(summed('offcut_area', over('offcut')))}"
        yield f"scrap: {self.square(summed('scrap_area', over('scrap')))}"

    @property
    def priced(self) -> bool:
        """Whether plates have prices; cost is their area in m2 without."""
        keys = ("cost", "price_per_kg")
        priced = any(each.get(key) is not None for each in self.job["plates"] for key in keys)
        for plate in self.plates.values():
            if not priced:
                agree(plate["cost"], plate["length"] * plate["width"] / 1e6, f"area of plate {plate['id']}")
        return priced

    def proof(self) -> Iterator[str]:
        proof, totals = self.plan["proof"], self.plan["totals"]
        for key, total in (
            ("plates", "plates"),
            ("cost", "cost"),
            ("setups", "fence_settings"),
            ("minutes", "minutes"),
        ):
            agree(proof[key]["found"], totals[total], f"proof of {key}")

        def verdict(bound: dict[str, Any]) -> str:
            return "proven" if bound["proven"] else "not proven best"

        plates, cost, least = proof["plates"], proof["cost"], math.ceil(proof["plates"]["bound"] - 1e-6)
        some = "plate" if plates["found"] == 1 else "plates"
        yield (
            f"{plates['found']} {some}; at least {least} {'is' if least == 1 else 'are'} needed ({plates['how']}): "
            f"{verdict(plates)}."
        )
        if not math.isclose(cost["found"], plates["found"]):
            found, bound = (
                f"{cost[key]:.2f}" if self.priced else self.square(cost[key] * 1e6) for key in ("found", "bound")
            )
            what = "Plate cost" if self.priced else "Plate area"
            yield f"{what} {found}; not below {bound} ({cost['how']}): {verdict(cost)}."
        setups, minutes = proof["setups"], proof["minutes"]
        some = "setting" if setups["found"] == 1 else "settings"
        fewest = f"; for {setups['holds_for']} no order needs fewer than {setups['bound']:.0f}"
        yield f"{setups['found']:.0f} fence {some}{fewest if round(setups['bound']) else ''}."
        yield (
            f"{clock(minutes['found'])} at the rig; for {minutes['holds_for']} no order takes less than "
            f"{clock(minutes['bound'])}."
        )
        yield from self.in_all()

    def in_all(self) -> Iterator[str]:
        """Plate and hands in one currency; nothing where a minute is worth nothing."""
        total = self.plan.get("total")
        if total is None or not total["minute"]:
            return
        unit = "kg of steel" if total["currency"] == "kg" else self.plan["job"]["currency"]
        if unit == "kg of steel" and self.units == "in":
            unit, pound = "lb of steel", 0.45359237
            total = {key: v / pound if isinstance(v, (int, float)) else v for key, v in total.items()}
        hour = {"job": "", "rig": " of the rig", "assumed": ", assumed"}[total["minute_from"]]
        kept = f" - offcuts kept {total['offcuts']:.2f}" if total["offcuts"] else ""
        least = f" No plan costs less than {total['bound']:.2f} in all ({total['how']})." if total["bound"] else ""
        yield (
            f"In all {total['total']:.2f}{' ' if unit else ''}{unit}: plates {total['plates']:.2f} + "
            f"{clock(self.plan['totals']['minutes'])} at {total['minute'] * 60:.2f} an hour{hour}{kept}.{least}"
        )

    def settings(self) -> Iterator[str]:
        rig, settings = self.rig, self.plan["settings"]

        def flag(key: str) -> str:
            return " ASSUMED: CHECK" if key in (rig.get("assumed") or ()) else ""

        for name in dict.fromkeys(plate["process"] for plate in self.plates.values()):
            process = next(each for each in rig["processes"] if each["name"] == name)
            kerf = agree(
                next(p["kerf"] for p in self.plates.values() if p["process"] == name),
                process["kerf"],
                f"kerf of {name}",
            )
            measured = process.get("kerf_measured_on")
            tail = f", measured {measured}" if measured else " NOT MEASURED: CHECK"
            yield f"kerf: {self.fine(kerf) if self.units == 'in' else self.long(kerf)} ({printed(name)}){tail}"
        yield f"trim off mill edges: {self.given(settings['trim'])}"
        yield f"fence zero: {self.given(rig['fence_zero'])}{flag('fence_zero')}"
        yield f"fence scale: {rig['fence_scale']:g}{flag('fence_scale')}"
        for label, key in (
            ("fence read to", "fence_step"), ("lead-in", "lead_in"), ("overrun", "overrun"), ("stroke", "stroke"),
            ("narrowest offcut", "narrowest_offcut"),
        ):  # fmt: skip
            yield f"{label}: {self.given(rig[key])}{flag(key)}"
        yield f"rig: {printed(rig['name'])}"
        steps = f", steps {settings['steps']}" if settings.get("steps") is not None else ""
        yield f"search: seed {settings.get('seed')}{steps}"

    def assumed_times(self) -> list[str]:
        """Each figure that nobody gave and that moves minutes of this plan."""
        rig, seconds = self.rig, self.rig["seconds"]
        spent = {key for cut in self.cuts for key, value in cut["minutes"].items() if value > 0}
        if any(len(cut["passes"]) > 1 for cut in self.cuts):
            spent.add("turn_over")
        if any(cut["setup"]["two_person"] for cut in self.cuts):
            spent.add("two_person")
        if self.plan["totals"]["finish_minutes"]:
            spent.add("finish")
        told = []
        before = ""
        for key, words, causes in MOVERS:
            table, name = (seconds, key[8:]) if key.startswith("seconds.") else (rig, key)
            if key in rig["assumed"] and name in table and spent.intersection(causes.split()):
                said = self.by_inch(words, table[name])
                if not words.startswith("and "):
                    told.append(said)
                elif before in rig["assumed"]:
                    told[-1] += f" {said}"
                else:
                    told.append({"f": "fence", "e": "end stop", "s": "scraping"}[name[0]] + said.removeprefix("and"))
            before = key
        if self.cuts:
            more = [("return_speed", f"return {self.pace(rig['return_speed'])}")]
            more += [(key, f"{words} {self.given(rig[key])}") for key, words in LENGTHS]
            for cut in {self.plates[cut["plate"]]["process"]: cut for cut in self.cuts}.values():
                more.append(("process", f"speed of {printed(self.plates[cut['plate']]['process'])} {self.speed(cut)}"))
            if any(cut["rest_before"] for cut in self.cuts):
                more.append(("process", "duty of the power source"))
            told += [words for key, words in more if key in rig["assumed"]]
        return told

    def by_inch(self, words: str, value: float) -> str:
        """A figure in its unit; by the inch and the pound where inches are read, to three figures."""
        for unit, theirs, times in (
            (" s/mm", " s/in", INCH),
            (" s/m", " s/ft", 0.3048),
            (" s/kg", " s/lb", 0.45359237),
        ):
            if self.units == "in" and unit in words:
                return words.replace(unit, theirs).format(f"{value * times:.3g}")
        return words.format(bare(value, 6))

    def pace(self, speed: float) -> str:
        return self.speed({"travel_speed": speed})

    def measured(self) -> Iterator[str]:
        """What the notebook gave for the processes of these plates:
        twice the standard uncertainty is the plus or minus.
        """
        used = {plate["process"] for plate in self.plates.values()}
        units = {"fence_scale": "mm a mark", "fence_angle": "°", "dial, top speed": "mm/min", "return_speed": "mm/min"}
        for each in self.rig.get("measured") or ():
            process = each["key"].rpartition(", ")[0]
            if process in {other["name"] for other in self.rig["processes"]} - used:
                continue
            used_as = self.rig.get(each["key"])
            if used_as is not None:
                agree(used_as, each["value"], f"{each['key']}, measured and used", 1e-4)
            days = " to ".join(dict.fromkeys(filter(None, (each["first"], each["last"])))) or "day not noted"
            if self.units == "in":  # its words are a sentence of the notebook's report
                yield f"{each['key']}:"
                continue
            yield (
                f"{each['key']}: {each['value']:g} ± {2 * each['u']:.2g} {units.get(each['key'], 'mm')}; "
                f"{each['how']}; {days}{self.age(each['last'])}"
            )

    def age(self, day: str | None) -> str:
        """Days from a measurement to the day the plan was made."""
        if day is None or self.plan["made_at"] is None:
            return ""
        days = (datetime.fromisoformat(self.plan["made_at"]).date() - date.fromisoformat(day)).days
        return f", {days} {'day' if days == 1 else 'days'} old" if days >= 0 else ""

    def cautions(self) -> Iterator[Claim]:
        limits = ("1 in", "6 in") if self.units == "in" else ("25 mm", "150 mm")
        yield from (claim(each.format(*limits)) for each in CAUTIONS)
        yield claim(f"Above {self.kilograms(self.rig['two_person_mass'])} (set in the rig profile)")
        kind = "55 lb" if self.units == "in" else "25 kg"
        yield claim(f"(HSE INDG143: {kind} close in at knuckle height, less with arms out)")

    # -- drawings --

    def plate(self, plate: dict[str, Any]) -> Iterator[Claim]:
        yield claim(
            f"Plate {plate['id']}: {printed(plate['stock'])}, {self.plate_size(plate)} {plate['material']}, "
            f"{self.kilograms(plate['mass'])}"
        )
        yield self.drawn(plate, "Number: cut, in the order of work.")
        yield claim(f"Edge that comes out square: {SIDES[self.rig['square_side']]}.")

    def drawn(self, plate: dict[str, Any], below: str) -> Claim:
        """The drawing of a plate, up to the words below it."""
        where = f"drawing of plate {plate['id']}"

        def drawn(pages: list[tuple[Page, list[Item]]]) -> None:
            views = list(in_views(pages))
            page, items, _ = views[0]
            Drawing(self, plate, page.around(items, plate["length"] / plate["width"]), where).walk(
                page, items, views[1:]
            )

        return replace(claim(below), where=where, more=drawn)

    def overview(self) -> Iterator[Claim]:
        """When each plate is begun, goes on and is done; its settings in the order of work."""
        begun, passed = {}, 0.0
        for cut in self.cuts:
            begun[cut["number"]] = passed
            passed += math.fsum(cut["minutes"].values())
            begun[-cut["number"]] = passed
        of: dict[str, list[int]] = {}
        for cut in self.cuts:
            of.setdefault(cut["plate"], []).append(cut["number"])

        def mark(what: str, number: int, end: int = 1) -> str:
            at = begun[end * number]
            return f"{what} with cut {number}" + (f" at about {about(at)}" if at else "")

        for name, numbers in of.items():
            plate = self.plates[name]
            back = [later for one, later in pairwise(numbers) if later != one + 1][:1]
            marks = [
                mark("begins", numbers[0]),
                *(mark("goes on", each) for each in back),
                mark("is done", numbers[-1], -1),
            ]
            yield claim(f"Plate {name} ({printed(plate['stock'])}, {self.plate_size(plate)}) {', '.join(marks)}.")
        yield claim(f"All of it takes about {about(self.plan['totals']['minutes'])}.")
        for name in of:
            yield claim(f"Plate {name}")
            for run in self.runs():
                if run[0]["plate"] == name:
                    cut = run[0]
                    set_to = self.reading(cut) if cut["located"] == "fence" else f"scribe {self.scribe(cut)}"
                    what = [";", (shortened(self.what(run)),)] if self.what(run) else []
                    yield claim(f"{self.numbers(run)}: {set_to}, {self.stops(cut)}", *what)

    # -- cuts --

    def work(self) -> Iterator[Claim]:
        """Every cut, with what stays as it was before it: a run of several under its head, in the full form."""
        turns = list(self.in_turn())
        for run in self.runs():
            first = run[0]["number"] - 1
            where = f"cut {first + 1}"
            for cut, before, *_ in turns[first : first + len(run)]:
                yield from (replace(each, where=where) for each in self.torch(cut, before))
            if self.form == "full" and len(run) > 1:
                yield from self.run(run, turns)
                continue
            told = self.block if self.form == "full" else self.row
            for cut, *state in turns[first : first + len(run)]:
                goes_on = self.form == "short" and cut is not run[0]
                for each in self.further(run, cut, state) if goes_on else told(cut, *state):
                    yield replace(each, where=f"cut {cut['number']}")

    def runs(self) -> list[list[dict[str, Any]]]:
        """Cuts made without touching fence, end stop, speed or process; those of the plan file must be the same."""
        found: list[list[dict[str, Any]]] = []
        for cut in self.cuts:
            if found and self.goes_on(found[-1][-1], cut):
                found[-1].append(cut)
            else:
                found.append([cut])
        held = [tuple(run["cuts"]) for run in self.plan.get("runs") or ()]
        if held and held != [(run[0]["number"], run[-1]["number"]) for run in found]:
            raise AstrayError("the plan's runs are not those of its cuts")
        for run, each in zip(self.plan.get("runs") or (), found, strict=False):
            agree(run["count"], len(each), "cuts of a run")
            agree(run["end_stop"], each[-1]["passes"][-1]["end_stop"], "end stop of a run")
            agree(run["fence_reading"] or 0, each[0]["fence_reading"] or 0, "reading of a run")
        return found

    def goes_on(self, before: dict[str, Any], cut: dict[str, Any]) -> bool:
        stop = before["passes"][-1]["end_stop"]
        keys = ("plate", "located", "fence_reading", "travel_speed", "dial")
        return (
            cut["located"] == "fence"
            and all(before[key] == cut[key] for key in keys)
            and all(each["end_stop"] == stop for each in cut["passes"])
        )

    def numbers(self, run: list[dict[str, Any]]) -> str:
        return f"{run[0]['number']}–{run[-1]['number']}" if len(run) > 1 else str(run[0]["number"])

    def fallen(self, run: list[dict[str, Any]]) -> list[dict[str, Any]]:
        """Parts that fall in a run, left before right."""
        made = (self.pieces[name] for cut in run for name in reversed(cut["makes"]) if name is not None)
        return [piece for piece in made if piece["kind"] == "part"]

    def what(self, run: list[dict[str, Any]]) -> str:
        names = [piece["part"] for piece in self.fallen(run)]
        counted = ((name, names.count(name)) for name in dict.fromkeys(names))
        return printed(", ".join(f"{name} × {count}" if count > 1 else name for name, count in counted))

    def torch(self, cut: dict[str, Any], before: dict[str, Any] | None) -> Iterator[Claim]:
        """How the torch is set up where the process is another than before."""
        process = self.plates[cut["plate"]]["process"]
        stays = before is not None and self.plates[before["plate"]]["process"] == process
        by_hand = self.plan["stripplan_version"] == "0"  # such plans say nothing of the torch
        if not (by_hand or self.plan["stripplan_version"].startswith("0.1.")) and cut["setup"]["process"] is stays:
            raise AstrayError(f"cut {cut['number']}: the torch is set up without need, or not where there is need")
        if stays:
            return
        given = next(each for each in self.rig["processes"] if each["name"] == process)

        def told(value: Any, unit: str) -> str:
            return "not given" if value is None else f"{value:g} {unit}"

        air = given.get("air_pressure")
        pressed = told(None if air is None else round(air * 14.5038), "psi") if self.units == "in" else told(air, "bar")
        off = given.get("stand_off")
        height = "not given" if off is None else self.given(off) + " mm" * (self.units == "mm")
        day = given.get("kerf_measured_on")
        known = f"measured {day}" if day else "ESTIMATED" if given.get("estimated") else "not measured"
        kerf = self.fine(cut["kerf"]) if self.units == "in" else self.long(cut["kerf"])
        title = "CHANGE TO" if before is not None else "TORCH FOR"
        yield claim(
            f"{title} {printed(process)}:",
            f"current {told(given.get('current'), 'A')}, tip {given.get('tip') or 'not given'},"
            f" stand-off {height}, air {pressed}, post-flow {told(self.rig['post_flow'], 's')}, kerf {kerf}, {known};"
            f" {self.speed(cut)}, that is {self.timed(cut)}.",
        )

    def timed(self, cut: dict[str, Any]) -> str:
        """Seconds over a marked distance."""
        over = 20 * INCH if self.units == "in" else 500
        return f"{over / cut['travel_speed'] * 60:.0f} s over {'20 in' if self.units == 'in' else '500 mm'}"

    def dry_run(self, cut: dict[str, Any]) -> list[Claim]:
        return [claim("DRY RUN, trigger unplugged.")] if cut["setup"].get("dry_run") else []

    def run(self, run: list[dict[str, Any]], turns: list[Any]) -> Iterator[Claim]:
        """The block of a run: head, rows beside its picture, picture, further rows."""
        first, where = run[0], f"cut {run[0]['number']}"
        _, before, unset, _ = turns[first["number"] - 1]
        (_, reading), (_, stops), _ = self.figures(first, before, unset)
        sizes = {self.size(piece) for piece in self.fallen(run)}
        what = f": {self.what(run)}" if self.what(run) else ""
        size = f"; {sizes.pop()}" if len(sizes) == 1 else ""
        yield replace(claim(f"cuts {self.numbers(run)}{self.big(first, before, unset)}"), where=where)
        yield from (replace(each, where=where) for each in self.dry_run(first))
        yield replace(claim(f"{len(run)} cuts{what}{size}.", self.laid(first, before)), where=where)
        yield from (replace(claim(each), where=where) for each in self.hold(first))
        if self.marks(first, False):
            raise AstrayError(f"{where}: a marked cut is no run of several")
        yield from (replace(each, where=where) for each in self.long_cut(first, before))
        if self.alike(run):
            yield replace(claim(f"Measure each part {self.measures(first)[0][1]}."), where=where)
        again = f"cuts, still {self.numbers(run)} same fence {reading} same stop {stops}"
        lie = self.lie(first)
        names = self.pictured(first)
        picture = rf"(?:FENCE\s*start\s*(?:stop|1\s*2)\s*{lie.right}\s*{lie.left}\s*{lie.start}\s*{lie.end})"
        for cut in run:
            state = list(turns[cut["number"] - 1][1:])
            between = (rf"(?:{names}\s*{picture}\s*)?(?:{loose(again)}\s*)?",)
            for n, each in enumerate(self.about(run, cut, state)):
                if n == 0:
                    whole = re.compile(rf"{between[0]}\b{cut['number']}\s*{each.pattern.pattern}")
                    each = replace(each, pattern=whole)
                yield replace(each, where=f"cut {cut['number']}")

    def pictured(self, cut: dict[str, Any]) -> str:
        """A pattern of what the picture of a run calls the pieces left and right of the torch."""
        found = []
        for name in reversed(cut["makes"]):
            if name is None:
                continue
            piece = self.pieces[name]
            stays = self.doing(cut, piece).startswith("stays")
            words = {"part": "part", "scrap": "scrap", "blank": "rest" if stays else "piece"}.get(piece["kind"], name)
            called = [printed(self.part_name(piece["part"]))] if piece["kind"] == "part" else []
            called += [name] * (piece["kind"] == "scrap")
            found.append("|".join(map(shortened, [*called, words])))
        return r"\s*".join(f"(?:{each})" for each in found)

    def alike(self, run: list[dict[str, Any]]) -> bool:
        """One part a cut on the side of the first, of one name and band: the band is told once."""
        name = run[0]["makes"][0]
        hand = 0 if name is not None and self.pieces[name]["kind"] == "part" else 1
        found = set()
        for cut in run:
            name, told = cut["makes"][hand], self.measures(cut)
            if name is None or self.pieces[name]["kind"] != "part" or not told or told[0][0] != name:
                return False
            found.add((self.pieces[name]["part"], told[0][1]))
        return len(found) == 1

    def further(self, run: list[dict[str, Any]], cut: dict[str, Any], state: list[Any]) -> Iterator[Claim]:
        """The row of the short form of a cut that goes on with a run."""
        (fence, reading), (stop, stops), _ = self.figures(cut, state[0], state[1])
        yield claim(f"cut {cut['number']} {fence} {reading} {stop.replace(' end', '')} {stops}")
        yield from self.about(run, cut, state)

    def about(self, run: list[dict[str, Any]], cut: dict[str, Any], state: list[Any]) -> Iterator[Claim]:
        """A row of a run: the piece, what is done before, what is new; then what falls, with its width."""
        before = state[0]
        yield from self.bring_it(cut, before)
        if cut is not run[0] and before is not None:
            yield from self.dry_run(cut)
            one, other = self.lie(cut), self.lie(before)
            face = cut["passes"][0]["face_up"] != before["passes"][0]["face_up"]
            if face or (one.right, one.start) != (other.right, other.start):
                yield claim(self.laid(cut, before))
            if self.hold(cut) != self.hold(before):
                yield from map(claim, self.hold(cut))
            yield from self.long_cut(cut, before)
        yield from map(claim, [f"REST {each}." for each in self.rest(cut)])
        yield from map(claim, self.passes(cut) if self.form == "full" else self.passes_in_few(cut))
        yield from self.after(run, cut)

    def after(self, run: list[dict[str, Any]], cut: dict[str, Any], *, alone: bool = False) -> Iterator[Claim]:
        """What falls, with what it measures; of a cut by itself also what stays."""
        widths = dict(self.measures(cut))
        for side, hand in (("Left:", 1), ("Right:", 0)):
            name = cut["makes"][hand]
            if name is None:
                yield claim(side, *self.fall(cut, hand))
                continue
            fallen, width = self.pieces[name], [f"{widths[name]}; is _______"] if name in widths else []
            if fallen["kind"] == "part" and not alone and self.alike(run) and name == next(iter(widths)):
                yield claim(f"{name} is ________")
            elif fallen["kind"] == "part":
                yield claim(side, (shortened(self.called(fallen)),), f"({name}):", *(width or ["done"]))
            elif not self.doing(cut, fallen).startswith("stays"):
                yield claim(side, *self.gone(cut, hand, width))
            elif alone or width:
                yield claim(f"{side} {name} stays{':' if width else '.'}", *width)

    def gone(self, cut: dict[str, Any], hand: int, width: list[str]) -> list[Any]:
        """What leaves the bed and is no part: a piece put aside has its size only where it is not measured;
        no chalk, no size of scrap.
        """
        piece = self.pieces[cut["makes"][hand]]
        doing = self.doing(cut, piece).removeprefix("chalk it, ")
        if piece["kind"] == "blank":
            return [f"{piece['id']}, {doing}." if width else f"{piece['id']}, {self.size(piece)}: {doing}.", *width]
        if piece["kind"] == "scrap" and not width:
            return [f"{piece['id']}, {doing}."]
        return [*self.fall(cut, hand), *width]

    def bring_it(self, cut: dict[str, Any], before: Any) -> Iterator[Claim]:
        """The piece: its size where it is fetched, its mass where one may not lift it; then what is done with it."""
        piece, steps = self.pieces[cut["piece"]], self.steps(cut, before, origin=False)
        size = f", {self.size(piece)}" if cut["setup"]["fetch"] else ""
        two = f", {self.kilograms(piece['mass'])}, {self.lifted_by(piece)}".removesuffix(" or hoist") * self.two(piece)
        yield claim(f"{piece['id']}{size}{two}{':' if steps else '.'}")
        yield from map(claim, steps)

    def laid(self, cut: dict[str, Any], before: Any) -> str:
        """Face, edge on the fence, edge at the start line:
        each where it is new, an edge also where another cut has made it.
        """

        def fence(each: dict[str, Any]) -> str:
            return self.edge(self.pieces[each["piece"]], self.lie(each).right) if each["located"] == "fence" else ""

        def start(each: dict[str, Any]) -> str:
            return self.edge(self.pieces[each["piece"]], self.lie(each).start)

        lie, up, told = self.lie(cut), cut["passes"][0]["face_up"], []
        if cut["setup"]["fetch"] and self.pieces[cut["piece"]]["parent"] is None:
            on = f"fence {fence(cut)}, " if fence(cut) else ""
            return f"{'TOP' if up else 'UNDER'} face up, {on}start {start(cut)}."
        if before is None or before["passes"][0]["face_up"] != up:
            told.append(f"{'TOP' if up else 'UNDER'} face up")
        if fence(cut) and (before is None or fence(cut) != fence(before)):
            told.append(f"fence {lie.right}")
        if before is None or start(cut) != start(before):
            told.append(f"start {lie.start}")
        words = ", ".join(told)
        return f"{words[0].upper()}{words[1:]}." if told else ""

    def long_cut(self, cut: dict[str, Any], before: Any) -> Iterator[Claim]:
        """How long the cut is, where that is new."""
        if before is None or self.cutting(cut) != self.cutting(before):
            yield claim(f"Cut {self.cutting(cut).replace(', one pass', '')}")

    def in_turn(self) -> Iterator[tuple[dict[str, Any], dict[str, Any] | None, bool, bool]]:
        """Each cut with the one before it, whether the fence stands nowhere,
        and whether it is in the way of the piece.
        """
        before: dict[str, Any] | None = None
        fence: float | None = None
        for cut in self.cuts:
            reach = self.to_fence(cut) if cut["located"] == "marked" else 0.0
            in_the_way = cut["located"] == "marked" and (fence is None or reach > fence - 0.01)
            yield cut, before, fence is None, in_the_way
            fence = cut["fence_offset"] if cut["located"] == "fence" else None if in_the_way else fence
            before = cut

    def figures(self, cut: dict[str, Any], before: dict[str, Any] | None, unset: bool) -> list[tuple[str, str]]:
        """Fence or scribed distance, end stop, speed: each with its label."""

        def how(new: bool) -> str:
            return "SET" if new else "same"

        dial = cut["dial"] is not None
        speed = f"{cut['dial']:g}" if dial else self.speed(cut).split()[0]
        old = None if before is None else (before["dial"], self.speed(before))
        word = f"dial, {self.speed(cut)}" if dial else self.speed(cut).split()[1]
        new = old is None or (old[0] != cut["dial"] if dial else old[1] != self.speed(cut))
        if before is not None and not new:  # what is not said again is as it was
            agree(cut["travel_speed"], before["travel_speed"], f"cut {cut['number']}, speed", 0.5)
        if cut["located"] == "fence":
            where = f"{how(cut['setup']['fence'] or unset)} fence", self.reading(cut)
        else:
            where = f"SCRIBE from {letter_of(self.pieces[cut['piece']], cut['marks']['edge'])}", self.scribe(cut)
        stop = f"{how(cut['setup']['end_stop'])} end stop", self.stops(cut)
        return [where, stop, (f"{how(new)} {word}", speed)]

    def rest(self, cut: dict[str, Any]) -> list[str]:
        return [f"{clock(cut['rest_before'])} before the arc"] if cut["rest_before"] * 60 > 0.5 else []

    def piece(self, cut: dict[str, Any]) -> str:
        piece = self.pieces[cut["piece"]]
        return (
            f"{piece['id']}, {self.size(piece)}, {self.kilograms(piece['mass'])}"
            + f", {self.lifted_by(piece)}".removesuffix(" or hoist") * self.two(piece)
        )

    def lay(self, cut: dict[str, Any]) -> str:
        piece, lie = self.pieces[cut["piece"]], self.lie(cut)
        face = "TOP" if cut["passes"][0]["face_up"] else "UNDER"
        fence = f" fence: {self.edge(piece, lie.right)};" if cut["located"] == "fence" else ""
        return f"{face} face up;{fence} start: {self.edge(piece, lie.start)}."

    def cutting(self, cut: dict[str, Any]) -> str:
        return f"{self.long(cut['length'])} long, {'one pass' if len(cut['passes']) == 1 else 'TWO PASSES'}."

    def big(self, cut: dict[str, Any], before: Any, unset: bool) -> str:
        """The big figures behind the number: plate and speed only where they are new."""
        (where, reading), (stop, stops), (speed, mark) = self.figures(cut, before, unset)
        plate = f" plate {cut['plate']}" if before is None or before["plate"] != cut["plate"] else ""
        fast = f" {speed} {mark} {self.timed(cut)}" if speed.startswith("SET") else ""
        return f"{plate} {where} {reading} {stop.replace('end ', '')} {stops}{fast}"

    def block(self, cut: dict[str, Any], before: Any, unset: bool, in_the_way: bool) -> Iterator[Claim]:
        """The block of the full form, with its small picture."""
        yield claim(f"cut {cut['number']}{self.big(cut, before, unset)}")
        yield from self.dry_run(cut)
        yield from self.bring_it(cut, before)
        yield claim(self.laid(cut, before), *self.hold(cut), *self.marks(cut, in_the_way))
        yield from self.long_cut(cut, before)
        yield from map(claim, [f"REST {each}" for each in self.rest(cut)])
        yield from map(claim, self.passes(cut))
        yield from self.after([cut], cut, alone=True)
        yield self.picture(cut)

    def picture(self, cut: dict[str, Any]) -> Claim:
        """Names left and right of the torch, the passes, the letters right, left, at the start and at the end."""
        lie, parts = self.lie(cut), []
        for name in reversed(cut["makes"]):
            if name is None:
                continue
            piece = self.pieces[name]
            kinds = {"part": shortened(self.called(piece)) if self.called(piece) else "", "scrap": "scrap"}
            parts.append((*filter(None, [kinds.get(piece["kind"])]), re.escape(name)))
        fence = "FENCE" if cut["located"] == "fence" else "no fence"
        ways = "stop" if len(cut["passes"]) == 1 else "1 2"
        return claim(*parts, f"{fence} start {ways} {lie.right} {lie.left} {lie.start} {lie.end}")

    def row(self, cut: dict[str, Any], before: Any, unset: bool, in_the_way: bool) -> Iterator[Claim]:
        """The row of the short form: figures, then what is new in words."""
        (where, reading), (stop, stops), (speed, mark) = self.figures(cut, before, unset)
        where = where.replace(" from", "")
        yield claim(f"cut {cut['number']} {where} {reading} {stop.replace(' end', '')} {stops}")
        if before is None or before["plate"] != cut["plate"]:
            yield claim(f"Plate {cut['plate']}.")
        yield from self.dry_run(cut)
        steps = self.steps(cut, before)
        yield claim(f"{self.piece(cut)}{':' if steps else '.'}")
        yield from map(claim, steps)
        if speed.startswith("SET"):
            yield claim(f"{speed} {mark} ({self.timed(cut)}).")
        face = before is None or before["passes"][0]["face_up"] != cut["passes"][0]["face_up"]
        lay = self.lay(cut) if face else self.lay(cut).partition("face up; ")[2]
        yield claim(lay, *self.marks(cut, in_the_way), *self.hold(cut))
        if before is None or self.cutting(cut) != self.cutting(before):
            yield claim(self.cutting(cut))
        yield from map(claim, [f"REST {each}." for each in self.rest(cut)])
        yield from map(claim, self.passes_in_few(cut))
        yield from self.after([cut], cut, alone=True)

    # -- the cut list --

    def cells(self) -> Iterator[list[str]]:
        """The rows of the cut list, cell by cell."""
        for cut, before, _, in_the_way in self.in_turn():
            piece, lie, fence = self.pieces[cut["piece"]], self.lie(cut), cut["located"] == "fence"
            yield [
                str(cut["number"]), cut["plate"], piece["id"], self.size(piece),
                clock(cut["rest_before"]) if cut["rest_before"] * 60 > 0.5 else "",
                "; ".join(self.bring(cut)), "; ".join(self.dress(cut)),
                self.reading(cut) if fence else "marks", self.long(cut["fence_offset"]) if fence else "",
                "".join(f"{each} Torch centre over both." for each in self.marks(cut, in_the_way)),
                "; ".join(self.at_the_fence(cut, before)),
                self.edge(piece, lie.right) if fence else "no edge: follow the marks", self.edge(piece, lie.start),
                self.stops(cut), "" if cut["dial"] is None else f"{cut['dial']:g}",
                self.speed(cut), self.cutting(cut).rstrip("."), "; ".join(self.passes(cut)),
                self.falls(cut, 0), self.falls(cut, 1),
                f"{math.fsum(cut['minutes'].values()):.2f}",
                next(self.numbers(run) for run in self.runs() if cut in run),
            ]  # fmt: skip

    def falls(self, cut: dict[str, Any], hand: int) -> str:
        name = cut["makes"][hand]
        if name is None:
            return ""
        piece = self.pieces[name]
        called = self.called(piece, onto=str)
        return f"{f'{called} ({name})' if called else name} {self.size(piece)}: {self.doing(cut, piece)}"

    # -- lists after the cuts --

    def lines(self) -> Iterator[tuple[dict[str, Any], list[str], float]]:
        """Each line of the part list, what was made of it, and its allowance."""
        for line in self.plan["parts"]:
            given = next((each for each in self.job["parts"] if each["name"] == line["name"]), {})
            made = [
                each["id"] for each in self.plan["pieces"] if each["kind"] == "part" and each["part"] == line["name"]
            ]
            agree(line["made"], len(made), f"{line['name']}, made")
            agree(line["wanted"], 0 if line["filler"] else given["quantity"], f"{line['name']}, wanted")
            width, length = line["size_wanted"]
            agree(width, given["width"], f"{line['name']}, width")
            if length is not None:
                agree(length, given["length"], f"{line['name']}, length")
            yield line, made, given.get("allowance") or 0.0

    def size_of(self, line: dict[str, Any], over: float) -> str:
        width, length = line["size_wanted"]
        extra = f" (cut {self.long(over)} over on each edge" if over else ""
        return f"{self.long(length) if length is not None else 'as the plate'} × {self.long(width)}{extra}"

    def parts(self) -> Iterator[Claim]:
        yield from self.of_all_sizes()
        for line, made, over in self.lines():
            count = f"filler, {line['made']}" if line["filler"] else f"{line['wanted']}, {line['made']}"
            short = " SHORT" if line["made"] < line["wanted"] else ""
            yield claim(f"{printed(line['name'])} {count}{short} {self.size_of(line, over)}")
            yield claim(self.expected(line, made, over), *self.truth(line))
            yield from self.trueness(line)
            for each in made:
                yield claim(f"☐ {each}")

    def expected(self, line: dict[str, Any], made: list[str], over: float) -> str:
        """The distinct sizes that the chains of readings leave, the allowance taken off; length first on paper."""
        sizes = [tuple(each) for each in line["size_expected"]]
        wanted, lengths = line["size_wanted"], line["size_wanted"][1] is not None
        reckoned = set()
        for name in made:
            x, y = self.chains[name].size
            ways = [(y - 2 * over, x - 2 * over * lengths), (x - 2 * over, y - 2 * over * lengths)]
            fit = [way for way in ways for size in sizes if math.dist(way, size) < 2e-3]
            if not fit:
                raise AstrayError(f"{name} of {wanted} will measure {ways[0]}, which the plan does not expect")
            reckoned |= {size for size in sizes for way in ways if math.dist(way, size) < 2e-3}
        if reckoned != set(sizes):
            raise AstrayError(f"{line['name']}: nothing made measures {set(sizes) - reckoned}")
        return "; ".join(f"{self.fine(long)} × {self.fine(wide)}" for wide, long in sizes)

    def truth(self, line: dict[str, Any]) -> list[str]:
        found = ", ".join(f"{each['of']} ±{self.fine(each['likely'])}" for each in line["accuracy"])
        return [f"({found})"] if found else []

    def most_of_all(self) -> str:
        """What most of a doubt comes from, where it is one thing for all sizes."""
        told = {most_of(each) for line in self.plan["parts"] for each in line["accuracy"]}
        return told.pop() if len(told) == 1 else ""

    def of_all_sizes(self) -> Iterator[Claim]:
        """What is said once of how true sizes are."""
        if any(line["accuracy"] for line in self.plan["parts"]):
            most = self.most_of_all()
            told = [f"Most of what sizes may be off comes from {most}."] if most else []
            classes = "9013, 2768-1: classes of ISO 9013 and ISO 2768-1 that are likely met; * as a yardstick."
            yield claim(*told, classes)

    def trueness(self, line: dict[str, Any]) -> Iterator[Claim]:
        told: dict[tuple[str, ...], list[str]] = {}
        for each in line["accuracy"]:
            asked = (
                [f"; ±{self.given(each['asked'])} asked: {'likely kept' if each['met'] else 'NOT LIKELY KEPT'}"]
                if each["asked"]
                else []
            )
            most = "" if self.most_of_all() else f"; most of it from {most_of(each)}"
            classes = each["classes"].replace(" (outside its scope: a yardstick)", "*")
            for standard, number in (("ISO 9013 class", "9013:"), ("ISO 2768-1 class", "2768-1:")):
                classes = classes.replace(standard, number)
            words = (
                f"±{self.fine(each['likely'])} likely, ±{self.fine(each['worst'])} at worst", *asked,
                f"{most}; {classes}",
            )  # fmt: skip
            told.setdefault(words, []).append(each["of"])
        for words, sizes in told.items():
            yield claim(f"{' and '.join(sizes)}:", *words)
        if (bow := line["bow"]) is not None:
            words = f"bow: about {self.fine(bow['bow'])} ({self.fine(bow['low'])} to {self.fine(bow['high'])};"
            limit = [f"; {self.fine(bow['limit'])} allowed"] if bow["limit"] is not None else []
            yield claim(words, "as measured)" if bow["calibrated"] else "a model)", *limit)
        if (hot := line.get("touch_minutes")) is not None:
            yield claim(f"too hot for bare hands for about {about(hot)} after its cuts")

    def offcuts(self) -> Iterator[Claim]:
        yield claim("Offcuts to register")
        for each in self.plan["pieces"]:
            if each["kind"] == "offcut":
                yield claim(f"☐ {each['id']} {self.left(each)}")
        if any(each["kind"] == "scrap" for each in self.plan["pieces"]):
            long, short = sorted(self.job["options"]["keep"], reverse=True)
            yield claim(f"What is left below {self.long(long)} × {self.long(short)} goes to the scrap bin:",
                        "`keep` in [options], or `stripplan rack keep`, sets it.")  # fmt: skip

    def costs(self) -> Iterator[Claim]:
        """Quantity times price is the amount, to the cent; lines and parts add up to the total."""
        quoted = self.plan["quotation"]
        if quoted is None:
            return
        yield claim("What it costs")
        for line in quoted["lines"]:
            agree(line["amount"], line["quantity"] * line["price"], f"cost of {line['what']}", 0.0051)
            yield claim(
                printed(line["what"]),
                f"{line['quantity']:,.2f} {line['unit']} {line['price']:,.4g} {line['amount']:,.2f}",
                line["how"],
            )  # fmt: skip
            if line["what"] == "time at the rig":
                agree(line["quantity"], self.plan["totals"]["minutes"] / 60, "hours at the rig")
        for key in ("lines", "parts"):
            name = {"lines": "amount", "parts": "total"}[key]
            agree(quoted["total"], math.fsum(each[name] for each in quoted[key]), f"total of the {key}", 1e-3)
        yield claim(f"total {quoted['total']:,.2f} {quoted['currency']}")
        for part in quoted["parts"]:
            line = next(each for each in self.plan["parts"] if each["name"] == part["name"])
            agree(part["made"], line["made"], f"{part['name']}, made and paid for")
            each = 0.0 if part["each"] is None else part["each"]
            agree(each * part["made"], part["total"], f"cost of each {part['name']}", 0.005 * part["made"] + 1e-6)
            agree(part["total"], math.fsum(part["amounts"]), f"shares of {part['name']}", 1e-3)
            shown = "-" if part["each"] is None else f"{each:,.2f}"
            yield claim(f"{printed(part['name'])} {part['made']} {shown} {part['total']:,.2f}")
        yield from map(claim, (*quoted["left_out"], quoted["how"]))


View = tuple["Page", list["Item"], "Item | None"]
"""A page, the items of one drawing on it, and the words over it, where it is a detail."""

DETAIL = re.compile(r"Detail ([E-Z]), (\d+\.\d) × as large")


def in_views(pages: list[tuple[Page, list[Item]]]) -> Iterator[View]:
    """The drawing of a plate, then its details one by one."""
    page, head, found = pages[0][0], None, list[Item]()
    for each, items in pages:
        for item in items:
            if DETAIL.fullmatch(item.text.strip()):
                yield page, found, head
                page, head, found = each, item, []
            else:
                found.append(item)
    yield page, found, head


@dataclass
class Drawing:
    """The drawing of a plate on a page: everything written is at its place on the plate."""

    reckoning: Reckoning
    plate: dict[str, Any]
    outline: tuple[Point, ...]
    where: str

    def __post_init__(self) -> None:
        self.mine = [cut for cut in self.reckoning.cuts if cut["plate"] == self.plate["id"]]
        ends = ("part", "offcut", "scrap")
        self.ends = [
            each for each in self.reckoning.plan["pieces"] if each["plate"] == self.plate["id"] and each["kind"] in ends
        ]

    def on_plate(self, at: Point) -> Point:
        """Where a point of the paper lies on the plate [mm]:
        its outline is drawn first, from its origin along its length.
        """
        origin, along, _, up = self.outline
        found = []
        for end, size in ((along, self.plate["length"]), (up, self.plate["width"])):
            dx, dy = end[0] - origin[0], end[1] - origin[1]
            found.append(((at[0] - origin[0]) * dx + (at[1] - origin[1]) * dy) / (dx * dx + dy * dy) * size)
        return found[0], found[1]

    @property
    def point(self) -> float:
        """A point of the paper [mm of plate]."""
        return float(self.plate["length"] / math.dist(*self.outline[:2]))

    def walk(self, page: Page, items: list[Item], details: list[View]) -> None:
        """Each item is a figure of the plate, a letter, a label, a position or a cut's number;
        nothing is left or missing. What is not written here is written in a detail.
        """
        corners = self.outline
        shape = math.dist(corners[0], corners[1]) / math.dist(corners[1], corners[2])
        agree(shape, self.plate["length"] / self.plate["width"], f"{self.where}, shape of the plate", 1e-3)
        frames = {letter: frame for item in items if (letter := item.text.strip()) for frame in page.frames
                  if item.centred and len(letter) == 1 and near_middle(item.at, frame)}  # fmt: skip
        numbers, around, labels = self.read(
            [each for each in items if not (each.centred and each.text.strip() in frames)]
        )
        written = [labels]
        for each in details:
            own = self.detail(each, frames)
            more, beside, further = own.read(each[1])
            if beside or len(set(more)) != len(more):
                raise AstrayError(f"{own.where}: {beside}, {more}")
            numbers, written = [*numbers, *more], [*written, further]
        if sorted(frames) != sorted(DETAIL.fullmatch(each.text.strip())[1] for *_, each in details if each):
            raise AstrayError(f"{self.where}: frames {sorted(frames)} and {len(details)} details")
        wanted = [cut["number"] for cut in self.mine]
        if sorted(set(numbers)) != wanted or (not details and len(numbers) != len(wanted)):
            raise AstrayError(f"{self.where}: numbers {sorted(numbers)} for cuts {wanted}")
        missing = {"length", "width", "A", "B", "C", "D"} - set(around)
        if missing or len(set(around)) != len(around):
            raise AstrayError(f"{self.where}: {sorted(around)} stand around the plate")
        for each in self.ends:
            told = [lines[each["id"]] for lines in written if lines[each["id"]]]
            for lines in told or [[]]:
                self.label(each, lines)

    def read(self, items: list[Item]) -> tuple[list[int], list[str], dict[str, list[str]]]:
        """Numbers of cuts, what stands around the plate, and the lines on each piece."""
        labels: dict[str, list[str]] = {each["id"]: [] for each in self.ends}
        numbers: list[int] = []
        around: list[str] = []
        for item in items:
            text = " ".join(item.text.split())
            if item.centred:
                x, y = self.on_plate(item.at)
                inside = 0 <= x <= self.plate["length"] and 0 <= y <= self.plate["width"]
                if inside:
                    labels[self.piece_at(x, y, text)].append(text)
                else:
                    around.append(self.outside(x, y, text))
            else:
                numbers.append(self.cut_at(item, text))
        return numbers, around, labels

    def detail(self, view: View, frames: dict[str, Rectangle]) -> Drawing:
        """A detail as a drawing of the whole plate, as its frame and that of its region say that it lies, and as large
        as it says."""
        page, _, head = view
        said = DETAIL.fullmatch(head.text.strip()) if head else None
        if head is None or said is None or said[1] not in frames:
            raise AstrayError(f"{self.where}: no frame for {head}")
        where = f"{self.where}, detail {said[1]}"
        below = [each for each in page.frames if abs(each[0] - head.at[0]) < 1 and 0 < head.at[1] - each[3] < 12]
        if len(below) != 1:
            raise AstrayError(f"{where}: {len(below)} frames below its words")
        (x0, y0, x1, y1), region = below[0], frames[said[1]]
        times = (x1 - x0) / (region[2] - region[0])
        agree(times, (y1 - y0) / (region[3] - region[1]), f"{where}, across and up", 0.02 * times)
        agree(times, float(said[2]), f"{where}, how large", 0.06)

        def moved(at: Point) -> Point:
            return x0 + (at[0] - region[0]) * times, y0 + (at[1] - region[1]) * times

        return Drawing(self.reckoning, self.plate, tuple(map(moved, self.outline)), where)

    def piece_at(self, x: float, y: float, text: str) -> str:
        for each in self.ends:
            x0, y0, x1, y1 = box(each)
            if x0 <= x <= x1 and y0 <= y <= y1:
                return str(each["id"])
        raise AstrayError(f"{self.where}: {text!r} stands on no piece")

    def outside(self, x: float, y: float, text: str) -> str:
        """A dimension along its edge, the letter of an edge beside it,
        or how far a torch line runs from edge A or D.
        """
        long, wide, off = self.plate["length"], self.plate["width"], 2 * self.point
        sides = {"A": y < 0, "B": x > long, "C": y > wide, "D": x < 0}
        if sides.get(text):
            return text
        if text == self.reckoning.long(long) and y < 0 and abs(x - long / 2) < off:
            return "length"
        if text == self.reckoning.long(wide) and x > long and abs(y - wide / 2) < off:
            return "width"
        for cut in self.mine:
            axis = self.reckoning.axis(cut)
            at = cut["line"][0][axis]
            if text == f"{'DA'[axis]} {self.reckoning.long(at)}" and abs((x, y)[axis] - at) < off:
                return text
        raise AstrayError(f"{self.where}: {text!r} at ({x:.0f}, {y:.0f}) is no figure of the plate")

    def cut_at(self, item: Item, text: str) -> int:
        """A number stands on the line of the cut that bears it;
        half a line's height and width are guessed from the size of its letters.
        """
        middle = item.at[0] + 0.31 * item.size * len(text), item.at[1] + 0.36 * item.size
        x, y = self.on_plate(middle)
        for cut in self.mine:
            (ax, ay), (bx, by) = cut["line"]
            along = ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / cut["length"]
            aside = abs((x - ax) * (by - ay) - (y - ay) * (bx - ax)) / cut["length"]
            if text == str(cut["number"]) and aside < 2 * self.point and -self.point < along < cut["length"]:
                return int(text)
        raise AstrayError(f"{self.where}: {text!r} at ({x:.0f}, {y:.0f}) is on no cut of that number")

    def label(self, piece: dict[str, Any], lines: list[str]) -> None:
        """Name and size, longer side first; name, size or id alone where there is no room; scrap may have none."""
        x0, y0, x1, y1 = box(piece)
        long, short = max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)
        size = f"{self.reckoning.long(long)} x {self.reckoning.long(short)}"
        if piece["kind"] == "part":
            name = self.reckoning.part_name(piece["part"])
            names = [printed(name), printed(name if len(name) <= 14 else name[:13] + "…")]
        else:
            names = [piece["kind"]]
        names += [_NUMBERED.sub("?", each) for each in names]
        names = [" ".join(each.split()) for each in names]
        words = printed(self.reckoning.part_name(piece["part"])).split() if piece["kind"] == "part" else []
        broken = [[" ".join(words[:at]), " ".join(words[at:])] for at in range(1, len(words))]
        allowed = [*broken, *([*each, size] for each in broken)]
        allowed += [[f"{each} {size}"] for each in names] + [[each, size] for each in names] + [[piece["id"]]]
        allowed += {"part": [[each] for each in names], "offcut": [[size]], "scrap": [[size], []]}[piece["kind"]]
        if lines not in allowed:
            raise AstrayError(f"{self.where}: {piece['id']} bears {lines}, not {allowed[0]}")


def near_middle(at: Point, frame: Rectangle) -> bool:
    """Whether a letter stands in the middle of a frame."""
    return math.dist(at, ((frame[0] + frame[2]) / 2, (frame[1] + frame[3]) / 2)) < 1


# --- what every sheet says, whatever the plan
# ---------------------------------------------------------------------------

FOOT = {
    "full": "Bold: new. Grey: as before. Carriage runs up the page, fence on the right. "
    "Print 7 and 3.5 mm high for 1 and 0.7 m (NUREG-0700, 11.4.1.5).",
    "short": "Bold: new. Grey: as before. Carriage runs up the page, fence on the right. "
    "Print 5 and 2.8 mm high for 0.8 and 0.7 m (NUREG-0700, 11.4.1.5).",
}

SIDES = {"fence": "right, on the fence", "far": "left, away from the fence", "equal": "both alike"}
"""Which edge of a kerf comes out square, by the rig's key."""

_GOES = "Bold: new. Grey: as before. Carriage runs up the page, fence on the right. "
FOOT |= {
    "full in": f"{_GOES}Print 0.28 and 0.14 in high for 40 and 28 in (NUREG-0700, 11.4.1.5).",
    "short in": f"{_GOES}Print 0.2 and 0.11 in high for 32 and 28 in (NUREG-0700, 11.4.1.5).",
}

_BOTH = (
    "5. Edge (cut 3): made by cut 3.",
    "Fetch it (from cut 3):",
    "6. Torch: fit and set",
    "7. Measure across the cut,",
)
HOW = {
    "full": ("How to work by this sheet", "1. Before the first cut of a plate:", "2. Stand at home,",
     "3. Set what says SET.",
             "4. Fence A, start D:", *_BOTH),
    "short": ("How to work by this sheet", "1. Before the first cut of a plate:", "2. Stand at home.",
     "3. Work each row from top to bottom,",
              "4. The edge named after fence", *_BOTH),
}  # fmt: skip

FIRST = ("unequal", "size_class", "coarse_marks", "two_pass_heavy", "stroke_assumed")
"""Warnings that stand first, by their code."""

MOVERS = (
    ("seconds.fence", "fence {} s", "fence"), ("seconds.fence_per_mm", "and {} s/mm", "fence"),
    ("seconds.end_stop", "end stop {} s", "end_stop"), ("seconds.end_stop_per_mm", "and {} s/mm", "end_stop"),
    ("seconds.mitre", "mitre bar {} s", "mitre"), ("seconds.quarter_turn", "quarter turn {} s", "quarter_turn"),
    ("seconds.turn_over", "turning over {} s", "turn_over"), ("seconds.fetch", "fetching {} s", "fetch"),
    ("seconds.push", "pushing up {} s", "push"), ("seconds.clear", "clearing {} s", "clear"),
    ("seconds.scrape_each", "scraping an edge {} s", "dress"), ("seconds.scrape_per_m", "and {} s/m", "dress"),
    ("seconds.dress_per_m", "scraping {} s/m", "dress"), ("seconds.process", "change of process {} s", "process"),
    ("seconds.per_kg", "lifting {} s/kg", "fetch push clear quarter_turn turn_over"),
    ("seconds.finish_per_m", "finishing {} s/m", "finish"),
    ("seconds.two_person", "two people × {}", "two_person"), ("pre_flow", "pre-flow {} s", "pre_flow"),
    ("post_flow", "post-flow {} s", "post_flow"),
)  # fmt: skip
"""Key of the rig, words, and which minutes it moves."""
LENGTHS = (("lead_in", "lead-in"), ("overrun", "overrun"), ("end_stop_step", "end stop to"))

CAUTIONS = (
    "Cautions",
    "Plasma below 300 A: shade 8 at least; 300 to 400 A: 9; 400 to 800 A: 10. Oxygen cutting: shade 3 below {0}, "
    "4 to {1}, 5 above (29 CFR 1910.133(a)(5)).",
    "Move what burns at least 11 m (35 ft) away, or shield it; close gaps in floor and walls. Watch for fire at least "
    "60 minutes after the last cut (NFPA 51B-2019; 29 CFR 1910.252 asks 30).",
    "Never cut a drum, tank or any closed hollow that has not been cleaned and made safe (29 CFR 1910.252(a)(3)).",
    "Open-circuit voltage is commonly 200 to 400 V.",
    "Wear hearing protection: from 80 dB(A) offered, from 85 dB(A) worn (Control of Noise at Work Regulations 2005).",
    "(Directive 2013/35/EU, Article 4(5); makers' manuals).",
    "(29 CFR 1910.243(c); HSE HSG17).",
)


class Walk:
    """A plan's claims, ready to be walked along one sheet or many."""

    def __init__(self, plan: dict[str, Any], form: str = "full", *, by_id: bool = True) -> None:
        self.reckoning, self.form, self.by_id = Reckoning(plan, form), form, by_id
        self.claims = self.reckoning.claims(by_id=by_id)
        self.foot = claim(FOOT[form] if plan["job"]["units"] == "mm" else FOOT[f"{form} in"])
        self._heads: list[Claim] = []

    def along(self, paper: Paper) -> None:
        """AstrayError where the sheet and the plan part."""
        if len(self._heads) != len(paper):
            self._heads = self.reckoning.heads(len(paper), by_id=self.by_id)
        cursor = Cursor(paper, self._heads, self.foot)
        for each in self.claims:
            cursor.take(each)
        cursor.end()
