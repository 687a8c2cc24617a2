"""One mix of blocks in the place of a job's shapes: laid out, weighed by an order of its cuts, planned.

The search of a layout and a light order tell what a mix costs within a hundredth; only of mixes that are near are cuts
put in order in earnest, as that takes as long as all else.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from stripplan.errors import Fault
from stripplan.layout import Mix
from stripplan.model.job import Aim, Job
from stripplan.model.part import Part, Rectangle, Shape
from stripplan.model.pattern import Leaf
from stripplan.model.plan.plan import ExpectedBow, PartLine, Plan
from stripplan.model.plan.size_chain import Size
from stripplan.model.polygon import angles
from stripplan.model.rig import Rig
from stripplan.model.shapes.block import Block, Freed
from stripplan.planner.assemble import assemble
from stripplan.planner.first_sight import PlateInSight, in_sight
from stripplan.planner.job_layout import TIME_FIRST, JobLayout, with_fillers_in
from stripplan.planner.jobs.lines import with_jobs
from stripplan.planner.jobs.sharing import layouts_of_jobs
from stripplan.planner.order.due import due_ranks
from stripplan.planner.order.order_of_work import OrderOfWork, light_order, order_of_work
from stripplan.planner.plan_warnings import drill_later
from stripplan.planner.search_control import Search
from stripplan.planner.settled import Settled, settle
from stripplan.planner.shapes.area_bound import HOW, HOW_IN_ALL, area_bound
from stripplan.planner.shapes.blocks_of_job import ShapesOfJob, Trees
from stripplan.planner.shapes.going_on import GoingOn
from stripplan.planner.shapes.inner_job import Inner, first_shape, with_blocks_in
from stripplan.planner.shapes.last_in_row import with_another_last
from stripplan.planner.shapes.left_out import left_out, missing
from stripplan.planner.shapes.trueness import Trueness
from stripplan.planner.total.cheapest import cheapest
from stripplan.planner.total.proof import bound_by
from stripplan.planner.total.total_cost import bought_and_kept
from stripplan.planner.warning_records import units_of, warning_records
from stripplan.sequence import BenchPiece, CutConditions, Margins, Over, PiecesAndCuts, TreeOf, with_blocks
from stripplan.wording.message import Facts, Message, length
from stripplan.wording.show import worded

ON_MARK = 0.005
"""An angle so near to a mark of the mitre bar is on it [deg]."""
SHARP = 30.0
"""Corners sharper than so are told [deg]: common practice, no source."""


class LeftOutError(Exception):
    """A mix of which a layout leaves out so many parts that were wanted, and what is said of them."""

    def __init__(self, count: int, faults: tuple[Fault, ...]) -> None:
        super().__init__(f"{count} parts are left out")
        self.count, self.faults = count, faults


@dataclass(frozen=True)
class Weight:
    """What a mix costs, in the job's currency: so many parts `short`, plates, hands, and the offcuts kept; `used`
    plates, and their area less the offcuts [mm2].
    """

    short: int
    plates: float
    hands: float
    offcuts: float
    used: int
    area: float

    @property
    def total(self) -> float:
        """Plates and hands less the offcuts."""
        return self.plates + self.hands - self.offcuts

    def compared(self, aim: Aim) -> tuple[float, ...]:
        """What mixes are compared by, as a job's aim has it."""
        if aim == "plate":
            return self.short, self.plates, -self.offcuts, self.hands
        return self.short, self.plates + self.hands * (TIME_FIRST if aim == "time" else 1.0) - self.offcuts


