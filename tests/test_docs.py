"""Words match the program, and the program's words match these."""

from __future__ import annotations

import doctest
import importlib
import json
import pkgutil
import re
import shlex
import tomllib
from dataclasses import fields
from pathlib import Path
from typing import Any

import click
import pytest

import stripplan
from stripplan.cli.commands.guide import PAGES as GUIDE_PAGES
from stripplan.cli.main import main
from stripplan.files.job.schema import job_schema
from stripplan.files.notebook.read import KINDS
from stripplan.files.notebook.schema import notebook_schema
from stripplan.files.parts.lists.headers import HEADERS
from stripplan.files.rig.schema import rig_schema
from stripplan.model import job, rig
from stripplan.model.plan import bevel, cut, piece, plan, quotation
from stripplan.version import VERSION
from tests.cli.running import called
from tests.cli.test_lists import drawn
from tests.renew_examples import TYPED, screen

ROOT = Path(__file__).parent.parent
GUIDE = ROOT / "stripplan" / "guide"
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted(GUIDE.glob("*.md"))]
REFERENCE = (GUIDE / "reference.md").read_text(encoding="utf-8")
TEST_COMMAND = "python -m pytest -n auto"
PLAN_NAMED = "0a1b2c3d"
"""What the words call a plan of the stock book."""


def text_of(page: Path) -> str:
    return page.read_text(encoding="utf-8")


# --- commands -----------------------------------------------------------------------------------------------------


def commands(group: click.Group, name: str = "stripplan") -> dict[str, click.Command]:
    """Every command by its full name."""
    found: dict[str, click.Command] = {}
    for word, command in group.commands.items():
        full = f"{name} {word}"
        found |= commands(command, full) if isinstance(command, click.Group) else {full: command}
    return found


@pytest.mark.parametrize("name", commands(main))
def test_every_command_and_option_is_in_the_reference(name: str) -> None:
    """Commands and options have help, and the reference names each of them."""
    command = commands(main)[name]
    assert command.help
    assert f"`{name}" in REFERENCE
    options = [each for each in command.params if isinstance(each, click.Option)]
    assert all(each.help for each in options)
    assert [opt for each in options for opt in each.opts if f"`{opt}`" not in REFERENCE] == []


def test_every_option_of_plan_in_the_reference_exists() -> None:
    """The reference promises no option that the program has not."""
    table = REFERENCE.split("Options of `stripplan plan`")[1].split("| exit status |")[0]
    promised = set(re.findall(r"`(--[a-z-]+)`", table))
    assert promised == {opt for each in main.commands["plan"].params for opt in each.opts if opt.startswith("--")}


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_command_in_the_words_exists(page: Path) -> None:
    """`stripplan x` in README, guide and DEVELOPERS is a command."""
    known = {name.split()[1] for name in commands(main)} | {"--help", "--version"}
    named = re.findall(r"(?:`|^    (?:\S*/)?)stripplan (\S+?)[`\s]", text_of(page), re.MULTILINE)
    assert [word for word in named if word not in known] == []


@pytest.mark.parametrize(
    "page",
    [
        ROOT / "README.md",
        *(pytest.param(GUIDE / name, marks=pytest.mark.slow) for name in ("first-sheet.md", "how-to.md", "rack.md")),
    ],
    ids=lambda page: page.name,
)
def test_commands_in_the_words_run(page: Path, tmp_path: Path) -> None:
    """Every `stripplan ...` line of README, first sheet, how-to and rack succeeds, one after the other, as it is."""
    prepare_workshop(tmp_path)
    lines = re.findall(
        r"^    (stripplan (?!page).+)$", text_of(page), re.MULTILINE
    )  # the page serves until it is ended
    assert lines
    for line in lines:
        words, _, into = line.partition(" > ")
        if PLAN_NAMED in words:
            words = words.replace(PLAN_NAMED, plan_meant(words, tmp_path))
        done = called(*shlex.split(words)[1:], folder=tmp_path)
        assert done.returncode == 0, f"{line}\n{done.stderr}"
        if into:
            (tmp_path / into).write_text(done.stdout, encoding="utf-8")


def plan_meant(words: str, folder: Path) -> str:
    """The plan that a line speaks of: of the job that it names, else the one that is not done yet."""
    kept = json.loads(called("rack", "plans", "--json", folder=folder).stdout)["plans"]
    named = [each for each in kept if f"{each['job']}.toml" in words]
    return str((named or [each for each in kept if not each["done"]])[0]["id"])


