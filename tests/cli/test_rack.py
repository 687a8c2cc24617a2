"""The stock book from the shell."""

from __future__ import annotations

import json
import re
import shutil
import tomllib
from pathlib import Path
from subprocess import CompletedProcess

import pytest

from stripplan.model.rack.piece import SLANTED
from tests.cli.running import called


class Shop:
    """A folder with a book in it, in which commands are called on one day."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def __call__(self, *words: str, status: int = 0) -> CompletedProcess[str]:
        done = called(*words, folder=self.folder, STRIPPLAN_BOOK="rack.db", SOURCE_DATE_EPOCH="1774944000")
        assert done.returncode == status, done.stderr
        return done

    def rack(self, *words: str) -> list[dict[str, object]]:
        """What `rack list` gives as data."""
        return list(json.loads(self("rack", "list", "--json", *words).stdout)["pieces"])


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    """An empty one."""
    return Shop(tmp_path)


def test_the_rack_from_the_shell(shop: Shop) -> None:
    """Pieces are put in, found, reserved, changed, written off, and all of it is told again."""
    shop("rack", "list", status=2)
    shop("rack", "add", "2000x1000x6*3", "--material", "S235", "--cost", "95", "--place", "bay 1")
    shop("rack", "add", "24x8x1/4", "--units", "in", "--material", "A36", "--offcut", "--edges", "mill,cut,cut,mill")
    assert [each["piece"] for each in shop.rack("--least", "900x1900")] == ["R1", "R2", "R3"]
    (offcut,) = shop.rack("--kind", "offcut")
    assert (offcut["length"], offcut["edges"]) == (609.6, ["mill", "cut", "cut", "mill"])
    shop("rack", "reserve", "R1-R2", "--job", "gate")
    assert "promised to 'gate'" in shop("rack", "write-off", "R2-R3", status=2).stderr
    shop("rack", "write-off", "R3", "--why", "sold")
    shop("rack", "change", "R4", "--place", "door")
    assert "R9" in shop("rack", "change", "R9", "--place", "door", status=2).stderr
    assert len(shop.rack("--free")) == 1
    shop("rack", "release", "R1")
    said = shop("rack", "history", "R3").stdout
    assert "put in" in said
    assert "sold" in said
    assert "together 195 kg, worth 190.00; 1 without a cost" in shop("rack", "value").stdout


def test_a_list_goes_out_and_comes_in_again(shop: Shop) -> None:
    """What --csv prints is read into another book as it was."""
    shop("rack", "add", "1200.5x800x10", "--material", "S355", "--batch", "H7", "--rolling", "length", "--measured")
    (shop.folder / "stock.csv").write_text(shop("rack", "list", "--csv").stdout)
    shop("rack", "read", "stock.csv", "--book", "other.db")
    shutil.move(shop.folder / "rack.db", shop.folder / "first.db")
    assert shop.rack("--book", "other.db") == shop.rack("--book", "first.db")


def test_of_a_long_list_the_first_are_shown(shop: Shop) -> None:
    """And how many there are, and how all of them are seen; data is whole, unless less is asked for."""
    shop("rack", "add", "500x400x6*201", "--material", "mild steel")
    shown = shop("rack", "list").stdout.splitlines()
    assert len(shown) == 1 + 200 + 2  # heads, rows, what is said
    assert shown[-2:] == ["201 pieces", "these are the first 200; all of them: --most 201"]
    assert shop("rack", "list", "--most", "201").stdout.splitlines()[-1] == "201 pieces"
    assert (len(shop.rack()), len(shop.rack("--most", "3"))) == (201, 3)


def test_an_offcut_with_slanted_edges(shop: Shop) -> None:
    """A right-angled triangle of 400 x 300 holds 200 x 150, half its area (Euclid, Elements VI.27). The outline stays
    in lists, the sheet says to square it up, and a new size says that this was done.
    """
    shop("rack", "add", "6", "--outline", "0,0 0,300 400,0", "--material", "S235", "--cost", "3")
    (piece,) = shop.rack()
    assert (piece["length"], piece["width"], piece["kind"]) == (200, 150, "offcut")
    assert piece["outline"] == [[0, 0], [400, 0], [0, 300]]
    assert piece["mass"] == pytest.approx(400 * 300 / 2 * 6 * 7.85e-6, abs=1e-3)
    said = shop("rack", "add", "6", "--outline", "0,0 400,0 90,90 0,300", "--material", "S235", status=2).stderr
    assert "corner 3 points inward" in said
    assert "are no corners" in shop("rack", "add", "6", "--outline", "0,0 4", "--material", "S235", status=2).stderr
    (shop.folder / "stock.csv").write_text(shop("rack", "list", "--csv").stdout)
    shop("rack", "read", "stock.csv", "--book", "other.db")
    assert shop.rack("--book", "other.db") == [piece]
    (shop.folder / "feet.toml").write_text(
        'name = "feet"\n[[part]]\nname = "foot"\nwidth = 90\nlength = 90\nmaterial = "S235"\nthickness = 6\n'
    )
    planned = shop("plan", "feet.toml", "--rack", "--out", "feet").stdout
    plate = json.loads((shop.folder / "feet" / "plan.json").read_text())["job"]["plates"][0]
    assert plate["note"] == SLANTED
    shop("undo", planned.rsplit("stripplan done ", 1)[-1].strip())
    shop("rack", "change", "R1", "--size", "200x150x6")
    assert shop.rack()[0]["outline"] == []


def test_slips_of_the_hand_are_not_put_in(shop: Shop) -> None:
    """A plate of 90 m, or one thicker than it is wide, is refused; a material that is misspelt is asked about."""
    for size in ("90000x300x8", "8x900x300"):
        assert "no plate measures" in shop("rack", "add", size, "--material", "S235", status=2).stderr
    assert "did you mean mild steel" in shop("rack", "add", "900x300x8", "--material", "mild stel").stderr
    assert "did you mean" not in shop("rack", "add", "900x300x8", "--material", "brass").stderr
    assert "no plate measures" in shop("rack", "change", "R1", "--size", "90000x300", status=2).stderr
    assert "it has no material" in shop("rack", "change", "R1", "--material", " ", status=2).stderr


def test_a_label_is_on_one_piece(shop: Shop) -> None:
    """Said of two at once, or of a second one, it is refused, and nothing is changed; of the same piece again it is
    not."""
    shop("rack", "add", "600x400x6*2", "--material", "S235")
    assert "cannot be on 2 pieces" in shop("rack", "change", "R1-R2", "--label", "17", status=2).stderr
    shop("rack", "change", "R1", "--label", "17")
    assert "it is R1" in shop("rack", "change", "R2", "--label", "17", "--place", "door", status=2).stderr
    shop("rack", "change", "R1", "--label", "17", "--place", "bay 1")
    assert [(each["code"], each["place"]) for each in shop.rack()] == [("17", "bay 1"), ("", "")]


def test_a_copy_and_back(shop: Shop) -> None:
    """A copy is put back, and what was there before is not thrown away."""
    shop("rack", "add", "600x400x6", "--material", "S235")
    shop("rack", "backup", "copy.db")
    shop("rack", "backup", "copy.db", status=2)
    shop("rack", "write-off", "R1")
    assert "before-1" in shop("rack", "restore", "copy.db").stdout
    assert len(shop.rack()) == 1
    shop("rack", "check")


def test_what_is_worth_keeping(shop: Shop) -> None:
    """The closest rule counts, and rules can be taken out."""
    shop("rack", "keep", "400x200")
    shop("rack", "keep", "100x50", "--material", "stainless", "--thickness", "3")
    rules = json.loads(shop("rack", "keep", "--json").stdout)["rules"]
    assert [(each["material"], each["thickness"], each["size"]) for each in rules] == [
        ("", None, [400, 200]), ("stainless", 3, [100, 50]),
    ]  # fmt: skip
    shop("rack", "keep", "--forget")
    assert "300 × 100" in shop("rack", "keep").stdout
    shop("rack", "keep", "--forget", status=2)


JOB = """
name = "{name}"
[options]
steps = 5
[[plate]]
name = "sheet"
length = 900
width = 500
thickness = 6
material = "S235"
cost = 40
[[part]]
name = "web"
width = 140
length = 380
quantity = {quantity}
"""


def planned(shop: Shop, name: str, quantity: int, *words: str) -> tuple[str, str]:
    """A job planned from the rack: the plan's id, and what was said."""
    (shop.folder / f"{name}.toml").write_text(JOB.format(name=name, quantity=quantity))
    said = shop("plan", f"{name}.toml", "--rack", *words).stdout
    return said.rsplit("stripplan done ", 1)[-1].strip(), said


