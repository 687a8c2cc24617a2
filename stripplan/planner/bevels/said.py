"""What the person must know of the bevels of a plan."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stripplan.model.plan.plan import Plan
from stripplan.rig.machine.bevel import kerf_across, set_back, tilt_shift
from stripplan.rig.machine.setting import longest_one_pass
from stripplan.wording.message import Facts, Message, Quantity, length, speed

TEST_BEVEL = 150.0
"""Length of a bevel that shows speed and place well enough [mm]: common practice, no source."""


def angle_of(degrees: float) -> Quantity:
    """An angle [deg]."""
    return Quantity(degrees, "angle")


def bevel_messages(plan: Plan) -> Iterator[Message]:
    """Edges left for the hand, estimated speeds, kerfs that half miss the metal, tilts that nobody measured."""
    yield from _by_hand(plan)
    yield from _estimated(plan)
    yield from _thin(plan)
    yield from _shifts(plan)


def _by_hand(plan: Plan) -> Iterator[Message]:
    names = {piece.id: piece.part or "" for piece in plan.pieces}
    found: dict[tuple[str, str], list[tuple[float, float]]] = {}
    for each in plan.hand_bevels:
        found.setdefault((names[each.piece], each.why), []).append((each.angle, math.dist(*each.edge)))
    for (part, why), some in found.items():
        facts = Facts(
            count=len(some),
            angle=angle_of(max(angle for angle, _ in some)),
            most=angle_of(plan.rig.tilt_max),
            longest=length(longest_one_pass(plan.rig)),
            edge=length(max(long for _, long in some)),
        )
        yield Message("bevel_by_hand", part, facts, f"bevel_by_hand.{why}")


def _estimated(plan: Plan) -> Iterator[Message]:
    names = {piece.id: piece.part or "" for piece in plan.pieces}
    seen: set[tuple[str, str, float]] = set()
    for cut in plan.bevels:
        key = names[cut.piece], cut.process, cut.travel_speed
        if cut.estimated and key not in seen:
            seen.add(key)
            facts = Facts(
                angle=angle_of(cut.angle),
                through=length(round(cut.through, 2)),
                process=cut.process,
                speed=speed(cut.travel_speed),
                test=length(TEST_BEVEL),
            )
            yield Message("bevel_estimated", key[0], facts)


def _thin(plan: Plan) -> Iterator[Message]:
    names = {piece.id: piece.part or "" for piece in plan.pieces}
    seen = set()
    for cut in plan.bevels:
        back, across = set_back(cut.depth, cut.angle), kerf_across(cut.kerf, cut.angle)
        if back < across - 1e-9 and names[cut.piece] not in seen:
            seen.add(names[cut.piece])
            facts = Facts(
                angle=angle_of(cut.angle), back=length(round(back, 2)), across=length(round(across, 2)),
                depth=length(cut.depth),
            )  # fmt: skip
            yield Message("bevel_thin", names[cut.piece], facts)


def _shifts(plan: Plan) -> Iterator[Message]:
    for angle in dict.fromkeys(cut.angle for cut in plan.bevels if cut.located == "fence"):
        found = tilt_shift(plan.rig, angle)
        if not found.measured:
            facts = Facts(
                angle=angle_of(angle),
                shift=length(round(found.mm, 2)),
                pivot=length(plan.rig.tilt_pivot),
                test=length(TEST_BEVEL),
            )
            yield Message("tilt_shift_assumed", f"tilt {angle:g}", facts)