def prepare_workshop(folder: Path) -> None:
    """The files that the words speak of: README's own shelf.toml, a gate and a stand, lists."""
    (folder / "shelf.toml").write_text(readme_block("toml"))
    strips = (ROOT / "examples" / "strips.toml").read_text()
    for name in ("gate", "stand"):
        (folder / f"{name}.toml").write_text(strips.replace('name = "strips"', f'name = "{name}"'))
    (folder / "parts.csv").write_text("width,length,qty\n120,300,2\n")
    (folder / "stock.csv").write_text("length,width,thickness,material\n900,400,6,S235\n")
    drawn(folder / "frame.dxf")


def readme_block(language: str) -> str:
    """The one fenced block of a language in README.md."""
    (block,) = re.findall(rf"^```{language}\n(.*?)^```$", text_of(ROOT / "README.md"), re.MULTILINE | re.DOTALL)
    return str(block)


def test_readme_shows_what_the_program_prints() -> None:
    """The screen in README.md is what its command prints, to the letter."""
    assert f"    stripplan {TYPED}\n" in text_of(ROOT / "README.md")
    assert screen() == readme_block("text"), "stale: run python -m tests.renew_examples"


def test_readme_python_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    """The Python of README.md runs in a copy of the tree."""
    monkeypatch.chdir(ROOT)
    names: dict[str, Any] = {}
    exec(readme_block("python"), names)
    assert names["plan"].totals.plates == 1


def test_ci_runs_the_tests_as_the_readme_says() -> None:
    """The test command of README.md is one that .ci/run runs, as it stands."""
    assert f".venv/bin/{TEST_COMMAND}\n" in text_of(ROOT / "README.md")
    assert f"\n{TEST_COMMAND}\n" in text_of(ROOT / ".ci" / "run")


# --- keys and figures ---------------------------------------------------------------------------------------------


def section(title: str) -> str:
    """A part of the reference, from its heading to the next of any level."""
    return re.split(r"^#+ ", REFERENCE.split(f"# {title}\n", 1)[1], maxsplit=1, flags=re.MULTILINE)[0]


def rows(title: str) -> dict[str, list[str]]:
    """Cells of a section's tables by the key or keys in the first cell."""
    found = {}
    for line in section(title).splitlines():
        cells = [cell.strip() for cell in line.strip().strip("|").split(" | ")]
        for key in re.findall(r"`(\w+)`", cells[0]) if line.startswith("| `") else []:
            found[key] = cells[1:]
    return found


JOB_KEYS, RIG_KEYS, NOTEBOOK_KEYS = job_schema(), rig_schema(), notebook_schema()
TABLES = [
    ("Job file", JOB_KEYS, None),
    ("`[[plate]]`", JOB_KEYS, "PlateTable"),
    ("`[[part]]`", JOB_KEYS, "PartTable"),
    ("Bevels of a part", JOB_KEYS, "BevelTable"),
    ("`[options]`", JOB_KEYS, "OptionsTable"),
    ("`[[cut_list]]`", JOB_KEYS, "ListTable"),
    ("Rig file", RIG_KEYS, None),
    ("`[[process]]`", RIG_KEYS, "ProcessTable"),
    ("`[seconds]`", RIG_KEYS, "SecondsTable"),
    ("`[prices]`", RIG_KEYS, "PricesTable"),
    ("Notebook", NOTEBOOK_KEYS, None),
    ("`[drive]`", NOTEBOOK_KEYS, "DriveTable"),
]
ROWS = [(f"`[[{kind}]]`", NOTEBOOK_KEYS, f"{kind.title().replace('_', '')}Table") for kind in KINDS]


@pytest.mark.parametrize(("title", "schema", "table"), TABLES, ids=[each[0] for each in TABLES])
def test_keys_of_files_and_of_the_reference_agree(title: str, schema: dict[str, Any], table: str | None) -> None:
    """Each key of a table has its row, each row is a key, and needed keys are called needed."""
    given = schema["$defs"][table] if table else schema
    told = rows(title)
    assert set(told) == set(given["properties"])
    needed = {key for key, cells in told.items() if cells[1] == "needed"} - {"plate"}
    assert needed == set(given.get("required", ()))


