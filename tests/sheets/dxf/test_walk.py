"""Every entity of a drawing walked back to the plan: read as bare pairs of codes and values, reckoned by hand.

Nothing is left over on either side: each outline, torch line, kerf band, number, figure and dimension belongs to
a piece or a cut of the plan, and each piece and cut is found. Group codes: DXF reference.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from typing import Any

import pytest

from stripplan import plan
from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle, Strip
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.record import to_record
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.sheets.dxf.drawing import job_drawing, plate_drawing
from tests.sheets.plans import PLANS, in_units

Point = tuple[float, float]
Outline = list[Point]
NEAR = 1e-6
"""What a coordinate may be off [mm]."""


# --- the file -------------------------------------------------------------------------------------------------------


@dataclass
class Entity:
    """One entity: its kind and its pairs of group code and value."""

    kind: str
    pairs: list[tuple[int, str]] = field(default_factory=list)

    def text(self, code: int, default: str = "") -> str:
        return next((value for each, value in self.pairs if each == code), default)

    def number(self, code: int, default: float = 0.0) -> float:
        return float(self.text(code, str(default)))

    def point(self, code: int, scale: float = 1.0) -> Point:
        return self.number(code) * scale, self.number(code + 10) * scale

    def points(self, scale: float = 1.0) -> Outline:
        """All points with group codes 10 and 20."""
        return [
            (float(x[1]) * scale, float(y[1]) * scale)
            for x, y in zip(self.pairs, self.pairs[1:], strict=False)
            if (x[0], y[0]) == (10, 20)
        ]

    @property
    def layer(self) -> str:
        return self.text(8)


@dataclass
class File:
    """Units, model space and blocks of a drawing."""

    scale: float
    space: list[Entity]
    blocks: dict[str, list[Entity]]


def opened(data: bytes) -> File:
    """The drawing as pairs; R2000 is in the Western code page, R2007 and later in UTF-8."""
    text = data.decode("utf-8" if b"AC1032" in data[:200] else "cp1252")
    lines = text.split("\n")
    pairs = [(int(code), value) for code, value in zip(lines[::2], lines[1::2], strict=False) if code.strip()]
    units = pairs[pairs.index((9, "$INSUNITS")) + 1][1]
    space: list[Entity] = []
    blocks: dict[str, list[Entity]] = {}
    section, into = "", space
    for (code, value), (_, following) in zip(pairs, [*pairs[1:], (0, "")], strict=True):
        if (code, value) == (0, "SECTION"):
            section = following
        elif section not in ("BLOCKS", "ENTITIES"):
            continue
        elif code == 0:
            if value == "BLOCK":
                into = []
            elif section == "ENTITIES":
                into = space
            into.append(Entity(value))
        elif into:
            into[-1].pairs.append((code, value))
            if into[-1].kind == "BLOCK" and code == 2:
                blocks[value] = into
    inside = {name: [e for e in each if e.kind not in ("BLOCK", "ENDBLK", "ENDSEC")] for name, each in blocks.items()}
    return File({"4": 1.0, "1": 25.4}[units], [e for e in space if e.kind != "ENDSEC"], inside)


# --- figures and shapes, by hand ------------------------------------------------------------------------------------


def shown(mm: float, units: str) -> str:
    """A length to read: mm to hundredths, inches to the nearest 32nd; halves go up."""
    if units == "mm":
        return f"{math.floor(mm * 100 + 0.5 + 1e-9) / 100:.2f}".rstrip("0").rstrip(".")
    parts = math.floor(Fraction(repr(mm)) * 10 / 254 * 32 + Fraction(1, 2))
    whole, rest = divmod(parts, 32)
    broken = str(Fraction(rest, 32)) if rest else ""
    return " ".join(filter(None, (str(whole) if whole or not rest else "", broken))) + '"'


def near(one: Point, other: Point) -> bool:
    return math.dist(one, other) < NEAR


def same_outline(one: Outline, other: Outline) -> bool:
    """The same closed outline, from whichever corner and whichever way round."""
    count = len(other)
    ways = [other[n:] + other[:n] for n in range(count)]
    ways += [each[::-1] for each in ways]
    return len(one) == count and any(all(map(near, one, way)) for way in ways)


def boxed(x0: float, y0: float, x1: float, y1: float) -> Outline:
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def ends(outline: Outline) -> tuple[float, float, float, float]:
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    return min(xs), min(ys), max(xs), max(ys)


def holds(outline: Outline, point: Point, air: float = NEAR) -> bool:
    x0, y0, x1, y1 = ends(outline)
    return x0 - air <= point[0] <= x1 + air and y0 - air <= point[1] <= y1 + air


def along(cut: dict[str, Any], distance: float, aside: float = 0.0) -> Point:
    """The point so far from the entry of a cut, and so far to the left."""
    (x0, y0), (x1, y1) = cut["line"]
    length = math.hypot(x1 - x0, y1 - y0)
    dx, dy = (x1 - x0) / length, (y1 - y0) / length
    return x0 + dx * distance - dy * aside, y0 + dy * distance + dx * aside


def placed(cut: dict[str, Any], point: Point) -> Point:
    """How far along and aside of a cut a point lies."""
    (x0, y0), (x1, y1) = cut["line"]
    length = math.hypot(x1 - x0, y1 - y0)
    dx, dy = (x1 - x0) / length, (y1 - y0) / length
    x, y = point[0] - x0, point[1] - y0
    return x * dx + y * dy, y * dx - x * dy


def off_line(cut: dict[str, Any], point: Point) -> float:
    """How far a point is off the line of a cut, or off its nearer end."""
    reach, aside = placed(cut, point)
    beyond = max(0.0, -reach, reach - math.dist(*cut["line"]))
    return math.hypot(aside, beyond)


def torch(cut: dict[str, Any], lead: float) -> tuple[Point, Point]:
    """Start and end of the torch's travel: home lies a lead-in before the metal, the end stop is measured from home.

    In two passes it comes from a lead-in outside either end.
    """
    end = cut["passes"][0]["end_stop"] - lead if len(cut["passes"]) == 1 else math.dist(*cut["line"]) + lead
    return along(cut, -lead), along(cut, end)


def kerf_band(cut: dict[str, Any]) -> Outline:
    length, half = math.dist(*cut["line"]), cut["kerf"] / 2
    return [along(cut, 0, -half), along(cut, length, -half), along(cut, length, half), along(cut, 0, half)]


# --- the walk -------------------------------------------------------------------------------------------------------


class Walk:
    """One walk through a drawing of all plates, or of one `only`. What does not agree is in `faults`."""

    def __init__(self, record: dict[str, Any], data: bytes, only: str | None) -> None:
        self.record, self.file = record, opened(data)
        self.units: str = record["job"]["units"]
        self.left = list(self.file.space)
        self.faults: list[str] = []
        self.owners: dict[str, str] = {}
        plates = [each for each in record["plates"] if only in (None, each["id"])]
        drawn = self.take(lambda each: each.layer == "PLATE")
        self.want(len(plates) == len(drawn), "number of plates")
        self.frames = []
        for plate, entity in zip(plates, drawn, strict=False):
            x, y, _, _ = (0.0, 0.0, 0, 0) if only else ends(entity.points(self.file.scale))
            self.frames.append((x, y, plate["length"], plate["width"]))
        for frame, plate, entity in zip(self.frames, plates, drawn, strict=False):
            self.origin, self.length, self.width = frame[:2], plate["length"], plate["width"]
            self.plate(plate, entity)
        self.faults += [f"left over: {each.kind} on {each.layer} {each.pairs}" for each in self.left]
        blocks = {name for name in self.file.blocks if not name.startswith(("*", "_"))}
        self.want(blocks == set(self.owners), f"blocks {blocks}, and inserted {set(self.owners)}")

    def want(self, true: bool, what: str) -> None:
        if not true:
            self.faults.append(what)

    def take(self, fits: Callable[[Entity], bool]) -> list[Entity]:
        """Entities that fit, taken out of what is left."""
        found = [each for each in self.left if fits(each)]
        self.left = [each for each in self.left if not any(each is one for one in found)]
        return found

    def take_one(self, fits: Callable[[Entity], bool], what: str) -> Entity | None:
        found = next((each for each in self.left if fits(each)), None)
        self.want(found is not None, f"missing: {what}")
        self.left = [each for each in self.left if each is not found]
        return found

    def at(self, point: Point) -> Point:
        """A point of the drawing in the frame of the plate being walked [mm]."""
        return point[0] - self.origin[0], point[1] - self.origin[1]

    def flat(self, entity: Entity) -> Outline:
        return [self.at(each) for each in entity.points(self.file.scale)]

    def plate(self, plate: dict[str, Any], entity: Entity) -> None:
        outline = boxed(0, 0, self.length, self.width)
        closed = (entity.kind, entity.text(70)) == ("LWPOLYLINE", "1")
        self.want(closed and same_outline(self.flat(entity), outline), f"outline of {plate['id']}")
        pieces = [each for each in self.record["pieces"] if each["plate"] == plate["id"]]
        ended = [each for each in pieces if each["kind"] in ("part", "offcut", "scrap")]
        cuts = [each for each in self.record["cuts"] if each["plate"] == plate["id"]]
        self.cuts(cuts)
        self.written: list[tuple[Point, float]] = []
        for cut in cuts:
            self.number(cut)
        self.positions(cuts)
        for each in ended:
            self.label(each)
        for each in ended:
            self.piece(each)
        self.dimensions()
        self.around(plate)

    # pieces

    def piece(self, piece: dict[str, Any]) -> None:
        outline = [(x, y) for x, y in piece["outline"]]
        layer = piece["kind"].upper()
        drawn = self.take_one(
            lambda each: each.layer == layer and self.is_outline(each, outline), f"{piece['kind']} {piece['id']}"
        )
        if drawn is not None and drawn.kind == "INSERT":
            owner = self.owners.setdefault(drawn.text(2), piece["part"])
            self.want(owner == piece["part"], f"block {drawn.text(2)} is {owner} and {piece['part']}")
            self.attributes(piece, drawn)
        if piece["kind"] == "scrap":
            for one, other in ((0, 2), (1, 3)):
                self.line("SCRAP", outline[one], outline[other], f"cross of {piece['id']}")
        if piece["kind"] == "offcut":
            hatch = self.take_one(
                lambda each: each.kind == "HATCH" and same_outline(self.flat_paths(each)[0], outline),
                f"hatch of {piece['id']}",
            )
            if hatch is not None:
                self.hatch(hatch, outline)

    def attributes(self, piece: dict[str, Any], insert: Entity) -> None:
        """Behind an inserted block stand its name, its size, longer side first, and its piece; none is shown."""
        x0, y0, x1, y1 = ends([(x, y) for x, y in piece["outline"]])
        long, short = max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)
        size = f"{shown(long, self.units)} x {shown(short, self.units)}"
        at = next(n for n, each in enumerate(self.file.space) if each is insert)
        said = self.file.space[at + 1 : at + 5]
        wanted = {"NAME": piece["part"], "SIZE": size, "PIECE": piece["id"]}
        self.want({each.text(2): each.text(1) for each in said[:3]} == wanted, f"attributes of {piece['id']}")
        scale = self.file.scale
        there = insert.point(10, scale)
        placed = [
            each.text(70) == "1" and all(near(each.point(code, scale), there) for code in (10, 11)) for each in said[:3]
        ]
        self.want([each.kind for each in said] == ["ATTRIB"] * 3 + ["SEQEND"] and all(placed), f"after {piece['id']}")
        self.left = [each for each in self.left if not any(each is one for one in said)]
        defined = [each for each in self.file.blocks[insert.text(2)] if each.kind == "ATTDEF"]
        sound = all(each.text(70) == "1" and each.point(10) == each.point(11) == (0.0, 0.0) for each in defined)
        self.want(sound and {each.text(2) for each in defined} == set(wanted), f"attributes of {insert.text(2)}")

    def is_outline(self, entity: Entity, outline: Outline) -> bool:
        """Whether a closed polyline, or a block where it is inserted, is an outline."""
        if entity.kind == "LWPOLYLINE":
            return entity.text(70) == "1" and same_outline(self.flat(entity), outline)
        if entity.kind != "INSERT" or entity.layer != "PART":
            return False
        (drawn,) = [each for each in self.file.blocks[entity.text(2)] if each.kind != "ATTDEF"]
        if (drawn.kind, drawn.layer, drawn.text(70)) != ("LWPOLYLINE", "PART", "1"):
            return False
        cos, sin = {0.0: (1, 0), 90.0: (0, 1)}[entity.number(50)]
        x, y = self.at(entity.point(10, self.file.scale))
        inner = drawn.points(self.file.scale)
        corners = [(x + px * cos - py * sin, y + px * sin + py * cos) for px, py in inner]
        return entity.number(41, 1) == entity.number(42, 1) == 1 and same_outline(corners, outline)

    def line(self, layer: str, start: Point, end: Point, what: str) -> Entity | None:
        scale = self.file.scale
        return self.take_one(
            lambda each: (
                (each.kind, each.layer) == ("LINE", layer)
                and near(self.at(each.point(10, scale)), start)
                and near(self.at(each.point(11, scale)), end)
            ),
            what,
        )

    def flat_paths(self, hatch: Entity) -> list[Outline]:
        """Boundary paths of a hatch, the number of whose points (93) goes before them;
        the first pair 10, 20 is its height.
        """
        points = self.flat(hatch)[1:]
        paths = []
        for code, value in hatch.pairs:
            if code == 93:
                paths.append(points[: int(value)])
                points = points[int(value) :]
        return paths

    def hatch(self, hatch: Entity, outline: Outline) -> None:
        """One family of lines at 45 degrees, a third of the offcut apart at most,
        clear of what is written in boxes inside.
        """
        scale = self.file.scale
        across = (hatch.number(45) * scale, hatch.number(46) * scale)
        pitch = math.hypot(*across)
        x0, y0, x1, y1 = ends(outline)
        self.want(hatch.text(2) == "ANSI31" and hatch.text(78) == "1" and hatch.number(53) == 45, "pattern")
        self.want(hatch.number(43) == hatch.number(44) == 0 and hatch.point(10) == (0.0, 0.0), "origin of the hatch")
        self.want(abs(across[0] + across[1]) < NEAR and 0 < pitch <= min(x1 - x0, y1 - y0) / 3 + NEAR, "pitch")
        self.want(abs(pitch - hatch.number(41) * 3.175 * scale) < 1e-4, "scale of the pattern")  # ANSI31: 1/8 in
        self.want(hatch.layer == "OFFCUT", "layer of the hatch")
        for hole in self.flat_paths(hatch)[1:]:
            inner = ends(hole)
            self.want(same_outline(hole, boxed(*inner)), f"a hole of the hatch is no box: {hole}")
            self.want(all(holds(outline, each, -1e-9) for each in hole), f"a hole leaves the offcut: {hole}")
            self.want(any(holds(hole, each, reach) for each, reach in self.written), f"a hole for nothing: {hole}")

    # cuts

    def cuts(self, cuts: list[dict[str, Any]]) -> None:
        """Torch lines in the order of work, and kerf bands."""
        order = {id(each): number for number, each in enumerate(self.file.space)}
        lines = [
            self.line("CUT", *torch(cut, self.record["rig"]["lead_in"]), f"line of {cut['number']}") for cut in cuts
        ]
        places = [order[id(each)] for each in lines if each is not None]
        self.want(places == sorted(places), "torch lines are out of order")
        for cut in cuts:
            band = kerf_band(cut)
            self.take_one(
                lambda each, band=band: (
                    (each.layer, each.kind, each.text(70)) == ("KERF", "LWPOLYLINE", "1")
                    and same_outline(self.flat(each), band)
                ),
                f"kerf of cut {cut['number']}",
            )

    def number(self, cut: dict[str, Any]) -> None:
        """A number in a circle beside its torch line, near enough to belong to it and struck through by none, or on it
        where there is no room; an arrowhead behind it along the travel, one back where there is a second pass.
        """
        scale, length, number = self.file.scale, math.dist(*cut["line"]), str(cut["number"])
        text = self.take_one(
            lambda each: (each.kind, each.text(1)) == ("TEXT", number) and self.circled(self.place(each)),
            f"number {number}",
        )
        if text is None:
            return
        middle = self.place(text)
        circle = self.take_one(
            lambda each: (each.kind, each.layer) == ("CIRCLE", "TEXT") and near(self.at(each.point(10, scale)), middle),
            f"circle of cut {number}",
        )
        if circle is None:
            return
        (reach, aside), radius = placed(cut, middle), circle.number(40) * scale
        if abs(aside) > NEAR:
            self.want(1.05 * radius < abs(aside) < 1.5 * radius, f"number {number} is off its line")
            struck = [each for each in self.record["cuts"] if each["plate"] == cut["plate"]
                      and off_line(each, middle) < radius]  # fmt: skip
            self.want(not struck, f"number {number} is struck through")
        self.written.append((middle, radius))
        self.want(0 < radius < reach and reach + 2 * radius < length + NEAR, f"circle of cut {number}")
        self.arrow(cut, lambda base, tip: abs(base - reach - radius) < NEAR and abs(tip - base - radius) < NEAR)
        if len(cut["passes"]) == 2:
            self.arrow(cut, lambda base, tip: tip < base <= length + NEAR)

    def arrow(self, cut: dict[str, Any], fits: Callable[[float, float], bool]) -> None:
        """A filled triangle on a torch line: base across it, tip on it; 0.9 as wide as long."""

        def found(each: Entity) -> bool:
            if (each.kind, each.layer) != ("SOLID", "TEXT"):
                return False
            corners = [placed(cut, self.at(each.point(10 + n, self.file.scale))) for n in range(4)]
            (base, left), (other, right), (tip, aside), last = corners
            return (
                abs(base - other) < NEAR and abs(left + right) < NEAR and abs(aside) < NEAR
                and near(last, (tip, aside)) and abs(abs(left) - 0.45 * abs(tip - base)) < NEAR and fits(base, tip)
            )  # fmt: skip

        self.take_one(found, f"arrowhead of cut {cut['number']}")

    def circled(self, point: Point) -> bool:
        """Whether a circle has its middle there."""
        scale = self.file.scale
        return any(
            (each.kind, each.layer) == ("CIRCLE", "TEXT") and near(self.at(each.point(10, scale)), point)
            for each in self.file.space
        )

    # what is written

    def place(self, text: Entity) -> Point:
        """The middle of a text, which is said twice (10 and 11) and centred both ways (72 and 73)."""
        one, other = text.point(10, self.file.scale), text.point(11, self.file.scale)
        same = one == other and (text.text(72), text.text(73)) == ("1", "2")
        self.want(same, f"text {text.text(1)!r} is not where it seems to be")
        return self.at(one)

    def positions(self, cuts: list[dict[str, Any]]) -> None:
        """Figures beside torch lines: how far the line that they are level with lies from edge A, or from D.

        A line that leaves the plate there has one, if no other figure is in the way; letters give way.
        """
        found: list[tuple[str, float]] = []
        for each in self.take(lambda one: (one.kind, one.layer) == ("TEXT", "DIM") and self.mine(one)):
            x, y = self.place(each)
            edge, at, axis = ("A", y, 1) if each.number(50) == 0 else ("D", x, 0)
            lines = [cut["line"] for cut in cuts if all(abs(end[axis] - at) < NEAR for end in cut["line"])]
            beyond = x < 0 if axis else y > self.width
            said = {f"{edge} {shown(line[0][axis], self.units)}" for line in lines}
            self.want(beyond and each.text(1) in said, f"position {each.text(1)!r} at {x}, {y}")
            self.want(all(edge != one or abs(at - other) > NEAR for one, other in found), f"twice: {each.text(1)}")
            found.append((edge, at))
        size = max(max(frame[2:]) for frame in self.frames)
        for cut in cuts:
            (x0, y0), (x1, y1) = cut["line"]
            edge, at = ("A", y0) if y0 == y1 else ("D", x0)
            leaves = min(x0, x1) <= 0 if y0 == y1 else max(y0, y1) >= self.width
            others = [(abs(at - other), size / 80) for one, other in found if one == edge]
            self.want(any(off < air for off, air in others) or not leaves, f"no position of cut {cut['number']}")

    def mine(self, entity: Entity) -> bool:
        """Whether a text belongs to the plate being walked: no other is as near."""
        x, y = self.place(entity)
        x, y = x + self.origin[0], y + self.origin[1]

        def off(frame: tuple[float, float, float, float]) -> float:
            x0, y0, length, width = frame
            return math.hypot(max(x0 - x, x - x0 - length, 0), max(y0 - y, y - y0 - width, 0))

        return min(self.frames, key=off)[:2] == self.origin

    def label(self, piece: dict[str, Any]) -> None:
        """A part or offcut says in itself what it is; nothing that it says is another's."""
        outline = [(x, y) for x, y in piece["outline"]]
        x0, y0, x1, y1 = ends(outline)
        long, short = max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)
        size = f"{shown(long, self.units)} x {shown(short, self.units)}"
        name = piece["part"] or ""
        fits = {
            "part": {f"{name}  {size}", name, size, name[:13] + "...", piece["id"]},
            "offcut": {f"offcut {size}", "offcut", size, piece["id"]},
            "scrap": {size},
        }[piece["kind"]]
        inside = self.take(
            lambda each: (each.kind, each.layer) == ("TEXT", "TEXT") and holds(outline, self.place(each), -NEAR)
        )
        said = [each.text(1) for each in inside]
        self.want(bool(said) or piece["kind"] == "scrap", f"{piece['id']} has no label")
        self.want(set(said) <= fits and len(set(said)) == len(said), f"{piece['id']} says {said}, not {fits}")
        self.written += [(self.place(each), 0.0) for each in inside]

    # dimensions

    def dimensions(self) -> None:
        """Length below the plate, width at its right: points, measurement, what is shown, and what is drawn for it."""
        for start, end, level in (
            ((0.0, 0.0), (self.length, 0.0), True),
            ((self.length, 0.0), (self.length, self.width), False),
        ):
            scale = self.file.scale
            found = self.take_one(
                lambda each, start=start, end=end, scale=scale: (each.kind, each.layer) == ("DIMENSION", "DIM")
                and near(self.at(each.point(13, scale)), start) and near(self.at(each.point(14, scale)), end),
                f"dimension {start} {end}",
            )  # fmt: skip
            if found is not None:
                self.dimension(found, start, end, level)

    def dimension(self, found: Entity, start: Point, end: Point, level: bool) -> None:
        scale, size = self.file.scale, math.dist(start, end)
        base = self.at(found.point(10, scale))
        aside = base[1] if level else base[0]
        foot = (start[0], aside) if level else (aside, start[1])
        head = (end[0], aside) if level else (aside, end[1])
        figure = f"{size / scale:.{2 if self.units == 'mm' else 3}f}".rstrip("0").rstrip(".")
        self.want(near(base, foot) and (aside < 0 if level else aside > self.length), "where the dimension stands")
        self.want(found.text(1) in ("", "<>") and found.number(50) == (0 if level else 90), "dimension text or angle")
        self.want(abs(found.number(42) * scale - size) < NEAR, "measurement")
        drawn = list(self.file.blocks[found.text(2)])
        texts = [each for each in drawn if each.kind in ("TEXT", "MTEXT")]
        self.want([each.text(1) for each in texts] == [figure], f"dimension shows {[e.text(1) for e in texts]}")
        middle = self.at(found.point(11, scale))
        half = ((foot[0] + head[0]) / 2, (foot[1] + head[1]) / 2)
        self.want(
            abs(middle[0] - half[0] if level else middle[1] - half[1]) < NEAR, "figure of a dimension is not midway"
        )
        self.want(all(near(self.at(each.point(10, scale)), middle) for each in texts), "figure of a dimension")
        dots = [self.at(each.point(10, scale)) for each in drawn if each.kind == "POINT"]
        self.want(len(dots) == 3 and all(map(near, dots, (base, start, end))), "points of a dimension")
        tips = [self.at(each.point(10, scale)) for each in drawn if each.kind == "INSERT"]
        self.want(len(tips) == 2 and all(map(near, tips, (foot, head))), "arrows of a dimension")
        lines = [
            (self.at(each.point(10, scale)), self.at(each.point(11, scale))) for each in drawn if each.kind == "LINE"
        ]
        self.want(
            len(lines) == 3 and len(texts) + len(dots) + len(tips) + len(lines) == len(drawn), "parts of a dimension"
        )
        ax = 0 if level else 1
        gaps = set()
        for (one, other), point in zip(
            lines, (start, end), strict=False
        ):  # extension lines: off the plate, past the line
            self.want(abs(one[ax] - point[ax]) < NEAR and abs(other[ax] - point[ax]) < NEAR, "extension line")
            gaps.add((round(abs(one[1 - ax] - point[1 - ax]), 6), round(abs(other[1 - ax] - aside), 6)))
        self.want(
            len(gaps) == 1 and all(0 < gap < 0.1 * (self.length + self.width) for pair in gaps for gap in pair),
            f"extension lines {gaps}",
        )
        one, other = lines[2]
        short = [abs(one[ax] - foot[ax]), abs(other[ax] - head[ax])]
        self.want(
            abs(one[1 - ax] - aside) + abs(other[1 - ax] - aside) < NEAR and abs(short[0] - short[1]) < NEAR,
            "dimension line",
        )

    def around(self, plate: dict[str, Any]) -> None:
        """Letters of the edges at a twentieth part of each edge, a quarter unless a figure is there, and the two lines
        of the title, midway above."""
        for letter in "ABCD":
            found = self.take_one(
                lambda each, letter=letter: each.text(1) == letter and self.mine(each), f"letter {letter}"
            )
            if found is not None:
                px, py = self.place(found)
                beyond = {"A": py < 0, "B": px > self.length, "C": py > self.width, "D": px < 0}[letter]
                share = 20 * (px / self.length if letter in "AC" else py / self.width)
                level = abs(share - round(share)) * max(self.length, self.width) / 20
                self.want(beyond and level < NEAR, f"letter {letter} at {px}, {py}")
        sizes = " x ".join(shown(plate[key], self.units) for key in ("length", "width", "thickness"))
        unit = " mm" if self.units == "mm" else ""
        for words in (
            f"{self.record['job']['name']}: plate {plate['id']} ({plate['stock']})",
            f"{sizes}{unit}, {plate['material']}",
        ):
            found = self.take_one(
                lambda each, words=words: each.text(1) == words and self.mine(each), f"title {words!r}"
            )
            self.want(found is None or self.place(found)[1] > self.width, f"{words!r} is not above the plate")


