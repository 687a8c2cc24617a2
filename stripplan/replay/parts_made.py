"""What was asked for: sizes, directions, square edges, plates, limits of the stock. One function per rule."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from shapely.geometry import Polygon

from stripplan.model.part import Part, Rectangle, Shape
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import PlanPlate
from stripplan.model.plate import Plate
from stripplan.model.rig import Process
from stripplan.replay import metal as m
from stripplan.replay.aslant.exits import far_edge
from stripplan.replay.aslant.outlines import as_cut, holds, lies_as
from stripplan.replay.finding import Finding, figures
from stripplan.replay.lookup import Bench, Step
from stripplan.replay.metal import NEAR, Metal, Stretch

DENSITY = {"stainless": 8000.0, "aluminium": 2700.0}
"""Density of a family of materials [kg/m3]; steel and all others 7850."""
PLAIN = {
    "stainless": r"stainless( steel)?|inox|ss|s/s|s\.s\.|sst",
    "aluminium": r"alumini?um|alu?",
    "mild steel": r"(mild |carbon |structural |low-alloy |black |hot-rolled |cold-rolled )?steel|m\.?s\.?|[hc]rs",
}
"""Plain words for a family of materials."""
GRADES = {
    "stainless": r"((aisi|astm|type) )?(304|316|321|430)(l|ti)?|(en )?1\.4\d{3}",
    "aluminium": r"al(mg|si)\w*|(en[ -]?)?(aw ?-? ?)?[1-8]\d{3}a?([ -]+(f|o|[ht]\d{1,4}))?",
    "mild steel": r"(en )?1\.0\d{3}|((astm )?(grade )?)a(36|572(-50)?)"
    r"|s(185|235|275|355)(jr|j0|j2|k2)?([ +-]+(n|ar|m|c))?|st ?(37|52)(-\d)?|dd11|dc01",
}
"""What grades look like, by their family: numbers and names of EN 10025-2, EN 10088, EN 573 and ASTM, from memory."""
FAMILIES = {name: rf"{plain}|(({plain})[ -]*)?({GRADES[name]})([ -]+({plain}))?" for name, plain in PLAIN.items()}
"""What names of materials look like, by their family: a plain word, a grade, or both."""


def word(material: str) -> str:
    """A material's name without regard to capitals and spaces."""
    return " ".join(material.lower().split())


def family(material: str) -> str:
    """What a material is to the torch; the word itself where it looks like none."""
    return next((name for name, form in FAMILIES.items() if re.fullmatch(form, word(material))), word(material))


def mass_of(area: float, plate: PlanPlate) -> float:
    """Mass [kg] of an area [mm2] of plate."""
    return area * plate.thickness * DENSITY.get(family(plate.material), 7850.0) * 1e-9


def check_plate(bench: Bench, plate: PlanPlate) -> Iterator[Finding]:
    """A plate is what the job says of its stock, and its kerf that of a process that fits it."""
    stock = next((each for each in bench.plan.job.plates if each.name == plate.stock), None)
    if stock is None:
        yield Finding("stock", plate.id, f"Plate {plate.id} is taken from {plate.stock}, which the job does not have.")
        return
    for key in ("length", "width", "thickness"):
        if abs(getattr(plate, key) - getattr(stock, key)) > NEAR:
            yield Finding(
                "plate_size",
                plate.id,
                f"Plate {plate.id}: {key} is {getattr(stock, key):g} mm, not {getattr(plate, key):g} mm.",
            )
    if list(plate.edges) != list(stock.edges) or plate.material != stock.material or plate.measured != stock.measured:
        yield Finding(
            "plate", plate.id, f"Plate {plate.id} differs from {plate.stock} in its material, edges or measuring."
        )
    mass = mass_of(plate.length * plate.width, plate)
    if abs(mass - plate.mass) > 1e-6 * max(1.0, mass):
        right, said = figures(mass, plate.mass)
        yield Finding("mass", plate.id, f"Plate {plate.id} weighs {right} kg, not {said} kg.")
    yield from _cost(plate, stock, mass)
    yield from _process(bench, plate)


def _cost(plate: PlanPlate, stock: Plate, mass: float) -> Iterator[Finding]:
    """Each, by mass, or by area in square metres where no price is given."""
    cost = stock.cost
    if cost is None and stock.price_per_kg is not None:
        cost = mass * stock.price_per_kg
    if cost is None:
        cost = plate.length * plate.width * 1e-6
    if abs(cost - plate.cost) > 1e-6 * max(1.0, cost):
        yield Finding("cost", plate.id, f"Plate {plate.id} costs {cost:g}, not {plate.cost:g}.")


