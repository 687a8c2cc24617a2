"""Small plates that the tests of this room share: strips of given widths, all on one rig and one process."""

from __future__ import annotations

from dataclasses import replace

from stripplan.model.cut_rules import CutRules
from stripplan.model.pattern import Blank, Leaf
from stripplan.model.rig import Process, Rig, Seconds
from stripplan.model.workpiece import uncut
from stripplan.rig.machine.setting import longest_one_pass, longest_two_pass
from stripplan.sequence.conditions import CutConditions
from stripplan.sequence.cut_options import BenchPiece

RIG = Rig()
PROCESS = Process(name="p", material="mild steel", thickness=6, kerf=1.5, travel_speed=600)
RULES = CutRules(
    kerf=1.5, longest_one_pass=longest_one_pass(RIG), longest_two_pass=longest_two_pass(RIG), narrowest_offcut=5,
    fence_min=RIG.fence_min, fence_max=RIG.fence_max, marked=True, areal_mass=6 * 7850e-9,
)  # fmt: skip


FLAT = Rig(
    seconds=Seconds(
        fence=40, fence_per_mm=0.5, end_stop=30, end_stop_per_mm=0.1, quarter_turn=7, turn_over=9, fetch=20, push=3,
        clear=5,
        scrape_each=0, scrape_per_m=0, per_kg=0, process=60,
    )
)  # fmt: skip
"""Every cause has a figure of its own, and mass and length of an edge count for nothing: sums can be done in the
head.
"""


def on_rig(piece: BenchPiece, rig: Rig, *, equal: bool = True) -> BenchPiece:
    """The same piece on another rig; `equal` off: only seconds count, and every edge is an option."""
    return replace(piece, conditions=replace(piece.conditions, rig=rig, equal=equal, _settings={}))


def on_flat(piece: BenchPiece, *, equal: bool = True) -> BenchPiece:
    """The same piece on the rig of flat figures."""
    return on_rig(piece, FLAT, equal=equal)


def plate(
    widths: list[float], length: float = 600.0, rest: float = 80.0, process: Process = PROCESS, more: float = 0.0
) -> BenchPiece:
    """A plate cut into strips of those widths, part 0, 1, ... each, something left at the end."""
    width = sum(widths) + 1.5 * len(widths) + rest + more
    children = tuple(Leaf("part", length, each, n) for n, each in enumerate(widths))
    root = Blank(length, width, "along", children, None, Leaf("scrap", length, rest))
    sized = tuple((True, False) for _ in widths)
    return BenchPiece(CutConditions(RIG, RULES, process, sized), uncut(root, ("mill",) * 4), True, (True, True))


def strips(widths: list[float], rest: float, limit: float = 1.0) -> BenchPiece:
    """A plate of strips of part 0 for the first width, 1 for the next other one, and so on; `rest` 0:
    nothing is left over.
    """
    parts = {width: n for n, width in enumerate(dict.fromkeys(widths))}
    children = tuple(Leaf("part", 600, each, parts[each]) for each in widths)
    width = sum(widths) + 1.5 * (len(widths) - (not rest)) + rest
    root = Blank(600, width, "along", children, None, Leaf("scrap", 600, rest) if rest else None)
    conditions = CutConditions(RIG, RULES, PROCESS, ((True, False),) * len(parts), (), ((limit, limit),) * len(parts))
    return BenchPiece(conditions, uncut(root, ("mill",) * 4), True, (False, False))
