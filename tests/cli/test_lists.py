"""Lists from the shell: how they are read, what is shown of them, and what is said where that cannot be."""

from __future__ import annotations

import json
from pathlib import Path

import ezdxf
import pytest

from tests.cli.running import called, files_in

BRACKETS = (("PL6", 0, 100, 60, "bracket 4 off"), ("PL6", 300, 400, 80, "rail qty 2"), ("PL10", 900, 150, 150, "foot"))


def drawn(path: Path, *, units: int = 0, holes: int = 0) -> Path:
    """Brackets, rails and feet as lines on layers by thickness, a text in each; $INSUNITS 0 is unitless (Autodesk, DXF
    reference, header variables). `holes` circles lie beside them."""
    document = ezdxf.new("R2000", units=units)
    space = document.modelspace()
    for layer in ("PL6", "PL10", "HOLES", "TEXT"):
        document.layers.add(layer)
    for layer, x, wide, high, text in BRACKETS:
        corners = [(x, 0), (x + wide, 0), (x + wide, high), (x, high)]
        for one, other in zip(corners, corners[1:] + corners[:1], strict=True):
            space.add_line(one, other, dxfattribs={"layer": layer})
        space.add_text(text, height=5, dxfattribs={"layer": "TEXT"}).set_placement((x + 20, 20))
    for at in range(holes):
        space.add_circle((100 * at, 500), 10, dxfattribs={"layer": "HOLES"})
    document.saveas(path)
    return path


def plan(folder: Path, *words: str) -> dict[str, list[list[object]]]:
    """Size, quantity and thickness of the parts of a plan, by name; quantities as made."""
    done = called("plan", *words, "--steps", "0", "--json", folder=folder)
    assert done.returncode == 0, done.stderr
    made = json.loads(done.stdout)
    wanted = {part["name"]: part["thickness"] for part in made["job"]["parts"]}
    return {each["name"]: [each["size_wanted"], each["made"], wanted[each["name"]]] for each in made["parts"]}


def test_layers_of_a_drawing_without_units(tmp_path: Path) -> None:
    """Units and layers said in the command and in a job file give the same parts, each from its own plate."""
    drawn(tmp_path / "frame.dxf")
    plates = ("--plate", "2000x1000x6", "--plate", "1000x500x10")
    layers = ("--list-units", "mm", "--layer", "PL6=6", "--layer", "pl10=10,mild steel")
    typed = plan(tmp_path, *plates, "--list", "frame.dxf", *layers)
    assert typed == {"bracket": [[60, 100], 4, 6], "rail": [[80, 400], 2, 6], "foot": [[150, 150], 1, 10]}
    table = 'cut_list = { file = "frame.dxf", units = "mm", layers = { PL6 = 6, pl10 = "10, mild steel" } }\n'
    plate = "[[plate]]\nlength = {}\nwidth = {}\nthickness = {}\n"
    (tmp_path / "job.toml").write_text(table + plate.format(2000, 1000, 6) + plate.format(1000, 500, 10))
    assert plan(tmp_path, "job.toml") == typed


def test_a_part_that_no_plate_is_thick_enough_for_is_named(tmp_path: Path) -> None:
    """The part, its material and its thickness are named, though the plate's material was left out."""
    drawn(tmp_path / "frame.dxf", units=4)
    words = ("--list", "frame.dxf", "--layer", "PL6=6", "--layer", "PL10=10")
    done = called("plan", "--plate", "2000x1000x6", *words, folder=tmp_path)
    assert done.returncode == 3
    assert done.stderr == "part foot: no plate of mild steel 10 mm (add a plate of that material and thickness)\n"
    assert done.stdout.splitlines()[1].split() == ["part", "width", "length", "quantity", "thickness"]


