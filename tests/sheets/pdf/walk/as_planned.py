"""A plan as its file has it: what it says twice it must say alike; how pieces lie and what they will measure."""

from __future__ import annotations

import hashlib
import json
import math
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from stripplan.model.plan.plan import Plan
from stripplan.sheets.plan_json import plan_text
from tests.sheets.pdf.walk.claims import AstrayError
from tests.sheets.pdf.walk.rounding import INCH, NEAR, bare, inches, rounded

SCRIBED = 0.5
"""A scribed line is followed to about this, plus or minus [mm]: common practice, no source."""


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
class Planned:
    """A plan as it was read, sound in itself; `pieces` and `cuts` by id and number."""

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


class Figures(Planned):
    """Figures of a plan in the units of its job."""

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

    def plate_size(self, plate: dict[str, Any]) -> str:
        return " × ".join([self.long(plate["length"]), self.long(plate["width"]), self.given(plate["thickness"])])