@dataclass(frozen=True)
class OfMix:
    """A mix with its layout. `inner` is the job with its blocks, `settled` the same settled; of the layouts beside the
    likeliest one may be cheaper, unless it is `kept` from a plan of before; it may be `filled` with fillers already.
    `order` is that of its cuts where it was found in earnest on the way to the layout.
    """

    shapes: ShapesOfJob
    inner: Inner
    settled: Settled
    layout: JobLayout
    kept: bool = False
    filled: bool = False
    order: OrderOfWork | None = None

    def cheapest(self, search: Search) -> OfMix:
        """The same with the layout that is cheapest once its cuts are in order."""
        if self.kept:
            return self
        taken = cheapest(self.settled, self.layout, search)
        fillers = any(group.fillers for group in self.settled.groups)
        return replace(self, layout=taken.layout, order=None if fillers else taken.order)

    def with_another_last(self) -> Iterator[OfMix]:
        """The same with other blocks beside what is left of its rows, where that may spare a cut."""
        if not self.kept and not any(group.fillers for group in self.settled.groups):
            for layout in with_another_last(self.settled, self.layout, self.inner.blocks, self.shapes.trees):
                yield replace(self, layout=layout, order=None)

    def weight(self, search: Search) -> Weight:
        """What it costs by the order that was found in earnest, else by a light one."""
        settled, layout, order = self.settled, self._filled(), self.order
        if order is None and search.at_once:
            order = order_of_work(settled, layout, search)
        elif order is None:
            order = light_order(settled, layout, list[CutConditions](), search)
        work = self.freed(order)
        plates, offcuts = bought_and_kept(settled, order.plates, work.pieces)
        hands = settled.worth.minute * sum(cut.minutes.total for cut in work.cuts)
        area = sum(each.plate.plate.length * each.plate.plate.width for each in order.plates)
        area -= sum(piece.area for piece in work.pieces if piece.kind == "offcut")
        short = missing(self.inner, settled, self.layout, [part.name for part in self.shapes.job.parts]).total()
        return Weight(short, plates, hands, offcuts, len(order.plates), area)

    def freed(self, order: OrderOfWork, *, sparing: bool = True) -> PiecesAndCuts:
        """All pieces and cuts of an order, those that free the shapes put in; `sparing` as in `with_blocks`."""
        settled, parts = self.settled, self.shapes.job.parts
        names = [part.name for part in settled.job.parts], [part.name for part in parts]
        plates = [each.to_cut for each in order.plates]
        trees = _trees(settled, self.inner.blocks, self.shapes.trees)
        return with_blocks(settled.rig, names, plates, order.order, trees, settled.job.options, sparing=sparing)

    def plan(self, search: Search, made_at: str | None) -> Plan:
        """Its plan, the cuts ordered in earnest."""
        settled, shapes = self.settled, self.shapes
        layout = self._filled()
        layout = replace(layout, faults=left_out(shapes, self.inner, settled, layout))
        best = order_of_work(settled, layout, search, self.order)
        found = self._as_planned(best, self.freed(best), search, made_at)
        if _not_kept_in(found):  # a cut that is spared must cost no part its size
            plain = self._as_planned(best, self.freed(best, sparing=False), search, made_at)
            found = min(found, plain, key=_not_kept_in)
        return with_jobs(found, layout.alone, in_due_order=bool(due_ranks(self.inner.job)))

    def _as_planned(self, best: OrderOfWork, work: PiecesAndCuts, search: Search, made_at: str | None) -> Plan:
        """The plan of an order, with all pieces and cuts of it."""
        settled, shapes = self.settled, self.shapes
        more = sum(cut.minutes.total for cut in work.cuts) - sum(cut.minutes.total for cut in best.work.cuts)
        settings = sum(cut.setup.fence for cut in work.cuts) - sum(cut.setup.fence for cut in best.work.cuts)
        other = best.other
        if other is not None:  # the cuts at an angle are the same for either way of working
            other = replace(other, minutes=other.minutes + more, fence_settings=other.fence_settings + settings)
        if work.spared:  # the bounds on set-up are those of an order that makes these cuts too
            best = replace(best, order=replace(best.order, least_setup=0.0, least_settings=0))
        search.share = 0.95
        search.tell("checking", best.cost, best.layout.bound)
        made = assemble(_shown(settled, self.inner, shapes.job), replace(best, work=work, other=other), search, made_at)
        return _of_the_job(made, shapes, settled, work)

    def _filled(self) -> JobLayout:
        return self.layout if self.filled else with_fillers_in(self.settled, self.layout)


