"""Plates and parts as words on the command line."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.errors import InputError
from stripplan.files.words import parse_filler, parse_part, parse_plate
from stripplan.model.part import Part, Rectangle, Shape, Strip
from stripplan.model.plate import Plate


@pytest.mark.parametrize(
    ("word", "part"),
    [
        ("50x6", Strip(name="part 3", width=50, quantity=6)),
        ("50X6", Strip(name="part 3", width=50, quantity=6)),
        ("50 × 6", Strip(name="part 3", width=50, quantity=6)),
        ("50x600", Strip(name="part 3", width=50, quantity=600)),
        ("50mmx6", Strip(name="part 3", width=50, quantity=6)),
        ("2inx6", Strip(name="part 3", width=50.8, quantity=6)),
        ('1-1/2"x4', Strip(name="part 3", width=38.1, quantity=4)),
        ("½″x4", Strip(name="part 3", width=12.7, quantity=4)),
        ("300x500x4", Rectangle(name="part 3", width=300, length=500, quantity=4)),
        ("shelf=300x500x4", Rectangle(name="shelf", width=300, length=500, quantity=4)),
        ("box 2=1/2 ftx4' 6\"x1", Rectangle(name="box 2", width=152.4, length=1371.6, quantity=1)),
        ("a=b=5x5", Strip(name="a=b", width=5, quantity=5)),
    ],
)
def test_parts(word: str, part: Part) -> None:
    """Two numbers are a strip and how many, three a rectangle and how many; units and names as people write them."""
    assert parse_part(word, number=3) == part


def test_shapes() -> None:
    """Behind its numbers a part says that it is no rectangle, in the words of a list's columns; what is wrong with
    that is told with the word."""
    cases = {
        "gusset=80x120x24:triangle": ((0, 0), (120, 0), (0, 80)),
        "50x600x2:ends=45/45": ((0, 0), (600, 0), (550, 50), (50, 50)),
        "50x600x2: Ends 45 90": ((0, 0), (600, 0), (600, 50), (50, 50)),
        '2inx4inx1:corners=1/2"; 0; 0; 0': ((12.7, 0), (101.6, 0), (101.6, 50.8), (0, 50.8), (0, 12.7)),
        "2inx4inx1:corners=0/0/1in/0": ((0, 0), (101.6, 0), (101.6, 25.4), (76.2, 50.8), (0, 50.8)),
    }
    for word, outline in cases.items():
        part = parse_part(word, number=3)
        assert isinstance(part, Shape), word
        assert [each for point in part.outline for each in point] == pytest.approx(
            [each for point in outline for each in point]
        ), word
    refused = {
        "80x24:triangle": "no length",
        "80x120x2:triangle 5": "nothing is to be said of a triangle",
        "80x120x2:ends=200": "200 degrees is no angle",
        "80x120x2:corners=90": "clip off less",
        "80x120x2:corners=9/9": "one length for all, or four",
        "80x120x2:hexagon": "':hexagon' behind it is no shape",
        "80x120x2:corner=20": "':corner=20' behind it is no shape",
        "80x220x2:ends=45/45:corners=20": "':ends=45/45:corners=20' behind it is no shape",
    }
    for word, says in refused.items():
        with pytest.raises(InputError, match=says):
            parse_part(word, number=1)


@pytest.mark.parametrize(
    ("word", "plate"),
    [
        ("2000x1000", Plate(name="plate 2", length=2000, width=1000)),
        ("2000×1000×6*3", Plate(name="plate 2", length=2000, width=1000, thickness=6, quantity=3)),
        ("8ftx4ftx1/4in", Plate(name="plate 2", length=2438.4, width=1219.2, thickness=6.35)),
        ("rack*2=860x420*1", Plate(name="rack*2", length=860, width=420, quantity=1)),
        ("sheet = 2000 x 1000 * 2", Plate(name="sheet", length=2000, width=1000, quantity=2)),
    ],
)
def test_plates(word: str, plate: Plate) -> None:
    """Length and width, thickness if given, and after a star how many; a name may hold a star."""
    assert parse_plate(word, number=2) == plate


@pytest.mark.parametrize("name", ["Rail 6x", "6x Rail", "Rail x6", "6 off Rail", "Rail, qty 6"])
def test_a_name_that_counts(name: str) -> None:
    """It says the same as the last number, or both readings are told; a number in a name is none."""
    assert parse_part(f"{name}=50x300x6", number=1) == Rectangle(name="Rail", width=50, length=300, quantity=6)
    with pytest.raises(InputError, match="its name says 6, and its last number, which is how many, 300"):
        parse_part(f"{name}=50x300", number=1)
    assert parse_part("Rail 6=50x300x2", number=1).name == "Rail 6"
    assert parse_part("M6x20=50x300x2", number=1).name == "M6x20"


def test_units_and_material() -> None:
    """Bare numbers are in the units of the command, and each plate has the material that is named for all."""
    assert parse_part("2x6", units="in", number=1) == Strip(name="part 1", width=50.8, quantity=6)
    assert parse_part("1/2x6", units="in", number=1).width == 12.7
    assert parse_plate("96x48x1/4", units="in", number=1, material="stainless") == Plate(
        name="plate 1", length=2438.4, width=1219.2, thickness=6.35, material="stainless"
    )


@pytest.mark.parametrize(
    ("word", "words"),
    [
        ("50", "this is no part (write WIDTHxQUANTITY as 50x6, or WIDTHxLENGTHxQUANTITY as 120x300x2)"),
        ("1x2x3x4", "this is no part"),
        ("", "this is no part"),
        ("50x", "the quantity '' is no whole number from 1 to 1000000"),
        ("50x0", "the quantity '0' is no whole number"),
        ("50x-3", "the quantity '-3' is no whole number"),
        ("50x1000001", "the quantity '1000001' is no whole number from 1 to 1000000 (write WIDTHxQUANTITY"),
        ("50x600.5", "the quantity '600.5' is no whole number from 1 to 1000000 (the last number is how many; for one"),
        ("50x600mm", "for one rectangle write 50x600mmx1"),
        ("50x٦", "the quantity '٦' is no whole number"),
        ("x6", "nothing is written (write WIDTHxQUANTITY"),
        ("50,5x6", "'50,5' has a comma (write 50.5)"),
        ("1/2x6", "'1/2' is no length (write 1/2 in)"),
        ("-5x3", "'-5' is below 0 (write 5)"),
        ("0x3", "0 is not above 0"),
        ("2inchsx3", "'2inchs' is no length (write 2 in)"),
        ("=5x5", "the name is empty"),
        ("a\x07=5x5", "holds a control character"),
        ("n" * 300 + "=5x5", "the name has 300 letters"),
    ],
    ids=lambda word: word[:20],
)
def test_words_that_are_no_parts(word: str, words: str) -> None:
    """Each is refused with the word itself and the form to write."""
    with pytest.raises(InputError) as caught:
        parse_part(word, number=1)
    assert words in str(caught.value)


@pytest.mark.parametrize(
    ("word", "words"),
    [
        ("600", "this is no plate (write LENGTHxWIDTH as 2000x1000"),
        ("2000x1000x6x2", "a plate has two or three sizes (for several plates alike write 2000x1000x6*2)"),
        ("1x2x3x4x5", "this is no plate"),
        ("2000x1000*", "'' is no number of plates from 1 to 1000000"),
        ("2000x1000*0", "'0' is no number of plates"),
        ("2000x1000*1.5", "'1.5' is no number of plates"),
        ("2000x0", "0 is not above 0"),
        ("2000xwide", "'wide' is no length"),
    ],
)
def test_words_that_are_no_plates(word: str, words: str) -> None:
    """Each is refused with the word itself and the form to write."""
    with pytest.raises(InputError) as caught:
        parse_plate(word, number=1)
    assert words in str(caught.value)


def test_material_that_cannot_be_printed() -> None:
    """A material is a name like any other."""
    with pytest.raises(InputError, match="material: the name is empty"):
        parse_plate("5x5", number=1, material=" ")


@given(word=st.text(alphabet=st.sampled_from("0123456789xX×=*./ -'\"½inmft\x07"), max_size=20) | st.text(max_size=40))
def test_any_word_is_read_or_refused(word: str) -> None:
    """No text makes the readers of words fail otherwise."""
    for reader in (parse_part, parse_plate):
        try:
            assert reader(word, number=1).width > 0
        except InputError as error:
            assert error.faults[0].worded().hint
            assert len(str(error)) < 400


def test_fillers_as_words() -> None:
    """Width and length, how many at most behind a star, a name in front."""
    one, other = parse_filler("pad=60x1 in*20", number=1), parse_filler("60x80", units="mm", number=2)
    assert (one.name, one.width, one.most, one.wanted, one.filler) == ("pad", 60.0, 20, 0, True)
    assert (other.name, other.width, other.most) == ("filler 2", 60.0, None)


@pytest.mark.parametrize(
    ("word", "words"),
    [
        ("60x80x20", "'60x80x20': a filler has two sizes (for at most 20 of them write 60x80*20)"),
        ("60", "'60': this is no filler (write WIDTHxLENGTH as 60x60, and *20 for at most 20 of them)"),
        ("60x60*0", "'0' is no number of fillers from 1 to 1000000"),
        ("60xy", "'y' is no length"),
    ],
)
def test_words_that_are_no_filler(word: str, words: str) -> None:
    """What is wrong with a filler, and the form to write."""
    with pytest.raises(InputError) as caught:
        parse_filler(word, number=1)
    assert words in str(caught.value)
