"""The shapes of a job as blocks: which plates they come from, what the rig can cut of them, mixes to choose from."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from stripplan.errors import Fault
from stripplan.layout import Mix, ShapeToPlace, Trouble, excluded, freed, mixes, on_some_plate, one_alone, why_not
from stripplan.model.cut_rules import CutRules
from stripplan.model.job import Job
from stripplan.model.part import Part, Rectangle, Shape
from stripplan.model.plate import Plate
from stripplan.model.polygon import Line, edges, line_of
from stripplan.model.rig import Rig
from stripplan.model.shapes.block import Block, Freed
from stripplan.planner.accuracy import SLENDER
from stripplan.planner.order.bench_plates import conditions_of
from stripplan.planner.settled import Group, Settled, SettledPlate, settle
from stripplan.planner.settling.bevel_checks import check_bevels
from stripplan.planner.shapes.block_cost import block_cost
from stripplan.rig.machine.limits import least_part
from stripplan.sequence import CutConditions, settable
from stripplan.wording.message import Facts, Message, length

MOST_CORNERS = 40
"""An outline with more corners is a curve, and left to others. Chosen: the work of finding the cuts that free a shape
grows with the cube of their number, and a torch that cuts straight is set anew for each."""
THOUSANDTHS = 1000
"""Stand-ins for shapes are so fine [1/mm], rounded up."""


class Trees:
    """The cuts that free the shapes of blocks, found once for each block and kind of plate of a job."""

    def __init__(self) -> None:
        self._known: dict[tuple[Block, CutRules, str], Freed | None] = {}

    def of(self, block: Block, conditions: CutConditions) -> Freed | None:
        """As `tree_of_block`."""
        key = block, conditions.rules, conditions.process.name
        if key not in self._known:
            self._known[key] = tree_of_block(block, conditions)
        return self._known[key]


@dataclass(frozen=True)
class ShapesOfJob:
    """A job with shapes, settled.

    `settled` has a rectangle in the place of each shape, of its name; `job` is the same with the shapes themselves,
    materials and thicknesses filled in. `mixes` are those to choose from: each by itself first. Wanted shapes that no
    mix holds have a fault. `trees` are those that were found.
    """

    job: Job
    settled: Settled
    mixes: tuple[Mix, ...]
    faults: tuple[Fault, ...]
    trees: Trees


def shapes_of_job(job: Job, rig: Rig) -> ShapesOfJob:
    """What can be made of the shapes of a job. Raises InputError where job and rig contradict themselves."""
    by_name = {part.name: part for part in job.parts}
    job = replace(job, plates=tuple(map(_in_thousandths, job.plates)))
    settled = settle(replace(job, parts=tuple(map(_stand_in, job.parts))), rig)
    parts = tuple(_as_given(by_name[each.name], each) for each in settled.job.parts)
    check_bevels(parts)
    whole = replace(settled.job, parts=parts)
    faults: list[Fault] = []
    trees = Trees()
    by_group: list[list[Mix]] = []
    for group in settled.groups:
        some = [(n, part) for n, _ in (*group.parts, *group.fillers) if isinstance(part := parts[n], Shape)]
        if not some:
            continue
        conditions = [conditions_of(settled, each) for each in group.plates]
        found = _mixes(settled, group, some, conditions, trees, [(n, parts[n]) for n, _ in group.parts])
        held = {each.part for block, _ in found[0].blocks for each in block.shapes}
        faults += [
            _why_not(part, conditions, group, settled.job.options.depth)
            for n, part in some
            if n not in held and not part.filler
        ]
        by_group.append(found)
    grouped = {n for group in settled.groups for n, _ in group.parts}
    missing = [n for n, part in enumerate(parts) if isinstance(part, Shape) and n not in grouped and not part.filler]
    faults += [_without_plate(settled, n, parts[n]) for n in missing]
    most = max(map(len, by_group), default=1)
    joined = [_joined(found[min(n, len(found) - 1)] for found in by_group) for n in range(most)]
    return ShapesOfJob(whole, settled, tuple(dict.fromkeys(joined)), tuple(faults), trees)


def tree_of_block(block: Block, conditions: CutConditions) -> Freed | None:
    """The cuts that free the shapes of a block by the kerf of a plate; None where the rig cannot make them."""
    found = freed(block.outline, block.shapes, conditions.rules.kerf, conditions.rules.narrowest_offcut)
    return None if isinstance(found, Trouble) or settable(conditions, found) is not None else found


def _in_thousandths(plate: Plate) -> Plate:
    """A plate no larger than it is, as fine as blocks are: a blank of the plan before is as long as rows came to, and
    rounded to hundredths it would hold none.
    """
    length, width = (math.floor(round(each * THOUSANDTHS, 3)) / THOUSANDTHS for each in (plate.length, plate.width))
    return replace(plate, length=length, width=width)


def _stand_in(part: Part) -> Part:
    """A rectangle in the place of a shape: its box as it is cut."""
    if not isinstance(part, Shape):
        return part
    long, wide = part.length_as_cut, part.width_as_cut
    return rectangle_for(part, part.name, _up(long), _up(wide), part.quantity)


def rectangle_for(part: Shape, name: str, long: float, wide: float, quantity: int) -> Rectangle:
    """A rectangle that goes through the layout in the place of shapes like this; its sizes are as it is cut."""
    return Rectangle(
        name=name,
        length=long,
        width=wide,
        quantity=quantity,
        thickness=part.thickness,
        material=part.material,
        rolling=part.rolling,
        rotate=part.rotate,
        filler=part.filler,
        plate=part.plate,
    )


def _up(size: float) -> float:
    return math.ceil(round(size * THOUSANDTHS, 3)) / THOUSANDTHS


def _as_given(part: Part, settled: Part) -> Part:
    """A part with what was settled of its stand-in; of any other part what was settled."""
    if not isinstance(part, Shape):
        return settled
    return replace(part, thickness=settled.thickness, material=settled.material)


def _joined(some: Iterator[Mix]) -> Mix:
    return Mix(tuple(each for mix in some for each in mix.blocks))


def _mixes(
    settled: Settled,
    group: Group,
    some: Sequence[tuple[int, Shape]],
    conditions: Sequence[CutConditions],
    trees: Trees,
    beside: Sequence[tuple[int, Part]] = (),
) -> list[Mix]:
    """Mixes for the shapes of one group of plates; where these have several kerfs each shape is by itself, as what
    shares a cut is laid out for one kerf. Plain rectangles among the parts `beside` may come out of what falls beside
    shapes.
    """
    some = [(n, part) for n, part in some if len(part.outline) <= MOST_CORNERS]
    rows = [(_to_place(n, part), part.wanted) for n, part in some if not part.filler]
    fillers = [(_to_place(n, part), part.quantity) for n, part in some if part.filler]
    kerfs = {each.rules.kerf for each in conditions}
    plates = [_usable(each) for each in group.plates]
    wide = {n: _wide_enough(settled.rig, part, max(kerfs)) for n, part in some}

    def trees_of(block: Block) -> list[Freed | None]:
        return [trees.of(block, each) for each in conditions]

    def can_be_cut(block: Block) -> bool:
        if not any(_comes_off(each, block) for each in group.plates):
            return False
        return all(wide.get(n, True) for n in block.parts) and all(trees_of(block))

    margin = max(kerfs) + max(each.rules.narrowest_offcut for each in conditions) + 1 / THOUSANDTHS
    cost = block_cost(settled, group, min(kerfs), lambda block: trees_of(block)[0])
    longest = max(each.rules.longest_one_pass for each in conditions)

    guests = [(_guest(n, part), part.wanted) for n, part in beside if isinstance(part, Rectangle) and _is_plain(part)]

    def of(rows: Sequence[tuple[ShapeToPlace, int]], guests: Sequence[tuple[ShapeToPlace, int]] = ()) -> list[Mix]:
        return mixes(
            rows,
            min(kerfs),
            plates,
            can_be_cut,
            tree_of=lambda block: trees_of(block)[0],
            margin=margin,
            longest=longest,
            cost=cost,
            guests=guests,
        )

    found = of(rows, guests)
    if len(kerfs) > 1:
        found = found[:1]
    alone = of(fillers)[0]
    return [Mix((*each.blocks, *alone.blocks)) for each in found]


def mixes_for(settled: Settled, group: Group, some: Sequence[tuple[int, Shape]], trees: Trees) -> list[Mix]:
    """Mixes for shapes, by index in the job, on the plates of a group alone; the first each by itself."""
    return _mixes(settled, group, some, [conditions_of(settled, each) for each in group.plates], trees)


def _to_place(n: int, part: Shape) -> ShapeToPlace:
    return ShapeToPlace(n, part.outline_as_cut, part.rotate and part.rolling == "free", part.plate)


def _guest(n: int, part: Rectangle) -> ShapeToPlace:
    long, wide = _up(part.length_as_cut), _up(part.width_as_cut)
    return ShapeToPlace(n, ((0.0, 0.0), (long, 0.0), (long, wide), (0.0, wide)), True, part.plate, upright=True)


def _is_plain(part: Rectangle) -> bool:
    """Whether nothing is asked of a rectangle but its size: how true or how straight it comes out of what falls beside
    a shape is not foretold.
    """
    short, long = sorted((part.width, part.length))
    asked = part.tolerance, part.plus_minus, part.straightness, part.fence
    free = part.rotate and part.rolling == "free" and part.square == "none" and not part.filler
    return free and asked == (None,) * 4 and not part.bevels and not part.holes and long < SLENDER * short


def _usable(plate: SettledPlate) -> tuple[float, float]:
    """Length and width of a plate less the trims of its mill edges [mm]."""
    south, east, north, west = (
        plate.rules.trim + plate.rules.kerf if state == "mill" and plate.rules.trim else 0.0
        for state in plate.plate.edges
    )
    return plate.plate.length - west - east, plate.plate.width - south - north


def _comes_off(plate: SettledPlate, block: Block) -> bool:
    """Whether a block can be cut off a whole plate: in one pass, or in two where that can be turned over; one as large
    as the plate needs no cut.
    """
    sizes, length = (plate.plate.length, plate.plate.width), max(block.length, block.width)
    if sizes in ((block.length, block.width), (block.width, block.length)):
        return True
    rules = plate.rules
    mass = plate.plate.length * plate.plate.width * rules.areal_mass
    turns = rules.turn_over_mass_max is None or mass <= rules.turn_over_mass_max
    return length <= (rules.longest_two_pass if turns else rules.longest_one_pass)


def _wide_enough(rig: Rig, part: Shape, kerf: float) -> bool:
    return part.thickness is None or least_width(part) >= least_part(rig, part.thickness, kerf) - 1e-6


def least_width(part: Shape) -> float:
    """The least width of a shape as it is cut, between an edge and the corner farthest from it [mm]."""
    outline = part.outline_as_cut
    return min(max(abs(line_of(edge).beside(point)) for point in outline) for edge in edges(outline))


# --- why a shape cannot be cut --------------------------------------------------------------------------------------


def _why_not(part: Shape, conditions: Sequence[CutConditions], group: Group, depth: int | None) -> Fault:
    """Which edge of a shape stops it, by its corners, where one does; else why its least box comes off no plate."""
    rig, kerf = conditions[0].rig, max(each.rules.kerf for each in conditions)
    if not _wide_enough(rig, part, kerf):
        facts = Facts(
            width=length(round(least_width(part), 3)), least=length(least_part(rig, part.thickness or 0.0, kerf))
        )
        return Fault("cannot_make", f"part {part.name}", facts=facts, says="shape_too_narrow")
    if len(part.outline) > MOST_CORNERS:
        facts = Facts(count=len(part.outline), most=MOST_CORNERS)
        return Fault("cannot_make", f"part {part.name}", facts=facts, says="shape_is_a_curve")
    box = _alone(part)
    around = rectangle_for(part, part.name, box.length, box.width, part.quantity)
    plates = tuple(each for each in group.plates if part.plate in (None, each.plate.name))
    if plates and not on_some_plate(box, [(each.plate.length, each.plate.width) for each in plates]):
        return _as_rectangle(why_not(around, plates, depth=depth), part)
    for each in conditions:
        found = freed(box.outline, box.shapes, each.rules.kerf, each.rules.narrowest_offcut)
        if isinstance(found, Trouble):
            least = each.rules.kerf / 2 if each.rules.narrowest_offcut == 0 else each.rules.narrowest_offcut
            facts = Facts(**_edge(part, found.edge), kerf=length(each.rules.kerf), least=length(least))
            return Fault("cannot_make", f"part {part.name}", facts=facts, says="shape_edge_off_the_metal")
        line = settable(each, found)
        if line is not None:
            number = _edge_along(part, line)
            long, longest = math.dist(*list(edges(part.outline_as_cut))[number]), each.rules.longest_one_pass
            if long > longest:
                facts = Facts(**_edge(part, number), long=length(round(long, 3)), longest=length(longest))
                return Fault("cannot_make", f"part {part.name}", facts=facts, says="shape_edge_too_long")
            facts = Facts(
                **_edge(part, number),
                low=_degrees(rig.mitre_min),
                high=_degrees(rig.mitre_max),
                longest=length(each.rules.longest_one_pass),
            )
            return Fault("cannot_make", f"part {part.name}", facts=facts, says="shape_edge_not_set")
    if excluded(around, plates, depth=depth, parts=[around]):
        return _as_rectangle(why_not(around, plates, depth=depth), part)
    x0, y0 = box.length, box.width
    return Fault("cannot_make", f"part {part.name}", facts=Facts(length=length(x0), width=length(y0)),
                 says="shape_on_no_plate")  # fmt: skip


def _as_rectangle(why: Message, part: Shape) -> Fault:
    """What stops the least rectangle around a shape."""
    return Fault(why.code, f"part {part.name}", facts=Facts(why=why), says="rectangle_around_shape")


def _without_plate(settled: Settled, n: int, given: Part) -> Fault:
    """Why a shape is in no group: too narrow, or no plate of its material and thickness."""
    part = settled.job.parts[n]
    narrow = settled.too_narrow.get(n)
    if narrow is not None and isinstance(given, Shape):
        # Dressed down from a larger outline a slender point would come out far longer: no allowance is offered.
        facts = Facts(width=length(round(least_width(given), 3)), least=narrow.facts["least"])
        return Fault("cannot_make", f"part {part.name}", facts=facts, says="shape_too_narrow")
    why = narrow or why_not(part, [])
    return Fault(why.code, f"part {part.name}", facts=why.facts, says=why.says)


def _alone(part: Shape) -> Block:
    return one_alone(_to_place(0, part))


def _degrees(angle: float) -> float:
    return round(angle, 3)


def _edge(part: Shape, number: int) -> dict[str, int | Message]:
    """The corners that an edge runs between, by their places in the part's box."""
    count = len(part.outline)
    one, other = part.outline[number % count], part.outline[(number + 1) % count]
    return {"one": _corner(one), "other": _corner(other)}


def _corner(point: tuple[float, float]) -> Message:
    return Message("corner", facts=Facts(x=length(round(point[0], 3)), y=length(round(point[1], 3))))


def _edge_along(part: Shape, line: Line) -> int:
    """The edge of a part that a cut of its block frees: as it lies in the block the part may be turned."""
    block = _alone(part)
    off = [
        abs(line.beside(a)) + abs(line.beside(b))
        for a, b in edges(block.shapes[0].outline)
    ]  # fmt: skip
    return off.index(min(off))