def faults(made: Plan, data: bytes, only: str | None = None) -> list[str]:
    """What does not agree between a plan and a drawing of it."""
    return Walk(to_record(made), data, only).faults


# --- plans ----------------------------------------------------------------------------------------------------------

STEEL: dict[str, Any] = {"thickness": 6.0, "material": "mild steel"}


@cache
def two_plates() -> Plan:
    """Two plates with trims, strips, rectangles both ways, offcuts and scrap."""
    job = Job(
        name="rack",
        plates=(
            Plate(name="sheet", length=1200, width=800, **STEEL),
            Plate(name="rest", length=1000, width=500, quantity=2, **STEEL),
        ),
        parts=(
            Rectangle(name="rail", length=1100, width=60, quantity=7),
            Rectangle(name="post", length=400, width=90, quantity=9),
            Rectangle(name="foot", length=101.6, width=101.6, quantity=5),
            Rectangle(name="gusset of the top shelf", length=150, width=75, quantity=3),
            Rectangle(name="lid", length=250, width=200),
        ),
        options=Options(trim=8, aim="plate"),
    )  # fmt: skip
    return plan(job, Rig(processes=(Process(name="p", kerf=1.5, travel_speed=600, **STEEL),)))


@cache
def long_cuts() -> Plan:
    """A plate longer than the stroke: two passes."""
    job = Job(name="long", plates=(Plate(name="sheet", length=1500, width=400, measured=True, **STEEL),),
              parts=(Strip(name="bar", width=50, quantity=3),))  # fmt: skip
    return plan(job, Rig(stroke=1003, processes=(Process(name="p", kerf=1.5, travel_speed=600, **STEEL),)))