@pytest.mark.parametrize(("title", "schema", "table"), ROWS, ids=[each[0] for each in ROWS])
def test_keys_of_a_notebook_and_of_the_reference_agree(title: str, schema: dict[str, Any], table: str) -> None:
    """Each key of a kind of row has its line; day, note and ignore, which all have, are told once."""
    given = schema["$defs"][table]
    told = rows(title)
    assert set(told) == set(given["properties"]) - {"on", "note", "ignore"}
    assert {key for key, cells in told.items() if cells[1] == "needed"} == set(given["required"])


DEFAULTS = {
    "`[[plate]]`": {"offcut": "false", "measured": "false", "first": "false", "out_of_square": "0", "rolling": "none"},
    "`[[part]]`": {"filler": "false", "rolling": "free", "rotate": "true", "allowance": "0", "square": "none"},
    "Bevels of a part": {"root_face": "0", "face": "first"},
    "`[options]`": {
        "trim": "0",
        "seed": "1",
        "partial": "false",
        "good_enough": "0",
        "fill": "offcuts",
        "kg_per_hour": "30",
        "offcut_share": "0.5",
        "aim": "one_setting",
    },
}


@pytest.mark.parametrize(("title", "schema", "table"), TABLES[1:5], ids=[each[0] for each in TABLES[1:5]])
def test_defaults_of_jobs_are_told(title: str, schema: dict[str, Any], table: str) -> None:
    """Defaults in the reference are those of the schema."""
    keys = schema["$defs"][table]["properties"]
    for key, told in DEFAULTS[title].items():
        value = keys[key]["default"]
        assert (f"{value:g}" if isinstance(value, float) else str(value).lower()) == told
        assert rows(title)[key][1] == told


@pytest.mark.parametrize(("title", "made"), [("Rig file", rig.Rig()), ("`[seconds]`", rig.Seconds())])
def test_defaults_of_rigs_are_told(title: str, made: rig.Rig | rig.Seconds) -> None:
    """Defaults in the reference are those of the rig that is used when nothing is given."""
    told = rows(title)
    for each in fields(made):
        value = getattr(made, each.name)
        if each.name in told and not isinstance(value, (tuple, rig.Seconds)):
            words = {None: ("no limit", "none"), True: ("true",), False: ("false",)}
            shown = words[value] if value is None or isinstance(value, bool) else (value,)
            assert told[each.name][1] in [f"{one:g}" if isinstance(one, float) else one for one in shown], each.name


def test_factors_of_materials_are_told() -> None:
    """What a kilogram counts for by default, family by family, in the order of the reference."""
    told = rows("`[options]`")["material_factors"]
    assert told[1] == ", ".join(f"{each:g}" for each in job.MATERIAL_FACTORS.values())
    assert re.findall(r"`\"?([a-z ]+)\"?`", told[2]) == list(job.MATERIAL_FACTORS)


def test_every_aim_is_told() -> None:
    """The words of `aim` stand in its row, and those of `--aim` in the table of options."""
    of_plan = next(line for line in REFERENCE.splitlines() if line.startswith("| `--aim`"))
    for aim in job.AIM_WEIGHTS:
        assert f'`"{aim}"`' in rows("`[options]`")["aim"][2]
        assert f"`{aim}`" in of_plan


def test_keep_default_is_told() -> None:
    """The least offcut worth keeping in the reference is that of a job that says nothing."""
    assert rows("`[options]`")["keep"][1] == "[{:g} mm, {:g} mm]".format(*job.Options().keep)


def test_every_key_of_the_plan_file_is_in_the_reference() -> None:
    """Each key of plan.json, at every depth, is named under its own section."""
    records = (
        plan.Plan, plan.PlanPlate, piece.Piece, cut.Cut, cut.Pass, cut.SetUp, cut.Minutes, cut.Marks, cut.Mitre,
        plan.PartLine, plan.Accuracy, plan.Doubt, plan.ExpectedBow, plan.Totals, quotation.Quotation,
        quotation.CostLine, quotation.PartCost, plan.Proof, plan.Bound, plan.OrderBound, plan.PlanWarning,
        plan.TotalCost, plan.ExpectedBevel, bevel.BevelCut, bevel.HandBevel, bevel.BevelSetUp, bevel.BevelMinutes,
    )  # fmt: skip
    words = set(re.findall(r"\w+", section("Plan file")))
    names = {each.name.rstrip("_") for record in records for each in fields(record)}
    assert names - words == set()


def test_every_cause_of_weights_is_in_the_reference() -> None:
    """Causes that can be weighed are listed beside `weights`, what makes offcuts valuable beside `offcut_weights`."""
    for name, keys in (("weights", job.WEIGHT_KEYS), ("offcut_weights", job.OFFCUT_WEIGHT_KEYS)):
        assert [key for key in keys if f"`{key}`" not in rows("`[options]`")[name][2]] == []


