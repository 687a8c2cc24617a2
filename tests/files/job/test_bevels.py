"""Bevels in job files and lists: each way to say them, in any units, and what is said of those that are none."""

from __future__ import annotations

from pathlib import Path

import pytest

from stripplan.files.job.in_units import in_units
from stripplan.files.job.read import load_job
from stripplan.files.parts.lists.csv_list import read_cut_list
from stripplan.model.bevel import Bevel
from stripplan.web.views.typed_list import job_of
from tests.files.parts.specimens import said, write

PLATE = "units = 'mm'\n[[plate]]\nlength = 2000\nwidth = 1000\n[[part]]\nname = 'a'\n"
WEB = "width = 80\nlength = 300\n"


def bevels(more: str, tmp_path: Path, head: str = PLATE) -> list[tuple[int, float, float, float | None, str]]:
    """Edge, angle, root face, depth and face of the bevels of the part that is described so."""
    (part,) = load_job(write(tmp_path, head + more))[0].parts
    return [(each.edge, each.angle, each.root_face, each.depth, each.face) for each in part.bevels]


def test_every_way_to_say_a_bevel(tmp_path: Path) -> None:
    """As tables and as a text; long, ends and all are several edges; root face and depth have any unit."""
    long = [(0, 30.0, 2.0, None, "first"), (2, 30.0, 2.0, None, "first")]
    assert bevels(WEB + "bevels = 'long 30/2'", tmp_path) == long
    assert bevels(WEB + "bevels = [{ edge = 'long', angle = 30, root_face = 2 }]", tmp_path) == long
    assert bevels(WEB + "bevels = 'lower + upper 30° / 2 mm'", tmp_path) == long
    assert [each[0] for each in bevels(WEB + "bevels = 'ends 22,5'", tmp_path)] == [1, 3]
    assert [each[0] for each in bevels("width = 80\nbevels = 'all 45'", tmp_path)] == [0, 1, 2, 3]
    assert bevels(WEB + "bevels = 'right 45/2 both; left 30 deep 4 other'", tmp_path) == [
        (1, 45.0, 2.0, None, "both"), (3, 30.0, 0.0, 4.0, "other"),
    ]  # fmt: skip
    inches = PLATE.replace("'mm'", "'in'")
    assert bevels(WEB + "bevels = 'lower 30/0.125'", tmp_path, inches)[0][2] == 3.175
    assert bevels(WEB + "bevels = [{ edge = 'lower', angle = 30, depth = '4 mm' }]", tmp_path, inches)[0][3] == 4.0


def test_edges_of_shapes_are_found_whichever_way_the_outline_runs(tmp_path: Path) -> None:
    """The slanted edge of a triangle is its second one, given clockwise or not; ends at an angle are right and left."""
    for points, number in (("[[9, 9], [209, 9], [9, 129]]", 2), ("[[0, 0], [0, 120], [200, 0]]", 2)):
        (found,) = bevels(f"outline = {points}\nbevels = '{number} 30'", tmp_path)
        assert found[0] == 1  # kept counter-clockwise from its lower left corner
    assert [each[0] for each in bevels("outline = [[0, 0], [0, 120], [200, 0]]\nbevels = 'left 30'", tmp_path)] == [2]
    mitred = "width = 60\nlength = 300\nends = [45, 90]\n"
    assert [each[0] for each in bevels(mitred + "bevels = 'ends 30; lower 30'", tmp_path)] == [1, 3, 0]
    assert [each[0] for each in bevels(mitred + "bevels = [{ edge = 4, angle = 30 }]", tmp_path)] == [3]


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (WEB + "bevels = 'bottom 30'", "bevels: 'bottom' is no edge (known are lower, right, upper, left"),
        (WEB + "bevels = 'lowr 30'", "bevels: 'lowr' is no edge (did you mean lower?)"),
        (WEB + "bevels = '2 30'", "bevels: edges of a rectangle have names, not the number 2 (one of lower"),
        (WEB + "bevels = 'long'", "bevels: 'long' is no bevel (write edge, angle, root face"),
        (WEB + "bevels = 'long 70'", "angle: 70 is too much (at most 60)"),
        (WEB + "bevels = [{ edge = 'long', angle = 0 }]", "angle: 0 is not above 0"),
        (WEB + "bevels = [{ edge = 'long', angle = 30, root_face = -1 }]", "root_face: -1 mm is below 0"),
        (WEB + "bevels = [{ edge = 'long', angle = 30, root_face = 1, depth = 3 }]", "root_face and depth are both"),
        ("outline = [[0, 0], [90, 0], [0, 90]]\nbevels = '4 30'", "there is no edge 4 (it has 3, from each corner"),
        ("outline = [[0, 0], [90, 0], [0, 90]]\nbevels = 'right 30'", "no edge of this shape is its right one (the"),
        ("outline = [[0, 0], [90, 0], [0, 90]]\nbevels = 'lwer 30'", "bevels: 'lwer' is no edge (did you mean lower?)"),
    ],
)
def test_what_is_no_bevel_is_refused(more: str, words: str, tmp_path: Path) -> None:
    """With the place, and a way out."""
    assert words in said(load_job, write(tmp_path, PLATE + more))


def test_bevels_in_a_list(tmp_path: Path) -> None:
    """A column of a list holds them as a text; a root face has the column's unit."""
    rows = "name,width,length,ends,bevel (in)\na,2,12,,long 30/0.0625\nb,2,12,45,left 30\nc,2,12,,\n"
    one, two, three = read_cut_list(write(tmp_path, rows, "list.csv"), units="in").parts
    assert one.bevels == tuple(Bevel(edge=n, angle=30.0, root_face=1.5875) for n in (0, 2))
    assert two.bevels == (Bevel(edge=3, angle=30.0),)
    assert three.bevels == ()
    for cell, words in (("top 30", "'top' is no edge"), ("long 65", "a bevel of 65 degrees"), ("x", "is no bevel")):
        text = said(read_cut_list, write(tmp_path, f"width,length,bevels\n50,300,{cell}\n", "list.csv"))
        assert "row 2, bevels" in text
        assert words in text


def test_bevels_of_a_typed_list_keep_their_meaning() -> None:
    """A field of the page stays the text that it is; in other units its lengths are what they were."""
    typed = {"part": [{"name": "a", "width": "80", "bevels": "long 30/2; left 45"}]}
    assert job_of(typed)["part"][0]["bevels"] == "long 30/2; left 45"
    turned = in_units({"units": "mm", **job_of(typed)}, "in")
    assert turned["part"][0]["bevels"] == "long 30/2 mm; left 45"
    table = in_units({"part": [{"bevels": [{"edge": "long", "angle": 30, "root_face": 6.35}]}]}, "in")
    assert table["part"][0]["bevels"] == [{"edge": "long", "angle": 30, "root_face": "1/4"}]
