"""Whether two rails are parallel, from distances between them along the travel. The limit is common practice, no
source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from stripplan.errors import FiguresError
from stripplan.rig.inches import inch_rows
from stripplan.rig.notebook.readings_along import above_0, rail_line, series_faults
from stripplan.rig.uncertainty import Estimate, combined, resolution_u
from stripplan.wording.message import Facts, Message, measured

PARALLEL = 0.2
"""Rails parallel within this over the length [mm] (common practice, no source)."""


@dataclass(frozen=True)
class ParallelReport:
    """What distances between two rails say. Lengths mm; `taper` [mm per m, + = wider away from home]; `bow` =
    greatest departure from the tapering line. `parallel` is None where the figure is too near the limit for the
    instrument."""

    spread: float
    limit: float
    parallel: bool | None
    narrowest: float
    narrowest_at: float
    widest: float
    widest_at: float
    taper: Estimate
    over_length: float
    bow: float
    bow_at: float
    advice: tuple[Message, ...]


def rail_distances(
    positions: Sequence[float], distances: Sequence[float], *, limit: float = PARALLEL, resolution: float = 0.05
) -> ParallelReport:
    """Are two rails parallel: spread, taper and bow of the distances between them [mm] at `positions` along the travel
    [mm].

    >>> report = rail_distances((0, 1000, 2000), (600.0, 600.15, 600.3))
    >>> report.parallel, round(report.taper.value, 3), round(report.over_length, 3)
    (False, 0.15, 0.3)
    """
    faults = [*series_faults(positions, {"distances": distances}, resolution), *above_0(limit=limit)]
    if not faults:
        for row, each in enumerate(distances, 1):
            faults += [Message("of_row", facts=Facts(row=row, what=fault)) for fault in above_0(distance=each)]
    if not faults:
        faults = [
            Message(
                "distance_in_inches",
                facts=Facts(
                    row=row, distance=measured(distances[row - 1]), other=measured(distances[other - 1]),
                    other_row=other,
                ),
            )
            for row, other in inch_rows(distances)
        ]  # fmt: skip
    if faults:
        raise FiguresError(*faults)
    least, most = min(distances), max(distances)
    spread = most - least
    rail = rail_line(positions, distances, "least squares", resolution)
    doubt = Estimate(0.0, combined([(resolution_u(resolution), math.inf)] * 2)[0]).half_width()
    parallel = None if abs(spread - limit) < doubt else spread <= limit
    report = ParallelReport(
        spread=spread,
        limit=limit,
        parallel=parallel,
        narrowest=least,
        narrowest_at=positions[list(distances).index(least)],
        widest=most,
        widest_at=positions[list(distances).index(most)],
        taper=rail.slope,
        over_length=rail.over_length,
        bow=rail.bow,
        bow_at=rail.bow_at,
        advice=(),
    )
    return replace(report, advice=tuple(_parallel_advice(report, doubt)))


def _parallel_advice(report: ParallelReport, doubt: float) -> list[Message]:
    facts = Facts(
        narrowest=measured(report.narrowest), narrowest_at=measured(report.narrowest_at),
        widest=measured(report.widest), widest_at=measured(report.widest_at), spread=measured(report.spread),
        verdict={True: "parallel", False: "not parallel", None: "too near"}[report.parallel],
        limit=measured(report.limit), doubt=measured(doubt),
    )  # fmt: skip
    said = [Message("rails_apart", facts=facts)]
    if report.parallel:
        return said
    if abs(report.taper.value) > report.taper.half_width():
        facts = Facts(opens=report.over_length > 0, by=measured(abs(report.over_length)))
        said.append(Message("rails_open", facts=facts))
    if abs(report.bow) > max(doubt, report.limit / 2):
        facts = Facts(wide=report.bow > 0, bow=measured(abs(report.bow)), bow_at=measured(report.bow_at))
        said.append(Message("rail_bent", facts=facts))
    return said