WALKED: dict[str, Callable[[], Plan]] = {
    **{name: PLANS[name] for name in ("uncut", "one strip", "stays on fence", "two passes", "marked", "half missed",
     "trimmed", "inches", "hair strips")},
    "two plates": two_plates, "two plates in inches": lambda: in_units(two_plates(), "in"), "long cuts": long_cuts,
}  # fmt: skip


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=pytest.mark.slow) if name == "two plates" else name for name in WALKED]
)
def test_everything_drawn_is_the_plans_and_all_of_the_plan_is_drawn(name: str) -> None:
    """Entity by entity, in the drawing of the job and in that of each plate; nothing is left over on either side."""
    made = WALKED[name]()
    assert faults(made, job_drawing(made)) == []
    for plate in made.plates:
        assert faults(made, plate_drawing(made, plate.id), plate.id) == []


def test_the_walk_meets_every_kind_of_cut_and_piece() -> None:
    """Between them the plans have two plates, two passes, marked cuts, trims, offcuts, scrap, inches,
    copies both ways.
    """
    plans = [make() for make in WALKED.values()]
    assert max(len(each.plates) for each in plans) > 1
    assert {len(cut.passes) for each in plans for cut in each.cuts} == {1, 2}
    assert {cut.located for each in plans for cut in each.cuts} == {"fence", "marked"}
    assert {piece.kind for each in plans for piece in each.pieces} == {"plate", "blank", "part", "offcut", "scrap"}
    assert {each.job.units for each in plans} == {"mm", "in"}
    inserted = [each for each in opened(job_drawing(two_plates())).space if each.kind == "INSERT"]
    assert {each.number(50) for each in inserted} == {0, 90}


