"""What people get wrong: each gives a plain message with place and remedy, the right status, and leaves nothing
behind.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

import pytest

from tests.cli.running import called, files_in

PLATE = "[[plate]]\nlength = 600\nwidth = 400\nthickness = 6\nmaterial = 'mild steel'\n"
STRIP = "[[part]]\nname = 'slat'\nwidth = 50\nquantity = 2\n"
RIG = "rig = { stroke = 400, two_pass = false }\n"
PLAN = ("plan", "job.toml")


@dataclass(frozen=True)
class Case:
    """Words of the command, the job file if there is one, and what must be said; `says` in small letters."""

    name: str
    says: tuple[str, ...]
    job: str | bytes | None = None
    words: tuple[str, ...] = PLAN
    status: int = 2
    files: dict[str, str] = field(default_factory=dict)


NOT_UNDERSTOOD = [
    Case("unknown key", ("job.toml", "line 8", "witdh", "width"), PLATE + "[[part]]\nname = 'slat'\nwitdh = 50\n"),
    Case("unknown table", ("job.toml", "plates", "plate"), PLATE.replace("plate", "plates") + STRIP),
    Case("negative width", ("job.toml", "line 8", "slat", "-50", "below 0"), PLATE + STRIP.replace("50", "-50")),
    Case("zero width", ("job.toml", "line 8", "slat", "width", "above 0"), PLATE + STRIP.replace("50", "0")),
    Case("nan width", ("job.toml", "line 8", "slat", "nan", "finite"), PLATE + STRIP.replace("50", "nan")),
    Case("infinite width", ("job.toml", "line 8", "slat", "inf", "finite"), PLATE + STRIP.replace("50", "inf")),
    Case("text for width", ("job.toml", "line 8", "broad", "write 250"), PLATE + STRIP.replace("50", "'broad'")),
    Case("decimal comma", ("job.toml", "line 8", "comma", "50.5"), PLATE + STRIP.replace("50", "'50,5'")),
    Case("missing width", ("job.toml", "slat", "width", "missing"), PLATE + STRIP.replace("width = 50\n", "")),
    Case("half a part", ("job.toml", "line 9", "quantity"), PLATE + STRIP.replace("= 2", "= 2.5")),
    Case("no part at all", ("job.toml", "no part", "[[part]]"), PLATE),
    Case("no plate at all", ("job.toml", "no plate", "[[plate]]"), STRIP),
    Case("thousand million", ("job.toml", "quantity", "1000000"), PLATE + STRIP.replace("= 2", "= 1_000_000_000")),
    Case("same name twice", ("slat", "name"), PLATE + STRIP + STRIP),
    Case(
        "mixed prices",
        ("sheet", "cost", "price_per_kg", "alike"),
        PLATE + "name = 'sheet'\ncost = 9\n" + PLATE + "name = 'other'\nprice_per_kg = 2\n" + STRIP,
    ),
    Case(
        "strip length unclear",
        ("slat", "600", "800", "give the part a length"),
        PLATE + PLATE.replace("600", "800") + STRIP,
    ),
    Case("no process", ("60 mm", "steel-12", "[[process]]"), PLATE.replace("= 6\n", "= 60\n") + STRIP),
    Case("no such rig", ("big.toml", "no such file"), "rig = 'big.toml'\n" + PLATE + STRIP),
    Case(
        "faulty rig file",
        ("own.toml", "line 1", "strok", "stroke"),
        "rig = 'own.toml'\n" + PLATE + STRIP,
        files={"own.toml": "strok = 9"},
    ),
    Case(
        "faulty list",
        ("parts.csv", "row 2", "width"),
        "cut_list = 'parts.csv'\n" + PLATE,
        files={"parts.csv": "width,qty\n-5,2\n"},
    ),
    Case("not UTF-8", ("job.toml", "line 1", "utf-8"), "name = 'tür'\n".encode("cp1252") + PLATE.encode()),
    Case("UTF-16", ("job.toml", "utf-8"), (PLATE + STRIP).encode("utf-16")),
    Case("empty file", ("job.toml", "empty"), ""),
    Case("no TOML", ("job.toml", "toml", "line 1"), "50 x 6\n"),
    Case("file missing", ("jib.toml", "no such file", "job.toml"), PLATE + STRIP, ("plan", "jib.toml")),
    Case("folder for a file", ("folder", "name the file"), None, ("plan", ".")),
    Case("no arguments", ("nothing to plan", "--plate"), None, ("plan",)),
    Case("parts without plate", ("no --plate", "1250x1000x6"), None, ("plan", "50x6")),
    Case(
        "list without plate", ("no --plate",), None, ("plan", "--list", "parts.csv"), files={"parts.csv": "width\n50\n"}
    ),
    Case("job and plate", ("not both",), PLATE + STRIP, ("plan", "job.toml", "--plate", "600x400")),
    Case("material beside a job", ("--material",), PLATE + STRIP, ("plan", "job.toml", "--material", "stainless")),
    Case(
        "faults in several words",
        ("50y6", "0x3", "widthxquantity"),
        None,
        ("plan", "--plate", "600x400", "50y6", "0x3"),
    ),
    Case("faulty plate word", ("600", "no plate", "lengthxwidth"), None, ("plan", "--plate", "600", "50x6")),
    Case("a million million", ("50x1000000000", "quantity"), None, ("plan", "--plate", "600x400", "50x1000000000")),
    Case("list missing", ("parts.csv", "no such file"), None, ("plan", "--plate", "600x400", "--list", "parts.csv")),
    Case("trim below 0", ("-5", "below 0"), PLATE + STRIP, ("plan", "job.toml", "--trim=-5")),
    Case("seconds nan", ("seconds", "above 0"), PLATE + STRIP, ("plan", "job.toml", "--seconds", "nan")),
    Case("seconds zero", ("seconds", "above 0"), PLATE + STRIP, ("plan", "job.toml", "--seconds", "0")),
    Case("unknown paper", ("a3", "a4"), PLATE + STRIP, ("plan", "job.toml", "--page", "a3")),
    Case(
        "a folder's name too long",
        ("cannot be written", "too long"),
        PLATE + STRIP,
        ("plan", "job.toml", "--out", "a" * 256),
    ),
    Case("a word too long", ("no part",), None, ("plan", "--plate", "600x400", "5" * 300)),
    Case("unknown option", ("--ot", "--out"), PLATE + STRIP, ("plan", "job.toml", "--ot", "x")),
    Case("unknown command", ("pla",), None, ("pla",)),
    Case(
        "file in the way", ("job.toml", "in the way", "--out"), PLATE + STRIP, ("plan", "job.toml", "--out", "job.toml")
    ),
    Case(
        "below a file",
        ("job.toml", "cannot be written", "--out"),
        PLATE + STRIP,
        ("plan", "job.toml", "--out", "job.toml/x"),
    ),
    Case(
        "someone's drawing",
        ("letters/job.dxf", "did not write", "--out"),
        PLATE + STRIP,
        ("plan", "job.toml", "--out", "letters"),
        files={"letters/job.dxf": "x"},
    ),
]

CANNOT_BE_MADE = [
    Case(
        "wider than any plate",
        ("slat", "500 mm", "600 x 400", "larger plate"),
        PLATE + STRIP.replace("50", "500"),
        status=3,
    ),
    Case("longer than any plate", ("slat", "700", "600 x 400"), PLATE + STRIP + "length = 700\n", status=3),
    Case("longer than the stroke", ("slat", "382", "stroke"), RIG + PLATE.replace("= 400", "= 500") + STRIP, status=3),
    Case(
        "stock used up",
        ("slat", "of 40", "stock", "add plates"),
        PLATE + "quantity = 1\n" + STRIP.replace("= 2", "= 40"),
        status=3,
    ),
    Case(
        "rolled the wrong way",
        ("slat", "rolling", "turn"),
        PLATE + "rolling = 'length'\n" + STRIP + "length = 200\nrolling = 'width'\nrotate = false\n",
        status=3,
    ),
    Case(
        "other material",
        ("lath", "no plate of stainless", "add a plate"),
        PLATE
        + STRIP
        + "material = 'mild steel'\n[[part]]\nname = 'lath'\nwidth = 9\nlength = 90\nmaterial = 'stainless'\n",
        status=3,
    ),
]


@pytest.mark.parametrize("case", NOT_UNDERSTOOD + CANNOT_BE_MADE, ids=lambda case: case.name)
def test_bad_input(case: Case, tmp_path: Path) -> None:
    """A slip gives its status, says what, where and what would mend it in single lines, and leaves nothing behind."""
    for name, text in case.files.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    if case.job is not None:
        data = case.job if isinstance(case.job, bytes) else case.job.encode()
        (tmp_path / "job.toml").write_bytes(data)
    before = files_in(tmp_path)
    done = called(*case.words, folder=tmp_path)
    said = done.stderr.lower()
    assert done.returncode == case.status, done.stderr
    assert [word for word in case.says if word not in said] == [], done.stderr
    assert "traceback" not in said
    assert all(0 < len(line) < 400 for line in done.stderr.strip().splitlines() if line), done.stderr
    assert files_in(tmp_path) == before