def _process(bench: Bench, plate: PlanPlate) -> Iterator[Finding]:
    process = process_of(bench, plate)
    if process is None:
        yield Finding("process", plate.id, f"Plate {plate.id} is cut by {plate.process}, which the rig does not have.")
        return
    if family(process.material) != family(plate.material) or abs(process.thickness - plate.thickness) > 0.05 + 1e-9:
        yield Finding(
            "process",
            plate.id,
            f"{plate.process} is for {process.thickness:g} mm {process.material}, not for plate {plate.id}.",
        )
    if abs(process.kerf - plate.kerf) > NEAR + 1e-9:
        yield Finding(
            "kerf",
            plate.id,
            f"Plate {plate.id}: the kerf of {plate.process} is {process.kerf:g} mm, not {plate.kerf:g} mm.",
        )


def process_of(bench: Bench, plate: PlanPlate) -> Process | None:
    """The process a plate is cut by."""
    return next((each for each in bench.plan.rig.processes if each.name == plate.process), None)


def check_stock(bench: Bench) -> Iterator[Finding]:
    """No more plates are used than there are; an offcut is there once."""
    used = Counter(plate.stock for plate in bench.plan.plates)
    for stock in bench.plan.job.plates:
        limit = 1 if stock.quantity is None and stock.offcut else stock.quantity
        if limit is not None and used[stock.name] > limit:
            yield Finding("stock", stock.name, f"{used[stock.name]} of {stock.name} are used; there are {limit}.")


def check_counts(bench: Bench) -> Iterator[Finding]:
    """Each part of the job has its line; wanted is the job's, made is what lies there; what is short is said.

    Of a filler none is wanted and any number up to its quantity may be made.
    """
    wants = {part.name: part for part in bench.plan.job.parts}
    made = Counter(piece.part for piece in bench.plan.pieces if piece.kind == "part")
    if sorted(line.name for line in bench.plan.parts) != sorted(wants):
        yield Finding("parts", "parts", "The list of parts is not that of the job.")
    for line in bench.plan.parts:
        want = wants.get(line.name)
        if line.made != made[line.name]:
            yield Finding("made", line.name, f"{line.name}: {made[line.name]} are made, the list says {line.made}.")
        if want is None:
            continue
        wanted, most = _asked_for(want)
        if line.wanted != wanted:
            yield Finding("wanted", line.name, f"{line.name}: {wanted} are wanted, the list says {line.wanted}.")
        if line.filler != want.filler:
            yield Finding(
                "filler", line.name, f"{line.name}: the list and the job do not agree on whether it is a filler."
            )
        if line.size_wanted[0] != want.width or line.size_wanted[1] != length_of(want):
            yield Finding(
                "size_wanted", line.name, f"{line.name}: the list does not say the size that the job asks for."
            )
        if most is not None and made[line.name] > most:
            text = f"{line.name}: {made[line.name]} are made, {most} are {'allowed' if line.filler else 'wanted'}."
            yield Finding("too_many", line.name, text)
        elif made[line.name] < wanted:
            yield from _short(bench, line.name, made[line.name], wanted)


def length_of(want: Part) -> float | None:
    """Finished length of a part [mm]; None of a strip, which is as long as its plate."""
    return want.length if isinstance(want, Rectangle | Shape) else None


def _asked_for(want: Part) -> tuple[int, int | None]:
    """How many of a part must be made, and how many may be: a filler need not be; quantity 0 is no limit to it."""
    return (0, want.quantity or None) if want.filler else (want.quantity, want.quantity)


def _short(bench: Bench, part: str, made: int, wanted: int) -> Iterator[Finding]:
    """Fewer than wanted is no fault only where the person allowed it and is told."""
    told = any(part in warning.about or part in warning.text for warning in bench.plan.warnings)
    if not bench.plan.job.options.partial or not told:
        yield Finding("short", part, f"{part}: {made} are made, {wanted} are wanted, and the plan does not say why.")


