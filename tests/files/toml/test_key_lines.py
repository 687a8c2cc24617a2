"""In which line of a TOML text a key stands: always right, or not said."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.files.toml.key_lines import LARGEST, line_index
from tests.files.parts.specimens import FULL

TRICKY = '''# [[part]]
name = "x" # y = [
"we.ird" = 1
a.b.c = 1979-05-27 07:32:00
[options]
keep = [300, # ] "
  # 50,
  100,
]
weights = { fence = 1, "end_stop" = { q = "}" } }
note = """
[[part]]
width = 9 \\""" ""
"""
last = \'\'\'x = 1\'\'\'\'\'
[[part]]
width = 5
[part.sub]
z = 'a = "b'
[[part.more]]
q=1
[[part.more]]
q = [[], [{ w = 2 }]]
[[ "part" ]]
width = '5"'
'''


def test_keys_of_a_tricky_text() -> None:
    """Comments, texts of several lines, quoted and dotted keys, inline tables and nested arrays mislead nobody."""
    lines = line_index(TRICKY, tomllib.loads(TRICKY))
    wanted = {
        ("name",): 2, ("we.ird",): 3, ("a", "b", "c"): 4, ("options", "keep"): 6, ("options", "keep", 1): 8,
        ("options", "weights", "end_stop", "q"): 10, ("options", "note"): 11, ("options", "last"): 15,
        ("part", 0): 16, ("part", 0, "width"): 17, ("part", 0, "sub", "z"): 19, ("part", 0, "more", 0, "q"): 21,
        ("part", 0, "more", 1): 22, ("part", 0, "more", 1, "q", 1, 0, "w"): 23, ("part", 1): 24,
        ("part", 1, "width"): 25,
    }  # fmt: skip
    assert {place: lines.get(place) for place in wanted} == wanted


def test_line_holds_its_key() -> None:
    """Each key of a full job stands in the line that is named for it."""
    text = FULL.splitlines()
    for place, line in line_index(FULL, tomllib.loads(FULL)).items():
        if isinstance(place[-1], str):
            assert place[-1] in text[line - 1]


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_line_ends(end: str) -> None:
    """Both kinds of line ends are counted once."""
    assert line_index(f"a = 1{end}{end}b = 2{end}", {"a": 1, "b": 2}) == {("a",): 1, ("b",): 3}


def test_no_line_where_text_and_data_differ() -> None:
    """What does not fit the data that was read, or is too long to scan, gets no line."""
    assert line_index("a = 1\n", {"a": 1, "b": 2}) == {}
    assert line_index("a = 1\n", {"b": 1}) == {}
    assert line_index("a = [1\n", {"a": 1}) == {}
    assert line_index("a = 1\n" + "#" * LARGEST, {"a": 1}) == {}


KEYS = st.sampled_from(["a", "b-c", "width", '"x.y"', "'z = 1'", '"]"'])
VALUES = st.recursive(
    st.sampled_from(["1", "-1.5e3", "true", '"a # [b"', "'''m\n[[a]]\n'''", '"""q\\"\n= 2"""', "2026-05-30",
     "07:32:00.5"]),
    lambda inner: st.lists(inner, max_size=3).map(lambda each: "[" + ",\n # c, ]\n".join(each) + "]"),
    max_leaves=4,
)  # fmt: skip


@given(
    st.lists(
        st.tuples(st.sampled_from(["", "[t]", "[[u]]", "[[u.v]]"]), st.dictionaries(KEYS, VALUES, max_size=3)),
        max_size=6,
    )
)
def test_any_layout_of_tables(tables: list[tuple[str, dict[str, str]]]) -> None:
    """Wherever a good text puts its keys, each is found in the line where it was put, and no other is."""
    text, put = "", list[tuple[str, int]]()
    for header, pairs in tables:
        text += f"{header}\n" if header else "\n"
        for key, value in pairs.items():
            put.append((key, text.count("\n") + 1))
            text += f"{key} = {value} # {key} = 0\n"
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    lines = line_index(text, data)
    found = sorted((str(place[-1]), line) for place, line in lines.items() if _is_key(data, place))
    assert found == sorted((key.strip("\"'"), line) for key, line in put)


def _is_key(data: dict[str, Any], place: tuple[str | int, ...]) -> bool:
    """Whether a place is a key with a plain value or a list of such, not a table or entry."""
    value: Any = data
    for part in place:
        value = value[part]
    tables = isinstance(value, dict) or (isinstance(value, list) and any(isinstance(each, dict) for each in value))
    return isinstance(place[-1], str) and not tables
