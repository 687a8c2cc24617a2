"""JSON Schemas for editors: valid, described, and of one mind with the readers."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from stripplan.errors import InputError
from stripplan.files.job.read import load_job
from stripplan.files.job.schema import job_schema
from stripplan.files.rig.read import builtin_rig_text, load_rig
from stripplan.files.rig.schema import rig_schema
from stripplan.wording.quantity import parse_length
from tests.checking import in_turn
from tests.files.parts.specimens import FULL, GOOD, write
from tests.wording.test_quantity import ACCEPTED, REFUSED

JOB_KEYS, RIG_KEYS = job_schema(), rig_schema()
BOTH = [("job", JOB_KEYS), ("rig", RIG_KEYS)]
BASE = "[[plate]]\nlength = 2000\nwidth = 1000\n[[part]]\nwidth = 50\n"
PROCESS = '[[process]]\nname = "a"\nmaterial = "steel"\nthickness = 6\nkerf = 1.5\ntravel_speed = "24 ipm"\n'


def as_json(value: Any) -> Any:
    """TOML values as an editor hands them to a schema: dates are texts."""
    if isinstance(value, dict):
        return {key: as_json(each) for key, each in value.items()}
    if isinstance(value, list):
        return [as_json(each) for each in value]
    return value.isoformat() if isinstance(value, date) else value


def fits(text: str, schema: dict[str, Any]) -> bool:
    """Whether a schema takes a TOML text."""
    return Draft202012Validator(schema).is_valid(as_json(tomllib.loads(text)))


def is_read(text: str, folder: Path, *, rig: bool) -> bool:
    """Whether the reader takes it."""
    path = write(folder, text, "file.toml")
    try:
        load_rig(path) if rig else load_job(path)
    except InputError:
        return False
    return True


def properties(schema: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """Every key of every table."""
    for table in (schema, *schema["$defs"].values()):
        yield from table.get("properties", {}).items()


@pytest.mark.parametrize(("name", "schema"), BOTH)
def test_schema_is_one(name: str, schema: dict[str, Any]) -> None:
    """It is a valid schema of draft 2020-12 that carries its own name."""
    Draft202012Validator.check_schema(schema)
    assert (schema["$schema"], schema["$id"]) == ("https://json-schema.org/draft/2020-12/schema", f"stripplan/{name}/1")
    assert schema["properties"]["schema"]["const"] == f"stripplan/{name}/1"


@pytest.mark.parametrize(("_name", "schema"), BOTH)
def test_every_key_is_described(_name: str, schema: dict[str, Any]) -> None:
    """An editor can say of each key what it is; TOML has no null, so no key asks for one."""
    assert [key for key, about in properties(schema) if not about.get("description")] == []
    assert '"null"' not in json.dumps(schema)
    assert [key for key, about in properties(schema) if about.get("default", 0) is None] == []


def test_what_is_built_in_is_said() -> None:
    """The description of a rig's key tells what stands for it when it is left out."""
    keys = RIG_KEYS["properties"]
    assert keys["stroke"]["description"].endswith("; left out: 1300 mm")
    assert keys["travel_max"]["description"].endswith("; left out: 760 mm/min")
    assert keys["two_pass"]["description"].endswith("; left out: true")
    assert RIG_KEYS["$defs"]["SecondsTable"]["properties"]["push"]["description"].endswith("; left out: 12")


def test_schemas_take_the_good_files() -> None:
    """The specimens and the built-in profile fit their schemas."""
    assert all(fits(text, JOB_KEYS) for text in (GOOD, FULL, BASE))
    assert fits(builtin_rig_text(), RIG_KEYS)