# --- spoiled drawings -----------------------------------------------------------------------------------------------


def spoiled(data: bytes) -> list[tuple[str, bytes]]:
    """The drawing with one coordinate of one entity 0.1 mm off, or one figure of one text another; each in turn."""
    lines = data.decode("cp1252").split("\n")
    step = 0.1 / opened(data).scale
    found, section, kind, block = [], "", "", ""
    for at in range(0, len(lines) - 1, 2):
        code, value = int(lines[at]), lines[at + 1]
        if code == 2 and lines[at - 1] == "SECTION":
            section = value
        if code == 0:
            kind = value
        if kind == "BLOCK" and code == 2:
            block = value
        known = section == "ENTITIES" or (section == "BLOCKS" and not block.startswith(("_", "*Model", "*Paper")))
        if not known or kind in ("BLOCK", "ENDBLK", "SECTION", "ENDSEC"):
            continue
        if 10 <= code <= 18 or 20 <= code <= 28 or (code == 40 and kind == "CIRCLE"):
            found.append((at, f"{float(value) + step}", kind))
        elif code == 1 and kind in ("TEXT", "MTEXT"):
            for n, letter in enumerate(value):
                if letter.isdigit():
                    found.append((at, value[:n] + str((int(letter) + 1) % 10) + value[n + 1 :], kind))
    spoils = []
    for at, value, kind in found:
        other = [*lines[: at + 1], value, *lines[at + 2 :]]
        spoils.append(
            (f"{kind} {lines[at].strip()}: {lines[at + 1]} became {value}", "\n".join(other).encode("cp1252"))
        )
    return spoils