def check_part(bench: Bench, piece: Piece) -> Iterator[Finding]:
    """A part has its size as cut, lies as its rolling direction asks, on metal of its kind."""
    if piece.kind != "part":
        if piece.part is not None:
            yield Finding("part", piece.id, f"{piece.id} is {piece.kind}, but is called {piece.part}.")
        return
    want = next((part for part in bench.plan.job.parts if part.name == piece.part), None)
    if want is None:
        yield Finding("unknown_part", piece.id, f"{piece.id} is called {piece.part}, which is no part of the job.")
        return
    plate, title = bench.plates[piece.plate], f"{piece.part} ({piece.id})"
    if _other(want.thickness, plate.thickness) or word(want.material or plate.material) != word(plate.material):
        yield Finding(
            "material",
            piece.id,
            f"{title} lies on {plate.thickness:g} mm {plate.material}, which is not what was asked.",
        )
    if want.plate is not None and want.plate != plate.stock:
        yield Finding("pin", piece.id, f"{title} comes from {plate.stock}, and was to come from {want.plate}.")
    shape = bench.shapes[piece.id]
    if shape is None:
        return
    if isinstance(want, Shape):
        yield from _shaped(bench, piece, want, shape)
        return
    ways = lies(bench, shape.bounds, want, plate)
    if not ways or shape.area < 0.999999 * _box(shape.bounds):
        yield Finding(
            "size", piece.id, f"{title} is {_size(shape.bounds)} mm as cut, not {_asked(bench, want, plate)}."
        )
    elif not any(_allowed(bench, want, plate, turned=turned) for turned in ways):
        yield Finding("rolling", piece.id, f"{title} lies across the direction that was asked for.")


def _shaped(bench: Bench, piece: Piece, want: Shape, shape: Polygon) -> Iterator[Finding]:
    """A straight-sided part fits the outline that is wanted, turned over or not, and lies as it was asked for."""
    title, plate = f"{piece.part} ({piece.id})", bench.plates[piece.plate]
    ways = lies_as(shape, as_cut(want.outline, want.allowance))
    if not ways:
        yield Finding("shape", piece.id, f"{title} does not have the outline, as it is cut, that was asked for.")
    elif not any(_shape_allowed(bench, want, plate, way.quarters) for way in ways):
        yield Finding("rolling", piece.id, f"{title} lies across the direction that was asked for.")


def _shape_allowed(bench: Bench, want: Shape, plate: PlanPlate, quarters: int | None) -> bool:
    """Any turn is allowed where nothing is asked; else its length runs along the plate or across it, never aslant."""
    if quarters is None:
        rolling = next(each.rolling for each in bench.plan.job.plates if each.name == plate.stock)
        return want.rotate and (want.rolling == "free" or rolling == "none")
    return _allowed(bench, want, plate, turned=quarters % 2 == 1)


def _other(wanted: float | None, thickness: float) -> bool:
    return wanted is not None and abs(wanted - thickness) > 0.05 + 1e-9


def _box(bounds: tuple[float, float, float, float]) -> float:
    return (bounds[2] - bounds[0]) * (bounds[3] - bounds[1])


def _size(bounds: tuple[float, float, float, float]) -> str:
    return f"{bounds[2] - bounds[0]:.2f} x {bounds[3] - bounds[1]:.2f}"


def wide_as_cut(bench: Bench, want: Part, plate: PlanPlate) -> float:
    """Width on the bench [mm]: as asked, or what comes off this plate where the fence is to stay at a reading."""
    if want.fence is None:
        return want.width + 2 * want.allowance
    rig = bench.plan.rig
    return rig.fence_zero + rig.fence_scale * want.fence - plate.kerf / 2


def _asked(bench: Bench, want: Part, plate: PlanPlate) -> str:
    wide = wide_as_cut(bench, want, plate)
    if not isinstance(want, Rectangle):
        return f"{wide:g} mm wide and as long as the plate"
    return f"{want.length + 2 * want.allowance:g} x {wide:g} mm"


def lies(bench: Bench, bounds: tuple[float, float, float, float], want: Part, plate: PlanPlate) -> list[bool]:
    """Whether a part's length lies along the plate (False) or across it (True); both for a square, none if it does not
    fit, nor for a straight-sided shape, which is no matter of two sizes."""
    if isinstance(want, Shape):
        return []
    x, y = bounds[2] - bounds[0], bounds[3] - bounds[1]
    wide = wide_as_cut(bench, want, plate)
    over = (want.tolerance or 0.0) + NEAR
    if not isinstance(want, Rectangle):
        fits = -NEAR <= y - wide <= over and abs(x - _strip_length(bench, plate)) <= NEAR
        return [False] if fits else []
    long = want.length + 2 * want.allowance
    ways = ((False, x, y), (True, y, x))
    return [turned for turned, a, b in ways if -NEAR <= a - long <= over and -NEAR <= b - wide <= over]


