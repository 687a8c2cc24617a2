"""A piece on the rack: a full plate or an offcut, as the stock book knows it."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal, get_args

from stripplan.model.plate import EdgeState, PlateRolling, plate_mass
from stripplan.model.polygon import Outline, area, largest_rectangle
from stripplan.model.rack.offcut import SAME
from stripplan.wording.figures import in_runs

PieceKind = Literal["plate", "offcut"]
State = Literal["there", "used", "written_off"]
Edges = tuple[EdgeState, EdgeState, EdgeState, EdgeState]

MILL: Edges = ("mill", "mill", "mill", "mill")
CUT: Edges = ("cut", "cut", "cut", "cut")
_KINDS, _STATES = frozenset(get_args(PieceKind)), frozenset(get_args(State))
_ROLLINGS, _EDGE_STATES = frozenset(get_args(PlateRolling)), frozenset(get_args(EdgeState))


@dataclass(frozen=True, kw_only=True)
class RackPiece:
    """One piece on the rack. Lengths mm; `cost` is money for this one piece, None where nobody knows it.

    `number` is that of the book, 0 before it is in one. `edges` are the states of the edges y = 0, x = length, y =
    width, x = 0. `code` is what the code of its label says, `added` and `gone` are days (ISO 8601). `job` is whom it is
    reserved for, "" where it is free, `plan` the id of the plan that does, `cuts` how many cuts of that are ticked on
    it: with any it is not whole any more. `from_plan` is the plan that it was left by. `outline` are the corners of a
    piece with slanted edges, counter-clockwise, empty of a rectangle: `length` and `width` are then the largest
    rectangle in it, to be cut out first.
    """

    number: int = 0
    kind: PieceKind = "plate"
    length: float
    width: float
    thickness: float
    material: str
    batch: str = ""
    cost: float | None = None
    place: str = ""
    edges: Edges = MILL
    rolling: PlateRolling = "none"
    measured: bool = False
    out_of_square: float = 0.0
    note: str = ""
    code: str = ""
    added: str = ""
    state: State = "there"
    gone: str = ""
    job: str = ""
    plan: str = ""
    cuts: int = 0
    from_plan: str = ""
    outline: Outline = ()

    def __post_init__(self) -> None:
        # thousands are made for one list: what is right passes in few steps
        if not (0 < self.length < math.inf and 0 < self.width < math.inf and 0 < self.thickness < math.inf):
            raise ValueError(f"piece {self.name}: length, width and thickness must be above 0")
        if not self.material.strip():
            raise ValueError(f"piece {self.name}: it has no material")
        if self.cost is not None and not 0 <= self.cost < math.inf:
            raise ValueError(f"piece {self.name}: cost {self.cost} must not be below 0")
        if not 0 <= self.out_of_square < math.inf:
            raise ValueError(f"piece {self.name}: out_of_square {self.out_of_square} must not be below 0")
        if self.kind not in _KINDS or self.state not in _STATES or self.rolling not in _ROLLINGS:
            raise ValueError(f"piece {self.name}: {self.kind!r}, {self.state!r} or {self.rolling!r} is not known")
        if len(self.edges) != 4 or not _EDGE_STATES.issuperset(self.edges):
            raise ValueError(f"piece {self.name}: edges {self.edges!r} are not known")

    @property
    def name(self) -> str:
        """What it is called on the rack, on paper and in plans."""
        return piece_name(self.number)

    @property
    def promised(self) -> str:
        """Whom it is promised to, and whether it is being cut for that already; empty where it is free."""
        return f"{self.job}{f' ({self.plan})' if self.plan else ''}{', being cut' if self.cuts else ''}"

    @property
    def before_it_is_cut(self) -> str:
        """What has to be done with it before it is cut, for the sheet; empty where nothing has."""
        return SLANTED if self.outline else self.note if self.note.endswith(TRIM_FIRST) else ""

    @property
    def area(self) -> float:
        """Area of its metal [mm2]."""
        return area(self.outline) if self.outline else self.length * self.width

    @property
    def mass(self) -> float:
        """Mass [kg]."""
        return plate_mass(self.area, 1.0, self.thickness, self.material)


@dataclass(frozen=True, kw_only=True)
class Costs:
    """What pieces of one material and kind that have a cost came to together: money, and their mass [kg]."""

    material: str
    kind: str
    cost: float
    mass: float


SLANTED = "has slanted edges: square it up to this size first"
"""What is told of a piece that is known by the largest rectangle in it."""
TRIM_FIRST = "trim it to this size first"
"""What a note ends in that is to be known wherever the piece is cut."""


def rectangle_in(outline: Outline) -> tuple[float, float]:
    """The largest rectangle in a convex outline, down to a tenth [mm].

    >>> rectangle_in(((0.0, 0.0), (400.0, 0.0), (0.0, 300.0)))
    (200.0, 150.0)
    """
    long, short = largest_rectangle(outline)
    return math.floor(long * 10 + 0.05) / 10, math.floor(short * 10 + 0.05) / 10  # as near as it is found


def piece_name(number: int) -> str:
    """A piece's number as it is written on the metal.

    >>> piece_name(12)
    'R12'
    """
    return f"R{number}"


def piece_number(name: str) -> int | None:
    """The number of a name; None for what is no name of a piece.

    >>> piece_number("R12"), piece_number(" r12 "), piece_number("12"), piece_number("plate 3")
    (12, 12, 12, None)
    """
    found = re.fullmatch(r"\s*[rR]?([0-9]{1,12})\s*", name)
    return int(found[1]) if found else None


def fits(length: float, width: float, over: tuple[float, float]) -> bool:
    """Whether `over` lies on a rectangle, either way round. All in one unit.

    >>> fits(1000, 500, (400, 900)), fits(1000, 500, (600, 900))
    (True, False)
    """
    return min(over) <= min(length, width) + SAME and max(over) <= max(length, width) + SAME


LONGEST_KIND = 40
"""Most letters of the name of several pieces alike: it stands on sheets, and a name in a plan file has at most 200."""


def kind_name(numbers: Sequence[int]) -> str:
    """What pieces alike are called together: all of them, or where they are many the first and how many more.

    >>> kind_name([4, 2, 3]), kind_name(range(1, 100, 2))
    ('R2-R4', 'R1 and 49 alike')
    """
    name = numbers_said(numbers)
    return name if len(name) <= LONGEST_KIND else f"{piece_name(numbers[0])} and {len(numbers) - 1} alike"


def numbers_said(numbers: Iterable[int]) -> str:
    """Names of pieces in a row, neighbours drawn together.

    >>> numbers_said([3, 1, 2, 7])
    'R1-R3, R7'
    """
    rows = in_runs(sorted(set(numbers)))
    return ", ".join(
        piece_name(row[0]) if len(row) == 1 else f"{piece_name(row[0])}-{piece_name(row[-1])}" for row in rows
    )
