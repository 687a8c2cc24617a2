"""The shell command as a person runs it: a subprocess, its exit status, what it says, what it leaves."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from stripplan import kernel
from stripplan.cli.search_watch import NOTE
from stripplan.files.rig.read import load_rig, read_rig
from tests.cli.running import ROOT, SECONDS, begun, called, files_in, run
from tests.kernel.refused_memory import grant

GOOD = """
[[plate]]
length = 1000
width = 500
thickness = 6
material = "mild steel"
[[part]]
name = "bar"
width = 40
quantity = 3
"""
FILES = {"plan.json", "setup-sheet.pdf", "cut-list.csv", "job.dxf", "plate-P1.dxf", "plate-P1.svg", ".stripplan.json"}


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A folder that holds a sound job.toml."""
    (tmp_path / "job.toml").write_text(GOOD)
    return tmp_path


HELD = "plan --plate sheet=1250x1000x6*1 --plate odd=600x300x6*1 rail=50x400x2 foot=60x60x2"


def test_words_to_folder(tmp_path: Path) -> None:
    """A plate and parts typed as words give every file, and the plan passes its check."""
    done = run("plan", "--plate", "1000x500x6", "40x3", "foot=60x120x4", "--out", "here", folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert files_in(tmp_path / "here") == FILES
    assert called("check", "here/plan.json", folder=tmp_path).returncode == 0


def test_list_to_folder(tmp_path: Path) -> None:
    """Words and a list together: the folder is named after the list and holds the parts of both."""
    (tmp_path / "My parts.csv").write_text("name;width;length;qty\nlath;20,5;300;2\n")
    done = called("plan", "--plate", "1000x500x6", "bar=40x3", "--list", "My parts.csv", folder=tmp_path)
    assert done.returncode == 0, done.stderr
    plan = json.loads((tmp_path / "output/my-parts/plan.json").read_text())
    assert [(part["name"], part["made"]) for part in plan["parts"]] == [("bar", 3), ("lath", 2)]


def test_list_is_shown_before_any_planning(tmp_path: Path) -> None:
    """A list that cannot be made is shown all the same, with its total, so that a mistyped 50x600 is seen."""
    done = called("plan", "--plate", "1000x500*1", "50x600", "40x3", folder=tmp_path)
    assert done.returncode == 3
    rows = [line.split() for line in done.stdout.splitlines()]
    assert ["1", "part", "1", "50", "as", "long", "as", "the", "plate", "600"] in rows
    assert ["in", "all", "603"] in rows


def test_result_shows_figures_proof_and_place(job: Path) -> None:
    """After planning: plates, time, proof, what is left, what to heed and where the files are."""
    done = called("plan", "job.toml", "--out", "here", folder=job)
    labels = [line[2:12].strip() for line in done.stdout.split("\n\n", 1)[1].splitlines() if line[2:3].strip()]
    assert labels == ["take", "cuts", "time", "total", "left", "heed", "proof", "files"]
    assert "proven" in done.stdout
    assert f"{len(FILES) - 1} in here" in done.stdout  # the list of what is ours is not counted


def test_output_is_plain_when_piped(job: Path) -> None:
    """No colour or cursor codes reach a pipe or a file."""
    done = called("plan", "job.toml", folder=job, FORCE_COLOR="1")
    assert "\x1b" not in done.stdout + done.stderr
    assert done.stderr == ""


def test_quiet_says_nothing(job: Path) -> None:
    """With --quiet a plan that succeeds prints nothing at all."""
    done = called("plan", "job.toml", "--quiet", folder=job)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


def test_inches_are_read_and_shown(tmp_path: Path) -> None:
    """With --units in, bare numbers are inches and the list is shown in inches."""
    done = called(
        "plan", "--units", "in", "--plate", "40x20x0.25in", "1.5x3", "--rig", _quarter_inch(tmp_path), folder=tmp_path
    )
    assert done.returncode == 0, done.stderr
    assert '1 1/2"' in done.stdout
    plan = json.loads((tmp_path / "output/job/plan.json").read_text())
    assert (plan["plates"][0]["length"], plan["parts"][0]["size_wanted"][0]) == (1016, 38.1)


def _quarter_inch(folder: Path) -> str:
    process = "name = 'quarter'\nmaterial = 'mild steel'\nthickness = '1/4 in'\nkerf = 1.5\ntravel_speed = 600\n"
    (folder / "inch.toml").write_text(f"[[process]]\n{process}")
    return "inch.toml"


def test_options_of_the_command_go_before_those_of_the_job(job: Path) -> None:
    """Seed, steps, trim and partial given in the command are those of the plan."""
    words = ("--seed", "7", "--steps", "3", "--trim", "8", "--seconds", "30", "--json")
    plan = json.loads(called("plan", "job.toml", *words, folder=job).stdout)
    assert [plan["settings"][key] for key in ("seed", "steps", "trim", "seconds")] == [7, 3, 8, 30]


def test_aim_of_the_command_goes_before_that_of_the_job(job: Path) -> None:
    """--aim says what the order of work makes least; a word that is none is refused with those that are."""
    assert called("plan", "job.toml", "--aim", "few_settings", folder=job).returncode == 0
    plan = json.loads((job / "output" / "job" / "plan.json").read_text())
    assert plan["job"]["options"]["aim"] == "few_settings"
    refused = called("plan", "job.toml", "--aim", "speed", folder=job)
    assert refused.returncode == 2
    assert "light_hands" in refused.stderr


def test_rig_of_the_first_edition_is_told_the_new_name(job: Path) -> None:
    """A rig named on the command with an old key is used, and a note says what the key is called now."""
    (job / "old.toml").write_text("[seconds]\ndress_per_m = 45\n")
    done = called("plan", "job.toml", "--rig", "old.toml", folder=job)
    assert done.returncode == 0
    assert "note: old.toml line 2, [seconds], dress_per_m: is read as scrape_per_m (write scrape_per_m)" in done.stderr


@pytest.mark.long
def test_same_job_same_bytes(job: Path) -> None:
    """Two runs write identical files, whatever the order of hashing."""
    assert called("plan", "job.toml", "--out", "one", folder=job).returncode == 0
    assert run("plan", "job.toml", "--out", "two", folder=job, PYTHONHASHSEED="2").returncode == 0
    for each in (job / "one").iterdir():
        assert each.read_bytes() == (job / "two" / each.name).read_bytes(), each.name


def test_json_is_all_that_is_printed(job: Path) -> None:
    """With --json stdout is the plan and nothing else; no file is written."""
    done = called("plan", "job.toml", "--json", folder=job)
    assert json.loads(done.stdout)["schema"] == "stripplan/plan/1"
    assert done.stderr == ""
    assert files_in(job) == {"job.toml"}


def test_json_and_out_agree(job: Path) -> None:
    """With --json and --out both, what is printed is what plan.json holds."""
    done = called("plan", "job.toml", "--json", "--out", "here", folder=job)
    assert done.stdout == (job / "here/plan.json").read_text(encoding="utf-8")


def test_json_of_a_job_that_fails_is_empty(tmp_path: Path) -> None:
    """With --json a fault leaves stdout empty, so that no program reads half a plan."""
    done = called("plan", "--plate", "1000x500x6", "700x1", "--json", folder=tmp_path)
    assert (done.returncode, done.stdout) == (3, "")


def test_date_only_where_asked(job: Path) -> None:
    """made_at is null unless SOURCE_DATE_EPOCH gives the date; one that is no number is refused."""
    assert json.loads(called("plan", "job.toml", "--json", folder=job).stdout)["made_at"] is None
    dated = called("plan", "job.toml", "--json", folder=job, SOURCE_DATE_EPOCH="86400")
    assert json.loads(dated.stdout)["made_at"] == "1970-01-02T00:00:00+00:00"
    assert called("plan", "job.toml", folder=job, SOURCE_DATE_EPOCH="soon").returncode == 2


def test_partial_plan_names_what_is_missing(job: Path) -> None:
    """With --partial the rest is planned, and the part that cannot be made is named."""
    (job / "job.toml").write_text(GOOD + "[[part]]\nname = 'wing'\nwidth = 700\n")
    done = called("plan", "job.toml", "--out", "here", "--partial", folder=job)
    assert done.returncode == 0, done.stderr
    assert "wing" in done.stdout.split("heed")[1]
    assert files_in(job / "here") == FILES


def test_a_plan_takes_the_place_of_the_one_before(job: Path) -> None:
    """Planning again into the same folder leaves the new files and no others."""
    assert called("plan", "--plate", "300x200x6*3", "90x100x9", "--out", "here", folder=job).returncode == 0
    assert "plate-P2.dxf" in files_in(job / "here")
    assert called("plan", "job.toml", "--out", "here", folder=job).returncode == 0
    assert files_in(job) == {"job.toml", "here"} | {f"here/{name}" for name in FILES}


@pytest.mark.long
def test_names_of_every_script(job: Path) -> None:
    """Names outside ASCII pass through, also to a terminal that cannot show them."""
    (job / "job.toml").write_text(GOOD.replace("bar", "Łącznik ½ ß"), encoding="utf-8")
    plan = json.loads(called("plan", "job.toml", "--json", folder=job, PYTHONIOENCODING="ascii").stdout)
    assert plan["parts"][0]["name"] == "Łącznik ½ ß"
    shown = run("plan", "job.toml", folder=job, PYTHONIOENCODING="latin-1")
    assert shown.returncode == 0, shown.stderr
    assert r"\u0141" in shown.stdout


@pytest.mark.parametrize("name", ["Gate, 2nd try", "../../etc", "a/b\\c:d", "  ", "ÄÖ"])
def test_folder_stays_below_output(job: Path, name: str) -> None:
    """Whatever a job is called, its folder lies directly in output/ and has a name that any machine takes."""
    (job / "job.toml").write_text(f"name = '''x{name}'''\n" + GOOD, encoding="utf-8")
    assert called("plan", "job.toml", "--quiet", folder=job).returncode == 0
    (made,) = (job / "output").iterdir()
    assert (made / "plan.json").is_file()
    assert all(letter.isalnum() or letter in "-_" for letter in made.name)


def test_a_sound_plan_is_called_sound(job: Path) -> None:
    """check of a plan just made: status 0 and the counts."""
    called("plan", "job.toml", "--quiet", "--out", "here", folder=job)
    done = called("check", "here/plan.json", folder=job)
    assert (done.returncode, done.stderr) == (0, "")
    assert "plan.json is sound: plates 1," in done.stdout


def test_a_spoilt_plan_is_found(job: Path) -> None:
    """One figure changed by hand: check says which cut, a sentence for each fault, and leaves with status 2."""
    plan = json.loads(called("plan", "job.toml", "--json", folder=job).stdout)
    plan["cuts"][1]["fence_offset"] += 2
    (job / "plan.json").write_text(json.dumps(plan))
    done = called("check", "plan.json", folder=job)
    assert (done.returncode, done.stdout) == (2, "")
    assert "cut 2" in done.stderr.lower()
    assert all(line.endswith((".", ")")) for line in done.stderr.splitlines())


@pytest.mark.parametrize("text", ["", "{", "[]", "null", '{"schema": "other/1"}', '{"schema": "stripplan/plan/1"}'])
def test_what_is_no_plan_is_refused(tmp_path: Path, text: str) -> None:
    """check of a file that is no plan: status 2, the file named, no traceback."""
    (tmp_path / "plan.json").write_text(text)
    done = called("check", "plan.json", folder=tmp_path)
    assert done.returncode == 2
    assert "plan.json" in done.stderr
    assert "Traceback" not in done.stderr


def test_rig_copy_reads_back_and_is_not_written_over(tmp_path: Path) -> None:
    """The built-in profile can be copied and used, its figures go on being assumed until they are put in; it is written
    over only with --force.
    """
    assert called("rig", "copy", "mine.toml", folder=tmp_path).returncode == 0
    text = (tmp_path / "mine.toml").read_text(encoding="utf-8")
    copied, builtin = read_rig(tmp_path / "mine.toml").rig, load_rig()
    assert copied.name == "mine"
    assert replace(copied, name=builtin.name, assumed=builtin.assumed) == builtin
    assert set(builtin.assumed) - set(copied.assumed) <= {"process"}
    own = text.replace("# fence_zero = 0 ", "fence_zero = 0.4 ").replace("# push = 12 ", "push = 9 ")
    (tmp_path / "own.toml").write_text(own, encoding="utf-8")
    assert set(copied.assumed) - set(load_rig(tmp_path / "own.toml").assumed) == {"fence_zero", "seconds.push"}
    (tmp_path / "mine.toml").write_text("stroke = 900")
    refused = called("rig", "copy", "mine.toml", folder=tmp_path)
    assert (refused.returncode, (tmp_path / "mine.toml").read_text()) == (2, "stroke = 900")
    assert "--force" in refused.stderr
    assert called("rig", "copy", "mine.toml", "--force", folder=tmp_path).returncode == 0
    done = called("plan", "--plate", "1000x500x6", "40x3", "--rig", "mine.toml", "--json", folder=tmp_path)
    assert json.loads(done.stdout)["rig"]["assumed"] != []


@pytest.mark.parametrize("where", [".", "none/mine.toml"])
def test_rig_copy_to_where_nothing_can_be_written(tmp_path: Path, where: str) -> None:
    """A folder, or a place that is not there: status 2 and the place named."""
    done = called("rig", "copy", where, "--force", folder=tmp_path)
    assert done.returncode == 2
    assert where in done.stderr
    assert files_in(tmp_path) == set()


@pytest.mark.parametrize("which", ["job", "rig"])
def test_schemas_accept_our_own_files(tmp_path: Path, which: str) -> None:
    """The printed JSON Schema is one, and takes the example job and the built-in rig, but no unknown key."""
    import tomllib

    import jsonschema

    schema = json.loads(called("schema", which, folder=tmp_path).stdout)
    table = tomllib.loads(GOOD if which == "job" else called("rig", "show", folder=tmp_path).stdout)
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(table, schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(table | {"strok": 1}, schema)


def test_guide_lists_and_shows_its_pages(tmp_path: Path) -> None:
    """`guide` lists pages, each of which `guide PAGE` shows; a page that is not there is refused with the list."""
    listed = called("guide", folder=tmp_path).stdout
    pages = [line.split()[0] for line in listed.splitlines() if line and not line.startswith("Show")]
    assert "first-sheet" in pages
    for page in pages:
        assert called("guide", page, folder=tmp_path).stdout.startswith("# ")
    refused = called("guide", "first-shet", folder=tmp_path)
    assert refused.returncode == 2
    assert all(page in refused.stderr for page in pages)


def test_reader_that_goes_away_is_no_fault(tmp_path: Path) -> None:
    """A pipe closed early ends the program calmly: no traceback, nothing on stderr."""
    waits = "import sys; sys.stdin.read(); from stripplan.cli.main import run; run()"
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    with begun(sys.executable, "-c", waits, "schema", "job", folder=tmp_path, **pipes) as program:
        program.stdout.close()
        program.stdin.close()  # now it begins
        assert program.stderr.read() == b""
        assert program.wait(SECONDS) == 1


def test_ctrl_c_is_calm(tmp_path: Path) -> None:
    """Ctrl-C twice while a plan is sought, the first once the watcher is there:
    status 130, a line for each, no traceback, nothing written.
    """
    words = ["plan", "--plate", "3000x1500x8", "--steps", "100000000", *(f"{w}x{w + 60}x40" for w in range(40, 140, 7))]
    told = (
        "from stripplan.cli import search_watch\n"
        "from stripplan.cli.main import run\n"
        "entered = search_watch.SearchWatch.__enter__\n"
        "def told(self):\n"
        "    entered(self)\n"
        "    print('watching', flush=True)\n"
        "    return self\n"
        "search_watch.SearchWatch.__enter__ = told\n"
        "search_watch.SearchWatch.stop = lambda self: False  # so that the first Ctrl-C cannot end it before the "
        "second comes\nrun()\n"
    )
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True}
    command = (sys.executable, "-c", told, *words, "--seconds", str(SECONDS))
    with begun(*command, folder=tmp_path, **pipes) as program:
        assert program.stdout is not None
        assert "watching\n" in iter(program.stdout.readline, "")  # from here on Ctrl-C is the watcher's
        program.send_signal(signal.SIGINT)
        assert program.stderr is not None
        assert program.stderr.readline() == NOTE + "\n"
        program.send_signal(signal.SIGINT)
        _, said = program.communicate(timeout=SECONDS)
    assert program.returncode == 130
    assert said.strip() == "Stopped; nothing was written."
    assert files_in(tmp_path) == set()


def test_fault_of_the_program_is_told_from_one_of_the_person(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An error nobody foresaw: status 4, short, with what to report; the traceback only where it is asked for."""

    def plan(*_: object, **__: object) -> None:
        raise ZeroDivisionError("by hand")

    monkeypatch.setattr("stripplan.planner.plan", plan)
    for asked, traced in (("0", False), ("1", True)):
        done = called("plan", "job.toml", folder=job, STRIPPLAN_TRACEBACK=asked)
        assert done.returncode == 4
        assert "ZeroDivisionError: by hand" in done.stderr
        assert "report" in done.stderr
        assert ("Traceback" in done.stderr) is traced
    assert not (job / "output").exists()


@pytest.mark.parametrize(("shell", "begins"), [("bash", "_stripplan_completion() {"), ("zsh", "#compdef stripplan"),
                                               ("fish", "function _stripplan_completion;")])  # fmt: skip
def test_completion_prints_what_a_shell_needs(tmp_path: Path, shell: str, begins: str) -> None:
    """The script of each shell, and nothing else; it asks the program for what fits."""
    done = called("completion", shell, folder=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.strip().startswith(begins)
    assert f"_STRIPPLAN_COMPLETE={shell}_complete" in done.stdout


@pytest.mark.parametrize(
    ("typed", "fits"),
    [
        ("stripplan pl", {"plain,plan"}),
        ("stripplan plan --choo", {"plain,--choose"}),
        ("stripplan plan --aim few", {"plain,few_settings"}),
        ("stripplan plan --rig sh", {"file,sh"}),
        ("stripplan plan jo", {"file,jo"}),
        ("stripplan rig ", {"plain,show", "plain,copy"}),
    ],
)
def test_words_are_completed(tmp_path: Path, typed: str, fits: set[str]) -> None:
    """Commands, options, the words that an option may have, and files."""
    words = typed.split(" ")
    asked = {"COMP_WORDS": typed, "COMP_CWORD": str(len(words) - 1), "_STRIPPLAN_COMPLETE": "bash_complete"}
    assert set(called(folder=tmp_path, **asked).stdout.split()) == fits


def test_start_is_light() -> None:
    """--help, --version and `import stripplan` load none of the heavy libraries."""
    heavy = {"numpy", "shapely", "ezdxf", "reportlab", "networkx", "pydantic", "highspy", "rich"}
    for first in ("sys.argv[1:] = ['--help']", "sys.argv[1:] = ['--version']", "sys.argv[1:] = ['plan', '--help']"):
        code = (
            f"import sys, atexit; {first}; atexit.register(lambda: print(*sys.modules)); import stripplan.cli.main as "
            "m; m.run()"
        )
        out = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True, env=os.environ
        ).stdout
        assert heavy & set(out.split()) == set()
    shown = f"sys.argv[1:] = ['show', {str(ROOT / 'output' / 'bench' / 'plan.json')!r}]"
    code = (
        f"import sys, atexit; {shown}; atexit.register(lambda: print(*sys.modules)); import stripplan.cli.main as m; "
    )
    out = subprocess.run([sys.executable, "-c", f"{code}m.run()"], capture_output=True, text=True, check=True).stdout
    assert "rich" not in out.split()  # what goes to a pipe needs no terminal's library
    code = "import sys, stripplan; print(*sys.modules)"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert heavy & set(out.split()) == set()


@pytest.mark.long
def test_fillers_are_shown_as_they_were_understood(tmp_path: Path) -> None:
    """The list tells fillers from wanted parts, and what came out tells how many were made."""
    words = (
        "plan",
        "--plate",
        "1000x600x6",
        "bracket=250x600x2",
        "--filler",
        "pad=150x180",
        "--filler",
        "70x80*1",
        "--fill",
        "all",
    )
    done = called(*words, folder=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    lines = [" ".join(line.split()) for line in done.stdout.splitlines()]
    assert "2 pad 150 180 filler, as many as fit" in lines
    assert "3 filler 2 70 80 filler, at most 1" in lines
    assert "in all 2" in lines
    assert any(line.startswith("fillers pad, 180 × 150: ") and line.endswith(" made") for line in lines)


def test_a_share_that_is_none(tmp_path: Path) -> None:
    """--good-enough 2 could mean 2 % or twice: the form to write is named."""
    done = called("plan", "--plate", "1000x600x6", "50x2", "--good-enough", "2", folder=tmp_path)
    assert done.returncode == 2
    assert done.stderr == '--good-enough: 2 is all of it or more (write "2 %" in quotes)\n'


def test_a_plan_says_that_it_was_good_enough_or_stopped(tmp_path: Path) -> None:
    """The options of the command reach the settings."""
    done = called(
        "plan", "--plate", "1000x600x6", "50x2", "--good-enough", "2%", "--stop-after", "0", "--json", folder=tmp_path
    )
    settings = json.loads(done.stdout)["settings"]
    assert (settings["good_enough"], settings["stopped"], settings["steps_done"]) == (0.02, "steps", 0)


@pytest.mark.skipif(not kernel.available(), reason="no C compiler here")
def test_a_job_too_large_for_the_machine(tmp_path: Path) -> None:
    """Where memory is refused the way out is named, no fault of the program; nothing is written."""
    grant(0)
    try:
        done = called("plan", "--plate", "1000x600x6", "300x200x9", "250x120x14", "--out", "made", folder=tmp_path)
    finally:
        grant(None)
    assert done.returncode == 3
    assert done.stderr == (
        "the job: there is not enough memory for it (plan fewer parts at once, or with fewer steps)\n"
    )
    assert not files_in(tmp_path)


def test_parts_are_bound_to_plates_and_a_plate_is_used_first(tmp_path: Path) -> None:
    """--pin and --use-first say in the command what `plate` and `first` say in a job file; unknown names are told."""
    typed = [*HELD.split(), "--steps", "5"]
    made = called(*typed, "--pin", "rail=sheet", "--use-first", "odd", "--json", folder=tmp_path)
    plan = json.loads(made.stdout)
    assert [each.get("plate") for each in plan["job"]["parts"]] == ["sheet", None]
    stock = {each["id"]: each["stock"] for each in plan["plates"]}
    assert {(each["part"], stock[each["plate"]]) for each in plan["pieces"] if each["part"]} == {
        ("rail", "sheet"),
        ("foot", "odd"),
    }
    for words, said in (
        ("--pin rail", "PART=PLATE"),
        ("--pin leg=odd", "foot, rail"),
        ("--use-first od", "odd, sheet"),
    ):
        refused = called(*typed, *words.split(), folder=tmp_path)
        assert refused.returncode == 2
        assert said in refused.stderr


def test_a_plan_is_kept_where_its_list_changes(tmp_path: Path) -> None:
    """--keep takes a plan, also the one in the folder that is written, and says how much of it stays."""
    typed = [*HELD.split(), "--steps", "5", "--out", "made"]
    before = called(*typed, folder=tmp_path)
    assert before.returncode == 0, before.stderr
    again = called(*typed, "rush=40x40x1", "--keep", "made/plan.json", folder=tmp_path)
    count = len(json.loads((tmp_path / "made" / "plan.json").read_text(encoding="utf-8"))["cuts"])
    found = re.search(r"of (\d+) cuts (\d+) stay as they were, in their order; (\d+) are new", again.stderr)
    assert found is not None, again.stderr
    assert found[1] == found[2]
    assert int(found[2]) + int(found[3]) == count
    assert called(*typed, "--keep", "made/plan.json", "--choices", folder=tmp_path).returncode == 2
    two = ["plan", "--plate", "1000x500x6", "--steps", "5", "--quiet", "--out", "two"]
    assert called(*two, "rail=80x600x5", "wide=90x600x5", folder=tmp_path).returncode == 0
    less = called(*two, "rail=80x600x2", "wide=90x600x2", "--keep", "two/plan.json", folder=tmp_path)
    assert re.search(r"kept, it comes to .* on 2 plates.* afresh to .* on 1 plate.*leave out --keep", less.stderr)