def test_a_plate_that_is_being_cut_is_not_to_be_bought(shop: Shop) -> None:
    """From its first tick on it was bought; with the tick taken back it is on the list again."""
    gate, said = planned(shop, "gate", 3)
    assert "1 of 900 × 500 × 6 mm S235" in said
    assert "1  900 × 500 × 6  S235" in shop("buy").stdout
    shop("tick", gate, "1")
    assert shop("buy").stdout == "nothing is to be bought\n"
    shop("tick", gate, "--undo")
    assert "1  900 × 500 × 6  S235" in shop("buy").stdout


@pytest.mark.slow
def test_a_week_from_an_empty_book_to_the_buying_list(shop: Shop) -> None:
    """Offcuts of the first job serve the second; two plans never promise one piece; what is done can be taken back;
    what the rack lacks is on one list."""
    gate, said = planned(shop, "gate", 3)
    assert "1 of 900 × 500 × 6 mm S235, 21.2 kg, 40.00" in said
    shop("done", gate, "--place", "bay 2")
    offcuts = shop.rack("--text", "bay 2")
    assert offcuts
    assert all(str(each["code"]).startswith(f"stripplan:{gate}:") for each in offcuts)
    shelf, said = planned(shop, "shelf", 1)
    assert "lies: bay 2" in said
    (promised,) = shop.rack("--reserved")
    assert (promised["job"], promised["plan"]) == ("shelf", shelf)
    stand, _ = planned(shop, "stand", 3)
    assert promised["piece"] not in {each["piece"] for each in shop.rack("--job", "stand")}
    again, _ = planned(shop, "shelf", 2)
    assert {each["plan"] for each in shop.rack("--job", "shelf")} <= {again}
    assert "no plan" in shop("done", shelf, status=2).stderr
    needed = json.loads(shop("buy", "--json").stdout)["plates"]
    assert [(each["length"], each["width"], each["material"]) for each in needed] == [(900, 500, "S235")]
    assert shop("buy", "--csv").stdout.startswith("quantity,length,width")
    before = shop.rack()
    shop("done", stand)
    shop("undo", stand)
    assert shop.rack() == before
    assert "promised" in shop("undo", gate, status=2).stderr
    shop("undo", again)
    assert shop.rack("--reserved") == [each for each in before if each["job"] == "stand"]
    assert json.loads(shop("rack", "plans", "--done", "--json").stdout)["plans"][0]["id"] == gate


