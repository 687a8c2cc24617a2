"""The kerf from test cuts, how well it is known, and what an error in it does to strips.

Method: k = (width before - sum of widths after) / cuts; mean over tests weighted by their cuts; standard uncertainty
after JCGM 100:2008 (GUM): type A from the scatter between tests (4.2), type B from the instrument's resolution (4.3.7,
F.2.2.1), degrees of freedom (G.3; see `uncertainty.joined`). Outliers by Grubbs' test, NIST/SEMATECH e-Handbook of
Statistical Methods 1.3.5.17.1.

Nothing is counted twice. Each width read enters the scatter between tests, so type A already holds the random part of
reading. The reading alone (type B) is therefore not added to it: it is the least that may be stated, and the greater of
the two intervals counts. What type A can never see is an error common to all readings. Two are known: the instrument's
zero (`zero_u`: a zero that is off by e puts the kerf off by e, however many the cuts), and rounding that falls the same
way in each test. The second shows as tests that agree better than independent rounding allows; then the reading is not
divided by the root of the number of tests.

Measure cold, dross off, on the same face of all pieces, away from the first and last 20 mm (common practice, no
source).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from stripplan.errors import FiguresError
from stripplan.rig.inches import INCH, inch_rows
from stripplan.rig.repeated_readings import Grubbs, UFrom, grubbs, scatter_or_reading
from stripplan.rig.uncertainty import Estimate, joined, resolution_u
from stripplan.wording.message import Facts, Message, length, measured

KERF_WIDEST = 10.0
"""Wider than any thermal cut or saw on this kind of rig [mm]; plasma above 100 A 3 to 6 (common practice, no
source)."""

KERF_NARROWEST = 0.1
"""Narrower than any thermal cut [mm]; laser from about 0.1 (common practice, no source)."""

SMALL_SAMPLE = 6
"""Up to so many values Grubbs' test is weak and is not repeated: NIST/SEMATECH e-Handbook 1.3.5.17.1 (wording from
memory)."""

Way = Literal["on_fence", "between_settings", "left_fixed_edge", "left_moving_edge", "left_corrected"]


@dataclass(frozen=True)
class KerfWidths:
    """One piece measured before and, in all its pieces, after its cuts [mm], with an instrument that shows steps of
    `resolution` [mm].

    `cuts` is needed only where several pieces were measured in one width, pushed together; else it is one less than the
    widths. A test is checked in its table by `measured_kerf`, so that an error can name its row.

    >>> round(KerfWidths(150.00, (80.10, 68.35)).kerf, 3)
    1.55
    """

    before: float
    after: tuple[float, ...]
    resolution: float = 0.05
    cuts: int | None = None

    @property
    def count(self) -> int:
        """Number of cuts."""
        return len(self.after) - 1 if self.cuts is None else self.cuts

    @property
    def readings(self) -> int:
        """Number of widths read, before and after."""
        return 1 + len(self.after)

    @property
    def kerf(self) -> float:
        """Mean kerf of this piece's cuts [mm]: (before - sum of after) / cuts."""
        return (self.before - math.fsum(self.after)) / self.count


@dataclass(frozen=True)
class KerfEstimate(Estimate):
    """The kerf [mm] with its uncertainty, and what it rests on.

    `rows` of the table that were used (from 1) with the kerf of `each`; `outliers` are rows that stand out but were
    kept; `how` says where u comes from.
    """

    rows: tuple[int, ...] = ()
    each: tuple[float, ...] = ()
    cuts: int = 0
    outliers: tuple[int, ...] = ()
    how: UFrom = "scatter"
    notes: tuple[Message, ...] = ()

    def effects(self, n: int = 10) -> tuple[Message, ...]:
        """What this kerf's half-width means for strips."""
        half = self.half_width()
        one, between, left = (
            measured(abs(strip_error(half, way, n))) for way in ("on_fence", "between_settings", "left_moving_edge")
        )
        return (
            Message("kerf_known", facts=Facts(half=measured(half))),
            Message("kerf_on_strips", facts=Facts(on_fence=one, between=between)),
            Message("kerf_on_rest", facts=Facts(strips=n, left=left)),
        )


def mm(value: float) -> str:
    """A length for a sentence: at most three decimals, no idle zeros.

    >>> mm(80.10), mm(-0.0001), mm(1.5504)
    ('80.1', '0', '1.55')
    """
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def kerf_u(readings: int, u: float, cuts: int) -> float:
    """Standard uncertainty of a kerf from `readings` independent widths of standard uncertainty `u` [mm]: sqrt(m) u /
    n. JCGM 100:2008, 5.1.2.

    >>> round(kerf_u(3, 0.05, 1), 4)
    0.0866
    """
    return math.sqrt(readings) * u / cuts


