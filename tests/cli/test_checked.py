"""Nothing unsound gets onto paper: what `sheet`, `labels`, `pictures` and `check` do with a plan that was changed by
hand.
"""

from __future__ import annotations

import json
from pathlib import Path

import pypdf
import pytest
from PIL import Image

from stripplan.cli.replayed_plan import plan_to_print
from stripplan.errors import InputError
from tests.cli.running import ROOT, called

GOOD = ROOT / "output" / "strips" / "plan.json"


@pytest.fixture
def faulty(tmp_path: Path) -> Path:
    """A plan whose second fence reading was raised by 3 mm."""
    data = json.loads(GOOD.read_text(encoding="utf-8"))
    number = [cut["number"] for cut in data["cuts"] if cut["located"] == "fence"][1]
    data["cuts"][number - 1]["fence_reading"] += 3
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(data), encoding="utf-8")
    return path


COMMANDS = (("sheet",), ("labels",), ("pictures", "--out", "pictures"))


@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: words[0])
def test_a_faulty_plan_was_printed(faulty: Path, words: tuple[str, ...]) -> None:
    """Its faults are named, the status is 2, and nothing is written."""
    refused = called(words[0], "plan.json", *words[1:], folder=faulty.parent)
    assert refused.returncode == 2
    assert "puts the torch" in refused.stderr
    assert "plan.json is not printed" in refused.stderr
    assert [each.name for each in faulty.parent.iterdir()] == ["plan.json"]


@pytest.mark.long
def test_unchecked_paper_says_so_on_every_page(faulty: Path) -> None:
    """Each page of the sheet, each label and each picture carries the stamp; sound paper carries none."""
    for words in (("sheet", "--short"), ("labels", "--test-page"), ("pictures", "--out", "pictures", "--steps")):
        assert called(words[0], "plan.json", *words[1:], "--unchecked", folder=faulty.parent).returncode == 0
    pages = pypdf.PdfReader(faulty.parent / "setup-sheet.pdf").pages
    assert all("NOT CHECKED" in page.extract_text() for page in pages)
    _, *pages = pypdf.PdfReader(faulty.parent / "labels.pdf").pages
    count = sum(
        piece["kind"] in ("part", "offcut") for piece in json.loads(faulty.read_text(encoding="utf-8"))["pieces"]
    )
    assert sum(page.extract_text().count("NOT CHECKED") for page in pages) == count
    svgs = list((faulty.parent / "pictures").glob("*.svg"))
    assert svgs
    assert all(">NOT CHECKED</text>" in each.read_text(encoding="utf-8") for each in svgs)
    assert called("sheet", str(GOOD), "--out", "sound.pdf", folder=faulty.parent).returncode == 0
    assert "NOT CHECKED" not in "".join(
        page.extract_text() for page in pypdf.PdfReader(faulty.parent / "sound.pdf").pages
    )


def test_a_stamp_is_seen_in_a_png(faulty: Path) -> None:
    """The same picture with and without the stamp differs in thousands of pixels, and the stamp is red."""
    assert (
        called(
            "pictures", "plan.json", "--png", "--unchecked", "--width", "600", "--out", "pictures", folder=faulty.parent
        ).returncode
        == 0
    )
    with Image.open(faulty.parent / "pictures" / "plate-P1.png") as picture:
        data = picture.convert("RGB").tobytes()
    pixels = zip(data[::3], data[1::3], data[2::3], strict=True)
    assert sum(red > 150 and green < 60 and blue < 60 for red, green, blue in pixels) > 500


def test_what_cannot_be_drawn_unchecked_is_refused(faulty: Path) -> None:
    """Whatever drawing stumbles over ends in a sentence, not in a trace of the program."""
    with pytest.raises(InputError) as refused, plan_to_print(faulty, unchecked=True):
        raise KeyError("steel-5")
    assert "so far from sound that it cannot be drawn (KeyError)" in str(refused.value)


def test_check_names_what_it_did_not_check() -> None:
    """After the counts come the bounds, the search, the sentences."""
    done = called("check", str(GOOD), folder=GOOD.parent)
    assert done.returncode == 0
    assert "Not checked" in done.stdout
    assert "lower bounds" in done.stdout


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda d: d["proof"]["plates"].update(proven=not d["proof"]["plates"]["proven"]), "called proven"),
        (lambda d: d["parts"][0]["accuracy"][0].update(likely=0.001), "is likely within"),
        (lambda d: d["warnings"].clear(), "No warning says of"),
        (lambda d: d["plates"].clear(), "no plate of the plan"),
    ],
)  # fmt: skip
def test_check_called_it_sound(tmp_path: Path, change: object, said: str) -> None:
    """A flipped `proven`, an accuracy of 0.001, deleted warnings, no plates."""
    data = json.loads(GOOD.read_text(encoding="utf-8"))
    change(data)  # type: ignore[operator]
    (tmp_path / "plan.json").write_text(json.dumps(data), encoding="utf-8")
    done = called("check", "plan.json", folder=tmp_path)
    assert done.returncode == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr
