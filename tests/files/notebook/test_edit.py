"""Rows of a notebook are changed in a person's own text, and nothing else of it is."""

from __future__ import annotations

import difflib
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.errors import InputError
from stripplan.files.notebook.edit import added, changed, ignored
from stripplan.files.notebook.typed import typed_row

BOOK = """# The rig in the shed   # and more
schema = 'stripplan/notebook/1' # which edition

units = "mm"\t# bare figures
caliper = 0.02

# --- kerf and dial, as they came ---
[[ timed_run ]]   # cold motor
mark     =  2     # as read
distance = 500.00 # tape
# the watch was new
seconds  = 231

# next the kerf
[[kerf_test]]
process = 'steel-6'
before  = 150.0
after   = [ 80.10, # on the fence
            68.35, # the far piece
]
note = \'\'\'
[[timed_run]]
mark = 9
\'\'\'

# a second run, warm
[["timed_run"]]
mark = 4 # half way
distance = 500
seconds = 118.0   # 1:58
ignore = false    # it stays for now

[drive] # from the plate on the motor
rpm = 18.5
teeth = 20
pitch = 2 # mm

# nothing below
"""


def lines_changed(before: bytes, after: bytes) -> tuple[list[str], list[str]]:
    """Lines that went, and lines that came."""
    found = list(difflib.ndiff(before.decode().splitlines(), after.decode().splitlines()))
    return [each[2:] for each in found if each[0] == "-"], [each[2:] for each in found if each[0] == "+"]


@pytest.fixture(params=["\n", "\r\n"], ids=["line feeds", "carriage returns"])
def book(request: pytest.FixtureRequest) -> bytes:
    """The notebook in both kinds of line ends."""
    return BOOK.replace("\n", request.param).encode()


def test_a_figure_changes_in_its_line_and_its_comment_stays(book: bytes) -> None:
    """One line is another, spaces before the comment as they were; the header with its odd spaces is untouched."""
    new = changed(book, "timed_run", 0, {"mark": "2.5"}, name="book.toml")
    assert lines_changed(book, new) == (["mark     =  2     # as read"], ["mark     =  2.5     # as read"])
    assert new.count(b"\r") == book.count(b"\r")


def test_a_new_value_stands_below_the_row_and_above_what_is_said_of_the_next(book: bytes) -> None:
    """A comment before the next header speaks of the next row."""
    new = changed(book, "timed_run", 0, {"on": '"2026-03-07"'}, name="book.toml")
    assert lines_changed(book, new) == ([], ['on = "2026-03-07"'])
    text = new.decode().replace("\r\n", "\n")
    assert 'seconds  = 231\non = "2026-03-07"\n\n# next the kerf\n' in text


def test_a_list_over_several_lines_and_a_value_that_goes(book: bytes) -> None:
    """The note goes with all of its lines; the row within it was none."""
    new = changed(book, "kerf_test", 0, {"note": ""}, name="book.toml")
    assert lines_changed(book, new) == (["note = '''", "[[timed_run]]", "mark = 9", "'''"], [])
    new = changed(book, "kerf_test", 0, {"after": "[80.2, 68.4]"}, name="book.toml")
    assert tomllib.loads(new.decode())["kerf_test"][0]["after"] == [80.2, 68.4]


@pytest.mark.parametrize(
    ("kind", "number", "went", "came"),
    [("timed_run", 0, [], ["ignore = true"]), ("kerf_test", 0, [], ["ignore = true"]),
     ("timed_run", 1, ["ignore = false    # it stays for now"], ["ignore = true    # it stays for now"])],
)  # fmt: skip
def test_a_row_left_out_and_taken_in_is_the_text_that_it_was(
    book: bytes, kind: str, number: int, went: list[str], came: list[str]
) -> None:
    """One line or one word, and back again to the byte."""
    new = ignored(book, kind, number, name="book.toml")
    assert lines_changed(book, new) == (went, came)
    assert ignored(new, kind, number, name="book.toml") == book


@pytest.mark.parametrize("number", [2, -1])
def test_a_row_that_is_not_there_is_refused(number: int) -> None:
    """Rows count from 0 among those of the kind in the file itself; the drive is no row."""
    for kind in ("timed_run", "drive", "schema"):
        with pytest.raises(InputError, match="no such row"):
            ignored(BOOK.encode(), kind, number, name="book.toml")


def test_rows_within_brackets_are_left_to_an_editor() -> None:
    """They have no header to be found by, and none can follow them."""
    inline = b"timed_run = [{mark = 3, distance = 500, seconds = 130}] # one\n"
    row = typed_row("timed_run mark=4 distance=500 seconds=100", numbered=False)
    for change in (
        lambda: changed(inline, "timed_run", 0, {"mark": "4"}, name="book.toml"),
        lambda: ignored(inline, "timed_run", 0, name="book.toml"),
        lambda: added(inline, "timed_run", row.text, name="book.toml"),
    ):
        with pytest.raises(InputError, match="in an editor"):
            change()


PIECES = st.sampled_from(
    ["# a comment\n", "\n", "  \n", "[[timed_run]]\nmark = 1 # m\n", "[[ bow_check ]] # b\nbow = 1.50\n",
     "[[timed_run]]\n# first\nmark = 2\nignore = true\n", "[[timed_run]]\nignore = true\n\nmark = 3", "[lists]\n",
     '[["timed_run"]]\nnote = """\n[[x]]\n"""\n\n\n', "[[timed_run]]\n'ignore' = false"]
)  # fmt: skip


@given(pieces=st.lists(PIECES, max_size=8), number=st.integers(0, 5), end=st.sampled_from(["\n", "\r\n"]))
def test_whatever_stands_in_a_notebook_a_change_is_that_change_or_none(
    pieces: list[str], number: int, end: str
) -> None:
    """No line but those of the row changes, and twice the same is nothing at all."""
    raw = "\n".join(pieces).replace("\n", end).encode()
    try:
        new = ignored(raw, "timed_run", number, name="book.toml")
    except InputError:
        return
    went, came = lines_changed(raw, new)
    assert len(went) <= 1 >= len(came)
    assert "ignore" in "".join(went + came)
    assert tomllib.loads(ignored(new, "timed_run", number, name="book.toml").decode()) == tomllib.loads(raw.decode())
