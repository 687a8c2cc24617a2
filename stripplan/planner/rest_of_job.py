"""A cut went wrong: what is still wanted, and what it can be made from, as a new job.

Counted from what lies in the workshop: pieces that the cuts done so far have made and that no cut has taken apart.
Parts among them are made; blanks and offcuts are plates now; what was spoilt is neither. Plates that were not begun
stay on the rack. A cut that is ticked had its piece to cut, so the cuts that made that piece count as done, ticked or
not.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Container, Iterable, Mapping
from dataclasses import asdict, fields, replace
from datetime import date
from typing import Any

from stripplan.model.job import OneJob
from stripplan.model.part import Hole, Part, Shape
from stripplan.model.plan.cut import Cut
from stripplan.model.plan.lying import bevels_left, cuts_made, leaves, lying_there
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan, PlanPlate
from stripplan.model.plan.progress import CutProgress
from stripplan.model.plate import Plate
from stripplan.model.rack.salvage import Salvage, edge_states, salvaged
from stripplan.wording.message import Facts, Message, length, mass


def rest_of_job(plan: Plan, job: Mapping[str, Any], progress: CutProgress, *, on_rack: bool = False) -> dict[str, Any]:
    """The job for the rest, as a table of a job file; sizes are in mm and say so. `job` is the table that the plan came
    from.

    Parts stay as the person wrote them; where some came from lists, all are as the plan has them. What lies on the
    bench becomes plates of the job, unless it is `on_rack` now: `stripplan done --so-far` put it there; but for pieces
    with slanted edges, which no plate is. Of jobs that were planned together it is the rest of all, each part under its
    own; `job` is then the table of any of them, and says what is wanted of the plan.
    """
    job = _of_all(plan, job) if plan.job.jobs else job
    cuts = cuts_made(plan, progress)
    there = lying_there(plan, progress, cuts)
    made = Counter(piece.part for piece in there if piece.kind == "part")
    begun = Counter(plate.stock for plate in plan.plates if any(cut.plate == plate.id for cut in cuts))
    listed = "cut_list" in job or plan.job.jobs
    wanted = [_as_table(part) for part in plan.job.parts] if listed else job.get("part", ())
    parts = [part for number, each in enumerate(wanted, 1) if (part := _wanted(plan, each, number, made))]
    given = {each.get("name") or f"plate {number}": each for number, each in enumerate(job.get("plate", ()), 1)}
    stock = [plate for name, each in given.items() if (plate := _on_the_rack(each, name, begun))]
    plates = {plate.id: plate for plate in plan.plates}
    lying = [] if on_rack else _lying(plan, progress)
    left = {each.piece.id: each for each in salvaged(plan, progress, cuts)}
    names = _plate_names(given, plan, lying, cuts)
    rest = [
        {
            "name": names[each.id],
            **_as_plate(each, plates[each.plate], given.get(plates[each.plate].stock, {}), left.get(each.id)),
        }
        for each in lying
    ]
    came_from = defaultdict[str, list[str]](list)
    for piece, each in zip(lying, rest, strict=True):
        came_from[plates[piece.plate].stock].append(each["name"])
    parts = [_bound_anew(part, {each["name"] for each in stock}, came_from) for part in parts]
    kept = {key: each for key, each in job.items() if key not in ("part", "plate", "name", "cut_list")}
    if "options" in kept:
        named = {each["name"] for each in parts}, {each["name"] for each in stock}
        kept["options"] = _options(kept["options"], *named)
    if plan.job.jobs:
        parts = [_under_its_job(plan, part) for part in parts]
        still = {part["job"] for part in parts}
        kept["job"] = [_one_job(each) for each in plan.job.jobs if each.name in still]
    if plan.job.left_out:  # what a list holds beside its parts is still to be told when the list itself is no more
        kept["not_planned"] = [asdict(each) for each in plan.job.left_out]
    return {**kept, "name": f"{job.get('name', 'job')}, again", "plate": [*rest, *stock], "part": parts}


def _of_all(plan: Plan, job: Mapping[str, Any]) -> dict[str, Any]:
    """The table of one of several jobs with the plates of all in place of its own."""
    kept = {key: each for key, each in job.items() if key not in ("part", "plate", "cut_list", "due", "job")}
    return {**kept, "name": plan.job.name, "plate": [_as_table(plate) for plate in plan.job.plates]}


def _under_its_job(plan: Plan, part: Mapping[str, Any]) -> dict[str, Any]:
    """A part by its own name, and the job that it belongs to."""
    job, name = plan.job.own_name(part["name"])
    return {"name": name, "job": job, **{key: each for key, each in part.items() if key != "name"}}


def _one_job(one: OneJob) -> dict[str, Any]:
    return {"name": one.name} if one.due is None else {"name": one.name, "due": date.fromisoformat(one.due)}


def left_to_cut(plan: Plan, job: Mapping[str, Any], progress: CutProgress) -> Plan:
    """What is left of a plan that was begun, as a plan for the job that `rest_of_job` gives: each piece on the bench is
    a plate of its own, with the cuts that were to be made in it, and plates that were not begun are as they were. It is
    there to be kept (`plan(..., keep=...)`); its sums are those of the whole plan.
    """
    cuts = cuts_made(plan, progress)
    begun = {cut.plate for cut in cuts}
    table = _of_all(plan, job) if plan.job.jobs else job
    given = {each.get("name") or f"plate {number}": each for number, each in enumerate(table.get("plate", ()), 1)}
    lying = _lying(plan, progress)
    names = _plate_names(given, plan, lying, cuts)
    plates = {plate.id: plate for plate in plan.plates}
    left = {each.piece.id: each for each in salvaged(plan, progress, cuts)}
    moved = [_Moved(plan, piece, plates[piece.plate], names[piece.id], left.get(piece.id)) for piece in lying]
    home = {name: each for each in moved for name in each.pieces}
    whole = [plate for plate in plan.plates if plate.id not in begun]
    done = {cut.number for cut in cuts}
    rest = [cut for cut in plan.cuts if cut.number not in done and (cut.piece in home or cut.plate not in begun)]
    return replace(
        plan,
        plates=(*(each.plate for each in moved), *whole),
        pieces=(
            *(piece for each in moved for piece in each.pieces.values()),
            *(piece for piece in plan.pieces if piece.plate not in begun),
        ),
        cuts=tuple(
            replace(home[cut.piece].cut(cut) if cut.piece in home else cut, number=number)
            for number, cut in enumerate(rest, 1)
        ),
    )


class _Moved:
    """A piece of a plate as a plate of its own: its corner is the origin, and so of all that comes out of it."""

    def __init__(self, plan: Plan, root: Piece, plate: PlanPlate, name: str, left: Salvage | None) -> None:
        self._x, self._y, x1, y1 = root.box
        self.plate = replace(
            plate, id=root.id, stock=name, length=x1 - self._x, width=y1 - self._y, mass=root.mass,
            measured=left is not None, edges=edge_states(root, plate, left),
        )  # fmt: skip
        self.pieces = {root.id: self._piece(replace(root, parent=None, kind="plate"))}
        for piece in plan.pieces:
            if piece.parent in self.pieces:
                self.pieces[piece.id] = self._piece(piece)

    def _piece(self, piece: Piece) -> Piece:
        return replace(piece, plate=self.plate.id, outline=tuple((x - self._x, y - self._y) for x, y in piece.outline))

    def cut(self, cut: Cut) -> Cut:
        """A cut of one of its pieces."""
        (ax, ay), (bx, by) = cut.line
        line = (ax - self._x, ay - self._y), (bx - self._x, by - self._y)
        return replace(cut, plate=self.plate.id, line=line)


def _lying(plan: Plan, progress: CutProgress) -> list[Piece]:
    """Pieces on the bench that are plates now, with what is left of those that were spoilt."""
    cuts = cuts_made(plan, progress)
    there = lying_there(plan, progress, cuts)
    whole = [each for each in there if each.kind in ("blank", "offcut") and each.is_rectangle]
    return [*whole, *(each.piece for each in salvaged(plan, progress, cuts))]


def _plate_names(
    given: Mapping[str, Mapping[str, Any]], plan: Plan, lying: Iterable[Piece], cuts: Iterable[Cut]
) -> dict[str, str]:
    """What each of these pieces is called as a plate, by its id."""
    begun = Counter(plate.stock for plate in plan.plates if any(cut.plate == plate.id for cut in cuts))
    names = _Names(name for name, each in given.items() if _on_the_rack(each, name, begun))
    return {each.id: names.new(each.id) for each in lying}


def what_changed(plan: Plan, progress: CutProgress) -> tuple[Message, ...]:
    """What the rest of a job is, beside its plan, and why: how far it is, what was spoilt, what that costs in parts."""
    cuts = cuts_made(plan, progress)
    found = leaves(plan, progress, cuts)
    lying = [piece for piece, sound in found if sound]
    lost = [piece for piece, sound in found if not sound]
    left = salvaged(plan, progress, cuts)
    made = Counter(piece.part for piece in lying if piece.kind == "part")
    wanted = sum(line.wanted for line in plan.parts)
    said = [Message("rest_made", "", Facts(cuts=len(cuts), all_cuts=len(plan.cuts), parts=made.total(), wanted=wanted))]
    if lost:
        again = Counter(each.part or "" for each in lost if each.kind == "part")
        facts = Facts(
            pieces=tuple(each.id for each in lost),
            parts=tuple(f"{count} {name}" for name, count in sorted(again.items())),
            mass=mass(sum(each.mass for each in lost) - sum(each.piece.mass for each in left)),
        )
        said.append(Message("rest_spoilt", "", facts))
    for each in left:
        x0, y0, x1, y1 = each.piece.box
        facts = Facts(piece=each.of.id, length=length(x1 - x0), width=length(y1 - y0))
        said.append(Message("rest_salvaged", "", facts))
    slanted = [each for each in lying if each.kind in ("blank", "offcut") and not each.is_rectangle]
    if slanted:
        said.append(Message("rest_slanted", "", Facts(pieces=tuple(each.id for each in slanted))))
    blanks = [each for each in lying if each.kind == "blank" and each.is_rectangle]
    if blanks:
        said.append(Message("rest_blanks", "", Facts(pieces=tuple(each.id for each in blanks))))
    if unbevelled := bevels_left(plan, progress, cuts):
        facts = Facts(
            bevels=tuple(str(each.number) for each in unbevelled),
            pieces=tuple(dict.fromkeys(each.piece for each in unbevelled)),
        )
        said.append(Message("rest_bevels", "", facts))
    begun = {cut.plate for cut in cuts}
    if untouched := [plate for plate in plan.plates if plate.id not in begun]:
        said.append(
            Message("rest_untouched", "", Facts(plates=tuple(f"{each.id} ({each.stock})" for each in untouched)))
        )
    return tuple(said)


def _as_table(part: Part | Plate) -> dict[str, Any]:
    """A part or plate as a table of a job file; what is as it is where nothing is said is left out."""
    lengths = (
        "width", "length", "thickness", "allowance", "tolerance", "plus_minus", "straightness", "out_of_square",
        "fence",
    )  # fmt: skip
    found: dict[str, Any] = {}
    for each in fields(part):
        if not each.init or each.name == "fence_width":
            continue  # the outline tells it, or the rig
        value = getattr(part, each.name)
        if value != each.default:
            found[each.name] = _mm(value) if each.name in lengths else _listed(each.name, value)
    return found


def _listed(name: str, value: Any) -> Any:
    """What is no length: holes and outlines as tables and lists, all else as it is."""
    if name == "holes":
        return _holes(value)
    if name == "edges":
        return list(value)
    return [[_mm(x), _mm(y)] for x, y in value] if name == "outline" else value


def _holes(holes: Iterable[Hole]) -> list[dict[str, Any]]:
    """Holes as tables of a job file."""
    lengths = ("x", "y", "length", "width")
    return [{**{key: _mm(getattr(each, key)) for key in lengths}, "round": each.round} for each in holes]


def _wanted(plan: Plan, part: Mapping[str, Any], number: int, made: Mapping[str | None, int]) -> dict[str, Any] | None:
    """A part with as many as are still wanted; None where all are made. Of a filler with no limit there are never
    enough.

    A strip as long as its plate gets the length that it had: what it is made from now may be of any length.
    """
    name = part.get("name") or f"part {number}"
    if part.get("filler") and not part.get("quantity"):
        return {**part, "name": name}
    left = int(part.get("quantity", 1)) - made.get(name, 0)
    if left <= 0:
        return None
    wanted = {**part, "name": name, "quantity": left}
    shape = any(isinstance(each, Shape) for each in plan.job.parts if each.name == name)
    pieces = () if shape else plan.pieces  # its table says how large it is
    box = next((each.box for each in pieces if each.kind == "part" and each.part == name), None)
    if part.get("length") is None and box is not None:
        wanted["length"] = _mm(box[2] - box[0] - 2 * _allowance(plan, name))
    return wanted


def _allowance(plan: Plan, name: str) -> float:
    """What is left on each edge of a part for dressing [mm]; with a length of its own it goes on the ends too."""
    return next((each.allowance for each in plan.job.parts if each.name == name), 0.0)


def _mm(length: float) -> str:
    """A length that says its unit, whatever that of the job is."""
    return f"{length:.6f}".rstrip("0").rstrip(".") + " mm"


def _on_the_rack(plate: Mapping[str, Any], name: str, begun: Mapping[str, int]) -> dict[str, Any] | None:
    """A plate of the stock with as many as were not begun; None where none is left."""
    count = plate.get("quantity", 1 if plate.get("offcut") else None)
    if count is None:
        return {**plate, "name": name}
    left = int(count) - begun.get(name, 0)
    return {**plate, "name": name, "quantity": left} if left > 0 else None


def _bound_anew(part: dict[str, Any], stock: Container[str], came_from: Mapping[str, list[str]]) -> dict[str, Any]:
    """A part that is bound to a plate that is no more: to the one piece that is left of it, else to none."""
    plate = part.get("plate")
    if plate is None or plate in stock:
        return part
    left = came_from.get(plate, [])
    free = {key: each for key, each in part.items() if key != "plate"}
    return {**free, "plate": left[0]} if len(left) == 1 else free


class _Names:
    """Names that no plate has yet: a piece of the plan before may lie on the rack from an earlier time."""

    def __init__(self, taken: Iterable[str]) -> None:
        self._taken = set(taken)

    def new(self, piece: str) -> str:
        """A name for a piece."""
        name, number = f"{piece} of the plan before", 1
        while name in self._taken:
            number += 1
            name = f"{piece} of the plan before ({number})"
        self._taken.add(name)
        return name


def _as_plate(piece: Piece, plate: PlanPlate, given: Mapping[str, Any], left: Salvage | None = None) -> dict[str, Any]:
    """A piece as a plate of its own: it costs nothing any more, its edges are what they are, and what the stock says of
    the plate that it comes from holds for it too; but for what is not known of what is `left` of a spoilt one.
    """
    x0, y0, x1, y1 = piece.box
    made = {
        "length": _mm(x1 - x0),
        "width": _mm(y1 - y0),
        "thickness": _mm(plate.thickness),
        "material": plate.material,
        "offcut": True,
        "edges": list(edge_states(piece, plate, left)),
    }
    same = {key: given[key] for key in ("rolling", "process", "out_of_square") if given.get(key) is not None}
    free = {key: 0.0 for key in ("cost", "price_per_kg") if given.get(key) is not None}
    if left is None:
        return {**made, **same, **free}
    same = {key: each for key, each in same.items() if key == "process" or (key == "rolling" and left.lies_known)}
    return {**made, **same, **free, "measured": True, "note": left.note}


def _options(options: Mapping[str, Any], parts: Container[str], plates: Container[str]) -> dict[str, Any]:
    """The options without those about parts and plates that are no more."""
    kept = dict(options)
    if "first" in kept:
        kept["first"] = [each for each in kept["first"] if each in parts]
    if "before" in kept:
        kept["before"] = [pair for pair in kept["before"] if all(each in plates for each in pair)]
    return kept
