"""The forms of the notebook view: every kind of row, and what is typed as the notebook writes it."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from stripplan.errors import InputError
from stripplan.files.notebook.read import KINDS, model_of
from stripplan.files.notebook.typed import literal, sort_of
from stripplan.web.views.notebook_forms import BY_KIND, FORMS, told, typed_row

RUN = {"mark": "4", "distance": "500", "seconds": "93.6"}
HEIGHTS = {"positions": ["0", "", "400"], "heights": ["3.00", "", "3.05"]}


def test_there_is_a_form_for_each_kind_of_row_with_its_keys() -> None:
    """All that the notebook takes can be typed, and what it needs is marked as needed."""
    assert sorted(each.kind for each in FORMS) == sorted(KINDS)
    for form in FORMS:
        model = model_of(form.kind)
        keys = {each.key: each for each in form.all_fields()}
        assert set(keys) == set(model.model_fields) - {"ignore"}
        needed = {key for key, each in model.model_fields.items() if each.is_required()}
        assert {key for key, each in keys.items() if each.needed} == needed
        assert {key: each.sort for key, each in keys.items()} == {key: sort_of(key) for key in keys}


@pytest.mark.parametrize(
    ("typed", "seconds"),
    [("65", 65), ("65.4", 65.4), ("65,4", 65.4), ("1:05", 65), ("1:05.4", 65.4), ("1:05,4", 65.4), ("0:59", 59),
     ("12:00", 720)],
)  # fmt: skip
def test_times_are_read_as_a_watch_shows_them(typed: str, seconds: float) -> None:
    """Minutes and seconds, with a point or a comma."""
    assert tomllib.loads(f"t = {literal('seconds', typed)}")["t"] == pytest.approx(seconds)


@pytest.mark.parametrize("typed", ["1:5", "1:75", "1:", ":30", "1:02:03", "soon", "65 s", "1e3", "1,200", "1:05,4444"])
def test_times_that_could_be_another_are_refused(typed: str) -> None:
    """1:5 may be 1:05 or 1:50; 1,200 may be twelve hundred."""
    with pytest.raises(InputError) as refused:
        typed_row(BY_KIND["timed_run"], {**RUN, "seconds": typed})
    assert [each.place for each in refused.value.faults] == [("seconds",)]


@pytest.mark.parametrize(
    ("typed", "written"),
    [("3,2", 3.2), ("3.20", 3.2), ("0,125", 0.125), (",5", 0.5), ("-1,5", -1.5), ("−2", -2), ("3,2 in", "3.2 in"),
     ("12,75 mm", "12.75 mm"),
     ("1 1/2 in", "1 1/2 in"), ("007", 7), ("1234,5", 1234.5), ("1.234,5", "1.234,5"), ("1,2,3", "1,2,3")],
)  # fmt: skip
def test_a_decimal_comma_counts_where_it_has_one_meaning(typed: str, written: Any) -> None:
    """Anything else is handed as it is to the notebook's reader, which says what is wrong with it."""
    assert tomllib.loads(f"t = {literal('length', typed)}")["t"] == written


@pytest.mark.parametrize("typed", ["1,200", "-1,250", "12,500 mm", "1,200,000"])
def test_a_comma_with_two_meanings_is_refused_at_its_field(typed: str) -> None:
    """Twelve hundred, or one and a fifth: both are offered."""
    with pytest.raises(InputError, match="can be read in two ways") as refused:
        typed_row(BY_KIND["timed_run"], {**RUN, "distance": typed})
    assert refused.value.faults[0].place == ("distance",)


def test_places_left_empty_are_passed_over_and_half_ones_are_not() -> None:
    """A row of two figures is whole or empty; the places of the figures in the form are kept for what is said
    of them.
    """
    row = typed_row(BY_KIND["height_check"], HEIGHTS)
    assert tomllib.loads(row.text)["height_check"] == [{"positions": [0, 400], "heights": [3.0, 3.05]}]
    assert row.typed_in["heights"] == (0, 2)
    both = tomllib.loads(typed_row(BY_KIND["height_check"], {**HEIGHTS, "other": ["3.01", "", "3.02"]}).text)
    assert both["height_check"][0]["other"] == [3.01, 3.02]
    with pytest.raises(InputError) as refused:
        typed_row(BY_KIND["height_check"], {**HEIGHTS, "other": ["3.01", "", ""]})
    assert [each.place for each in refused.value.faults] == [("other", 2)]
    with pytest.raises(InputError) as refused:
        typed_row(BY_KIND["height_check"], {**HEIGHTS, "heights": ["3.00", "1", ""]})
    assert {each.place for each in refused.value.faults} == {("positions", 1), ("heights", 2)}


@pytest.mark.parametrize(
    ("given", "place"),
    [({**RUN, "mark": ""}, ("mark",)), ({**RUN, "mark": 4}, ("mark",)), ({**RUN, "speed": "5"}, ("speed",)),
     ({**RUN, "note": "a\u0007b"}, ("note",)), ({**RUN, "note": "x" * 201}, ("note",)),
      ({**RUN, "mark": ["4"]}, ("mark",))],
)  # fmt: skip
def test_what_no_form_sends_is_refused(given: dict[str, Any], place: tuple[str, ...]) -> None:
    """Whatever is sent ends as one good row or as faults with their fields."""
    with pytest.raises(InputError) as refused:
        typed_row(BY_KIND["timed_run"], given)
    assert refused.value.faults[0].place == place


@pytest.mark.parametrize("note", ['5 "bar"', "a\\nb", "'''", "]\n[[timed_run]]", "# no comment", "ø ½ ü"])
def test_text_stays_text(note: str) -> None:
    """Nothing that is typed as a note becomes a key or a header."""
    (row,) = tomllib.loads(typed_row(BY_KIND["timed_run"], {**RUN, "note": note}).text)["timed_run"]
    assert row["note"] == " ".join(note.split())
    assert list(row) == ["mark", "distance", "seconds", "note"]


def test_rows_are_told_with_their_units() -> None:
    """Bare figures get the notebook's unit; what was written with one keeps it."""
    row = {"process": "steel-6", "before": 5.9, "after": [3.0, 2.85], "on": "2026-03-07", "ignore": True}
    said = told(BY_KIND["kerf_test"], row, "in")
    assert said == "process steel-6, width before 5.9 in, width after 3.0; 2.85 in, day 2026-03-07"
    assert told(BY_KIND["fence_check"], {"reading": "3 1/4 in"}, "mm") == "reading of the fence 3 1/4 in"
    assert told(BY_KIND["test_cut"], {"travel_speed": 300, "severed": True},
     "mm") == "speed 300 mm/min, cut through all the way yes"  # fmt: skip
