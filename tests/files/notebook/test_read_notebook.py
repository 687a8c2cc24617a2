"""Notebooks: rows in TOML and in CSV lists, and what is wrong with them in plain words."""

from __future__ import annotations

from pathlib import Path

import pytest

from stripplan.errors import InputError
from stripplan.files.notebook.read import load_notebook
from stripplan.files.rig.read import load_rig
from stripplan.model.notebook import Drive, KerfTest, TestCut, TimedRun


def written(folder: Path, text: str, **lists: str) -> Path:
    """A notebook with lists beside it."""
    path = folder / "book.toml"
    path.write_text(text, encoding="utf-8")
    for name, rows in lists.items():
        (folder / f"{name}.csv").write_text(rows, encoding="utf-8")
    return path


def faults(path: Path) -> str:
    """What is said of a notebook."""
    with pytest.raises(InputError) as caught:
        load_notebook(path)
    return str(caught.value)


def test_rows_of_the_file_and_of_lists_come_one_after_another(tmp_path: Path) -> None:
    """Bare numbers are in the notebook's units, lists in CSV may carry their own."""
    path = written(
        tmp_path,
        'units = "in"\ncaliper = 0.001\n[drive]\nrpm = 15\nteeth = 10\nbelt = "XL"\n[[kerf_test]]\nprocess = "p"\n'
        'before = 4\nafter = [1.96, "50 mm"]\non = "2026-02-03"\n[lists]\nkerf_test = "more.csv"\ntimed_run = '
        '"runs.csv"\n',
        more="process;before (mm);after 1 (mm);after 2 (mm);on\np;100;48,5;50;2026-02-04\n",
        runs="mark,distance,seconds\n3,20,41.5\n",
    )
    book = load_notebook(path)
    assert book.caliper == pytest.approx(0.0254)
    assert book.drive == Drive(rpm=15, teeth=10, belt="XL")
    assert book.kerf_tests == (
        KerfTest(process="p", before=pytest.approx(101.6), after=(pytest.approx(49.784), 50.0), on="2026-02-03"),
        KerfTest(process="p", before=100.0, after=(48.5, 50.0), on="2026-02-04"),
    )
    assert book.timed_runs == (TimedRun(mark=3, distance=pytest.approx(508.0), seconds=41.5),)


def test_what_was_seen_at_a_test_cut(tmp_path: Path) -> None:
    """Truths may be yes and no; speeds have units; a cell left empty was not looked at."""
    rows = "process,travel speed,dross,top spatter,severed,tip\np,24 in/min,none,no,yes,0.9\np,500,,,,\n"
    book = load_notebook(written(tmp_path, '[lists]\ntest_cut = "cuts.csv"\n', cuts=rows))
    one, other = book.test_cuts
    assert one == TestCut(
        process="p", travel_speed=pytest.approx(609.6), dross="none", top_spatter=False, severed=True, tip="0.9"
    )
    assert other == TestCut(process="p", travel_speed=500.0)


@pytest.mark.parametrize(
    ("text", "lists", "said"),
    [
        ("[[timed_run]]\nmark = 3\ndistance = 500\n", {}, "[[timed_run]] 1, seconds: is missing"),
        ("[[timed_run]]\nmark = 3\ndistance = -5\nseconds = 4\n", {}, "-5 mm is not above 0"),
        ("[[kerf_test]]\nprocess = 'p'\nbefore = 100\nafter = []\n", {}, "0 entries"),
        ("[[test_cut]]\nprocess = 'p'\ntravel_speed = 5\ndross = 'much'\n", {}, "known are none, easy, hard"),
        ("[[kerf_tests]]\n", {}, "did you mean kerf_test?"),
        ("[drive]\nrpm = 5\nteeth = 20\n", {}, "neither belt nor pitch is given"),
        ("[lists]\nkerf = 'k.csv'\n", {}, "this is no kind of row (did you mean kerf_test?)"),
        ("[lists]\nkerf_test = 'k.csv'\n", {}, "there is no such file"),
        ("[lists]\nkerf_test = 'k.csv'\n", {"k": "process,before\np,100\n"}, "k.csv row 1: no column holds the after"),
        ("[lists]\nkerf_test = 'k.csv'\n", {"k": "process,befor,after\n"},
         "column 2 'befor' is not known (did you mean before?)"),
        ("[lists]\nfence_check = 'f.csv'\n", {"f": "reading,width\n50,49.2\n60,sixty\n"}, "f.csv row 3"),
        ("[lists]\nfence_check = 'f.csv'\n", {"f": "reading,width\n50,49,2\n"}, "a decimal comma?"),
        ("[lists]\nfence_check = 'f.csv'\n", {"f": ""}, "the list is empty"),
    ],
)  # fmt: skip
def test_faults_name_the_place_and_the_way_out(tmp_path: Path, text: str, lists: dict[str, str], said: str) -> None:
    """What is missing, misspelt, of the wrong kind or below 0."""
    assert said in faults(written(tmp_path, text, **lists))


def test_a_rig_reads_the_notebook_beside_it(tmp_path: Path) -> None:
    """The path is beside the rig file, wherever the program runs; a notebook that is not there is named."""
    written(tmp_path, "[[fence_check]]\nreading = 50\nwidth = 49.2\n")
    (tmp_path / "rig.toml").write_text('notebook = "book.toml"\n')
    rig = load_rig(tmp_path / "rig.toml")
    assert rig.notebook is not None
    assert rig.notebook.fence_checks[0].reading == 50
    (tmp_path / "rig.toml").write_text('notebook = "boook.toml"\n')
    with pytest.raises(InputError, match=r"did you mean book\.toml\?"):
        load_rig(tmp_path / "rig.toml")


def test_fractions_in_a_list_are_one_figure(tmp_path: Path) -> None:
    """1 31/32 inches twice from 4: one cut of 1/16, not three cuts; a unit in a cell goes with its figure."""
    rows = "process,before,after 1,after 2\np,4,1 31/32,1 31/32\np,101.6 mm,49.2 mm,2\n"
    one, other = load_notebook(written(tmp_path, 'units = "in"\n[lists]\nkerf_test = "k.csv"\n', k=rows)).kerf_tests
    assert one.after == (pytest.approx(50.00625), pytest.approx(50.00625))
    assert other.after == (49.2, pytest.approx(50.8))
    plain = load_notebook(
        written(tmp_path, '[lists]\nkerf_test = "k.csv"\n', k="process,before,after\np,100,49.2 49.3\n")
    )
    assert plain.kerf_tests[0].after == (49.2, 49.3)


def test_a_thousand_or_a_decimal_comma_is_asked_for(tmp_path: Path) -> None:
    """1,250 may be either: refused as in a cut list."""
    said = faults(written(tmp_path, "[lists]\nfence_check = 'f.csv'\n", f="reading;width\n1,250;1249\n"))
    assert "'1,250' can be read in two ways" in said


def test_rows_to_ignore_stay_in_the_file_and_count_for_nothing(tmp_path: Path) -> None:
    """A mistake is kept with its note."""
    text = "[[timed_run]]\nmark = 1\ndistance = 500\nseconds = 9\nignore = true\nnote = 'watch late'\n"
    assert load_notebook(written(tmp_path, text)).timed_runs == ()
