"""From the chosen order to the plan's records: pieces with ids and outlines, cuts with all that is set, done and timed.

The order knows pieces by identity and costs by cause; a plan is read by people and checked by a replay that
knows neither. So this is the one place where ids are given, seconds become minutes, and what a cut means on
the rig is written out: the edge on the fence, the reading, marks for cuts that the fence does not reach, the
corner that leads in each pass. It decides nothing. One walk through the order; the clock of rests runs along.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Protocol

from stripplan.model.pattern import Leaf
from stripplan.model.plan.cut import Cut, Dress, Located, Marks, Minutes, Mitre, Pass, Segment, SetUp
from stripplan.model.plan.piece import Piece, PieceKind
from stripplan.model.plan.size_chain import Size, expected_sizes
from stripplan.model.rig import Process, Rig
from stripplan.rig.machine.setting import FenceSetting
from stripplan.rig.machine.timing import dial_for
from stripplan.sequence.changeover import Changeover
from stripplan.sequence.cut_options import BenchPiece, ChosenCut, CutOption, leading_side
from stripplan.sequence.cut_order import CutOrder
from stripplan.sequence.duty_timeline import Timeline


@dataclass(frozen=True)
class PlateToCut:
    """A plate as it goes to the bench: its id in the plan, and its metal before the first cut."""

    id: str
    piece: BenchPiece

    @property
    def process(self) -> Process:
        """The process that it is cut by."""
        return self.piece.conditions.process


@dataclass(frozen=True)
class PiecesAndCuts:
    """The plan's records of an order: all pieces, all cuts, and by id the pieces that are not cut any more,
    with how they came to be.
    """

    rig: Rig
    pieces: list[Piece]
    cuts: list[Cut]
    finished: dict[str, tuple[Leaf, BenchPiece]]
    shapes: dict[str, int] = field(default_factory=dict)
    """By id the parts, by their index in the job, that were cut out of blocks."""
    spared: int = 0
    """So many cuts of the order are not made, as cuts at an angle make them as well."""

    def expected_sizes(self) -> dict[str, Size]:
        """Size to expect of every piece, by id: it follows from the cuts and the steps of the scale, so it can be
        worked out once all cuts are there.
        """
        pieces = {piece.id: piece for piece in self.pieces}
        return expected_sizes(pieces, self.cuts, fence_step=self.rig.fence_step, fence_scale=self.rig.fence_scale)


def pieces_and_cuts(
    rig: Rig, part_names: Sequence[str], plates: Sequence[PlateToCut], order: CutOrder
) -> PiecesAndCuts:
    """Every piece and cut of an order of work; `part_names` are those of the job's parts, by index.

    `plates` are those that the order was made for, by its numbers of plates. All plates come first among the
    pieces, then the products of each cut in turn, so that a piece stands after the one that it was cut from.
    """
    made = Records(rig, part_names)
    for number, plate in enumerate(plates):
        made.add_piece(number, plate, plate.piece, None)
    for cut, change in zip(order.cuts, order.changes, strict=True):
        made.add_cut(plates[cut.plate], cut, change)
    return PiecesAndCuts(rig, made.pieces, made.cuts, made.finished)


class WayOfCut(Protocol):
    """What the record of a cut takes over from how it is set up."""

    @property
    def line(self) -> Segment:
        """The torch's centre inside the metal, entry to exit."""

    @property
    def length(self) -> float:
        """Length of that [mm]."""

    @property
    def located(self) -> Located:
        """By what it is set."""

    @property
    def setting(self) -> FenceSetting:
        """The fence's setting, where it is set by that."""