def test_check_shows_a_drawing_as_it_is_read(tmp_path: Path) -> None:
    """Parts with layer, size, quantity and thickness in the units that are asked for, and why the rest is none."""
    drawn(tmp_path / "frame.dxf", units=0, holes=1)
    before = files_in(tmp_path)
    words = ("check", "frame.dxf", "--list-units", "in", "--layer", "PL6=1/4,A36", "--layer", "HOLES", "--units", "in")
    done = called(*words, folder=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    rows = [line.split() for line in done.stdout.splitlines()]
    assert ["1", "bracket", '60"', '100"', "4", '1/4"', "A36", "PL6"] in rows
    assert ["in", "all", "6"] in rows
    assert "frame.dxf, layer 'HOLES', at 0, 500 in: CIRCLE" in done.stdout
    assert done.stdout.splitlines()[1].startswith("  NOT PLANNED: CIRCLE")
    assert "it is curved" in done.stdout
    assert "frame.dxf, layer 'PL10': 4 LINE: its layer was not asked for" in done.stdout
    assert files_in(tmp_path) == before


def test_only_the_first_of_many_holes_are_told(tmp_path: Path) -> None:
    """A plan does not bury its list below hundreds of notes; `check` names them all."""
    drawn(tmp_path / "frame.dxf", units=4, holes=40)
    words = ("plan", "--plate", "2000x1000x6", "--list", "frame.dxf", "--steps", "0")
    done = called(*words, "--leave-out", folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert done.stderr.count("it is curved") == 10
    assert "and 30 more that are not taken; `stripplan check`" in done.stderr
    assert called("check", "frame.dxf", folder=tmp_path).stdout.count("it is curved") == 40


def test_an_option_goes_to_the_lists_that_it_goes_with(tmp_path: Path) -> None:
    """Two lists in one command: layers are those of the drawing; the CSV beside it is read as ever."""
    drawn(tmp_path / "frame.dxf", units=4)
    (tmp_path / "odds.csv").write_text("name,width,length\nlath,20,300\n")
    lists = ("--list", "odds.csv", "--list", "frame.dxf", "--layer", "PL6=6", "--list-tolerance", "0.1")
    made = plan(tmp_path, "--plate", "2000x1000x6", "bar=30x200x2", *lists)
    assert list(made) == ["bar", "lath", "bracket", "rail"]


def test_a_drawing_with_what_is_no_part_stops_the_plan(tmp_path: Path) -> None:
    """Nothing vanishes: the plan stops with the name and the way out. Told to go on, the first lines, page 1 and the
    plan file say what is not planned; told to drill later, the rectangle is planned."""
    path = drawn(tmp_path / "frame.dxf", units=4)
    document = ezdxf.readfile(path)
    document.modelspace().add_circle((930, 120), 9, dxfattribs={"layer": "PL10"})
    document.saveas(path)
    words = ("plan", "--plate", "2000x1000x6", "--list", "frame.dxf", "--steps", "0")
    done = called(*words, folder=tmp_path)
    assert done.returncode == 2
    assert "foot, 1 off: one hole" in done.stderr
    assert "--drill-later" in done.stderr.splitlines()[0]
    assert done.stdout == ""
    done = called(*words, "--leave-out", "--out", "made", folder=tmp_path)
    assert done.stdout.splitlines()[1] == "  NOT PLANNED: foot, 1 off, one hole."
    warnings = json.loads((tmp_path / "made" / "plan.json").read_text(encoding="utf-8"))["warnings"]
    assert (warnings[0]["code"], warnings[0]["about"]) == ("not_planned", "foot")
    later = called(*words, "--drill-later", "--json", folder=tmp_path)
    made = {each["name"]: each["made"] for each in json.loads(later.stdout)["parts"]}
    assert made == {"bracket": 4, "rail": 2, "foot": 1}


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ((), ("frame.dxf", "does not name its units", "--list-units")),
        (("--list-units", "furlong"), ("--list-units", "furlong", "mm")),
        (("--list-units", "mm", "--layer", "PL7=6"), ("no layer 'PL7'", "did you mean PL6?")),
        (("--list-units", "mm", "--layer", "PL6="), ("layer 'PL6='", "it says no thickness", "6 mm, S235")),
        (("--list-units", "mm", "--layer", "=6"), ("layer '=6'", "the name is empty")),
        (("--list-units", "mm", "--layer", "PL6=1/4"), ("'1/4' is no length", "write 1/4 in")),
        (("--list-units", "mm", "--layer", "PL6=6,35"), ("'6,35' can be read in two ways", "6.35")),
        (("--list-units", "mm", "--layer", "PL6=6", "--layer", "PL6=8"), ("--layer", "'PL6' is named twice")),
        (("--list-units", "mm", "--list-tolerance", "nan"), ("--list-tolerance", "'nan' is no length")),
        (("--list-units", "mm", "--list-tolerance", "3"), ("--list-tolerance", "3 mm is not from 0.001 to 2 mm")),
        (("--list-units", "mm", "--list-sheet", "A"), ("--list-sheet", "frame.dxf is no workbook")),
        (("--list-units", "mm", "--layer", "x=", "--list-tolerance", "y"), ("layer 'x='", "--list-tolerance")),
    ],
)  # fmt: skip
def test_what_cannot_be_is_said(tmp_path: Path, words: tuple[str, ...], says: tuple[str, ...]) -> None:
    """The option or the drawing is named, what is wrong with it, and the way out."""
    drawn(tmp_path / "frame.dxf")
    done = called("check", "frame.dxf", *words, folder=tmp_path)
    assert done.returncode == 2
    assert [each for each in says if each not in done.stderr] == [], done.stderr


def test_plan_and_check_refuse_in_the_same_words(tmp_path: Path) -> None:
    """Faults of several options at once, and the plates' beside them."""
    drawn(tmp_path / "frame.dxf")
    words = ("--list-units", "mm", "--layer", "x=", "--list-tolerance", "y")
    checked = called("check", "frame.dxf", *words, folder=tmp_path).stderr.splitlines()
    planned = called("plan", "--plate", "6", "--list", "frame.dxf", *words, folder=tmp_path).stderr.splitlines()
    assert len(checked) == 2
    assert planned[1:] == checked


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("plan", "job.toml", "--layer", "PL6"), "--layer goes with --list; in a job file `cut_list` says how"),
        (("plan", "--plate", "600x400x6", "50x2", "--list-units", "in"), "--list-units goes with --list"),
        (("check", "plan.json", "--layers-named"), "--layers-named goes with a list"),
        (("check", "plan.json", "--units", "in"), "--units goes with a list"),
    ],
)  # fmt: skip
def test_options_of_lists_without_a_list(tmp_path: Path, words: tuple[str, ...], says: str) -> None:
    """An option that would do nothing is refused."""
    (tmp_path / "job.toml").write_text("")
    done = called(*words, folder=tmp_path)
    assert done.returncode == 2
    assert says in " ".join(done.stderr.split())
