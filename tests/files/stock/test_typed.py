"""Pieces of the rack as they are typed field by field."""

from __future__ import annotations

from typing import Any

import pytest

from stripplan.errors import InputError
from stripplan.files.stock.read import read_stock
from stripplan.files.stock.typed import material_note, texts_of, typed_change, typed_piece
from stripplan.model.rack.piece import CUT, MILL, RackPiece

PIECE = {"size": "2000 x 1000 x 6", "material": "S235"}


def test_every_field_that_is_wrong_is_told_at_once_with_its_place() -> None:
    """What is wrong, what would be right, and which field."""
    wrong = {
        "size": "2000x1000",
        "material": " ",
        "kind": "lump",
        "cost": "1,200",  # a thousand and two hundred, or one and a fifth
        "edges": "mill, cut",
        "rolling": "up",
        "measured": "perhaps",
        "out_of_square": "x",
        "added": "31.2.2026",
    }
    with pytest.raises(InputError) as refused:
        typed_piece(wrong, "mm", lambda key: f"field {key}")
    assert {each.place for each in refused.value.faults} == {(key,) for key in wrong}
    for each in refused.value.faults:
        assert each.sentence().startswith(f"field {each.place[0]}: ")
        assert each.worded().hint
    assert "2000x1000x6" in str(refused.value)


def test_a_slip_of_the_hand_is_no_plate(tmp_path: Any) -> None:
    """Typed, changed or read from a list: 90 m are no plate, nor is what is thicker than it is wide."""
    for size in ("90000x300x8", "8x900x300"):
        with pytest.raises(InputError, match="no plate measures"):
            typed_piece(PIECE | {"size": size}, "mm")
        with pytest.raises(InputError, match="no plate measures"):
            typed_change({"size": size}, "mm")
        listed = tmp_path / "stock.csv"
        listed.write_text(f"length,width,thickness,material\n{size.replace('x', ',')},S235\n")
        with pytest.raises(InputError, match="row 2: no plate measures"):
            read_stock(listed)
    with pytest.raises(InputError, match="no plate measures"):
        typed_change({"size": "90000x300"}, "mm")


def test_what_is_left_out_is_as_in_a_list() -> None:
    """Mill edges of a plate, cut ones of an offcut; with corners the size is the thickness alone, and it is an
    offcut."""
    assert typed_piece(PIECE, "mm") == RackPiece(length=2000, width=1000, thickness=6, material="S235", edges=MILL)
    assert typed_piece(PIECE | {"kind": "offcut"}, "mm").edges == CUT
    slanted = typed_piece({"size": "6", "outline": "0,0 400,0 0,300", "material": "S235"}, "mm")
    assert (slanted.length, slanted.width, slanted.thickness) == (200, 150, 6)  # half the area: Euclid, Elements VI.27
    assert (slanted.kind, slanted.edges) == ("offcut", CUT)


@pytest.mark.parametrize("units", ["mm", "in"])
def test_what_a_form_shows_reads_as_what_the_book_holds(units: Any) -> None:
    """Sent back as it stands, it changes nothing."""
    piece = RackPiece(
        length=609.6, width=203.25, thickness=6.35, material="S235", batch="H7", cost=12.5, place="bay 1",
        edges=("mill", "cut", "cut", "mill"), rolling="length", measured=True, out_of_square=1.5,
        note="rusty", code="7",
    )  # fmt: skip
    said = typed_change(texts_of(piece, units), units)
    assert said == {key: pytest.approx(getattr(piece, key)) if key in ("length", "width") else getattr(piece, key)
                    for key in said}  # fmt: skip
    assert typed_change({"note": "", "cost": ""}, units) == {"note": "", "cost": None}
    assert typed_change({}, units) == {}


def test_a_material_that_is_like_a_known_one_is_asked_about() -> None:
    """And one that is like none is the person's own."""
    near = material_note("mild stel")
    assert near is not None
    assert near.facts["near"] == "mild steel"
    assert material_note("brass") is None
    assert material_note("S235") is None
