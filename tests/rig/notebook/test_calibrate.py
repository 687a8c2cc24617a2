"""From the notebook to the figures that plans use."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan import plan, report
from stripplan.errors import InputError
from stripplan.model.job import Job
from stripplan.model.notebook import (
    BowCheck,
    Drive,
    FenceCheck,
    HeightCheck,
    KerfTest,
    Notebook,
    ParallelCheck,
    RailCheck,
    SquareCheck,
    TestCut,
    TimedRun,
)  # fmt: skip
from stripplan.model.part import Strip
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.rig.notebook.calibrate import calibrated
from stripplan.sheets.picture.charts.painter import drawing
from stripplan.sheets.rows.notebook import part_of
from stripplan.wording.show import worded
from tests.checking import examples

STEEL = Process(name="steel-6", material="mild steel", thickness=6, kerf=1.5, travel_speed=600, current=30, tip="0.9")
RIG = Rig(name="shed", processes=(STEEL,), assumed=("fence_zero", "dial"))


def kerf_test(kerf: float, **more: object) -> KerfTest:
    """A piece of 100 mm cut once, at that kerf."""
    return KerfTest(process="steel-6", before=100.0, after=(50.0, 50.0 - kerf), **more)  # type: ignore[arg-type]


def fence_check(reading: float, zero: float, kerf: float) -> FenceCheck:
    """A strip cut on a fence with that zero."""
    return FenceCheck(reading=reading, width=reading + zero - kerf / 2)


def with_book(**rows: object) -> Rig:
    return replace(RIG, notebook=Notebook(name="book", **rows))  # type: ignore[arg-type]


def test_a_rig_without_notebook_stays_as_it_is() -> None:
    """Nothing is made up."""
    assert calibrated(RIG) is RIG


def test_measured_figures_take_the_place_of_given_ones() -> None:
    """Kerf 1.7 and zero -0.4 by hand: F = reading + zero = w + k/2; what was before is kept beside."""
    tests = tuple(kerf_test(each, on="2026-03-01") for each in (1.65, 1.7, 1.75))
    checks = tuple(fence_check(reading, -0.4, 1.7) for reading in (40.0, 80.0, 200.0, 300.0))
    rig = calibrated(with_book(kerf_tests=tests, fence_checks=checks))
    (process,) = rig.processes
    assert (process.kerf, process.kerf_measured_on) == (pytest.approx(1.7), "2026-03-01")
    assert process.kerf_u is not None
    assert process.kerf_u == pytest.approx(4.303 * 0.05 / 3**0.5 / 2, rel=0.01)  # t of 2 degrees, s = 0.05
    assert rig.fence_zero == pytest.approx(-0.4, abs=1e-3)
    assert rig.fence_scale == 1.0  # four strips on a line do not speak against it
    assert rig.notebook is None
    assert rig.assumed == ("dial",)
    rows = {each.key: each for each in rig.measured}
    assert (rows["steel-6, kerf"].before, rows["steel-6, kerf"].n, rows["steel-6, kerf"].last) == (1.5, 3, "2026-03-01")
    assert rows["fence_zero"].before == 0.0


def test_return_speed_left_out_is_what_was_timed_or_what_the_drive_gives() -> None:
    """Timed before computed: 500 mm in 40 s are 750 mm/min; 18.5 rpm x 20 teeth x 2 mm = 740 mm/min. A drive that is
    quicker than the rig is said to be changes nothing, and what was given stays.
    """
    assumed = replace(RIG, assumed=("return_speed",), travel_max=745, return_speed=745)

    def home(rig: Rig, **rows: object) -> float:
        return calibrated(replace(rig, notebook=Notebook(name="book", **rows))).return_speed  # type: ignore[arg-type]

    runs = (TimedRun(mark=4, distance=500, seconds=93.6), TimedRun(mark=9, distance=500, seconds=40.0))
    drive = Drive(rpm=18.5, teeth=20, pitch=2)
    assert home(assumed, timed_runs=runs, drive=drive) == 750.0
    assert home(assumed, drive=drive) == 740.0
    assert home(assumed, drive=replace(drive, rpm=37)) == 745.0
    assert home(assumed) == 745.0
    assert home(replace(assumed, assumed=(), return_speed=2000), timed_runs=runs, drive=drive) == 2000.0
    (row,) = calibrated(replace(assumed, notebook=Notebook(name="book", drive=drive))).measured
    assert (row.key, row.value, row.before) == ("return_speed", 740.0, 745)
    with pytest.raises(InputError, match="notebook book, drive: belt 'AT7' is not known"):
        home(assumed, drive=Drive(rpm=18.5, teeth=20, belt="AT7"))


def test_a_scale_that_is_not_true_is_taken_as_measured() -> None:
    """Readings that grow by 0.5 % too much: the scale is fitted, as it clearly differs from 1."""
    checks = tuple(FenceCheck(reading=r, width=0.995 * r - 0.75) for r in (50.0, 100.0, 200.0, 400.0))
    rig = calibrated(with_book(fence_checks=checks))
    assert rig.fence_scale == pytest.approx(0.995, abs=1e-4)
    assert {each.key for each in rig.measured} == {"fence_zero", "fence_scale"}


@pytest.mark.parametrize("other", [{"current": 40.0}, {"tip": "1.1"}, {"travel_speed": 500.0}])
def test_tests_made_otherwise_do_not_count(other: dict[str, object]) -> None:
    """A kerf holds for current, tip and speed that it was measured at; 610 for 600 mm/min is the same."""
    rig = calibrated(with_book(kerf_tests=(kerf_test(1.6, travel_speed=610.0), kerf_test(2.4, **other))))
    assert rig.processes[0].kerf == pytest.approx(1.6)


def test_kerfs_are_taken_to_two_hundredths() -> None:
    """Half a kerf is then a whole number of hundredths, and layouts count exactly."""
    rig = calibrated(with_book(kerf_tests=(kerf_test(1.637), kerf_test(1.639))))
    assert rig.processes[0].kerf == 1.64


def test_the_dial_is_the_timed_curve() -> None:
    """500 mm in 100 s at mark 3, in 50 s at mark 6: 300 and 600 mm/min at those marks, in between on the curve."""
    runs = tuple(TimedRun(mark=m, distance=500, seconds=500 / v * 60) for m, v in ((3, 300), (6, 600), (9, 720)))
    rig = calibrated(with_book(timed_runs=runs))
    table = dict(rig.dial)
    assert (table[3], table[6], table[9]) == (300, 600, 720)
    assert sorted(table.values()) == [speed for _, speed in sorted(table.items())]
    assert rig.assumed == ("fence_zero",)


@pytest.mark.parametrize(
    ("marks", "said"),
    [
        (
            (4,),
            "No dial yet: the only run stands at mark 4: a dial needs at least 2 different marks, and 5 are better.",
        ),
        ((4, 4), "No dial yet: all 2 runs stand at mark 4"),
        ((4, 4.05), "No dial yet: marks 4 to 4.05 change the speed by"),
    ],
)
def test_the_first_timed_runs_do_not_stop_planning(marks: tuple[float, ...], said: str) -> None:
    """Runs that make no dial yet leave the rig as it is; the report says what is needed, as no problem."""
    runs = tuple(TimedRun(mark=mark, distance=500, seconds=94 + 0.1 * n) for n, mark in enumerate(marks))
    rig = with_book(timed_runs=runs)
    assert calibrated(rig) == replace(rig, notebook=None)
    section = next(each for each in report(rig) if each.topic == "dial")
    assert section.problem is None
    assert worded(section.said[0]).text.startswith(said)
    assert section.said[1].key == "dial_wanted"
    assert [each.problem for each in report(rig)] == [None] * len(report(rig))


def test_a_measured_bow_is_kept_with_its_doubt() -> None:
    """3 mm over 1200 x 40 mm give C = 0.003333 mm: C = bow (w/L)^2, computed."""
    strips = tuple(BowCheck(process="steel-6", bow=bow, length=1200, width=40) for bow in (3.0, 3.0, 3.0))
    (process,) = calibrated(with_book(bow_checks=strips)).processes
    assert process.bow_constant == pytest.approx(0.003333, abs=5e-6)
    assert process.bow_constant_u is not None
    assert process.bow_constant_u > 0


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ({"kerf_tests": (kerf_test(-0.5),)}, "kerf_test: tests of steel-6"),
        ({"timed_runs": tuple(
            TimedRun(mark=mark, distance=500, seconds=each) for mark, each in ((3, 90), (6, 60), (9, 80)))},
         "contradict each other"),
        ({"fence_checks": (fence_check(50, 0, 1.5), fence_check(50, 9, 1.5))}, "fence_check"),
        ({"bow_checks": (BowCheck(process="steel-7", bow=1, length=900, width=50),)},
         "'steel-7' is no process of rig shed"),
    ],
)  # fmt: skip
def test_rows_that_cannot_be_are_named_with_their_kind(rows: dict[str, object], said: str) -> None:
    """Negative kerf, a dial that goes up and down, two widths at one reading, a process that the rig does not have."""
    with pytest.raises(InputError) as caught:
        calibrated(with_book(**rows))
    assert said in str(caught.value)


def test_plans_use_what_was_measured_and_say_where_it_comes_from() -> None:
    """Ten strips of 50 with a kerf of 1.9 instead of 1.5 do not go into 513.5 mm; the plan names the tests."""
    plate = Plate(name="sheet", length=800, width=513.5, thickness=6, material="mild steel", measured=True)
    job = Job(name="strips", plates=(plate,), parts=(Strip(name="bar", width=50, quantity=10),))
    assert plan(job, RIG).totals.plates == 1
    made = plan(job, with_book(kerf_tests=(kerf_test(1.9), kerf_test(1.9))))
    assert made.totals.plates == 2
    assert [each.key for each in made.rig.measured] == ["steel-6, kerf"]
    assert made.rig.notebook is None


def test_the_report_says_each_kind_of_row_and_what_cannot_be_worked_out() -> None:
    """A belt that nobody knows stops its own section alone; the others stand, in the order of the work."""
    book = Notebook(
        name="book",
        drive=Drive(rpm=15, teeth=10, belt="rubber"),
        timed_runs=(TimedRun(mark=3, distance=500, seconds=100), TimedRun(mark=6, distance=500, seconds=50)),
        kerf_tests=(kerf_test(1.6), kerf_test(1.64)),
        fence_checks=(fence_check(50, 0.2, 1.62),),
        square_checks=(SquareCheck(width=300, length=400, diagonals=(500.0, 500.5)),),
        test_cuts=(TestCut(process="steel-6", travel_speed=600, dross="none", severed=True),),
    )
    sections = {worded(each.title).text: each for each in report(replace(RIG, notebook=book))}
    assert list(sections) == ["Drive", "Dial", "Kerf", "Fence", "Squareness", "Speed of steel-6", "What plans use"]
    problem = sections["Drive"].problem
    assert problem is not None
    assert "'rubber' is not known" in worded(problem).text
    assert part_of(sections["Dial"]).table[1] == ("steel-6", "600", "6.00")
    assert part_of(sections["Kerf"]).table[1][:3] == (
        "steel-6",
        "1.620",
        "0.25",
    )  # t of 1 degree is 12.7, s / sqrt 2 = 0.02
    assert any(each.key == "next_cut" for each in sections["Speed of steel-6"].said)
    assert [row["key"] for row in sections["What plans use"].rows] == [
        "dial, top speed",
        "steel-6, kerf",
        "fence_zero",
    ]


def test_without_a_notebook_the_report_gives_speeds_to_begin_with() -> None:
    """6 mm at 30 A is 600 mm/min in a maker's chart (common practice, no source), marked as an estimate."""
    (section,) = report(RIG)
    assert section.topic == "starting_speeds"
    assert part_of(section).table[1][:4] == ("steel-6", "30", "600", "600")
    assert section.said[0].key == "starting_speeds"