@in_turn(
    ("old", "new", "good"),
    [
        ("width = 50", "width = 50", True), ("width = 50", 'width = "2 1/2 in"', True),
        ("width = 50", "width = 5e1", True),
        ("width = 50", "width = 0", False), ("width = 50", "width = -5", False), ("width = 50", "width = true", False),
        ("width = 50", 'width = "50,5"', False), ("width = 50", 'width = "-5 mm"', False),
        ("width = 50", 'width = ""', False),
        ("width = 50", "width = [5]", False), ("width = 50", "", False), ("width = 50", "widht = 50", False),
        ("width = 50", "width = 50\nquantity = 4", True), ("width = 50", "width = 50\nquantity = 4.0", True),
        ("width = 50", "width = 50\nquantity = 0", False), ("width = 50", "width = 50\nquantity = 1.5", False),
        ("width = 50", 'width = 50\nquantity = "4"', False), ("width = 50", "width = 50\nquantity = 1_000_001", False),
        ("width = 50", "width = 50\noutline = [[0, 0]]", False), ("width = 50", "width = 50\nallowance = 0", True),
        ("width = 50", "width = 50\nallowance = -1", False), ("width = 50", 'width = 50\nrolling = "free"', True),
        ("width = 50", 'width = 50\nrolling = "none"', False), ("width = 50", 'width = 50\nrotate = "no"', False),
        ("width = 50", 'width = 50\nname = "Ø½ tür"', True), ("width = 50", 'width = 50\nname = " "', False),
        ("width = 50", 'width = 50\nname = "a\\tb"', False), ("width = 50", "width = 50\nname = 5", False),
        ("length = 2000", "length = 2000\nedges = ['mill', 'cut', 'mill', 'mill']", True),
        ("length = 2000", "length = 2000\nedges = ['mill']", False), ("length = 2000", "length = 2000\ncost = 0", True),
        ("length = 2000", "length = 2000\ncost = -1", False), ("length = 2000", "length = 2000\ncost = 1e10", False),
        ("length = 2000", "length = 2000\nmeasured = 1", False),
        ("length = 2000", "length = 2000\nrolling = 'none'", True),
        ("[[plate]]", "units = 'in'\n[[plate]]", True), ("[[plate]]", "units = 'inch'\n[[plate]]", False),
        ("[[plate]]", "inch_fraction = 64\n[[plate]]", True), ("[[plate]]", "inch_fraction = 10\n[[plate]]", False),
        ("[[plate]]", "wrong = 1\n[[plate]]", False), ("[[plate]]", "rig = 3\n[[plate]]", False),
        ("[[plate]]", "rig = { stroke = 900 }\n[[plate]]", True),
        ("[[plate]]", "rig = { strok = 900 }\n[[plate]]", False),
        ("[[plate]]", "options = { keep = [300, 100] }\n[[plate]]", True),
        ("[[plate]]", "options = { keep = [1] }\n[[plate]]", False),
        ("[[plate]]", "options.weights.fence = 2\n[[plate]]", True),
        ("[[plate]]", "options.weights.fnce = 2\n[[plate]]", False),
        ("[[plate]]", "options.weights.fence = -2\n[[plate]]", False),
        ("[[plate]]", "options.steps = 0\n[[plate]]", True),
        ("[[plate]]", "options.kg_per_hour = 25\n[[plate]]", True),
        ("[[plate]]", "options.kg_per_hour = 0\n[[plate]]", False),
        ("[[plate]]", "options.material_factors.aluminium = 5\n[[plate]]", True),
        ("[[plate]]", "options.material_factors.aluminium = 0\n[[plate]]", False),
        ("[[plate]]", "options.material_factors.brass = 5\n[[plate]]", False),
        ("[[plate]]", "options.offcut_share = '40 %'\n[[plate]]", True),
        ("[[plate]]", "options.offcut_share = 1\n[[plate]]", False),
        ("[[plate]]", "options.price_per_minute = -1\n[[plate]]", False),
        ("[[plate]]", "options.aim = 'plate'\n[[plate]]", True),
        ("[[plate]]", "options.aim = 'plates'\n[[plate]]", False),
        ("[[plate]]", "options.steps = -1\n[[plate]]", False), ("[[plate]]", "options.seconds = 0\n[[plate]]", False),
        ("[[plate]]", "options.depth = 0\n[[plate]]", False),
        ("[[plate]]", "schema = 'stripplan/rig/1'\n[[plate]]", False),
    ],
)  # fmt: skip
def test_schema_and_reader_of_jobs_agree(tmp_path: Path, old: str, new: str, good: bool) -> None:
    """What the editor marks as wrong is what the reader refuses, and nothing else."""
    text = BASE.replace(old, new, 1)
    assert (fits(text, JOB_KEYS), is_read(text, tmp_path, rig=False)) == (good, good)


@in_turn(
    ("text", "good"),
    [
        ("stroke = 900", True), ("stroke = 0", False), ("stroke = '4 ft'", True), ("strok = 900", False),
        ("fence_zero = -1.5", True),
        ("fence_zero = '-1/16 in'", True), ("fence_zero = 'x'", False), ("fence_scale = 0.99", True),
        ("fence_scale = 0", False),
        ("travel_max = '30 ipm'", True), ("travel_max = '30 in'", False), ("travel_max = 0", False),
        ("mitre_max = 180", True),
        ("mitre_max = 181", False), ("two_pass = 'yes'", False), ("square_side = 'far'", True),
        ("square_side = 'left'", False),
        ("dial = [[1, 100], [2, '8 ipm']]", True), ("dial = [[1]]", False), ("dial = [['x', 5]]", False),
        ("dial = []", True),
        ("seconds.push = 0", True), ("seconds.push = -1", False), ("seconds.pushing = 1", False),
        ("piece_mass_max = 0", False),
        (PROCESS, True), (PROCESS + "duty = [[40, 100]]", True), (PROCESS + "duty = [[40, 101]]", False),
        ("process = []", False),
        (PROCESS + "kerf_measured_on = 2026-05-30", True), (PROCESS.replace("kerf", "kref"), False),
        ("units = 'in'\nstroke = 40", True),
        ("seconds.dress_per_m = 45", True), ("hoist = 1", False), ("narrowest_part = 0", True),
        ("slot_width = '1 1/2 in'", True),
        (PROCESS + "air_pressure = '75 psi'", True), (PROCESS + "air_pressure = '75 pound'", False),
        (PROCESS + "air_pressure = 75", False),
    ],
)  # fmt: skip
def test_schema_and_reader_of_rigs_agree(tmp_path: Path, text: str, good: bool) -> None:
    """The same for rig files."""
    assert (fits(text, RIG_KEYS), is_read(text, tmp_path, rig=True)) == (good, good)


def test_schema_takes_no_text_that_is_no_length() -> None:
    """Every accepted spelling fits; every other is refused, save what a pattern cannot see:
    size and sense of fractions.
    """
    schema = Draft202012Validator(JOB_KEYS)
    unseen = {"2000 m", "0.0001", "1/2", "1 1/2", "1 3/2 in", "1 2/2 in", "4' 13\"", "4' 12\"", "1'000"}
    texts = [*(text for text, mm in ACCEPTED if mm), *(text for text, _ in REFUSED)]
    wrong = [
        text for text in texts if schema.is_valid({"part": [{"width": text}]}) != (_is_length(text) or text in unseen)
    ]
    assert wrong == []


def _is_length(text: str) -> bool:
    try:
        return parse_length(text) > 0
    except ValueError:
        return False
