"""Small plans with cuts at an angle, written by hand: lines, angles and stops are literal figures, from trigonometry.

Kerf 1.5 mm throughout, 0.75 mm of it on either side of the torch. Where a cut meets an edge at an angle a, half a kerf
takes 0.75 / sin a along that edge, and runs on by 0.75 / tan a beyond the point where the torch leaves by it.
"""

from __future__ import annotations

import math
from typing import Any

from stripplan.model.plan.plan import Plan
from tests.replay.by_hand import PART, STOCK, fence_cut, plan_of, shoelace

Points = list[list[float]]

SIZES: tuple[Points, list[float]] = ([], [0.0, 0.0])
"""What no list says of a shape yet."""


def shaped(number: int, parent: int | None, kind: str, outline: Points, part: str | None = None) -> dict[str, Any]:
    """One piece of plate P1, 6 mm mild steel of 7850 kg/m3, with corners counter-clockwise."""
    return {
        "id": f"P1-{number}", "plate": "P1", "parent": None if parent is None else f"P1-{parent}", "kind": kind,
        "part": part, "outline": outline, "mass": shoelace(outline) * 6.0 * 7850e-9,
    }  # fmt: skip


def on_bar(
    number: int, of: int, makes: tuple[int, int], line: Points, edge: Points, corner: list[float], angle: float,
    stop: float, far: float, **setup: Any,
) -> dict[str, Any]:  # fmt: skip
    """A cut on the mitre bar, which it enters by the edge that lies there."""
    only = [(True, edge, math.dist(*line), far)]
    cut = fence_cut(number, of, makes, line, None, 0.0, 0.0, only, **setup)
    bar = {"edge": edge, "corner": corner, "angle": angle, "stop": stop}
    free = {"fence_offset": None, "fence_reading": None, "reading_error": None}
    return {**cut, **free, "located": "mitre", "mitre": bar}


def shape(name: str, outline: Points, quantity: int = 1) -> dict[str, Any]:
    """A straight-sided part of the job."""
    wide, long = max(y for _, y in outline), max(x for x, _ in outline)
    return {**PART, "name": name, "quantity": quantity, "width": wide, "length": long, "outline": outline}


def two_gussets(**rig: Any) -> Plan:
    """Triangles of 300 x 200 mm from one rectangle, by a cut along the diagonal.

    Its slope is 2 in 3: sin a = 2 / sqrt 13, so that half a kerf takes 0.75 sqrt 13 / 2 = 1.352082 mm of the long edge
    and the rectangle is twice that longer than a triangle. The diagonal is 100 sqrt 13 = 360.555128 mm; at the far edge
    the kerf runs on by 0.75 x 3 / 2 = 1.125 mm: 10 + 360.555 + 1.125 + 9 = 380.68, rounded up to 385.
    """
    long, at = 302.704163, 301.352082
    sheet = [[0.0, 0.0], [long, 0.0], [long, 200.0], [0.0, 200.0]]
    pieces = [
        shaped(1, None, "plate", sheet),
        shaped(2, 1, "part", [[long, 200.0], [2.704163, 200.0], [long, 0.0]], "gusset"),
        shaped(3, 1, "part", [[0.0, 0.0], [300.0, 0.0], [0.0, 200.0]], "gusset"),
    ]
    cut = on_bar(
        1, 1, (2, 3), [[at, 0.0], [1.352082, 200.0]], [[0.0, 0.0], [long, 0.0]], [0.0, 0.0], 33.690068, at, 385.0,
        mitre=True, end_stop=True, fetch=True,
    )  # fmt: skip
    return plan_of(
        pieces, [cut], [shape("gusset", [[0.0, 0.0], [300.0, 0.0], [0.0, 200.0]], 2)], {"gusset": SIZES},
        [(1, 1, None, 385.0, ["gusset"])], 0.72111, rig={"overrun": 9.0, **rig},
        stock={**STOCK, "length": long, "width": 200.0},
    )  # fmt: skip