def test_the_next_cut_is_data_whatever_its_process_is_called() -> None:
    """Process and speed come as they are: a name that reads like a sentence of the report changes nothing."""
    named = replace(RIG.processes[0], name="Next cut at 1 mm/min", current=30)
    rig = replace(RIG, processes=(named,))
    (first,) = report(rig)[0].next_cuts
    assert (first.process, first.standing, first.speed) == (named.name, "untested", 600)
    cut = TestCut(process=named.name, travel_speed=600, dross="easy")
    section = report(replace(rig, notebook=Notebook(name="book", test_cuts=(cut,))))[0]
    (following,) = section.next_cuts
    assert (following.process, following.standing) == (named.name, "testing")
    assert following.speed is not None
    assert following.speed > 600
    assert following.said in section.said


def test_a_speed_that_test_cuts_speak_against_is_warned_of() -> None:
    """Three cuts around 600 mm/min left easy dross, two at 700 none: 600 is too slow. At 700 nothing is said."""
    cuts = tuple(
        TestCut(process="steel-6", travel_speed=speed, dross=dross, severed=True)
        for speed, dross in ((560, "easy"), (600, "easy"), (620, "easy"), (700, "none"), (710, "none"), (750, "hard"))
    )
    plate = Plate(name="sheet", length=800, width=500, thickness=6, material="mild steel", measured=True)
    job = Job(name="strips", plates=(plate,), parts=(Strip(name="bar", width=50),))
    said = {each.code: each.text for each in plan(job, with_book(test_cuts=cuts)).warnings}
    assert "speak against 600 mm/min" in said["speed_doubted"]
    good = with_book(test_cuts=cuts)
    good = replace(good, processes=(replace(STEEL, travel_speed=700),))
    assert "speed_doubted" not in {each.code for each in plan(job, good).warnings}


