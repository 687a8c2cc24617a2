"""A week of three jobs from the shell: one plan off one rack, a quotation each, and what is still wanted of it."""

from __future__ import annotations

import io
import json
import re
import tomllib
from pathlib import Path

import pypdf
import pytest

from tests.cli.test_rack import Shop

PLATE = """
currency = "EUR"
[options]
steps = 2
[[plate]]
name = "sheet"
length = 1500
width = 1000
thickness = 6
material = "mild steel"
cost = 80
"""
PART = '[[part]]\nname = "{}"\nwidth = {}\nlength = {}\nquantity = {}\n'
JOBS = {
    "gate": "due = 2026-12-09\n" + PLATE + PART.format("rail", 60, 900, 3) + PART.format("foot", 200, 300, 1),
    "shelf": PLATE + PART.format("rail", 60, 700, 2),
    "box": "due = 2026-12-04\n" + PLATE + PART.format("side", 250, 350, 2),
}
FILES = tuple(f"{name}.toml" for name in JOBS)


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    """A shop with the three jobs, and a rig with prices."""
    for name, text in JOBS.items():
        (tmp_path / f"{name}.toml").write_text(f'rig = "rig.toml"\n{text}')
    (tmp_path / "rig.toml").write_text("[prices]\nper_hour = 45\nmarkup = 10\n")
    return Shop(tmp_path)


def words_of(path: Path) -> str:
    """What a PDF says."""
    return "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(path.read_bytes())).pages)


@pytest.mark.long
def test_a_week_of_jobs(shop: Shop) -> None:
    """From an empty book to the list of what to buy, quotations that add up, done and taken back."""
    shop("rack", "add", "900x600x6", "--material", "mild steel", "--cost", "15")
    said = shop("plan", *FILES, "--rack", "--out", "week", "--hours-a-day", "2", "--start", "2026-12-03").stdout
    assert re.search(r"box +Fri 2026-12-04 +after cut", said)
    assert "one by one from the same plates" in said
    made = json.loads((shop.folder / "week" / "plan.json").read_text())
    assert [each["name"] for each in made["jobs"]] == ["gate", "shelf", "box"]
    totals = []
    for line in made["jobs"]:
        words = words_of(shop.folder / "week" / f"quotation-{line['name']}.pdf")
        totals.append(float(re.search(r"In all ([\d.]+) EUR", words)[1]))  # type: ignore[index]
        amounts = re.search(r"What it is made of(.*)total", words, re.DOTALL)
        assert amounts is not None
        assert totals[-1] == line["quoted"]
    assert round(sum(totals), 2) == made["quotation"]["total"]
    sheet = words_of(shop.folder / "week" / "setup-sheet.pdf")
    assert "Jobs, in the order in which they are done" in sheet
    assert "gate: rail" in (shop.folder / "week" / "cut-list.csv").read_text()
    shop("labels", "week/plan.json")
    assert {"gate", "shelf", "box"} <= set(words_of(shop.folder / "week" / "labels.pdf").split())
    (bought,) = json.loads(shop("buy", "--json").stdout)["plates"]
    promised = {each["piece"]: each["job"] for each in shop.rack() if each["job"]}
    assert set(bought["jobs"]) | {name for each in promised.values() for name in str(each).split(", ")} == set(JOBS)
    tag = re.search(r"stripplan done (\w+)", said)[1]  # type: ignore[index]
    assert "planned together with" in shop("plan", "gate.toml", "--rack", "--out", "one", status=2).stderr
    shop("done", tag)
    shop("undo", tag)
    assert {each["piece"]: each["job"] for each in shop.rack() if each["job"]} == promised
    shop("plan", *FILES, "--rack", "--out", "week", "--stop-after", "0")  # in place of the first


@pytest.mark.long
def test_what_is_still_wanted_of_several_jobs(shop: Shop) -> None:
    """The rest of a week is one file that holds its jobs: parts under their own names, days kept."""
    shop("plan", *FILES, "--out", "week")
    last = len(json.loads((shop.folder / "week" / "plan.json").read_text())["cuts"])
    rest = shop("rest", "box.toml", "week/plan.json", "--done", f"1-{last - 1}", "--spoilt", f"{last - 1}").stdout
    table = tomllib.loads(rest)
    assert {each["job"] for each in table["part"]} <= {each["name"] for each in table["job"]}
    assert {each["name"] for each in table["part"]} <= {"rail", "foot", "side"}
    (shop.folder / "rest.toml").write_text(rest)
    said = shop("rest", "box.toml", "week/plan.json", "--done", f"1-{last - 1}", "--out", "again")
    assert "cuts 1 stay as they were, in their order; 0 are new" in said.stderr
    assert (shop.folder / "again" / "setup-sheet.pdf").exists()
    assert "[[job]]" in said.stdout
    again = json.loads(shop("plan", "rest.toml", "--json").stdout)
    assert {each["name"] for each in again["jobs"]} == {each["name"] for each in table["job"]}


def test_faults_name_their_file(shop: Shop) -> None:
    """What is wrong with one of several files, or between two of them, says which."""
    (shop.folder / "box.toml").write_text('rig = "rig.toml"\n' + JOBS["box"].replace("width = 250", "widht = 250"))
    assert "box.toml line" in shop("plan", *FILES, status=2).stderr
    (shop.folder / "box.toml").write_text('name = "gate"\nunits = "in"\n' + JOBS["box"])
    said = shop("plan", *FILES, status=2).stderr
    assert "gate.toml, box.toml: both jobs are called 'gate'" in said
    assert "gate.toml, box.toml: jobs that are planned together are cut on one rig" in said
    bare = PART.format("side", 250, 350, 2)
    (shop.folder / "box.toml").write_text(bare)
    (shop.folder / "lid.toml").write_text(bare)
    assert "box.toml, lid.toml" in shop("plan", "box.toml", "lid.toml", status=2).stderr
    (shop.folder / "both.toml").write_text(PLATE + '[[job]]\nname = "a"\n' + bare + 'job = "b"\n')
    assert "[[part]] 1 'side', job" in shop("plan", "both.toml", status=2).stderr