def strip_error(kerf_error: float, way: Way, n: int = 1) -> float:
    """What comes out too wide (+) or too narrow (-) [mm] where the true kerf is `kerf_error` = b [mm] wider than the
    kerf reckoned with.

    `on_fence`: a strip on the fence, -b/2. `between_settings`: a strip between two settings from one fixed edge, -b.
    What is left after `n` strips: `left_fixed_edge`, the mill edge stays on the fence, -b/2; `left_moving_edge`, each
    cut edge goes to the fence in one setting, -n b/2; `left_corrected`, the same with the fence corrected so that
    strips come out right, -n b. Plane geometry of the rig, no published source.

    >>> strip_error(0.1, "on_fence"), strip_error(0.1, "left_moving_edge", 10), strip_error(0.1, "left_corrected", 10)
    (-0.05, -0.5, -1.0)
    """
    if n < 1:
        raise ValueError(f"{n} strips: at least 1 is needed")
    share = {
        "on_fence": 0.5,
        "between_settings": 1.0,
        "left_fixed_edge": 0.5,
        "left_moving_edge": n / 2,
        "left_corrected": n,
    }
    if way not in share:
        raise ValueError(f"way {way!r} is not known; known are {', '.join(share)}")
    return -kerf_error * share[way]


def measured_kerf(
    tests: Sequence[KerfWidths],
    *,
    resolution: float | None = None,
    reading_u: float | None = None,
    zero_u: float = 0.0,
    without: Iterable[int] = (),
) -> KerfEstimate:
    """The kerf from test cuts [mm]: mean weighted by the number of cuts, with its uncertainty; every fault of the table
    in one FiguresError.

    `resolution` holds for all tests where given, else each test's own counts. `reading_u` is the standard uncertainty
    of one width where more is known than the resolution; `zero_u` that of the instrument's zero, common to all.
    `without` names rows (from 1) to leave out. Rows that stand out are named and kept. The interval holds only for the
    face that was measured and for the current, nozzle and speed of the tests.

    >>> widths = (80.10, 68.35), (79.95, 68.45), (80.0, 68.5)
    >>> found = measured_kerf([KerfWidths(150, after) for after in widths])
    >>> round(found.value, 3), round(found.u, 3), found.dof, found.how
    (1.55, 0.029, 2, 'scatter')
    """
    tests = [test if resolution is None else replace(test, resolution=resolution) for test in tests]
    rows = _rows(tests, set(without))
    _refuse(tests, rows, reading_u, zero_u)
    used = [tests[row - 1] for row in rows]
    mean, how = _mean(used, reading_u, zero_u)
    found = _outliers(used, reading_u)
    notes = [_outlier_note(used, rows, index, test, reading_u, zero_u) for index, test in found]
    if found and len(used) <= SMALL_SAMPLE:
        notes.append(Message("kerf_few_stand_out", facts=Facts(few=SMALL_SAMPLE)))
    notes += _general_notes(used, mean, how)
    return KerfEstimate(
        mean.value,
        mean.u,
        mean.dof,
        len(used),
        rows=rows,
        each=tuple(test.kerf for test in used),
        cuts=sum(test.count for test in used),
        outliers=tuple(sorted(rows[index] for index, _ in found)),
        how=how,
        notes=tuple(notes),
    )


def _mean(tests: Sequence[KerfWidths], reading_u: float | None, zero_u: float) -> tuple[Estimate, UFrom]:
    """Mean kerf of the tests. Each cut counts once: the weight of a test is its number of cuts."""
    mean, how = scatter_or_reading(
        [test.kerf for test in tests], [test.count for test in tests], [_read(test, reading_u) for test in tests]
    )
    u, dof = joined([(mean.u, mean.dof), (zero_u, math.inf)])
    return Estimate(mean.value, u, dof, mean.n), how


def _read(test: KerfWidths, reading_u: float | None) -> float:
    """Type B uncertainty of one test's kerf."""
    return kerf_u(test.readings, resolution_u(test.resolution) if reading_u is None else reading_u, test.count)


def _outliers(tests: Sequence[KerfWidths], reading_u: float | None) -> list[tuple[int, Grubbs]]:
    """Tests that stand out (index from 0). With more than six left the test is repeated without the worst; the
    resolution must not explain it."""
    left = list(range(len(tests)))
    found: list[tuple[int, Grubbs]] = []
    while len(left) >= 3 and (not found or len(left) > SMALL_SAMPLE):
        kerfs = [tests[index].kerf for index in left]
        result = grubbs(kerfs, weights=[tests[index].count for index in left])
        worst = left[result.index]
        rest = [each for index, each in zip(left, kerfs, strict=True) if index != worst]
        if not result.stands_out or abs(tests[worst].kerf - math.fsum(rest) / len(rest)) <= 3 * _read(
            tests[worst], reading_u
        ):
            break
        found.append((worst, result))
        left.remove(worst)
        if len(tests) <= SMALL_SAMPLE:
            break
    return found


def _outlier_note(
    tests: Sequence[KerfWidths], rows: Sequence[int], index: int, result: Grubbs, reading_u: float | None, zero_u: float
) -> Message:
    """What stands out, by how much, and what the kerf would be without it."""
    rest, _ = _mean([test for other, test in enumerate(tests) if other != index], reading_u, zero_u)
    facts = Facts(
        row=rows[index],
        kerf=measured(tests[index].kerf),
        statistic=result.statistic,
        critical=result.critical,
        without=measured(rest.value),
        half=measured(rest.half_width()),
    )
    return Message("kerf_stands_out", facts=facts)