figures = st.one_of(st.floats(0.01, 1000), st.sampled_from([1e-6, 1.0, 50.0, 1e5, 1e9]))
rows = st.fixed_dictionaries(
    {
        "timed_runs": st.lists(st.builds(TimedRun, mark=figures, distance=figures, seconds=figures), max_size=5),
        "kerf_tests": st.lists(
            st.builds(
                KerfTest, process=st.just("steel-6"), before=figures,
                after=st.lists(figures, min_size=1, max_size=3).map(tuple)
            ),
            max_size=5,
        ),
        "fence_checks": st.lists(st.builds(FenceCheck, reading=figures, width=figures), max_size=5),
        "height_checks": st.lists(
            st.lists(st.tuples(figures, figures), min_size=2, max_size=5).map(
                lambda pairs: HeightCheck(positions=tuple(p for p, _ in pairs), heights=tuple(h for _, h in pairs))
            ),
            max_size=2,
        ),
        "rail_checks": st.lists(
            st.lists(st.tuples(figures, figures), min_size=2, max_size=5).map(
                lambda pairs: RailCheck(positions=tuple(p for p, _ in pairs), distances=tuple(h for _, h in pairs))
            ),
            max_size=2,
        ),
        "parallel_checks": st.lists(st.builds(ParallelCheck, entry=figures, exit_=figures, length=figures), max_size=2),
        "square_checks": st.lists(
            st.builds(SquareCheck, width=figures, length=figures, diagonals=st.tuples(figures, figures)), max_size=2
        ),
        "test_cuts": st.lists(
            st.builds(
                TestCut, process=st.just("steel-6"), travel_speed=figures,
                dross=st.sampled_from([None, "none", "easy", "hard"]), severed=st.sampled_from([None, True, False]),
                lag_angle=st.one_of(st.none(), st.floats(0, 90)), top_spatter=st.sampled_from([None, True]),
            ),
            max_size=6,
        ),
        "bow_checks": st.lists(
            st.builds(BowCheck, process=st.just("steel-6"), bow=figures, length=figures, width=figures), max_size=4
        ),
        "drive": st.one_of(st.none(), st.builds(Drive, rpm=figures, teeth=st.integers(1, 100), pitch=figures)),
    }
)  # fmt: skip