def trapezia() -> Plan:
    """Three trapezia in a row, the middle one upside down: 200 mm long, 80 mm high, both ends at 60 degrees.

    80 / tan 60 = 46.188022, so their short edge is 107.623957; half a kerf takes 0.75 / sin 60 = 0.866025 of an edge.
    The bar stands at 120 and 60 degrees by turns; the first cut and the last leave by the short edge of the plate,
    1.5 mm from its corner.
    """
    end, cot, half = 511.088059, 46.188022, 0.866025
    sheet = [[0.0, 0.0], [end, 0.0], [end, 80.0], [0.0, 80.0]]
    one = [[0.0, 0.0], [200.0, 0.0], [153.811978, 80.0], [cot, 80.0]]
    two = [[201.732051, 0.0], [309.356008, 0.0], [355.54403, 80.0], [155.544029, 80.0]]
    pieces = [
        shaped(1, None, "plate", sheet),
        shaped(2, 1, "scrap", [[0.0, 3.0], [44.455971, 80.0], [0.0, 80.0]]),
        shaped(3, 1, "blank", [[0.0, 0.0], [end, 0.0], [end, 80.0], [cot, 80.0]]),
        shaped(4, 3, "part", one, "foot"),
        shaped(5, 3, "blank", [[201.732051, 0.0], [end, 0.0], [end, 80.0], [155.544029, 80.0]]),
        shaped(6, 5, "part", two, "foot"),
        shaped(7, 5, "blank", [[311.088059, 0.0], [end, 0.0], [end, 80.0], [357.27608, 80.0]]),
        shaped(8, 7, "part", [[311.088059, 0.0], [end, 0.0], [464.900037, 80.0], [357.27608, 80.0]], "foot"),
        shaped(9, 7, "scrap", [[end, 3.0], [end, 80.0], [466.632088, 80.0]]),
    ]
    first = {"mitre": True, "end_stop": True, "fetch": True}
    turned = {"mitre": True, "clear": True}
    cuts = [
        on_bar(1, 1, (2, 3), [[cot - half, 80.0], [0.0, 1.5]], [[0.0, 80.0], [end, 80.0]], [0.0, 80.0], 120.0,
               45.321997, 115.0, **first),
        on_bar(2, 3, (4, 5), [[154.678003, 80.0], [200.866025, 0.0]], [[cot, 80.0], [end, 80.0]], [cot, 80.0], 60.0,
               108.489981, 115.0, quarter_turns=3, **turned),
        on_bar(3, 5, (6, 7), [[356.410055, 80.0], [310.222033, 0.0]], [[155.544029, 80.0], [end, 80.0]],
               [155.544029, 80.0], 120.0, 200.866026, 115.0, quarter_turns=1, **turned),
        on_bar(4, 7, (8, 9), [[465.766062, 80.0], [end, 1.5]], [[357.27608, 80.0], [end, 80.0]], [357.27608, 80.0],
               60.0, 108.489982, 115.0, quarter_turns=3, **turned),
    ]  # fmt: skip
    runs: list[Any] = [(n, n, None, 115.0, ["foot"] if n > 1 else []) for n in (1, 2, 3, 4)]
    wanted = [[0.0, 0.0], [200.0, 0.0], [153.811978, 80.0], [cot, 80.0]]
    return plan_of(
        pieces, cuts, [shape("foot", wanted, 3)], {"foot": SIZES}, runs, 6 * 0.09237604,
        stock={**STOCK, "length": end, "width": 80.0},
    )  # fmt: skip


