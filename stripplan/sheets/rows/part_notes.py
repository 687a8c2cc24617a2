"""What goes with a part beyond its size: the note of whoever wrote the list, and holes that are made later."""

from __future__ import annotations

import math

from stripplan.model.job import Job
from stripplan.model.part import Hole, Part, Shape
from stripplan.wording.figures import show_exact
from stripplan.wording.message import Fact, Facts, Message, Quantity, length
from stripplan.wording.quantity import show_length
from stripplan.wording.show import Units, worded

MOST_PLACES = 8
"""So many holes are told with their places; for more the drawing that they come from is there."""


def part_notes(part: Part, job: Job) -> tuple[str, ...]:
    """Sentences in the units of the job: the note as it was written, its plate where it is bound to one, then the holes
    with their places.
    """
    pin = [] if part.plate is None else [worded(Message("from_plate", part.name, Facts(plate=part.plate))).text]
    bevels = [bevels_told(part, job)] if part.bevels else []
    return (*([part.note] if part.note else []), *pin, *bevels, *([holes_told(part, job)] if part.holes else []))


def notes_of(job: Job) -> dict[str, tuple[str, ...]]:
    """The notes of each part that has any, by its name."""
    found = {part.name: part_notes(part, job) for part in job.parts}
    return {name: notes for name, notes in found.items() if notes}


SIDES = ("lower", "right", "upper", "left")
"""Edges of a rectangle by their numbers."""


def bevels_told(part: Part, job: Job) -> str:
    """The bevels of a part, those alike together, with their edges as the part is drawn."""
    units = Units(job.units, job.inch_fraction, exact=True)
    several: tuple[Fact, ...] = tuple(
        Message("bevel_told", facts=_bevel_facts([_edge(part, n, job) for n in numbers], *figures))
        for figures, numbers in _alike_bevels(part)
    )
    return worded(Message("bevels_told", part.name, Facts(bevels=several)), units).text


def bevels_in_short(part: Part, units: str, fraction: int) -> str:
    """The same for a row of a list, without units: of a shape the edges are told by their lengths."""
    return "; ".join(
        ", ".join([*(_edge_in_short(part, n, units, fraction) for n in numbers)])
        + f": {_figures_in_short(*figures, units, fraction)}"
        for figures, numbers in _alike_bevels(part)
    )


_Figures = tuple[float, float, float | None, str]
"""Angle [deg], root face and depth [mm], and the face that a bevel begins at."""


def _alike_bevels(part: Part) -> list[tuple[_Figures, list[int]]]:
    alike: dict[_Figures, list[int]] = {}
    for each in part.bevels:
        alike.setdefault((each.angle, each.root_face, each.depth, each.face), []).append(each.edge)
    return [(figures, sorted(numbers)) for figures, numbers in alike.items()]


def _figures_in_short(angle: float, root_face: float, depth: float | None, face: str, units: str, fraction: int) -> str:
    deep = f"root face {show_length(root_face, units, fraction)}"
    if depth is not None:
        deep = f"{show_length(depth, units, fraction)} deep"
    faces = {"first": [], "other": ["other face"], "both": ["both faces"]}[face]
    return ", ".join([f"{angle:g}°", deep, *faces])


def _edge_in_short(part: Part, number: int, units: str, fraction: int) -> str:
    if not isinstance(part, Shape):
        return SIDES[number]
    return show_length(_edge_length(part, number), units, fraction)


def _edge(part: Part, number: int, job: Job) -> str:
    """An edge in a word: of a rectangle its side, of a shape how long it is."""
    if not isinstance(part, Shape):
        return SIDES[number]
    return f"the edge {show_length(_edge_length(part, number), job.units, job.inch_fraction)} long"


def _edge_length(part: Shape, number: int) -> float:
    return math.dist(part.outline[number], part.outline[(number + 1) % len(part.outline)])


def _bevel_facts(edges: list[str], angle: float, root_face: float, depth: float | None, face: str) -> Facts:
    deep = {"root": length(root_face)} if depth is None else {"depth": length(depth)}
    return Facts(edges=tuple(edges), angle=Quantity(angle, "angle"), face=face, **deep)


def holes_told(part: Part, job: Job) -> str:
    """The holes of a part that are made later, and where."""
    units = Units(job.units, job.inch_fraction, exact=True)
    sizes: dict[Message, list[Hole]] = {}
    for hole in part.holes[:MOST_PLACES]:
        sizes.setdefault(_size(hole), []).append(hole)
    several: tuple[Fact, ...] = tuple(
        Message("holes_of_size", facts=Facts(count=len(holes), size=size, places=tuple(map(_place, holes))))
        for size, holes in sizes.items()
    )
    facts = Facts(count=len(part.holes), holes=several, more=max(0, len(part.holes) - MOST_PLACES))
    return worded(Message("holes_later", part.name, facts), units).text


def holes_in_short(part: Part, job: Job) -> str:
    """The holes of a part by their sizes alone, where there is no room for places."""
    units = Units(job.units, job.inch_fraction, exact=True)
    count: dict[Message, int] = {}
    for hole in part.holes:
        count[_size(hole)] = count.get(_size(hole), 0) + 1
    sizes = tuple(
        Message("holes_of_size", facts=Facts(count=number, size=size), says="holes_of_size.short")
        for size, number in count.items()
    )
    return worded(Message("holes_later", part.name, Facts(holes=sizes), says="holes_later.short"), units).text


def hole_sizes(part: Part, job: Job) -> str:
    """The sizes of the holes of a part, each once and with how many there are, without units."""
    count: dict[str, int] = {}
    for hole in part.holes:
        sides = [show_exact(each, job.units) for each in (hole.length, hole.width)]
        shown = f"⌀ {sides[0]}" if hole.round else " × ".join(sides)
        count[shown] = count.get(shown, 0) + 1
    return ", ".join(f"{number} × {shown}" if number > 1 else shown for shown, number in count.items())


def _size(hole: Hole) -> Message:
    if hole.round:
        return Message("hole_size", facts=Facts(diameter=length(hole.length)), says="hole_size.round")
    return Message("hole_size", facts=Facts(length=length(hole.length), width=length(hole.width)))


def _place(hole: Hole) -> Message:
    return Message("hole_place", facts=Facts(x=length(hole.x), y=length(hole.y)))
