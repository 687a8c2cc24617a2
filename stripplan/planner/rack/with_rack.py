"""A job with what lies on the rack among its plates.

Of thousands of pieces a search has use for a few dozen kinds: pieces alike are one kind with a quantity, what no part
fits onto is left out, and of the rest those are handed over that a part can be had from most cheaply, each part in
turn. What is left out is told.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from stripplan.errors import Fault, InputError
from stripplan.model.job import Job
from stripplan.model.material import family_of, serves, word
from stripplan.model.part import Part, Strip
from stripplan.model.plate import Plate, PlateRolling
from stripplan.model.rack.piece import Costs, RackPiece, fits, kind_name
from stripplan.model.rig import Rig
from stripplan.planner.settling.materials import with_materials
from stripplan.rig.machine.limits import SAME_THICKNESS
from stripplan.wording.message import Facts, Message

FEW_KINDS, MOST_KINDS = 12, 24
"""So many kinds of pieces are handed over of one material and thickness; up to the greater number where the first hold
less than `ENOUGH` times the area of the parts. With more the search takes longer and finds nothing better: on a job of
14 parts and 563 pieces 6 kinds came to 53.0 in total, 12 to 49.6, 24 to 50.4, 36 to 50.8, in 2, 3, 6 and 8 times the
time of the job alone."""
ENOUGH = 2.0
MOST_SIZES = 60
"""So many sizes of parts are asked what they can be had from, the largest first."""
SAME = 1e-6


@dataclass(frozen=True)
class OnTheRack:
    """A job with pieces of the rack among its plates; which pieces each of these plates stands for, by its name and
    with the oldest first; and what is to be told of the choice."""

    job: Job
    kinds: Mapping[str, tuple[int, ...]]
    said: tuple[Message, ...]

    def taken(self, stocks: Iterable[tuple[str, str]]) -> dict[str, int]:
        """The piece that each plate of a plan is, from (id, name of its kind) of its plates; bought ones are left
        out."""
        waiting = {name: iter(numbers) for name, numbers in self.kinds.items()}
        return {plate: next(waiting[name]) for plate, name in stocks if name in waiting}


@dataclass(frozen=True)
class _Kind:
    """Pieces alike, the oldest first, as they are laid: `length` along x. `value` is what one counts for."""

    piece: RackPiece
    numbers: tuple[int, ...]
    value: float
    oldest: str


@dataclass(frozen=True)
class _Group:
    """Parts of one material and thickness, the plates that may be bought for them, and the length of these where parts
    are as long as their plate."""

    material: str
    thickness: float
    parts: tuple[Part, ...]
    plates: tuple[Plate, ...]
    strip_length: float | None

    def takes(self, piece: RackPiece) -> bool:
        """Whether a piece is of the right material and thickness."""
        if abs(piece.thickness - self.thickness) > SAME_THICKNESS + 1e-9:
            return False
        return word(piece.material) == word(self.material) or serves(piece.material, self.material)


def with_rack(
    job: Job, rig: Rig, pieces: Sequence[RackPiece], stay: Collection[int] = (), costs: Sequence[Costs] = ()
) -> OnTheRack:
    """The job with those of these pieces that it can use as plates before its own, which are then bought where they are
    needed. Those of the numbers `stay` are taken in any case, and lie as they do. `costs` say what
    pieces with a cost came to, where these pieces are not all there are. Raises InputError where material, thickness or
    length of a part are not clear without plates.
    """
    settled = with_materials(job, rig)[0] if job.plates else _without_plates(job)
    groups = _groups(settled)
    prices = _Prices(settled, costs or _costs(pieces))
    plates: list[Plate] = []
    kinds: dict[str, tuple[int, ...]] = {}
    names = {each.name for each in settled.plates}
    told: list[Message] = []
    handed: list[_Kind] = []
    left: set[int] = {each.number for each in pieces}
    for group in groups:
        fitting = [each for each in pieces if each.number in left and group.takes(each)]
        left -= {each.number for each in fitting}
        useful = _laid(group, fitting, stay)
        chosen = _chosen(group, _kinds(group, useful, prices), stay)
        handed += chosen
        for kind in chosen:
            name = _name(kind.numbers, names)
            kinds[name] = kind.numbers
            plates.append(prices.priced(_plate(kind, group, name), kind.value))
        told += _told(group, fitting, useful, chosen)
    if not plates and not job.plates:
        raise InputError(Fault("no_plate", f"job {job.name}", says="rack_empty"))
    own = tuple(prices.priced(plate, prices.of_plate(plate)) for plate in settled.plates)
    return OnTheRack(replace(settled, plates=(*plates, *own)), kinds, (*prices.said(handed), *told))


def _without_plates(job: Job) -> Job:
    """A job that names no plates, with material and thickness of its parts filled in where all say the same."""
    materials = list(dict.fromkeys(each.material for each in job.parts if each.material is not None))
    thicknesses = list(dict.fromkeys(each.thickness for each in job.parts if each.thickness is not None))
    faults: list[Fault] = []
    parts: list[Part] = []
    for part in job.parts:
        material = part.material or (materials[0] if len(materials) == 1 else None)
        thickness = part.thickness or (thicknesses[0] if len(thicknesses) == 1 else None)
        if material is None or thickness is None:
            faults.append(Fault("part_open", f"part {part.name}", says="part_open_on_rack"))
        if isinstance(part, Strip):
            faults.append(Fault("part_open", f"part {part.name}", says="strip_on_rack"))
        parts.append(replace(part, material=material, thickness=thickness))
    if faults:
        raise InputError(faults)
    return replace(job, parts=tuple(parts))


def _groups(job: Job) -> list[_Group]:
    alike: dict[tuple[str, float], list[Part]] = defaultdict(list)
    for part in job.parts:
        if part.material is not None and part.thickness is not None:
            alike[word(part.material), part.thickness].append(part)
    groups = []
    for (material, thickness), parts in alike.items():
        plates = tuple(
            each for each in job.plates
            if word(each.material) == material and abs((each.thickness or 0) - thickness) <= SAME_THICKNESS + 1e-9
        )  # fmt: skip
        strips = [each for each in parts if isinstance(each, Strip)]
        length = plates[0].length if strips and plates else None
        asked = parts[0].material or ""
        groups.append(_Group(asked, thickness, tuple(parts), plates, length))
    return groups


# --- which pieces ---------------------------------------------------------------------------------------------------


def _laid(group: _Group, pieces: Iterable[RackPiece], stay: Collection[int]) -> list[RackPiece]:
    """Pieces that some part fits onto, each laid with its longer side along x; where parts are as long as their plate,
    those alone that are as long, that side along x. Those that `stay` are as they are."""
    found = []
    for each in pieces:
        if each.number in stay:
            found.append(each)
            continue
        if group.strip_length is None:
            lie = _turned(each) if each.width > each.length + SAME else each
        elif abs(each.length - group.strip_length) <= SAME:
            lie = each
        elif abs(each.width - group.strip_length) <= SAME:
            lie = _turned(each)
        else:
            continue
        if any(_count(part, lie) for part in group.parts):
            found.append(lie)
    return found


def _turned(piece: RackPiece) -> RackPiece:
    """The same piece a quarter turn round, counter-clockwise: its left edge lies below then."""
    below, right, above, left = piece.edges
    turned: dict[PlateRolling, PlateRolling] = {"length": "width", "width": "length", "none": "none"}
    return replace(
        piece,
        length=piece.width,
        width=piece.length,
        edges=(left, below, right, above),
        rolling=turned[piece.rolling],
        out_of_square=piece.out_of_square * piece.length / piece.width,  # the same angle over the other side
    )


def _count(part: Part, piece: RackPiece) -> int:
    """About how many of a part a piece holds: in rows, one way round; kerfs are left out, so it may be too many."""
    if isinstance(part, Strip):
        return int((piece.width + SAME) // part.width_as_cut)
    long, wide = part.length_as_cut, part.width_as_cut
    if not fits(piece.length, piece.width, (long, wide)):
        return 0
    across = int((piece.length + SAME) // long) * int((piece.width + SAME) // wide)
    turned = int((piece.length + SAME) // wide) * int((piece.width + SAME) // long)
    return max(across, turned)


def _kinds(group: _Group, pieces: Iterable[RackPiece], prices: _Prices) -> list[_Kind]:
    """Pieces alike as one kind, the oldest of them first; kinds with the oldest first."""
    alike: dict[tuple[object, ...], list[RackPiece]] = defaultdict(list)
    for each in sorted(pieces, key=lambda each: (each.added, each.number)):
        key = (
            each.length,
            each.width,
            each.kind,
            each.cost,
            each.edges,
            each.measured,
            each.rolling,
            each.out_of_square,
            each.before_it_is_cut,
        )
        alike[key].append(each)
    return [
        _Kind(some[0], tuple(each.number for each in some), prices.of_piece(some[0], group), some[0].added)
        for some in alike.values()
    ]


def _chosen(group: _Group, kinds: Sequence[_Kind], stay: Collection[int]) -> list[_Kind]:
    """Few kinds: those that `stay`, and for each size of part in turn the one from which it can be had most cheaply and
    that is not chosen yet. In their own order, so that of two that are as good the older is met first.
    """
    if len(kinds) <= FEW_KINDS:
        return list(kinds)
    sizes = {(part.width_as_cut, getattr(part, "length_as_cut", 0.0)): part for part in group.parts}
    largest = sorted(sizes.items(), key=lambda each: -each[0][0] * (each[0][1] or 1.0))
    lines = [iter(_cheapest_first(part, kinds)) for _, part in largest[:MOST_SIZES]]
    wanted = ENOUGH * sum(_area(part, group) * part.wanted for part in group.parts)
    taken = {at: None for at, kind in enumerate(kinds) if not set(stay).isdisjoint(kind.numbers)}
    area = 0.0
    while lines:
        for line in list(lines):
            if len(taken) >= MOST_KINDS or (len(taken) >= FEW_KINDS and area >= wanted):
                return [kinds[at] for at in sorted(taken)]
            at = next((each for each in line if each not in taken), None)
            if at is None:
                lines.remove(line)
                continue
            taken[at] = None
            area += kinds[at].piece.length * kinds[at].piece.width * len(kinds[at].numbers)
    return [kinds[at] for at in sorted(taken)]


def _area(part: Part, group: _Group) -> float:
    """Area of one of a part as it is cut [mm2]."""
    return part.width_as_cut * ((group.strip_length or 0.0) if isinstance(part, Strip) else part.length_as_cut)


def _cheapest_first(part: Part, kinds: Sequence[_Kind]) -> list[int]:
    """Kinds that hold a part, by what one of it costs there; no more than are wanted count."""
    priced = []
    for at, kind in enumerate(kinds):
        if count := min(_count(part, kind.piece), max(part.quantity, 1)):
            priced.append((kind.value / count, kind.oldest, at))
    return [at for _, _, at in sorted(priced)]


def _name(numbers: Sequence[int], taken: set[str]) -> str:
    """What a kind is called: its pieces, or the oldest and how many more; never what a plate of the job is called."""
    name = kind_name(numbers)
    while name in taken:
        name += " of the rack"
    taken.add(name)
    return name


def _plate(kind: _Kind, group: _Group, name: str) -> Plate:
    """A kind as a plate of the job, of the material that the job asks for: the piece is that, or a quality of it."""
    piece = kind.piece
    return Plate(
        name=name,
        length=piece.length,
        width=piece.width,
        thickness=group.thickness,
        material=group.material,
        quantity=len(kind.numbers),
        offcut=piece.kind == "offcut",
        measured=piece.measured,
        out_of_square=piece.out_of_square,
        edges=piece.edges,
        rolling=piece.rolling,
        note=piece.before_it_is_cut,
    )


def _told(
    group: _Group, fitting: Sequence[RackPiece], useful: Sequence[RackPiece], chosen: Sequence[_Kind]
) -> list[Message]:
    """What of the rack was left out, where that is something."""
    handed = sum(len(each.numbers) for each in chosen)
    facts = Facts(
        there=len(fitting),
        small=len(fitting) - len(useful),
        more=len(useful) - handed,
        handed=handed,
        kinds=len(chosen),
        strips=group.strip_length is not None,
    )
    return [Message("from_rack", f"{group.material} {group.thickness:g}", facts)]


# --- what they count for --------------------------------------------------------------------------------------------


class _Prices:
    """Prices of all plates in one way, as a job asks for: money for each where the job's plates or, where it has none,
    any piece has a price; else none, and kilograms count.
    """

    def __init__(self, job: Job, costs: Iterable[Costs]) -> None:
        self._job = job
        own = [
            (self.of_plate(each), each.mass * self._factor(each.material)) for each in job.plates if _has_price(each)
        ]
        of_rack = [(each.cost, each.mass * self._factor(each.material) * self._share(each.kind)) for each in costs]
        known = own if job.plates else of_rack
        self.money = bool(known)
        weight = sum(mass for _, mass in known)
        self._per_kg = sum(cost for cost, _ in known) / weight if weight else 1.0

    def of_plate(self, plate: Plate) -> float:
        """What a plate of the job costs: money, else kilograms counted as steel."""
        if plate.cost is not None:
            return plate.cost
        if plate.price_per_kg is not None:
            return plate.price_per_kg * plate.mass
        return plate.mass * self._factor(plate.material)

    def of_piece(self, piece: RackPiece, group: _Group) -> float:
        """What a piece of the rack counts for: its cost, else its mass at the price of new plate, of which an offcut
        counts a share."""
        if self.money and piece.cost is not None:
            return piece.cost
        sheets = [each for each in group.plates if _has_price(each) and not each.offcut]
        new = self.of_plate(sheets[0]) / sheets[0].mass if self.money and sheets else None
        per_kg = new if new is not None else self._per_kg * self._factor(piece.material)
        return piece.mass * per_kg * self._share(piece.kind)

    def priced(self, plate: Plate, value: float) -> Plate:
        """A plate with its price in money, or with none."""
        if not self.money or (plate in self._job.plates and not _has_price(plate)):
            return plate  # a job that prices some of its plates is refused when it is settled
        return replace(plate, cost=round(value, 2) if plate.cost is None else plate.cost, price_per_kg=None)

    def said(self, handed: Iterable[_Kind]) -> tuple[Message, ...]:
        """What is assumed of the prices of pieces that were handed over."""
        costs = [each.piece.cost for each in handed for _ in each.numbers]
        with_cost = sum(each is not None for each in costs)
        if not self.money:
            return (Message("rack_prices_unused", "", Facts(count=with_cost)),) if with_cost else ()
        if with_cost < len(costs):
            share = self._job.options.offcut_share * 100
            return (Message("rack_without_cost", "", Facts(count=len(costs) - with_cost, share=share)),)
        return ()

    def _factor(self, material: str | None) -> float:
        return dict(self._job.options.material_factors).get(family_of(material) or "", 1.0)

    def _share(self, kind: str) -> float:
        return self._job.options.offcut_share if kind == "offcut" else 1.0


def _costs(pieces: Iterable[RackPiece]) -> list[Costs]:
    return [
        Costs(material=each.material, kind=each.kind, cost=each.cost, mass=each.mass)
        for each in pieces
        if each.cost is not None
    ]


def _has_price(plate: Plate) -> bool:
    return plate.cost is not None or plate.price_per_kg is not None