def _general_notes(tests: Sequence[KerfWidths], mean: Estimate, how: UFrom) -> list[Message]:
    notes = []
    if len(tests) == 1:
        notes.append(Message("kerf_one_test"))
    if len(tests) == 2:
        notes.append(Message("kerf_two_tests"))
    if how == "reading, rounded alike":
        notes.append(Message("kerf_too_alike"))
    if mean.value < KERF_NARROWEST:
        facts = Facts(kerf=measured(mean.value), narrowest=measured(KERF_NARROWEST))
        notes.append(Message("kerf_too_narrow", facts=facts))
    return notes


def _rows(tests: Sequence[KerfWidths], without: set[int]) -> tuple[int, ...]:
    """Rows that are used, from 1; at least one is needed."""
    beyond = sorted(row for row in without if not 1 <= row <= len(tests))
    if beyond:
        raise ValueError(f"row {beyond[0]} cannot be left out: the rows are 1 to {len(tests)}")
    rows = tuple(row for row in range(1, len(tests) + 1) if row not in without)
    if not rows:
        raise ValueError("no test cut is left: at least 1 is needed, 3 to know how the kerf scatters")
    return rows


def _refuse(tests: Sequence[KerfWidths], rows: Sequence[int], reading_u: float | None, zero_u: float) -> None:
    """Raise all faults of the table in one FiguresError."""
    faults = []
    if reading_u is not None and not (math.isfinite(reading_u) and reading_u > 0):
        faults.append(_above_0("length_above_0", "reading_u", reading_u))
    if not (math.isfinite(zero_u) and zero_u >= 0):
        faults.append(_above_0("length_not_below_0", "zero_u", zero_u))
    kerfs = {}
    for row in rows:
        fault = _fault(tests[row - 1])
        if fault is not None:
            faults.append(Message("of_row", facts=Facts(row=row, what=fault)))
        else:
            kerfs[row] = tests[row - 1].kerf
    numbers = list(kerfs)
    for at, partner in inch_rows(list(kerfs.values())):
        row, other = numbers[at - 1], numbers[partner - 1]
        facts = Facts(row=row, kerf=measured(kerfs[row]), other=measured(kerfs[other]), other_row=other)
        faults.append(Message("kerf_row_in_inches", facts=facts))
    if faults:
        raise FiguresError(*faults)


def _above_0(code: str, name: str, value: float) -> Message:
    return Message(code, facts=Facts(name=name, value=length(value), zero=length(0)))


def _fault(test: KerfWidths) -> Message | None:
    """What makes one test unusable; None where it is sound."""
    widths = (test.before, *test.after)
    bad = next((each for each in widths if not (math.isfinite(each) and each > 0)), None)
    if bad is not None:
        return Message("kerf_width", facts=Facts(width=length(bad), zero=length(0)))
    if not (math.isfinite(test.resolution) and test.resolution > 0):
        return _above_0("length_above_0", "resolution", test.resolution)
    if test.cuts is None and len(test.after) < 2:
        return Message("kerf_one_width", facts=Facts(widths=len(test.after)))
    if test.cuts is not None and (test.cuts < max(1, len(test.after) - 1) or not test.after):
        return Message("kerf_cuts", facts=Facts(cuts=test.cuts, most=test.cuts + 1, widths=len(test.after)))
    if test.kerf <= 1e-9:
        return _no_metal(test)
    limit = min(KERF_WIDEST, *test.after)
    if test.kerf > limit:
        facts = Facts(
            kerf=measured(test.kerf), of_its_kind=limit == KERF_WIDEST, most=measured(limit), **_inch_hint(test)
        )
        return Message("kerf_too_wide", facts=facts)
    return None


def _no_metal(test: KerfWidths) -> Message:
    """Widths after that leave no metal for the cut; a finer instrument would help where its steps explain that."""
    total = math.fsum(test.after)
    excess = total - test.before
    more = {"excess": measured(excess)} if excess > 0.0005 else {}
    fine = excess <= 2 * resolution_u(test.resolution) * math.sqrt(test.readings)
    finer = {"step": measured(test.resolution)} if fine else {}
    facts = Facts(total=measured(total), before=measured(test.before), **more, **finer, **_inch_hint(test))
    return Message("kerf_no_metal", facts=facts)


def _inch_hint(test: KerfWidths) -> dict[str, Message]:
    """Which widths of an unusable test would make sense as inches; empty where none would."""
    readings: list[tuple[str | int, KerfWidths]] = [
        ("before", replace(test, before=test.before * INCH)),
        ("after", replace(test, after=tuple(each * INCH for each in test.after))),
    ]
    for index in range(len(test.after)):
        after = tuple(each * INCH if index == at else each for at, each in enumerate(test.after))
        readings.append((index + 1, replace(test, after=after)))
    for which, changed in readings:
        if 0 < changed.kerf <= min(KERF_WIDEST, *changed.after):
            return {"inches": Message("kerf_like_inches", facts=Facts(which=which, kerf=measured(changed.kerf)))}
    return {}
