"""Small jobs on tight rigs, drawn at random, and what trying every cut says of them."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

from stripplan import plan
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from tests.planner.brute_force import CUT, MILL, Plates, Rules, can_be_made

KERF = 2
AREAL_MASS = 6 * 7850e-9
"""Mass of 6 mm steel [kg/mm2]."""


@dataclass(frozen=True)
class Outcome:
    """What the program said of a job, and what is true: `made` all, `said` the codes of what is short."""

    made: bool
    said: frozenset[str]
    possible: bool

    @property
    def false_cannot(self) -> bool:
        """Whether something that can be made was called impossible."""
        return self.possible and bool(self.said & {"cannot_make", "stock_used_up"})


def rig_of(chance: Random) -> Rig:
    """A rig that binds in some of its limits."""
    stroke = chance.choice([14, 18, 22, 30, 60, 60])
    fence_min = chance.choice([1, 2, 4, 6])
    return Rig(
        name="tight",
        stroke=float(stroke),
        lead_in=0.0,
        overrun=0.0,
        end_stop_min=0.0,
        end_stop_step=1.0,
        fence_min=float(fence_min),
        fence_max=float(fence_min + chance.choice([2, 4, 7, 10, 60])),
        far_max=chance.choice([None, 3.0, 5.0, 7.0, 9.0, 12.0]),
        marked=chance.random() < 0.5,
        narrowest_offcut=float(chance.choice([0, 1, 2, 2, 3, 4])),
        two_pass=chance.random() < 0.3,
        two_pass_overlap=chance.choice([2.0, 6.0]),
        bed_length=chance.choice([None, None, None, 20.0]),
        piece_mass_max=chance.choice([None, None, None, 0.018]),
        square_side=chance.choice(["fence", "far", "equal"]),  # type: ignore[arg-type]
        processes=(Process(name="air", material="mild steel", thickness=6, kerf=float(KERF), travel_speed=600),),
    )


def job_of(chance: Random, *, edges: bool) -> Job:
    """One to three parts and one or two kinds of plates; with `edges` trims and square edges of a single part."""
    plates = tuple(_plate(chance, number, edges=edges) for number in range(chance.choice([1, 1, 2])))
    most = 1 if edges else 3
    parts = tuple(_part(chance, number, edges=edges) for number in range(chance.randint(1, most)))
    trim = float(chance.choice([0, 4, 5])) if edges else 0.0
    effort = Effort(seed=chance.randint(0, 9), steps=chance.choice([0, 5, 50]))
    return Job(name="tight", plates=plates, parts=parts, options=Options(trim=trim, partial=True, effort=effort))


def _plate(chance: Random, number: int, *, edges: bool) -> Plate:
    states = [("mill",) * 4, ("cut", "mill", "dressed", "mill"), ("dressed",) * 4] if edges else [("mill",) * 4]
    return Plate(
        name=f"plate {number}",
        length=float(chance.randint(10, 26)),
        width=float(chance.randint(10, 22)),
        thickness=6,
        material="mild steel",
        quantity=chance.choice([None, None, 1, 2]),
        measured=True,
        edges=chance.choice(states),  # type: ignore[arg-type]
    )


def _part(chance: Random, number: int, *, edges: bool) -> Rectangle:
    return Rectangle(
        name=f"part {number}",
        length=float(chance.randint(2, 16)),
        width=float(chance.randint(2, 12)),
        rotate=chance.random() < 0.5,
        quantity=1 if edges else chance.choice([1, 1, 1, 2]),
        square=chance.choice(["none", "long", "all"]) if edges else "none",  # type: ignore[arg-type]
    )


def outcome(job: Job, rig: Rig) -> Outcome:
    """The program's plan (which it replays) beside trying every cut."""
    made = plan(job, rig)
    said = frozenset(each.code for each in made.warnings) & {"cannot_make", "stock_used_up", "not_found"}
    return Outcome(all(line.made == line.wanted for line in made.parts), said, possible(job, rig))


def possible(job: Job, rig: Rig) -> bool:
    """Whether all parts can be made."""
    one_pass = int(rig.stroke)
    longest = 2 * one_pass - int(rig.two_pass_overlap) if rig.two_pass else one_pass
    rules = Rules(
        kerf=KERF,
        longest=max(longest, one_pass),
        one_pass=one_pass,
        bed=None if rig.bed_length is None else int(rig.bed_length),
        fence=(int(rig.fence_min), int(rig.fence_max)),
        far=None if rig.far_max is None else int(rig.far_max),
        marked=rig.marked,
        narrowest=int(rig.narrowest_offcut),
        trim=int(job.options.trim),
        square_side=rig.square_side,
        most_area=None if rig.piece_mass_max is None else rig.piece_mass_max / AREAL_MASS,
    )
    wants = []
    for part in job.parts:
        assert isinstance(part, Rectangle)
        square = part.square == "all", part.square != "none"
        wants.append((int(part.length), int(part.width), part.rotate, *square))
    plates = Plates(rules, wants)
    kinds = []
    for plate in job.plates:
        south, east, north, west = (MILL if edge == "mill" else CUT for edge in plate.edges)
        edges = (west, east, south, north) if plates.edged else (CUT,) * 4
        kinds.append((plates, int(plate.length), int(plate.width), edges, plate.quantity))
    asked = tuple(n for n, part in enumerate(job.parts) for _ in range(part.quantity))
    return can_be_made(asked, kinds)