@pytest.mark.slow
@examples(150)
@given(rows=rows)
def test_whatever_was_written_down_gives_a_report(rows: dict[str, object]) -> None:
    """Figures of any size: each part is worked out or says why not,
    and the rig is calibrated or refused in plain words.
    """
    rig = with_book(**{key: tuple(each) if isinstance(each, list) else each for key, each in rows.items()})
    for section in report(rig):
        assert section.problem is None or worded(section.problem).text
        assert all(worded(each).text for each in (section.title, *section.said))
        for units in ("mm", "in"):
            part = part_of(replace(section, units=units))
            assert all(drawing(chart, 400, 250) for chart in part.charts)
    try:
        found = calibrated(rig)
    except InputError as error:
        assert all(fault.where.startswith("notebook book") for fault in error.faults)
    else:
        assert found.processes[0].kerf > 0


def test_one_kerf_test_is_not_worth_more_than_three() -> None:
    """1.7 alone says nothing of how tests scatter:
    a tenth of it either way is assumed, as if it had not been measured.
    """
    alone = calibrated(with_book(kerf_tests=(kerf_test(1.7),))).processes[0]
    three = calibrated(with_book(kerf_tests=tuple(map(kerf_test, (1.68, 1.7, 1.72))))).processes[0]
    assert alone.kerf_u == pytest.approx(0.17 / 3**0.5)
    assert three.kerf_u is not None
    assert three.kerf_u < 0.17 / 3**0.5


def test_a_width_far_off_the_line_is_a_mistake_and_no_setting() -> None:
    """59.7 written at reading 100 too: refused with its row, rather than a zero 13 mm off."""
    checks = (
        FenceCheck(reading=60, width=59.7),
        FenceCheck(reading=100, width=59.7),
        FenceCheck(reading=150, width=149.7),
    )
    with pytest.raises(InputError, match="a mistake rather than a setting"):
        calibrated(with_book(fence_checks=checks))


def test_bow_rows_that_cannot_be_taken_leave_the_model() -> None:
    """A strip that was hot right through says nothing of C: the report says so, and plans go on with the model."""
    strips = tuple(BowCheck(process="steel-6", bow=60, length=1000, width=20) for _ in range(3))
    rig = with_book(bow_checks=strips)
    assert calibrated(rig).processes[0].bow_constant is None
    assert next(each for each in report(rig) if each.topic == "bow").problem


def test_a_kerf_far_from_the_profiles_is_asked_about() -> None:
    """7 mm where 1.5 was expected: most likely a piece was left out."""
    plate = Plate(name="sheet", length=800, width=500, thickness=6, material="mild steel", measured=True)
    job = Job(name="strips", plates=(plate,), parts=(Strip(name="bar", width=50),))
    said = {each.code: each.text for each in plan(job, with_book(kerf_tests=(kerf_test(7.0), kerf_test(7.1)))).warnings}
    assert "Was a piece left out of a test?" in said["kerf_far"]
    assert "kerf_far" not in {
        each.code for each in plan(job, with_book(kerf_tests=(kerf_test(1.7), kerf_test(1.7)))).warnings
    }
