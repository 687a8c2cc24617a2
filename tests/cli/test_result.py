"""What came out of planning, in five lines and a few more, each short; in full where that is asked."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from stripplan.cli.console_output import part_table
from stripplan.cli.result import best_hoped_for, proof_line, result
from stripplan.cli.screen import MOST, plain_lines
from stripplan.files.plan.read import load_plan
from stripplan.model.bevel import Bevel
from stripplan.model.part import Rectangle, Shape
from stripplan.model.plan.plan import Plan, PlanWarning
from stripplan.model.plan.record import from_record
from tests.renew_examples import ROOT
from tests.replay.aslant_by_hand import trapezia

NAMES = ("bench", "brackets", "strips", "workshop")
METHODS = re.compile(r"bound|relax|dual|feasible|column|search|stage")
"""Words of how a proof is got, which a person at the rig need not know."""


OF_SIZES = [
    {
        "code": "unequal",
        "about": "base plate",
        "text": "base plate: width 400.15 mm, but P2-172 398.05, P2-173 398.05 mm, which take what is left beside the "
        "fence.",
        "facts": {
            "dimension": "width",
            "usual": {"value": 400.15, "dimension": "length"},
            "others": [
                {
                    "code": "size_of_piece",
                    "about": "P2-172",
                    "facts": {"size": {"value": 398.05, "dimension": "length"}},
                }
            ],
            "last": {
                "code": "size_of_last_piece",
                "about": "P2-173",
                "facts": {"size": {"value": 398.05, "dimension": "length"}},
            },
            "more": 0,
        },
    },
    {
        "code": "size_class",
        "about": "base plate",
        "text": "base plate: 2 of 4 come out beyond ± 1.2 mm of ISO 2768-1 class c in width: P2-173 at 398.05 mm.",
        "facts": {
            "off": 2,
            "made": 4,
            "limit": {"value": 1.2, "dimension": "length"},
            "general_class": "c",
            "dimension": "width",
            "piece": "P2-173",
            "size": {"value": 398.05, "dimension": "length"},
            "asked": {"value": 400, "dimension": "length"},
            "alike": False,
        },
    },
    {
        "code": "unequal",
        "about": "base plate",
        "text": "base plate: length 600.15 mm, but P2-173 599.95 mm, which take what is left beside the fence.",
        "facts": {
            "dimension": "length",
            "usual": {"value": 600.15, "dimension": "length"},
            "others": [],
            "last": {
                "code": "size_of_last_piece",
                "about": "P2-173",
                "facts": {"size": {"value": 599.95, "dimension": "length"}},
            },
            "more": 0,
        },
    },
]
"""What a plan said of parts that took what was left beside the fence."""


def example(name: str) -> Plan:
    """The plan of an example, as it is committed."""
    return load_plan(ROOT / "output" / name / "plan.json")


def lines(made: Plan, *, explain: bool = False) -> list[str]:
    """What is shown, as lines."""
    return [line for block in result(made, explain=explain) for line in plain_lines(block)]


@pytest.mark.parametrize("name", NAMES)
def test_each_line_is_short_and_plain(name: str) -> None:
    """Five lines first; none is longer than 100 letters, none speaks of methods."""
    shown = lines(example(name))
    assert [line[2:12].strip() for line in shown[1:6]] == ["take", "cuts", "time", "total", "left"]
    assert max(map(len, shown)) <= MOST
    assert not METHODS.search("\n".join(shown))


@pytest.mark.parametrize("name", NAMES)
def test_what_is_shown_in_short_is_said_in_full(name: str) -> None:
    """Every warning of the plan stands behind --explain, with how its proof was got."""
    made = example(name)
    told = "\n".join(lines(made, explain=True))
    assert made.proof.plates.how in told
    codes = {each.code: each.text for each in made.warnings}  # alike ones are drawn together, so one of each code
    assert [code for code, text in codes.items() if text not in told and code != "rests_on_plate_size"] == []


def test_every_warning_is_told_in_short() -> None:
    """A line for each; a size that is out of its class is not called uneven too."""
    of_sizes = tuple(from_record(PlanWarning, each) for each in OF_SIZES)
    made = example("workshop")
    shown = "\n".join(lines(replace(made, warnings=(*of_sizes, *made.warnings))))
    assert "base plate: 2 of 4 beyond ± 1.2 mm class c: width 398.05 for 400 mm." in shown
    assert "base plate: width 400.15" not in shown
    assert "base plate: length 600.15, but P2-173 599.95 mm." in shown
    assert "The kerf of steel-8, 1.7 mm, was not measured: make a test cut first." in shown


def test_warnings_of_any_length_fit_a_line() -> None:
    """A warning without facts, as older plans hold it, one that has no short sentence, a name without end."""
    long = "word " * 60
    some = (
        PlanWarning(code="bow", about="rail", text=long),
        PlanWarning(code="of_tomorrow", about="x", text=f"First sentence. {long}"),
        PlanWarning(
            code="kerf_not_measured", about="s" * 300, text=long, facts={"kerf": {"value": 1.5, "dimension": "length"}}
        ),
    )
    shown = lines(replace(example("strips"), warnings=some))
    assert max(map(len, shown)) <= MOST
    assert any(line.endswith("First sentence.") for line in shown)
    assert any("s…, 1.5 mm, was not measured" in line for line in shown)


def test_the_proof_in_one_line() -> None:
    """Proven, not proven with what might do, and how far the total is from what no plan undercuts."""
    made = example("strips")
    assert proof_line(made).startswith("fewest plates: proven; ")
    open_ = replace(made.proof, plates=replace(made.proof.plates, found=3, bound=2, proven=False))
    assert proof_line(replace(made, proof=open_, total=None)) == "fewest plates: not proven, 2 might do"
    assert best_hoped_for(100.5, 100).startswith("0.5 % from")


def test_many_offcuts_on_one_line_and_in_full() -> None:
    """As many as fit, and how many there are more; in full all of them, largest or not."""
    made = example("workshop")
    kept = next(each for each in made.pieces if each.kind == "offcut")
    many = replace(made, pieces=(*made.pieces, *(replace(kept, id=f"P1-{n}") for n in range(900, 909))))
    assert re.search(r"^  left      P\d-\d+ \d.*; and \d+ more$", "\n".join(lines(many)), re.MULTILINE)
    offcuts = sum(each.kind == "offcut" for each in many.pieces)
    assert sum(" × 8, " in line and "kg" in line for line in lines(many, explain=True)) >= offcuts


def test_what_is_not_made_stands_first() -> None:
    """A part that is short of its number is named before everything else."""
    made = example("strips")
    first, *others = made.parts
    short = replace(made, parts=(replace(first, made=first.made - 1), *others))
    forgotten = PlanWarning(code="not_planned", about="base", text="NOT PLANNED: base, 4 off, two holes.")
    shown = lines(replace(short, warnings=(*made.warnings, forgotten)))
    assert shown[1] == "  NOT PLANNED: base, 4 off, two holes."
    assert sum("base" in line for line in shown) == 1
    assert lines(short)[1] == f"  NOT MADE  {first.name}: {first.made - 1} of {first.wanted}"


def test_shapes_are_told_by_their_corners_and_the_settings_of_the_bar() -> None:
    """A mistyped angle is seen in the list; the mitre bar counts beside fence and end stop."""
    made = trapezia()
    table = part_table(made.job.parts, "mm")
    assert (table.heads[-1], table.rows[0][-1]) == ("shape", "trapezium, corners 60°, 60°, 120°, 120°")
    assert any("4 of the mitre bar" in line for line in lines(made))


def test_bevels_stand_in_the_list_with_the_edges_that_have_them() -> None:
    """A bevel at the wrong edge is seen before anything is cut: of a rectangle an edge has its side, of a shape its
    length."""
    bevels = (
        Bevel(edge=0, angle=30, root_face=2),
        Bevel(edge=2, angle=30, root_face=2),
        Bevel(edge=1, angle=45, depth=4, face="other"),
    )
    cap = Rectangle(name="cap", width=100, length=160, bevels=bevels)
    web = Shape(name="web", outline=((0, 0), (200, 0), (150, 80), (50, 80)), bevels=bevels[:2])
    table = part_table((cap, web, Rectangle(name="plain", width=50, length=60)), "mm")
    column = table.heads.index("bevels")
    assert [row[column] for row in table.rows[:3]] == [
        "lower, upper: 30°, root face 2; right: 45°, 4 deep, other face",
        "200, 100: 30°, root face 2",
        "",
    ]