def test_the_code_on_a_label_puts_its_offcut_in(shop: Shop) -> None:
    """From a plan that the book does not know by its file; a second time it is told where it lies."""
    (shop.folder / "gate.toml").write_text(JOB.format(name="gate", quantity=3))
    shop("plan", "gate.toml", "--quiet")
    plan = json.loads((shop.folder / "output/gate/plan.json").read_text())
    offcut = next(each for each in plan["pieces"] if each["kind"] == "offcut")
    from stripplan.files.plan.read import load_plan
    from stripplan.sheets.rows.plan_rows import plan_id

    tag = plan_id(load_plan(shop.folder / "output/gate/plan.json"))
    code = f"stripplan:{tag}:{offcut['id']}"
    assert "--plan-file" in shop("rack", "scan", code, status=2).stderr
    shop("rack", "scan", code, "--plan-file", "output/gate/plan.json", "--place", "door")
    (piece,) = shop.rack()
    xs, ys = ([point[at] for point in offcut["outline"]] for at in (0, 1))
    assert (piece["length"], piece["width"]) == (max(xs) - min(xs), max(ys) - min(ys))
    assert "R1 is in the book already: door" in shop("rack", "scan", code).stdout
    assert "no code" in shop("rack", "scan", "4006381333931", status=2).stderr


def test_a_job_that_names_no_plate_lives_off_the_rack(shop: Shop) -> None:
    """It needs material and thickness; where nothing serves it that is said."""
    text = JOB.format(name="feet", quantity=1).split("[[plate]]")[0]
    part = '[[part]]\nname = "foot"\nwidth = 90\nlength = 90\n'
    (shop.folder / "feet.toml").write_text(text + part)
    assert "material and thickness" in shop("plan", "feet.toml", "--rack", status=2).stderr
    (shop.folder / "feet.toml").write_text(text + part + 'material = "mild steel"\nthickness = 6\n')
    assert "nothing on the rack serves it" in shop("plan", "feet.toml", "--rack", status=2).stderr
    shop("rack", "add", "300x200x6", "--material", "S235", "--offcut", "--place", "bay 1")
    said = shop("plan", "feet.toml", "--rack").stdout
    assert "P1 is R1, 300 × 200 × 6, S235, lies: bay 1" in said
    assert "promised to 'feet'" in shop("rack", "write-off", "R1", status=2).stderr
    tag = said.rsplit("stripplan done ", 1)[-1].strip()
    shop("done", tag)
    assert "R1" not in {each["piece"] for each in shop.rack()}
    shop("undo", tag)
    assert [(each["piece"], each["plan"]) for each in shop.rack()] == [("R1", tag)]
    assert "nothing is to be bought" in shop("buy").stdout
    shop("plan", "feet.toml", status=2)