class Records:
    """Pieces and cuts as they come into being: ids are given in the order of making, and the clock runs on
    from cut to cut.
    """

    def __init__(self, rig: Rig, part_names: Sequence[str]) -> None:
        self.pieces: list[Piece] = []
        self.cuts: list[Cut] = []
        self.finished: dict[str, tuple[Leaf, BenchPiece]] = {}
        self._rig, self._part_names = rig, part_names
        self._ids: dict[tuple[int, int], str] = {}
        self._serial: dict[str, int] = {}
        self._timeline = Timeline(rig)

    def add_piece(self, number: int, plate: PlateToCut, bench_piece: BenchPiece, parent: str | None) -> str:
        """A new piece of a plate; its id. Alike plates share their bench pieces, so ids are kept by number of
        plate as well.
        """
        name = self.new_name(plate)
        node = bench_piece.workpiece.node
        kind: PieceKind = node.kind if isinstance(node, Leaf) else ("plate" if parent is None else "blank")
        part = self._part_names[node.part] if isinstance(node, Leaf) and node.part is not None else None
        self.pieces.append(
            Piece(
                id=name,
                plate=plate.id,
                parent=parent,
                kind=kind,
                part=part,
                outline=bench_piece.workpiece.outline(),
                mass=bench_piece.mass,
            )
        )
        self._ids[number, id(bench_piece)] = name
        if isinstance(node, Leaf):
            self.finished[name] = (node, bench_piece)
        return name

    def new_name(self, plate: PlateToCut) -> str:
        """The id of the next piece of a plate."""
        self._serial[plate.id] = self._serial.get(plate.id, 0) + 1
        return f"{plate.id}-{self._serial[plate.id]}"

    def add_cut(self, plate: PlateToCut, cut: ChosenCut, made: Changeover) -> None:
        """A new cut, and the pieces that it makes, the one on the fence side first."""
        option = cut.option
        name = self._ids[cut.plate, id(cut.piece)]
        ids = [
            None if bench_piece is None else self.add_piece(cut.plate, plate, bench_piece, name)
            for bench_piece in (option.right, option.left)
        ]
        fence = option.located == "fence"
        datum = option.piece.workpiece.edge(option.datum_side)
        if option.travel != option.datum_side:  # edges run counter-clockwise: the south edge to the east, and so on
            datum = (datum[1], datum[0])
        self.record(
            (cut.plate, plate, name),
            option,
            made,
            makes=(ids[0], ids[1]),
            edge_on_fence=datum if fence else None,
            marks=None if fence else _marks(option),
            passes=self._passes(option, made),
            two_person=cut.piece.two_person,
            dress=[cut.piece.workpiece.edge(side) for side in option.dress],
            edge_bow=None if option.bowed is None else round(option.bowed[1], 3),
        )

    def record(
        self,
        of: tuple[int, PlateToCut, str],
        way: WayOfCut,
        made: Changeover,
        *,
        makes: tuple[str | None, str | None],
        edge_on_fence: Segment | None,
        marks: Marks | None,
        passes: tuple[Pass, ...],
        two_person: bool,
        dress: Sequence[Segment],
        mitre: Mitre | None = None,
        edge_bow: float | None = None,
    ) -> None:
        """The next cut, `of` a plate by its number and a piece of it by its id; two people are asked for only where the
        piece is lifted or turned.
        """
        (number, plate, piece), fence = of, way.located == "fence"
        minutes, rest = self.minutes(number, plate.process, made)
        self.cuts.append(
            Cut(
                number=len(self.cuts) + 1,
                plate=plate.id,
                piece=piece,
                makes=makes,
                line=way.line,
                length=way.length,
                kerf=plate.process.kerf,
                located=way.located,
                edge_on_fence=edge_on_fence,
                fence_offset=way.setting.offset if fence else None,
                fence_reading=way.setting.reading if fence else None,
                reading_error=way.setting.error if fence else None,
                mitre=mitre,
                marks=marks,
                passes=passes,
                travel_speed=plate.process.travel_speed,
                dial=dial_for(self._rig, plate.process.travel_speed),
                rest_before=rest,
                setup=SetUp(
                    fence=made.fence,
                    end_stop=made.end_stop,
                    mitre=made.mitre,
                    quarter_turns=made.quarter_turns,
                    fetch=made.fetch,
                    push=made.push,
                    clear=made.clear,
                    two_person=two_person and (made.fetch or made.quarter_turns > 0 or len(made.stops) == 2),
                    dress=tuple(Dress(edge=edge) for edge in dress),
                    process=made.process,
                    dry_run=minutes.dry_run > 0,
                ),
                minutes=minutes,
                edge_bow=edge_bow,
            )
        )

    def _passes(self, option: CutOption, made: Changeover) -> tuple[Pass, ...]:
        """The passes of a cut; between two the piece is turned over end for end, so travel and face change
        and the datum edge does not.
        """
        passes = []
        travel, face_up = option.travel, option.piece.face_up
        for (length, _), stop in zip(option.stops, made.stops, strict=True):
            leading = option.piece.workpiece.edge(leading_side(travel))
            passes.append(Pass(face_up=face_up, leading=leading, corner_at=0.0, length=length, end_stop=stop))
            travel, face_up = (travel + 2) % 4, not face_up
        return tuple(passes)

    def minutes(self, plate: int, process: Process, made: Changeover) -> tuple[Minutes, float]:
        """Time of a cut by cause, and the rest before it [min]; the causes are those of `changeover.CAUSES`,
        in that order.
        """
        times = self._timeline.next_cut(plate, process, made)
        fence, stop, turn, over, fetch, push, dress, clear, changed = (each / 60 for each in made.seconds)
        minutes = Minutes(
            arc=times.arc / 60, return_=times.back / 60, pre_flow=times.pre_flow / 60, post_flow=times.post_flow / 60,
            rest=times.rest / 60,
            fence=fence, end_stop=stop, mitre=made.mitre_seconds / 60, quarter_turn=turn, turn_over=over, fetch=fetch,
            push=push, dress=dress, clear=clear,
            process=changed, dry_run=times.dry_run / 60,
        )  # fmt: skip
        return minutes, times.rest / 60


def _marks(option: CutOption) -> Marks:
    """Marks near both ends of the cut, measured from the datum edge or from the other one (`CutOption.measured_from`).

    30 mm from the ends, so that the scriber stays on the metal and clear of the corner; on a short cut a
    quarter of it. Common practice, no source.
    """
    workpiece, distance = option.piece.workpiece, option.setting.offset
    edge = workpiece.edge(option.datum_side)
    if option.measured_from != option.datum:
        edge = workpiece.edge((option.datum_side + 2) % 4)
        distance = round((workpiece.width if workpiece.direction == "along" else workpiece.length) - distance, 6)
    from_ = min(edge)
    near, far = min(30.0, option.length / 4), max(option.length - 30.0, option.length * 3 / 4)
    return Marks(edge=edge, from_=from_, along=(near, far), distance=(distance, distance))