def laid_out(
    shapes: ShapesOfJob,
    mix: Mix,
    rig: Rig,
    search: Search,
    *,
    sight: Callable[[tuple[PlateInSight, ...]], None] | None = None,
    goes_on: GoingOn | None = None,
    further: bool = False,
) -> OfMix:
    """The layout with the blocks of one mix; with those of a plan of before where they are, if that goes; `further` as
    in `job_layout`. Raises LeftOutError where parts that must not find no place.
    """
    inner = with_blocks_in(shapes.job, mix)
    settled = settle(inner.job, rig)

    def told(found: JobLayout) -> None:
        if found.faults and not shapes.job.options.partial:
            count = missing(inner, settled, found, [part.name for part in shapes.job.parts]).total()
            raise LeftOutError(count or 1, left_out(shapes, inner, settled, found))
        if sight is not None:
            sight(in_sight(settled, found, shapes.job, inner.blocks))

    kept = None if goes_on is None else goes_on.layout(settled, inner, search)
    layout = layouts_of_jobs(settled, search, told, further=further) if kept is None else kept
    return OfMix(shapes, inner, settled, layout, kept is not None)


def _trees(settled: Settled, blocks: Mapping[str, Block], trees: Trees) -> TreeOf:
    """What is to be cut out of a piece."""

    def tree_of(leaf: Leaf, piece: BenchPiece, margins: Margins, over: Over) -> Freed | None:
        name = "" if leaf.part is None else settled.job.parts[leaf.part].name
        return trees.of(lying(blocks[name], margins, over), piece.conditions) if name in blocks else None

    def lying(block: Block, margins: Margins, over: Over) -> Block:
        along, across = over
        return block.turned_over(along=along, across=across).with_beside(*margins)

    return tree_of


def _shown(settled: Settled, inner: Inner, job: Job) -> Settled:
    """The settled job with each block called what falls out of it: what is said of parts is said of those."""
    parts = tuple(
        first_shape(job, inner.blocks[part.name]) if part.name in inner.blocks else part for part in settled.job.parts
    )
    return replace(settled, job=replace(settled.job, parts=parts))


def _of_the_job(made: Plan, shapes: ShapesOfJob, settled: Settled, work: PiecesAndCuts) -> Plan:
    """The plan as one of the job that was given: its parts, its bounds, and what is said of shapes."""
    fallen = work.shapes
    expected = work.expected_sizes()
    given = shapes.job.options
    options = replace(settled.job.options, first=given.first, partial=given.partial)
    job = replace(settled.job, parts=shapes.job.parts, options=options, jobs=shapes.job.jobs)
    plain = {line.name: line for line in made.parts}
    true = Trueness(made)
    bows = {part.name: true.bow(part) for part in job.parts if isinstance(part, Shape)}
    lines = tuple(
        _line(part, sum(n == each for each in fallen.values()), true, bows[part.name][0])
        if isinstance(part, Shape)
        else _with_inside(part, plain.get(part.name), [expected[name] for name, each in fallen.items() if each == n])
        for n, part in enumerate(job.parts)
    )
    bowed = [each for _, some in bows.values() for each in some]
    said: list[Message | Fault] = [*_sharp(job, made), *_between_marks(made), *bowed, *_not_kept(lines), *shapes.faults]
    told = {(each.code, each.about) for each in made.warnings}
    later = (each for each in drill_later(job) if (each.code, each.about) not in told)  # of shapes that are not made
    warnings = warning_records([*said, *later], units_of(job))
    bounded = _bounded(made, shapes, complete=all(line.made >= line.wanted for line in lines))
    return replace(bounded, job=job, parts=lines, warnings=(*made.warnings, *warnings))


def _sharp(job: Job, made: Plan) -> Iterator[Message]:
    """Corners whose points are thinner than the kerf for a good way: at an angle a, over k / (2 tan(a / 2))."""
    kerfs = {piece.part: plate.kerf for plate in made.plates for piece in made.pieces if piece.plate == plate.id}
    for part in job.parts:
        if not isinstance(part, Shape) or part.name not in kerfs:
            continue
        angle, corner = min(zip(angles(part.outline), part.outline, strict=True))
        if angle < SHARP - 1e-6:
            place = Message("corner", facts=Facts(x=length(round(corner[0], 3)), y=length(round(corner[1], 3))))
            over = length(round(kerfs[part.name] / 2 / math.tan(math.radians(angle) / 2), 1))
            yield Message("sharp_point", part.name, Facts(angle=round(angle, 1), corner=place, over=over))