def _strip_length(bench: Bench, plate: PlanPlate) -> float:
    """What a plate leaves between its end trims: a mill end loses trim and kerf [mm]."""
    trim = bench.plan.job.options.trim
    trimmed = sum(plate.edges[side] == "mill" for side in (1, 3)) if trim > 0 else 0
    return float(plate.length - trimmed * (trim + plate.kerf))


def _allowed(bench: Bench, want: Part, plate: PlanPlate, *, turned: bool) -> bool:
    if turned and not want.rotate:
        return False
    rolling = next(each.rolling for each in bench.plan.job.plates if each.name == plate.stock)
    if want.rolling == "free" or rolling == "none":
        return True
    along_rolling = (rolling == "length") != turned
    return bool(along_rolling == (want.rolling == "length"))


def check_over_size(bench: Bench, piece: Piece) -> Iterator[Finding]:
    """A part that is left over size is warned of."""
    want = next((part for part in bench.plan.job.parts if part.name == piece.part), None)
    shape = bench.shapes[piece.id]
    if piece.kind != "part" or want is None or shape is None or not want.tolerance:
        return
    exact = replace(want, tolerance=None)
    if lies(bench, shape.bounds, want, bench.plates[piece.plate]) and not lies(
        bench, shape.bounds, exact, bench.plates[piece.plate]
    ):
        warned = any(
            each.code == "left_over_size" and (piece.id in each.about or want.name in each.about + each.text)
            for each in bench.plan.warnings
        )
        if not warned:
            yield Finding(
                "left_over_size", piece.id, f"{piece.part} ({piece.id}) stays over size and no warning says so."
            )


def check_border(bench: Bench, piece: Piece) -> Iterator[Finding]:
    """No part has a mill edge where trim is asked, nor a bevelled edge where a square one is."""
    metal = bench.metals.get(piece.id)
    want = next((part for part in bench.plan.job.parts if part.name == piece.part), None)
    if piece.kind != "part" or metal is None or want is None:
        return
    if bench.plan.job.options.trim > 0 and any(stretch.mill for stretch in metal.border):
        yield Finding(
            "trim", piece.id, f"{piece.part} ({piece.id}) keeps a mill edge of the plate, which was to be trimmed off."
        )
    if want.square != "none" and not any(_square(metal, sides) for sides in _sides_asked(bench, metal, want, piece)):
        yield Finding(
            "square",
            piece.id,
            f"{piece.part} ({piece.id}) is to have square edges, but one is not on the square side of its cut.",
        )


def _sides_asked(bench: Bench, metal: Metal, want: Part, piece: Piece) -> list[tuple[bool, bool]]:
    """Which edges must be square, along x and along y: one of these is enough, as a square part may lie either way."""
    if want.square == "all":
        return [(True, True)]
    ways = lies(bench, metal.shape.bounds, want, bench.plates[piece.plate]) or [False]
    return [(not turned, turned) for turned in ways]


def _square(metal: Metal, sides: tuple[bool, bool]) -> bool:
    return all(stretch.square for stretch in metal.border if sides[_upright(stretch)])


def _upright(stretch: Stretch) -> bool:
    (ax, ay), (bx, by) = stretch.segment
    return abs(by - ay) > abs(bx - ax)


def check_sliver(bench: Bench, step: Step) -> Iterator[Finding]:
    """Scrap and offcuts are wide enough, across the cut that makes them, for the kerf beside them to hold; an edge that
    slants to the cut does not count.

    Along the cut they are as narrow as the piece that they come from: the end of a narrow part's strip may be.
    """
    least = bench.plan.rig.narrowest_offcut
    for product in step.cut.makes:
        piece = bench.pieces.get(product or "")
        shape = bench.shape(piece) if piece else None
        if piece is None or shape is None or piece.kind not in ("scrap", "offcut"):
            continue
        offs = [m.leftward(step.torch, corner) for corner in m.corners(shape)]
        across = max(offs) - min(offs)
        if across < least - NEAR and far_edge(shape, step.torch) is not None:
            yield Finding(
                "sliver", piece.id, f"{piece.id} ({piece.kind}) is {across:.2f} mm narrow; {least:g} mm is the least."
            )


