"""From the chosen order to the plan's pieces and cuts, with rests and minutes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from stripplan.model.pattern import Leaf
from stripplan.model.plan.cut import Cut, Dress, Marks, Minutes, Pass, SetUp
from stripplan.model.plan.piece import Piece, PieceKind
from stripplan.model.rig import Process, Rig
from stripplan.model.size_chain import Size, expected_sizes
from stripplan.rig.machine.timing import dial_for
from stripplan.sequence.best_order import Ordered
from stripplan.sequence.changeover import Change
from stripplan.sequence.cut_options import Lay, Step, Way, leading_side
from stripplan.sequence.duty_timeline import Timeline


@dataclass(frozen=True)
class BenchPlate:
    """A plate on its way through the order: id, uncut piece, process it is cut by."""

    id: str
    lay: Lay
    process: Process


@dataclass
class Work:
    """Pieces and cuts as they come into being; `leaves` are the pieces that are not cut any more, by id."""

    rig: Rig
    names: Sequence[str]
    pieces: list[Piece] = field(default_factory=list)
    cuts: list[Cut] = field(default_factory=list)
    leaves: dict[str, tuple[Leaf, Lay]] = field(default_factory=dict)
    _ids: dict[tuple[int, int], str] = field(default_factory=dict)
    _serial: dict[str, int] = field(default_factory=dict)
    _timeline: Timeline = field(init=False)

    def __post_init__(self) -> None:
        self._timeline = Timeline(self.rig)

    def run(self, plates: Sequence[BenchPlate], order: Ordered) -> Work:
        """Make every piece and cut of the order."""
        for number, plate in enumerate(plates):
            self._add_piece(number, plate, plate.lay, None)
        for step, made in zip(order.steps, order.changes, strict=True):
            self._add_cut(plates[step.plate], step, made)
        return self

    def expected_sizes(self) -> dict[str, Size]:
        """Size to expect of every piece, by id."""
        pieces = {piece.id: piece for piece in self.pieces}
        return expected_sizes(pieces, self.cuts, fence_step=self.rig.fence_step, fence_scale=self.rig.fence_scale)

    def _add_piece(self, number: int, plate: BenchPlate, lay: Lay, parent: str | None) -> str:
        self._serial[plate.id] = self._serial.get(plate.id, 0) + 1
        name = f"{plate.id}-{self._serial[plate.id]}"
        node = lay.piece.node
        kind: PieceKind = node.kind if isinstance(node, Leaf) else ("plate" if parent is None else "blank")
        part = self.names[node.part] if isinstance(node, Leaf) and node.part is not None else None
        self.pieces.append(
            Piece(
                id=name, plate=plate.id, parent=parent, kind=kind, part=part, outline=lay.piece.outline(), mass=lay.mass
            )
        )
        self._ids[number, id(lay)] = name
        if isinstance(node, Leaf):
            self.leaves[name] = (node, lay)
        return name

    def _add_cut(self, plate: BenchPlate, step: Step, made: Change) -> None:
        way = step.way
        name = self._ids[step.plate, id(step.lay)]
        ids = [None if lay is None else self._add_piece(step.plate, plate, lay, name) for lay in (way.right, way.left)]
        minutes, rest = self._minutes(step.plate, plate.process, made)
        fence = way.located == "fence"
        datum = way.lay.piece.edge(way.datum_side)
        if way.travel != way.datum_side:  # edges run counter-clockwise: the south edge to the east, and so on
            datum = (datum[1], datum[0])
        self.cuts.append(
            Cut(
                number=len(self.cuts) + 1,
                plate=plate.id,
                piece=name,
                makes=(ids[0], ids[1]),
                line=way.line,
                length=way.length,
                kerf=plate.process.kerf,
                located=way.located,
                edge_on_fence=datum if fence else None,
                fence_offset=way.setting.offset if fence else None,
                fence_reading=way.setting.reading if fence else None,
                reading_error=way.setting.error if fence else None,
                mitre=None,
                marks=None if fence else _marks(way),
                passes=self._passes(way, made),
                travel_speed=plate.process.travel_speed,
                dial=dial_for(self.rig, plate.process.travel_speed),
                rest_before=rest,
                setup=_setup(step, made, minutes),
                minutes=minutes,
            )
        )

    def _passes(self, way: Way, made: Change) -> tuple[Pass, ...]:
        passes = []
        travel, face_up = way.travel, way.lay.face_up
        for (length, _), stop in zip(way.stops, made.stops, strict=True):
            leading = way.lay.piece.edge(leading_side(travel))
            passes.append(Pass(face_up=face_up, leading=leading, corner_at=0.0, length=length, end_stop=stop))
            travel, face_up = (travel + 2) % 4, not face_up
        return tuple(passes)

    def _minutes(self, plate: int, process: Process, made: Change) -> tuple[Minutes, float]:
        """Time of a cut by cause, and the rest before it [min]."""
        times = self._timeline.cut(plate, process, made)
        fence, stop, turn, over, fetch, push, dress, clear, changed = (each / 60 for each in made.seconds)
        minutes = Minutes(
            arc=times.arc / 60, return_=times.back / 60, pre_flow=times.pre_flow / 60, post_flow=times.post_flow / 60, rest=times.rest / 60,
            fence=fence, end_stop=stop, quarter_turn=turn, turn_over=over, fetch=fetch, push=push, dress=dress, clear=clear,
            process=changed, dry_run=times.dry_run / 60,
        )  # fmt: skip
        return minutes, times.rest / 60


def _setup(step: Step, made: Change, minutes: Minutes) -> SetUp:
    piece = step.lay.piece
    return SetUp(
        fence=made.fence,
        end_stop=made.end_stop,
        quarter_turns=made.quarter_turns,
        fetch=made.fetch,
        push=made.push,
        clear=made.clear,
        two_person=step.lay.two_person and (made.fetch or made.quarter_turns > 0 or len(made.stops) == 2),
        dress=tuple(Dress(edge=piece.edge(side)) for side in step.way.dress),
        process=made.process,
        dry_run=minutes.dry_run > 0,
    )


def _marks(way: Way) -> Marks:
    """Marks near both ends of the cut, measured from the datum edge."""
    edge = way.lay.piece.edge(way.datum_side)
    from_ = min(edge)
    near, far = min(30.0, way.length / 4), max(way.length - 30.0, way.length * 3 / 4)
    distance = way.setting.offset
    return Marks(edge=edge, from_=from_, along=(near, far), distance=(distance, distance))