@pytest.mark.parametrize("apart", [12, pytest.param(1, marks=pytest.mark.slow)], ids=["one of twelve", "all"])
@pytest.mark.parametrize(
    ("name", "least"), [("one strip", 120), ("two passes", 250), ("trimmed", 150), ("inches", 250), ("marked", 90)]
)
def test_one_coordinate_or_figure_off_is_found(name: str, least: int, apart: int) -> None:
    """Any coordinate a tenth of a millimetre off, or any figure of a text another one, is found:
    each spoiled in turn.
    """
    made = PLANS[name]()
    spoils = spoiled(job_drawing(made))
    assert len(spoils) >= least
    assert [what for what, data in spoils[::apart] if not faults(made, data)] == []


def test_an_entity_too_few_or_too_many_is_found() -> None:
    """Each entity of a drawing left out in turn, and each drawn twice, is found."""
    kinds = set()
    for made in (PLANS["two passes"](), PLANS["trimmed"]()):
        head, rest = job_drawing(made).decode("cp1252").split("  2\nENTITIES\n", 1)
        body, tail = rest.split("  0\nENDSEC\n", 1)
        entities = re.split(r"(?m)^(?=  0\n[A-Z])", body)[1:]
        kinds |= {each.split("\n")[1] for each in entities}
        for at, entity in enumerate(entities):
            for several in (entities[:at] + entities[at + 1 :], [*entities, entity]):
                changed = f"{head}  2\nENTITIES\n{''.join(several)}  0\nENDSEC\n{tail}"
                assert faults(made, changed.encode("cp1252")), entity
    assert kinds == {
        "HATCH",
        "LWPOLYLINE",
        "INSERT",
        "SOLID",
        "LINE",
        "TEXT",
        "CIRCLE",
        "DIMENSION",
        "ATTRIB",
        "SEQEND",
    }


@pytest.mark.parametrize("change", ["size", "line", "kerf", "stop", "name", "plate"])
def test_a_plan_that_is_not_the_one_drawn_is_found(change: str) -> None:
    """The drawing of one plan does not pass for that of another: a figure of any kind changed is found."""
    record, data = to_record(PLANS["two passes"]()), plate_drawing(PLANS["two passes"](), "P1")
    part = next(each for each in record["pieces"] if each["kind"] == "part")
    cut = record["cuts"][2]
    if change == "size":
        part["outline"][2][1] += 0.1
    elif change == "line":
        cut["line"] = [[x + 0.1, y] for x, y in cut["line"]]
    elif change == "kerf":
        cut["kerf"] += 0.1
    elif change == "stop":
        cut["passes"][0]["end_stop"] += 1
    elif change == "name":
        part["part"] = "another"
    else:
        record["plates"][0]["length"] += 0.1
    assert Walk(record, data, "P1").faults