def parallelograms(*, by_fence: bool = False) -> Plan:
    """Two parallelograms of 150 x 40 mm at 45 degrees, in a row: on the bar, or with the slanted edge on the fence.

    Half a kerf takes 0.75 sqrt 2 = 1.06066 of an edge. On the bar each is 150 + 1.06066 from the corner of what is
    left, so that two cuts are one run. On the fence it is 150 / sqrt 2 + 0.75 = 106.816017 wide, read 107; the corner
    on the fence is 151.06066 / sqrt 2 = 106.816017 ahead of the start line. 10 + 40 sqrt 2 + 0.75 + 8 = 75.3: 80.
    """
    half = 1.06066
    end = 343.24264
    sheet = [[0.0, 0.0], [end, 0.0], [end, 40.0], [0.0, 40.0]]
    rest = [[0.0, 0.0], [end, 0.0], [end, 40.0], [40.0, 40.0]]
    one, two = ([[x, 0.0], [x + 150.0, 0.0], [x + 190.0, 40.0], [x + 40.0, 40.0]] for x in (0.0, 152.12132))
    pieces = [
        shaped(1, None, "plate", sheet),
        shaped(2, 1, "scrap", [[0.0, 2.12132], [37.87868, 40.0], [0.0, 40.0]]),
        shaped(3, 1, "blank", rest),
        shaped(4, 3, "part", one, "stay"),
        shaped(5, 3, "blank", [[152.12132, 0.0], [end, 0.0], [end, 40.0], [192.12132, 40.0]]),
        shaped(6, 5, "part", two, "stay"),
        shaped(7, 5, "scrap", [[304.24264, 0.0], [end, 0.0], [end, 39.0]]),
    ]
    lines = [
        [[x + 40.0, 40.0], [x, 0.0]]
        for x in (150.0 + half, 302.12132 + half)
    ]  # fmt: skip
    first = on_bar(
        1, 1, (2, 3), [[40.0 - half, 40.0], [0.0, half]], [[0.0, 40.0], [end, 40.0]], [0.0, 40.0], 135.0, 38.93934,
        80.0, mitre=True, end_stop=True, fetch=True,
    )  # fmt: skip
    cuts = [first]
    for number, of, line, start in ((2, 3, lines[0], 40.0), (3, 5, lines[1], 192.12132)):
        top = [[start, 40.0], [end, 40.0]]
        makes = (of + 1, of + 2)
        if by_fence:
            edge = [[start, 40.0], [start - 40.0, 0.0]]
            only = [(True, top, 56.568542, 80.0)]
            cut = fence_cut(number, of, makes, line, edge, 106.816017, 107.0, only,
                            fence=number == 2, push=True, clear=True, dress=[edge])  # fmt: skip
            cut["passes"][0]["corner_at"] = 106.816017
        else:
            cut = on_bar(number, of, makes, line, top, [start, 40.0], 135.0, 151.06066, 80.0,
                         mitre=number == 2, push=True, clear=True)  # fmt: skip
        cuts.append(cut)
    runs: list[Any] = [
        (1, 1, None, 80.0, []),
        (2, 3, 107.0, 80.0, ["stay"]) if by_fence else (2, 3, None, 80.0, ["stay"]),
    ]
    return plan_of(
        pieces, cuts, [shape("stay", [[0.0, 0.0], [150.0, 0.0], [190.0, 40.0], [40.0, 40.0]], 2)], {"stay": SIZES},
        runs, 4 * 0.056568542, stock={**STOCK, "length": end, "width": 40.0},
    )  # fmt: skip


def clipped(*, marked: bool = False) -> Plan:
    """A corner of 20 mm clipped off 120 x 80 mm at 45 degrees, on the bar or by two marks.

    Along the upper edge the torch stands 100 + 0.75 sqrt 2 = 101.06066 mm from the far corner; 18.93934 mm are left to
    the near one, so the cut is 18.93934 sqrt 2 = 26.784277 mm long and the triangle that falls has legs of 17.87868 mm.
    10 + 26.784 + 0.75 + 8 = 45.5: 50.
    """
    pieces = [
        shaped(1, None, "plate", [[0.0, 0.0], [120.0, 0.0], [120.0, 80.0], [0.0, 80.0]]),
        shaped(2, 1, "part", [[0.0, 0.0], [120.0, 0.0], [120.0, 60.0], [100.0, 80.0], [0.0, 80.0]], "base"),
        shaped(3, 1, "scrap", [[120.0, 62.12132], [120.0, 80.0], [102.12132, 80.0]]),
    ]
    top = [[0.0, 80.0], [120.0, 80.0]]
    cut = on_bar(
        1, 1, (2, 3), [[101.06066, 80.0], [120.0, 61.06066]], top, [0.0, 80.0], 45.0, 101.06066, 50.0,
        mitre=not marked, end_stop=True, fetch=True,
    )  # fmt: skip
    if marked:
        marks = {"edge": top, "from": [0.0, 80.0], "along": [101.06066, 120.0], "distance": [0.0, 18.93934]}
        cut |= {"located": "marked", "mitre": None, "marks": marks}
    wanted = [[0.0, 0.0], [120.0, 0.0], [120.0, 60.0], [100.0, 80.0], [0.0, 80.0]]
    return plan_of(
        pieces, [cut], [shape("base", wanted)], {"base": SIZES},
        [(1, 1, None, 50.0, ["base"])], 0.028284271,
        stock={**STOCK, "length": 120.0, "width": 80.0},
    )  # fmt: skip


SOUND = {
    "two gussets": two_gussets, "trapezia": trapezia, "parallelograms": parallelograms,
    "on the slanted edge": lambda: parallelograms(by_fence=True), "clipped": clipped,
    "clipped by marks": lambda: clipped(marked=True),
}  # fmt: skip
"""Each is a sound plan."""
