"""Things to their strips, from the command line."""

from __future__ import annotations

import tomllib
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from stripplan import load_job
from tests.checking import in_turn
from tests.cli.running import called

THINGS = {
    "frame": "frame 800x600 --bar 50 --through round",
    "mitred": "frame 800x600 --bar 50 --through mitred --out mitred.toml",
    "box": "box 800x400x300 --lid welded --base between",
    "base": "base 600x400x80 --ribs 3 --cross-ribs 2 --rib-thickness 8 --edge 20 --along width",
    "bracket": "bracket 250x200 --bar 40 --strut 150 --through arm",
}
INCHES = "make frame 32x24 --bar 2 --thickness 1/4 --gap 1/16 --units in"


@pytest.mark.parametrize("kind", THINGS)
def test_a_thing_becomes_an_ordinary_job_and_a_picture(kind: str, tmp_path: Path) -> None:
    """The job file is read as any other and holds what the picture's list says; each piece has its letter in it."""
    given = f"make {THINGS[kind]} --thickness 10 --gap 1 --allowance 0.5 --plate 2000x1000 --material S235 --times 2"
    done = called(*given.split(), folder=tmp_path)
    assert done.returncode == 0, done.stderr
    job, _ = load_job(tmp_path / f"{kind}.toml")
    assert {(each.allowance, each.material) for each in job.parts} == {(0.5, "S235")}
    texts = [each.text for each in ET.parse(tmp_path / f"{kind}.svg").iter("{http://www.w3.org/2000/svg}text")]
    for letter, part in zip("ABCD", job.parts, strict=False):
        assert letter in texts
        assert part.quantity % 2 == 0
        size = f"{part.width:g} x {getattr(part, 'length', 0):g}" if kind != "mitred" else "50 x"
        row = f"{part.name}: {part.quantity // 2} of {size}"
        assert any(row in text for text in texts), (row, texts)
        assert part.name in done.stdout


def test_sizes_are_in_the_persons_units(tmp_path: Path) -> None:
    """Inches stay fractions in the job file, and the sums on the screen too."""
    done = called(*INCHES.split(), folder=tmp_path)
    table = tomllib.loads((tmp_path / "frame.toml").read_text(encoding="utf-8"))
    assert [each["length"] for each in table["part"]] == ["32", "19 7/8"]
    assert '24" - 2 x 2" - 2 x 1/16"' in done.stdout
    assert "add [[plate]]" in done.stdout


@in_turn(
    "words, said",
    [
        ("frame 800 --bar 50 --thickness 6", ("2 sizes", "800x600")),
        ("frame 800x90 --bar 50 --thickness 6", ("90 mm less 2 x 50", "more than 100 mm")),
        ("base 600x400x80 --thickness 8 --ribs 60", ("--ribs", "49 at most")),
        ("box 800x400x300 --thickness six", ("--thickness", "is no length")),
        ("box 800x400x300 --thickness 6 --allowance 1,000", ("--allowance", "two ways")),
        ("box 800x400x300 --thickness 6 --out box.svg", ("--out", "box.svg.toml")),
    ],
)
def test_what_cannot_be_is_said_with_the_way_out(words: str, said: tuple[str, ...], tmp_path: Path) -> None:
    """Exit status 2, and nothing is written."""
    done = called("make", *words.split(), folder=tmp_path)
    assert done.returncode == 2
    assert all(each in done.stderr for each in said), done.stderr
    assert not list(tmp_path.iterdir())


def test_a_job_that_was_changed_since_is_not_written_over(tmp_path: Path) -> None:
    """Unchanged it is made anew; once a person wrote in it, it is theirs."""
    words = f"make {THINGS['box']} --thickness 6"
    assert [called(*words.split(), folder=tmp_path).returncode for _ in range(2)] == [0, 0]
    (tmp_path / "box.toml").write_text("# mine\n", encoding="utf-8")
    assert called(*words.split(), folder=tmp_path).returncode == 2
    assert (tmp_path / "box.toml").read_text(encoding="utf-8") == "# mine\n"