def _between_marks(made: Plan) -> Iterator[Message]:
    """Angles of the mitre bar that lie between its marks, each once, with what that makes of the longest cut at it."""
    found: dict[float, float] = {}
    marks: dict[float, float] = {}
    for cut in made.cuts:
        bar = cut.mitre
        if bar is not None and bar.reading is not None and abs(bar.reading - bar.angle) > ON_MARK:
            found[bar.angle], marks[bar.angle] = max(found.get(bar.angle, 0.0), cut.length), bar.reading
    for angle, long in found.items():
        mark = marks[angle]
        off = length(round(long * math.tan(math.radians(abs(mark - angle))), 2))
        facts = Facts(
            angle=round(angle, 2),
            mark=mark,
            degrees=round(abs(mark - angle), 2),
            off=off,
            length=length(round(long, 1)),
        )
        yield Message("mitre_between_marks", f"{round(angle, 2):g}", facts)


def _not_kept(lines: Iterable[PartLine]) -> Iterator[Message]:
    """Of each shape the size that is least likely kept, where what is asked of one is not."""
    for line in lines:
        some = [each for each in line.shape if each.met is False]
        if some:
            worst = max(some, key=lambda each: each.likely)
            facts = Facts(
                of=worst.of, size=length(worst.size), asked=length(worst.asked or 0.0), likely=length(worst.likely),
                cause=worst.doubts[0].cause,
            )  # fmt: skip
            yield Message("plus_minus_of_shape", line.name, facts)


def _with_inside(part: Part, line: PartLine | None, inside: Sequence[Size]) -> PartLine:
    """The line of a rectangle, some of which came out of what falls beside shapes; None: all of them."""
    if line is not None and not inside:
        return line
    assert isinstance(part, Rectangle)
    if line is None:
        line = PartLine(
            name=part.name, wanted=part.wanted, made=0, size_wanted=(part.width, part.length), size_expected=(),
            tolerance_expected=(0.0, 0.0), filler=part.filler,
        )  # fmt: skip
    sizes, spreads = list(line.size_expected), [line.tolerance_expected]
    for each in inside:
        turned = abs(each.x - part.length_as_cut) > abs(each.x - part.width_as_cut)
        wide, long = each.of_part(turned)
        sizes.append((round(wide - 2 * part.allowance, 3), round(long - 2 * part.allowance, 3)))
        spreads.append((each.off_x, each.off_y) if turned else (each.off_y, each.off_x))
    return replace(
        line,
        wanted=part.wanted,
        made=line.made + len(inside),
        size_expected=tuple(sorted(set(sizes))),
        tolerance_expected=(round(max(w for w, _ in spreads), 3), round(max(n for _, n in spreads), 3)),
    )


def _not_kept_in(made: Plan) -> int:
    """How many sizes of shapes are not likely kept where the person asks for it."""
    return sum(each.met is False for line in made.parts for each in line.shape)


def _line(part: Shape, made: int, true: Trueness, bow: ExpectedBow | None) -> PartLine:
    """The line of a shape: its sizes are those of its outline, and how true they will be is told of some."""
    return PartLine(
        name=part.name,
        wanted=part.wanted,
        made=made,
        size_wanted=(part.width, part.length),
        size_expected=(),
        tolerance_expected=(0.0, 0.0),
        filler=part.filler,
        bow=bow,
        shape=true.of(part),
    )


def _bounded(made: Plan, shapes: ShapesOfJob, *, complete: bool) -> Plan:
    """The plan with bounds that hold whatever blocks are made; none where some part is missing."""
    bound, proof, total = area_bound(shapes.job, shapes.settled), made.proof, made.total
    assert total is not None
    plates = min(bound.plates, proof.plates.found)
    cost = min(bound.cost, proof.cost.found)
    met = complete and plates == proof.plates.found
    proof = replace(
        proof,
        plates=bound_by([HOW], found=proof.plates.found, bound=plates, proven=met),
        cost=bound_by([HOW], found=proof.cost.found, bound=cost, proven=complete and cost >= proof.cost.found - 1e-9),
    )
    if not complete:
        return replace(made, proof=proof, total=replace(total, bound=0.0))
    least = min(total.total, math.floor(bound.total * 1e5) / 1e5)
    total = replace(total, bound=least, how=worded(HOW_IN_ALL).text, code=HOW_IN_ALL.code)
    return replace(made, proof=proof, total=total)