def check_options(bench: Bench) -> Iterator[Finding]:
    """Trims can be cut off, the settings are those of the job, and no two things of the job share a name."""
    options, least = bench.plan.job.options, bench.plan.rig.narrowest_offcut
    trim = options.trim
    if 0 < trim < least - NEAR:
        text = f"A trim of {trim:g} mm cannot be cut off; the narrowest piece beside a kerf is {least:g} mm."
        yield Finding("trim", "options", text)
    for key in ("trim", "keep"):
        said, asked = getattr(bench.plan.settings, key), getattr(options, key)
        if said != asked:
            yield Finding("settings", key, f"The settings say {key} {said} mm, the job {asked} mm.")
    yield from _effort(bench)
    for what, things in (("plates", bench.plan.job.plates), ("parts", bench.plan.job.parts)):
        for each, count in Counter(thing.name for thing in things).items():
            if count > 1:
                yield Finding(
                    "same_name", each, f"{count} {what} of the job are called {each}; each needs its own name."
                )


def _effort(bench: Bench) -> Iterator[Finding]:
    """How hard to search is what the job says; the greatest end stop is the rig's."""
    settings, effort, rig = bench.plan.settings, bench.plan.job.options.effort, bench.plan.rig
    for key in ("seed", "steps", "seconds", "good_enough"):
        said, asked = getattr(settings, key), getattr(effort, key)
        if said != asked:
            yield Finding("settings", key, f"The settings say {key} {said}, the job {asked}.")
    least, step = rig.end_stop_min, rig.end_stop_step
    greatest = least + math.floor((rig.stroke - least) / step + 1e-6) * step
    said = settings.end_stop_greatest
    if said is not None and abs(said - greatest) > 1e-3:
        yield Finding("settings", "end_stop_greatest", f"The greatest end stop is {greatest:g} mm, not {said} mm.")


def check_keep(bench: Bench, piece: Piece) -> Iterator[Finding]:
    """An offcut is worth keeping by the job's own measure, and scrap is not."""
    shape, keep = bench.shape(piece), bench.plan.job.options.keep
    if shape is None or piece.kind not in ("offcut", "scrap"):
        return
    short, long = sorted(_sides(shape.bounds))
    least, most = sorted(keep)
    if shape.area < 0.999999 * _box(shape.bounds):
        yield from _aslant_kept(piece, shape, least, most)
        return
    if piece.kind == "offcut" and (short < least - NEAR or long < most - NEAR):
        text = (
            f"{piece.id} is called an offcut, but {long:.1f} x {short:.1f} mm is less than the {most:g} x "
            f"{least:g} mm kept."
        )
        yield Finding("keep", piece.id, text)
    if piece.kind == "scrap" and short > least + NEAR and long > most + NEAR:
        text = f"{piece.id} is called scrap, but {long:.1f} x {short:.1f} mm is kept from {most:g} x {least:g} mm."
        yield Finding("keep", piece.id, text)


def _aslant_kept(piece: Piece, shape: Polygon, least: float, most: float) -> Iterator[Finding]:
    """What is no rectangle is worth what its largest rectangle is, a side of it along an edge."""
    said = f"{most:g} x {least:g} mm kept"
    if piece.kind == "offcut" and not holds(shape, most - NEAR, least - NEAR):
        yield Finding("keep", piece.id, f"{piece.id} is called an offcut, but holds no rectangle of the {said}.")
    if piece.kind == "scrap" and holds(shape, most + NEAR, least + NEAR):
        yield Finding("keep", piece.id, f"{piece.id} is called scrap, but holds a rectangle of the {said}.")


def _sides(bounds: tuple[float, float, float, float]) -> tuple[float, float]:
    return bounds[2] - bounds[0], bounds[3] - bounds[1]


def check_mass(bench: Bench, piece: Piece) -> Iterator[Finding]:
    """Mass is area times thickness times density."""
    shape = bench.shape(piece)
    if shape is None:
        return
    mass = mass_of(shape.area, bench.plates[piece.plate])
    if not math.isclose(mass, piece.mass, rel_tol=1e-6, abs_tol=1e-6):
        right, said = figures(mass, piece.mass)
        yield Finding("mass", piece.id, f"{piece.id} weighs {right} kg, not {said} kg.")
