"""One function per rule, each returning what it finds in a plan. None stops at the first fault."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

import shapely
from shapely.geometry import LineString

from ..model.cut import Cut, Segment
from ..model.piece import Piece
from ..model.plan import Plan, PlanPlate
from ..model.record import to_record
from .bench import NEAR, Metal, on_boundary, part_fresh, rebuilt, torch_line, unit
from .finding import Finding

DENSITY = {"stainless": 8000.0, "stainless steel": 8000.0, "aluminium": 2700.0, "aluminum": 2700.0}


def check_finite(plan: Plan) -> list[Finding]:
    """Every number of the plan is a finite number."""
    bad = [path for path, value in _numbers(to_record(plan), "plan") if not math.isfinite(value)]
    return [Finding("number", path, f"{path} is no finite number.") for path in bad[:5]]


def _numbers(value: Any, path: str) -> Iterator[tuple[str, float]]:
    if isinstance(value, Mapping):
        for key, each in value.items():
            yield from _numbers(each, f"{path}.{key}")
    elif isinstance(value, list):
        for number, each in enumerate(value):
            yield from _numbers(each, f"{path}[{number}]")
    elif isinstance(value, (int, float)) and not isinstance(value, bool):
        yield path, float(value)


def check_tree(plan: Plan) -> list[Finding]:
    """Pieces and cuts form a tree; numbers run from 1 in the order of work."""
    found = []
    if [cut.number for cut in plan.cuts] != list(range(1, len(plan.cuts) + 1)):
        found.append(Finding("numbers", "cuts", "The cuts are not numbered 1, 2, 3 ... in the order of work."))
    for name, count in Counter(piece.id for piece in plan.pieces).items():
        if count > 1:
            found.append(Finding("same_id", name, f"{count} pieces are called {name}."))
    for name, count in Counter(cut.piece for cut in plan.cuts).items():
        if count > 1:
            found.append(Finding("cut_twice", name, f"Piece {name} is cut {count} times."))
    pieces = {piece.id: piece for piece in plan.pieces}
    cut_in = {cut.piece for cut in plan.cuts}
    for piece in plan.pieces:
        if piece.kind in ("plate", "blank") and piece.id not in cut_in:
            found.append(Finding("not_cut", piece.id, f"{piece.kind.capitalize()} {piece.id} is never cut."))
        if piece.kind not in ("plate", "blank") and piece.id in cut_in:
            found.append(Finding("cut_again", piece.id, f"{piece.kind.capitalize()} {piece.id} is cut again."))
    for cut in plan.cuts:
        for product in cut.makes:
            if product is not None and product in pieces and pieces[product].parent != cut.piece:
                found.append(
                    Finding(
                        "parent", product, f"{product} comes out of {cut.piece}, but names {pieces[product].parent}."
                    )
                )
        if cut.piece in pieces and pieces[cut.piece].plate != cut.plate:
            found.append(Finding("plate", f"cut {cut.number}", f"Cut {cut.number} names the wrong plate."))
    return found


def check_metal(plan: Plan) -> list[Finding]:
    """Outlines, torch lines, dressing, sides: the metal rebuilt cut by cut."""
    metals, found = rebuilt(plan)
    for cut in plan.cuts:
        line = torch_line(cut) if cut.passes else None
        if line is None or cut.piece not in metals:
            continue
        # `rebuilt` has dressed the edges of this metal already: what is fresh now was not dressed in time.
        found += _line_agrees(plan, cut, line, metals[cut.piece])
        found += _edges_agree(cut, metals[cut.piece])
    return found


def _line_agrees(plan: Plan, cut: Cut, line: Segment, metal: Metal) -> list[Finding]:
    about = f"cut {cut.number}"
    inside = LineString(line).intersection(metal.shape)
    drawn = LineString(cut.line)
    half_missed = None in cut.makes and plan.rig.get("narrowest_offcut") == 0
    if inside.is_empty or inside.length < NEAR:
        if not half_missed:
            return [Finding("line", about, f"The torch misses the metal in cut {cut.number}.")]
    elif shapely.hausdorff_distance(inside, drawn) > NEAR:
        return [Finding("line", about, f"The line of cut {cut.number} is not where its setting takes the torch.")]
    found = []
    if abs(drawn.length - cut.length) > NEAR:
        found.append(
            Finding("length", about, f"Cut {cut.number} is {drawn.length:.2f} mm long, not {cut.length:.2f} mm.")
        )
    (ax, ay), (bx, by) = unit(line), unit(cut.line)
    if ax * bx + ay * by < 0.999:
        found.append(Finding("travel", about, f"In cut {cut.number} the fence is not on the right of the travel."))
    return found


def _edges_agree(cut: Cut, metal: Metal) -> list[Finding]:
    about, found = f"cut {cut.number}", []
    edge = cut.edge_on_fence if cut.located == "fence" else (cut.marks.edge if cut.marks else None)
    if edge is not None and not on_boundary(metal.shape, LineString(edge)):
        found.append(Finding("datum", about, f"Cut {cut.number} is set from an edge that {cut.piece} does not have."))
    if cut.edge_on_fence is not None:
        (ax, ay), (bx, by) = unit(cut.edge_on_fence), unit(cut.line)
        if abs(ax * by - ay * bx) > 1e-6:
            found.append(Finding("datum", about, f"The edge on the fence is not parallel to cut {cut.number}."))
        if part_fresh(metal, cut.edge_on_fence):
            found.append(
                Finding("datum_fresh", about, f"Cut {cut.number} puts a freshly cut edge on the fence undressed.")
            )
    ends = [cut.line[0], cut.line[1]]
    for number, each in enumerate(cut.passes):
        if not on_boundary(metal.shape, LineString(each.leading)):
            found.append(
                Finding("leading", about, f"Cut {cut.number} enters through an edge that {cut.piece} does not have.")
            )
            continue
        if LineString(each.leading).distance(shapely.Point(ends[number % 2])) > NEAR + cut.kerf:
            found.append(Finding("entry", about, f"Cut {cut.number} does not begin on its leading edge."))
        if part_fresh(metal, each.leading):
            found.append(
                Finding("leading_fresh", about, f"Cut {cut.number} enters through a freshly cut edge, undressed.")
            )
    return found


def check_settings(plan: Plan) -> list[Finding]:
    """Readings, end stops, passes: everything that is set stays within what the rig can do."""
    found = []
    plates = {plate.id: plate for plate in plan.plates}
    for cut in plan.cuts:
        texts = [*_reading(plan.rig, cut), *_stops(plan.rig, cut)]
        plate = plates.get(cut.plate)
        if plate is not None and abs(cut.kerf - plate.kerf) > 1e-9:
            texts.append(("kerf", f"kerf {cut.kerf:g} mm is not the plate's {plate.kerf:g} mm"))
        found += [Finding(code, f"cut {cut.number}", f"Cut {cut.number}: {text}.") for code, text in texts]
    return found


def _reading(rig: Mapping[str, Any], cut: Cut) -> Iterator[tuple[str, str]]:
    if cut.located == "marked":
        if not rig["marked"]:
            yield "marked", "it is marked out, which this rig does not allow"
        return
    if cut.fence_offset is None or cut.fence_reading is None or cut.reading_error is None:
        yield "reading", "it has no fence setting"
        return
    torch_at = rig["fence_zero"] + rig["fence_scale"] * cut.fence_reading
    off = torch_at - cut.fence_offset
    if abs(off) > rig["fence_step"] * rig["fence_scale"] / 2 + 1e-6:
        yield "reading", f"reading {cut.fence_reading:g} puts the torch {off:.2f} mm off"
    if abs(off - cut.reading_error) > 1e-6:
        yield "reading_error", f"reading error is {off:.3f} mm, not {cut.reading_error:.3f} mm"
    marks = cut.fence_reading / rig["fence_step"]
    if abs(marks - round(marks)) > 1e-6:
        yield "reading", f"{cut.fence_reading:g} is no mark of a scale in steps of {rig['fence_step']:g}"
    if not rig["fence_min"] - 1e-6 <= cut.fence_offset <= rig["fence_max"] + 1e-6:
        yield "reach", f"offset {cut.fence_offset:g} mm is outside {rig['fence_min']:g} to {rig['fence_max']:g} mm"


def _stops(rig: Mapping[str, Any], cut: Cut) -> Iterator[tuple[str, str]]:
    least_stop, step = rig["end_stop_min"], rig["end_stop_step"]
    greatest = least_stop + math.floor((rig["stroke"] - least_stop) / step + 1e-9) * step
    for each in cut.passes:
        places = (each.end_stop - least_stop) / step
        if abs(places - round(places)) > 1e-6 or places < -1e-6:
            yield "end_stop", f"end stop {each.end_stop:g} mm cannot be set"
        if each.end_stop > greatest + 1e-6:
            yield "stroke", f"end stop {each.end_stop:g} mm is beyond the {greatest:g} mm that the stroke allows"
    if len(cut.passes) == 1:
        need = rig["lead_in"] + cut.length + rig["overrun"]
        stop = cut.passes[0].end_stop
        if stop < need - 1e-6:
            yield "end_stop", f"end stop {stop:g} mm is short of {need:g} mm: lead-in, cut and overrun"
        if stop > max(rig["lead_in"] + cut.length + rig["overrun_max"], need + step, least_stop) + 1e-6:
            yield "overrun", f"end stop {stop:g} mm lets the torch overrun more than {rig['overrun_max']:g} mm"
        if abs(cut.passes[0].length - cut.length) > NEAR:
            yield "pass", "the pass is not as long as the cut"
    elif len(cut.passes) == 2:
        yield from _two_passes(rig, cut)
    else:
        yield "pass", f"it has {len(cut.passes)} passes"
    if not rig["travel_min"] - 1e-6 <= cut.travel_speed <= rig["travel_max"] + 1e-6:
        yield "travel_speed", f"travel speed {cut.travel_speed:g} mm/min is outside the rig's range"


def _two_passes(rig: Mapping[str, Any], cut: Cut) -> Iterator[tuple[str, str]]:
    if not rig["two_pass"]:
        yield "two_pass", "it is made in two passes, which this rig does not allow"
    one, two = cut.passes
    if one.length + two.length < cut.length + rig["two_pass_overlap"] - 1e-6:
        yield "overlap", f"the passes meet with less than {rig['two_pass_overlap']:g} mm overlap"
    if one.face_up == two.face_up:
        yield "face", "the piece is not turned over between the passes"
    for each in cut.passes:
        reach = each.end_stop - rig["lead_in"] - each.length
        if not -1e-6 <= reach < max(rig["end_stop_step"], rig["end_stop_min"]) + 1e-6:
            yield "end_stop", f"end stop {each.end_stop:g} mm does not fit a pass of {each.length:g} mm"


def check_parts(plan: Plan) -> list[Finding]:
    """Every part has its size, direction and plate; counts and stock limits agree."""
    found = []
    wants = {part["name"]: part for part in plan.job["parts"]}
    plates = {plate.id: plate for plate in plan.plates}
    made: Counter[str] = Counter()
    for piece in plan.pieces:
        if piece.kind != "part":
            continue
        want = wants.get(piece.part or "")
        plate = plates.get(piece.plate)
        if want is None or plate is None:
            found.append(Finding("unknown_part", piece.id, f"Piece {piece.id} is a part that the job does not have."))
            continue
        made[want["name"]] += 1
        found += [
            Finding(code, piece.id, f"{want['name']} ({piece.id}): {text}.")
            for code, text in _part(plan, piece, want, plate)
        ]
    for line in plan.parts:
        if line.made != made[line.name]:
            found.append(Finding("made", line.name, f"{line.name}: {made[line.name]} are made, not {line.made}."))
        if line.name in wants and line.wanted != wants[line.name]["quantity"]:
            found.append(
                Finding(
                    "wanted", line.name, f"{line.name}: {wants[line.name]['quantity']} are wanted, not {line.wanted}."
                )
            )
        if line.made > line.wanted:
            found.append(
                Finding("too_many", line.name, f"{line.name}: {line.made} are made, only {line.wanted} are wanted.")
            )
    if {line.name for line in plan.parts} != set(wants):
        found.append(Finding("parts", "parts", "The list of parts is not that of the job."))
    used = Counter(plate.stock for plate in plan.plates)
    for stock in plan.job["plates"]:
        limit = 1 if stock["quantity"] is None and stock["offcut"] else stock["quantity"]
        if limit is not None and used[stock["name"]] > limit:
            found.append(
                Finding(
                    "stock", stock["name"], f"{used[stock['name']]} of {stock['name']} are used, there are {limit}."
                )
            )
    return found


def _extent(piece: Piece) -> tuple[float, float]:
    xs, ys = [p[0] for p in piece.outline], [p[1] for p in piece.outline]
    return max(xs) - min(xs), max(ys) - min(ys)


def _part(plan: Plan, piece: Piece, want: Mapping[str, Any], plate: PlanPlate) -> Iterator[tuple[str, str]]:
    x, y = _extent(piece)
    wide = want["width"] + 2 * want["allowance"]
    over = (want["tolerance"] or 0.0) + NEAR
    stock = next((each for each in plan.job["plates"] if each["name"] == plate.stock), None)
    if abs(plate.thickness - want["thickness"]) > 0.05 + 1e-9 or plate.material.lower() != want["material"].lower():
        yield "material", "it lies on a plate of another material or thickness"
    if "length" not in want:
        trim = plan.settings["trim"]
        ends = [trim + plate.kerf if plate.edges[side] == "mill" and trim else 0.0 for side in (1, 3)]
        if not -NEAR <= y - wide <= over or abs(x - (plate.length - sum(ends))) > NEAR:
            yield "size", f"it is {x:.2f} x {y:.2f} mm, not as long as the plate and {wide:.2f} mm wide"
        return
    long = want["length"] + 2 * want["allowance"]
    ways = []
    for turned, (a, b) in ((False, (x, y)), (True, (y, x))):
        if -NEAR <= a - long <= over and -NEAR <= b - wide <= over:
            ways.append(turned)
    if not ways:
        yield "size", f"it is {x:.2f} x {y:.2f} mm, not {long:.2f} x {wide:.2f} mm"
    elif not any(_may_lie(want, stock or {}, turned=turned) for turned in ways):
        yield "rolling", "it lies in a direction that its rolling direction or rotate = false forbids"


def _may_lie(want: Mapping[str, Any], stock: Mapping[str, Any], *, turned: bool) -> bool:
    if turned and not want["rotate"]:
        return False
    rolling = stock.get("rolling", "none")
    if want["rolling"] == "free" or rolling == "none":
        return True
    rolled_along_x = rolling == "length"
    length_along_x = not turned
    return bool((rolled_along_x == length_along_x) == (want["rolling"] == "length"))


def check_edges(plan: Plan) -> list[Finding]:
    """Trims, square edges and slivers."""
    found = []
    plates = {plate.id: plate for plate in plan.plates}
    wants = {part["name"]: part for part in plan.job["parts"]}
    makers = {name: cut for cut in plan.cuts for name in cut.makes if name is not None}
    parents = {piece.id: piece.parent for piece in plan.pieces}
    narrowest = plan.rig["narrowest_offcut"]
    for piece in plan.pieces:
        x, y = _extent(piece)
        if piece.kind in ("scrap", "offcut", "blank") and min(x, y) < narrowest - NEAR:
            found.append(
                Finding("sliver", piece.id, f"{piece.id} is {min(x, y):.2f} mm narrow, the least is {narrowest:g} mm.")
            )
        if piece.kind != "part" or piece.plate not in plates:
            continue
        plate, want = plates[piece.plate], wants.get(piece.part or "", {})
        if plan.settings["trim"] > 0 and _on_mill_edge(piece, plate):
            found.append(
                Finding("trim", piece.id, f"{piece.part} ({piece.id}) has a mill edge of the plate untrimmed.")
            )
        if want.get("square", "none") != "none":
            found += _square(plan, piece, want, plate, makers, parents)
    return found


def _sides_of(piece: Piece) -> list[Segment]:
    xs, ys = [p[0] for p in piece.outline], [p[1] for p in piece.outline]
    x0, y0, x1, y1 = min(xs), min(ys), max(xs), max(ys)
    return [((x0, y0), (x1, y0)), ((x1, y0), (x1, y1)), ((x0, y1), (x1, y1)), ((x0, y0), (x0, y1))]


def _plate_edge(side: int, segment: Segment, plate: PlanPlate) -> bool:
    at = segment[0][1] if side % 2 == 0 else segment[0][0]
    return abs(at - (0.0, plate.length, plate.width, 0.0)[side]) < NEAR


def _on_mill_edge(piece: Piece, plate: PlanPlate) -> bool:
    return any(
        plate.edges[side] == "mill" and _plate_edge(side, segment, plate)
        for side, segment in enumerate(_sides_of(piece))
    )


def _square(
    plan: Plan, piece: Piece, want: Mapping[str, Any], plate: PlanPlate, makers: Mapping[str, Cut],
    parents: Mapping[str, str | None],
) -> list[Finding]:  # fmt: skip
    if plan.rig["square_side"] == "equal":
        return []
    bevelled = {
        side
        for side, segment in enumerate(_sides_of(piece))
        if not _plate_edge(side, segment, plate) and not _on_square_side(plan, piece, segment, makers, parents)
    }
    if not any(bevelled.isdisjoint(sides) for sides in _sides_asked(piece, want)):
        return [Finding("square", piece.id, f"{piece.part} ({piece.id}) has an edge on the bevelled side of its cut.")]
    return []


def _sides_asked(piece: Piece, want: Mapping[str, Any]) -> list[set[int]]:
    """Sets of sides of which one must be square all through: an equal-sided part may lie either way."""
    if want["square"] == "all":
        return [{0, 1, 2, 3}]
    if "length" not in want:
        return [{0, 2}]
    x, y = _extent(piece)
    long, wide = want["length"] + 2 * want["allowance"], want["width"] + 2 * want["allowance"]
    over = (want["tolerance"] or 0.0) + NEAR
    ways = (({0, 2}, x, y), ({1, 3}, y, x))
    return [sides for sides, a, b in ways if -NEAR <= a - long <= over and -NEAR <= b - wide <= over]


def _on_square_side(
    plan: Plan, piece: Piece, segment: Segment, makers: Mapping[str, Cut], parents: Mapping[str, str | None]
) -> bool:
    name: str | None = piece.id
    while name is not None and name in makers:
        cut = makers[name]
        if abs(LineString(cut.line).distance(LineString(segment)) - cut.kerf / 2) < NEAR and _parallel(
            cut.line, segment
        ):
            on_fence_side = cut.makes[0] == name
            if plan.rig["square_side"] == "fence":
                return on_fence_side
            return not on_fence_side and len(cut.passes) == 1
        name = parents.get(name)
    return False


def _parallel(one: Segment, other: Segment) -> bool:
    (ax, ay), (bx, by) = unit(one), unit(other)
    return abs(ax * by - ay * bx) < 1e-6


def check_handling(plan: Plan) -> list[Finding]:
    """Greatest mass and length on the rig, width beside the torch; masses of all pieces."""
    found = []
    rig, pieces = plan.rig, {piece.id: piece for piece in plan.pieces}
    plates = {plate.id: plate for plate in plan.plates}
    for piece in plan.pieces:
        plate = plates.get(piece.plate)
        if plate is None:
            found.append(Finding("plate", piece.id, f"Piece {piece.id} lies on no plate of the plan."))
            continue
        x, y = _extent(piece)
        mass = x * y * plate.thickness * DENSITY.get(plate.material.lower(), 7850.0) * 1e-9
        if abs(mass - piece.mass) > 1e-6 * max(1.0, mass):
            found.append(Finding("mass", piece.id, f"Piece {piece.id} weighs {mass:.3f} kg, not {piece.mass:.3f} kg."))
    for cut in plan.cuts:
        on_bed = pieces.get(cut.piece)
        if on_bed is None:
            continue
        if rig["piece_mass_max"] is not None and on_bed.mass > rig["piece_mass_max"] + 1e-6:
            found.append(
                Finding(
                    "piece_mass",
                    cut.piece,
                    f"{cut.piece} weighs {on_bed.mass:.1f} kg, above {rig['piece_mass_max']:g} kg.",
                )
            )
        if rig["bed_length"] is not None and cut.length > rig["bed_length"] + 1e-6:
            found.append(
                Finding(
                    "bed", cut.piece, f"{cut.piece} is {cut.length:.0f} mm long on a bed of {rig['bed_length']:g} mm."
                )
            )
        far = pieces.get(cut.makes[1] or "")
        if rig["far_max"] is not None and far is not None:
            beside = min(
                LineString(cut.line).hausdorff_distance(LineString(side))
                for side in _sides_of(far)
                if _parallel(side, cut.line)
            )
            width = far.mass and _across(far, cut)
            if width > rig["far_max"] + 1e-6 and beside >= 0:
                found.append(
                    Finding(
                        "far",
                        cut.piece,
                        f"Cut {cut.number} leaves {width:.0f} mm beside the torch, above {rig['far_max']:g} mm.",
                    )
                )
    return found


def _across(piece: Piece, cut: Cut) -> float:
    x, y = _extent(piece)
    return y if abs(unit(cut.line)[0]) > 0.5 else x


def check_flags(plan: Plan) -> list[Finding]:
    """What changes is flagged exactly where it changes."""
    found, reading, stop = [], None, None
    for cut in plan.cuts:
        about = f"cut {cut.number}"
        if cut.located == "fence":
            if cut.setup.fence != (reading is None or cut.fence_reading != reading):
                found.append(Finding("fence_flag", about, f"Cut {cut.number} says wrongly whether the fence is moved."))
            reading = cut.fence_reading
        elif cut.setup.fence:
            found.append(
                Finding("fence_flag", about, f"Cut {cut.number} is marked out, but says that the fence is moved.")
            )
        changed = False
        for each in cut.passes:
            changed |= each.end_stop != stop
            stop = each.end_stop
        if cut.setup.end_stop != changed:
            found.append(Finding("stop_flag", about, f"Cut {cut.number} says wrongly whether the end stop is moved."))
    return found


def check_sums(plan: Plan) -> list[Finding]:
    """Totals and minutes add up."""
    found, rig, totals = [], plan.rig, plan.totals
    for cut in plan.cuts:
        travel = sum(each.end_stop for each in cut.passes)
        times = {
            "arc": travel / cut.travel_speed if cut.travel_speed else math.inf,
            "return": travel / rig["return_speed"],
            "pre-flow": len(cut.passes) * rig["pre_flow"] / 60,
            "post-flow": len(cut.passes) * rig["post_flow"] / 60,
            "rest": cut.rest_before,
        }
        m = cut.minutes
        given = {"arc": m.arc, "return": m.return_, "pre-flow": m.pre_flow, "post-flow": m.post_flow, "rest": m.rest}
        found += [
            Finding(
                "minutes",
                f"cut {cut.number}",
                f"Cut {cut.number}: {key} takes {times[key]:.3f} min, not {given[key]:.3f}.",
            )
            for key in times
            if abs(times[key] - given[key]) > 1e-6 * max(1.0, times[key])
        ]
        if min(to_record(m).values()) < 0:
            found.append(Finding("minutes", f"cut {cut.number}", f"Cut {cut.number} has a time below 0."))
    areas: Counter[str] = Counter()
    for piece in plan.pieces:
        x, y = _extent(piece)
        areas[piece.kind if piece.kind in ("part", "offcut", "scrap") else "other"] += x * y  # type: ignore[assignment]
    whole = sum(plate.length * plate.width for plate in plan.plates)
    sums = {
        "plates": len(plan.plates),
        "cost": sum(plate.cost for plate in plan.plates),
        "arc_minutes": sum(cut.minutes.arc for cut in plan.cuts),
        "minutes": sum(sum(to_record(cut.minutes).values()) for cut in plan.cuts),
        "starts": sum(len(cut.passes) for cut in plan.cuts),
        "fence_settings": sum(cut.setup.fence for cut in plan.cuts),
        "end_stop_settings": sum(cut.setup.end_stop for cut in plan.cuts),
        "turns": sum(cut.setup.quarter_turns > 0 for cut in plan.cuts),
        "fetches": sum(cut.setup.fetch for cut in plan.cuts),
        "dressings": sum(len(cut.setup.dress) for cut in plan.cuts),
        "plate_used": areas["part"] / whole if whole else 0.0,
        "offcut_area": areas["offcut"],
        "scrap_area": areas["scrap"],
    }
    found += [
        Finding("totals", key, f"The total {key} is {value:g}, not {getattr(totals, key):g}.")
        for key, value in sums.items()
        if abs(value - getattr(totals, key)) > 1e-6 * max(1.0, abs(value))
    ]
    return found


def check_proof(plan: Plan) -> list[Finding]:
    """No bound above what was found; proven only where they meet."""
    proof, totals, found = plan.proof, plan.totals, []
    values: dict[str, tuple[Any, float]] = {
        "plates": (proof.plates, totals.plates),
        "cost": (proof.cost, totals.cost),
        "setups": (proof.setups, totals.fence_settings),
        "minutes": (proof.minutes, totals.minutes),
    }
    for key, (bound, total) in values.items():
        slack = 1e-6 * max(1.0, abs(total))
        if abs(bound.found - total) > slack:
            found.append(Finding("proof", key, f"The proof speaks of {bound.found:g} {key}, the plan has {total:g}."))
        if bound.bound > bound.found + slack:
            found.append(Finding("proof", key, f"The bound on {key} lies above what was found."))
        if getattr(bound, "proven", False) and abs(bound.bound - bound.found) > slack:
            found.append(Finding("proof", key, f"{key} is called proven, but the bound is {bound.bound:g}."))
    return found


def check_duty(plan: Plan) -> list[Finding]:
    """No ten minutes hold more arc than the power source is rated for at this current."""
    processes = {each["name"]: each for each in plan.rig["processes"]}
    plates = {plate.id: plate for plate in plan.plates}
    now, arcs, found = 0.0, [], []
    for cut in plan.cuts:
        m = {key: value * 60 for key, value in to_record(cut.minutes).items()}
        arc, tail = m["arc"], m["post_flow"] + m["return"]
        start = now + sum(m.values()) - arc - tail
        now += sum(m.values())
        process = processes.get(plates[cut.plate].process) if cut.plate in plates else None
        arcs.append((start, start + arc))
        share = _share(process)
        used = sum(max(0.0, b - max(a, start + arc - 600.0)) for a, b in arcs)
        if used > share * 600.0 + 0.01:
            found.append(
                Finding(
                    "duty",
                    f"cut {cut.number}",
                    f"By the end of cut {cut.number} the arc burnt {used:.0f} s of ten minutes; {share * 600:.0f} s are allowed.",
                )
            )
    return found


def _share(process: Mapping[str, Any] | None) -> float:
    if process is None or not process["duty"] or process["current"] is None:
        return 1.0
    current = process["current"]
    above = sorted(point for point in process["duty"] if point[0] >= current - 1e-9)
    below = [point[1] / 100 for point in process["duty"] if point[0] < current - 1e-9]
    if not above:
        return 0.0
    return float(min([1.0, above[0][1] / 100 * (above[0][0] / current) ** 2, *below]))