def test_every_column_of_a_list_is_in_the_reference() -> None:
    """Every heading that a CSV list may have is told."""
    told = set(re.split(r"[,|`\n]\s*", section("Cut list").replace("`", ",")))
    told = {each.strip() for each in told}
    assert [word for names in HEADERS.values() for word in names if word not in told] == []


def test_every_warning_is_in_the_reference() -> None:
    """Codes of warnings of the planner are those of the reference."""
    sources = [text_of(path) for path in sorted((ROOT / "stripplan" / "planner").rglob("*.py"))]
    made = {code for source in sources for code in re.findall(r'Message\(\s*"(\w+)",\s*(?!facts)', source)}
    within = {"size_of_piece", "less_current", "place_of_cut"}  # said within others, or by `stripplan why`
    within |= {"from_rack", "rack_without_cost", "rack_prices_unused"}  # notes beside a plan with --rack
    within |= {"rest_made", "rest_spoilt", "rest_salvaged", "rest_blanks"}  # beside the rest of a job
    within |= {"rest_slanted", "rest_untouched", "rest_bevels"}
    within |= {"not_used"}  # said on the screen, beside the plan
    within |= {"corner"}  # of a shape, within a fault
    within |= {"kept", "kept_dearer"}  # beside a plan that keeps one of before
    within |= {"instead", "part_times"}  # said by `stripplan why --instead`
    assert within <= made
    assert (made - within) | {"stock_used_up", "cannot_make", "not_found"} == set(rows("Warnings"))


# --- pages --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_links_resolve(page: Path) -> None:
    """Links and pictures lead to files and headings of the tree."""
    text = text_of(page)
    for target in re.findall(r"\]\(([^)]+)\)", text):
        path, _, anchor = target.partition("#")
        assert (page.parent / path).exists() if path else True, target
        headings = {
            re.sub(r"[^\w -]", "", h).strip().lower().replace(" ", "-") for h in re.findall(r"^#+ (.*)$", text, re.M)
        }
        assert not anchor or anchor in headings, target


def test_guide_has_the_pages_that_are_shown() -> None:
    """`stripplan guide` shows every page that lies in the guide's folder; README links to each."""
    assert {f"{name}.md" for name in GUIDE_PAGES} == {page.name for page in GUIDE.glob("*.md")}
    assert [name for name in GUIDE_PAGES if f"guide/{name}.md" not in text_of(ROOT / "README.md")] == []


def test_version_is_said_once() -> None:
    """pyproject.toml and the package agree."""
    assert tomllib.loads(text_of(ROOT / "pyproject.toml"))["project"]["version"] == VERSION == stripplan.__version__


@pytest.mark.parametrize("name", sorted(set(stripplan.__all__) - {"__version__"}))
def test_public_names_are_there_and_told(name: str) -> None:
    """Each public name loads and has a docstring."""
    assert getattr(stripplan, name).__doc__
    assert name in dir(stripplan)


def test_no_other_public_name() -> None:
    """A name that is not there is an AttributeError, as in any module."""
    with pytest.raises(AttributeError, match="nesting"):
        stripplan.nesting  # noqa: B018


ROOMS = sorted(each.name for each in pkgutil.iter_modules(stripplan.__path__) if each.ispkg)
FORMULAS = {"model", "rig", "layout", "files", "sheets", "cli", "wording"}


@pytest.mark.parametrize("room", ROOMS)
def test_worked_examples_run(room: str) -> None:
    """The examples in docstrings of a room give what they say; there are some in every room with formulas."""
    package = ROOT / "stripplan"
    paths = [path for path in sorted((package / room).rglob("*.py")) if ">>>" in text_of(path)]  # others take seconds
    names = [".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__") for path in paths]
    results = [doctest.testmod(importlib.import_module(name)) for name in names]
    assert sum(each.failed for each in results) == 0
    assert sum(each.attempted for each in results) > 0 or room not in FORMULAS


def test_modules_beside_the_rooms_give_what_their_examples_say() -> None:
    """So do those of modules that lie in no room."""
    for each in pkgutil.iter_modules(stripplan.__path__, "stripplan."):
        if not each.ispkg and not each.name.endswith("__main__"):
            assert doctest.testmod(importlib.import_module(each.name)).failed == 0, each.name