@pytest.mark.long
def test_the_rig_learns_from_the_day(shop: Shop) -> None:
    """Where the fence takes three times as long as planned, it is in the lines for the rig file, and it alone."""
    tag, _ = planned(shop, "gate", 14, "--out", "gate")
    cuts = json.loads((shop.folder / "gate" / "plan.json").read_text())["cuts"]
    for cut in cuts:
        takes = sum(cut["minutes"].values()) + 2 * cut["minutes"]["fence"]
        shop("tick", tag, str(cut["number"]), "--minutes", f"{takes:.3f}")
    said = shop("rack", "minutes", "--causes").stdout
    lines = said.partition("[seconds]\n")[2].splitlines()
    assert [line.partition(" =")[0] for line in lines] == ["fence", "fence_per_mm"]
    learnt = json.loads(shop("rack", "minutes", "--causes", "--json").stdout)["learnt"]
    assert 80 < learnt["learnt"]["fence"] < 130
    assert [each["cause"] for each in learnt["causes"] if each["off"]] == ["fence"]


def test_a_day_that_goes_wrong(shop: Shop) -> None:
    """Cuts are ticked, one is spoilt, the plan ends there, and the rest is planned from what lies on the rack."""
    tag, _ = planned(shop, "gate", 3)
    said = shop("tick", tag, "1-2", "--minutes", "9", "--measured", "140.3").stdout
    assert "2 of " in said
    assert "9 min taken" in said
    assert "of which piece?" in shop("tick", tag, "3", "--spoilt", "both", "--usable", "60x50", status=2).stderr
    day = json.loads(shop("tick", tag, "3", "--spoilt", "both", "--usable", "left=60x50", "--json").stdout)
    assert [each["piece"][-5:] for each in day["bench"] if each["box"][2] - each["box"][0] == 60] == ["-left"]
    assert [each["number"] for each in day["ticked"]] == [1, 2, 3]
    assert day["measured"][0]["size"] == 140.3
    assert "from 5 on" in shop("rack", "drift", tag).stdout
    (shop.folder / "notebook.toml").write_text('name = "shed"\n')
    assert "1 fence checks written" in shop("rack", "drift", "--into", "notebook.toml").stderr
    assert (
        "0 fence checks written into notebook.toml, 1 stood" in shop("rack", "drift", "--into", "notebook.toml").stderr
    )
    checks = tomllib.loads((shop.folder / "notebook.toml").read_text())["fence_check"]
    assert [each["width"] for each in checks] == ["140.3 mm"]
    spent = json.loads(shop("rack", "minutes", "--json").stdout)
    assert spent["ticks"][0]["taken"] == 9
    assert spent["factor"] == pytest.approx(9 / spent["ticks"][0]["planned"])
    assert "tell too little" in shop("rack", "minutes", "--causes").stdout
    assert day["bench"]
    assert "begun" in shop("plan", "gate.toml", "--rack", status=2).stderr
    assert "--so-far" in shop("done", tag, status=2).stderr
    assert f"{tag[:4]} is sound" in shop("check", tag[:4]).stdout
    shop("sheet", tag[:5], "--cuts", "4-")
    assert list(shop.folder.glob("cuts-4*.pdf"))
    shop("tick", tag, "99", status=2)
    (shop.folder / "again.toml").write_text(shop("rest", "gate.toml", tag, "--on-rack").stdout)
    assert "has not ended" in shop("plan", "again.toml", "--rack", status=2).stderr
    shop("done", tag, "--so-far")
    rest = shop("rest", "gate.toml", tag, "--ticked", "--on-rack")
    assert "made are" in rest.stderr
    assert "spoilt" in rest.stderr
    assert "60 mm × 50 mm" in rest.stderr
    assert [each["note"][:12] for each in shop.rack() if each["length"] == 60] == ["what is left"]
    (shop.folder / "again.toml").write_text(rest.stdout)
    lying = {each["piece"] for each in shop.rack()}
    again = shop("plan", "again.toml", "--rack")
    assert "stay as they were" in again.stderr  # what was half cut is gone on with, the way it lay
    assert {each["piece"] for each in shop.rack("--reserved")} <= lying
    shop("undo", re.findall("stripplan done ([0-9a-f]{8})", again.stdout)[-1])
    at_once = shop("rest", "gate.toml", tag, "--on-rack", "--out", "at-once")
    notes = [each for each in again.stderr.splitlines() if "stay" in each or "spare" in each]
    assert [each for each in at_once.stderr.splitlines() if "stay" in each or "spare" in each] == notes
    assert (shop.folder / "at-once" / "plan.json").read_bytes()  # and the same plan
    made = json.loads((shop.folder / "at-once" / "plan.json").read_text())["cuts"]
    before = json.loads((shop.folder / "output" / "gate-again" / "plan.json").read_text())["cuts"]
    assert made == before
    assert {each["piece"] for each in shop.rack("--reserved")} <= lying
