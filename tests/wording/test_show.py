"""Messages in words, in the units of the person who reads them."""

from __future__ import annotations

import string

import pytest

from stripplan.errors import Fault, FiguresError, InputError
from stripplan.wording.message import Facts, Message, Quantity, facts_record, length, speed
from stripplan.wording.sentences import all_sentences
from stripplan.wording.show import MM, Units, figure, filled, show

INCHES = Units("in")


@pytest.mark.parametrize(
    ("text", "mm", "inches"),
    [
        ("{a:g}", "12.7 mm", '1/2"'),
        ("{a:g-} x {b:g}", "12.7 x 2034.54 mm", '1/2" x 80 3/32"'),
        ("{v:.0f-} to {v:.0f}", "508 to 508 mm/min", "20 to 20 in/min"),
        ("from {c:g^} on", "from 97 mm on", 'from 3 27/32" on'),
        ("{both:g-| and } long", "12.7 and 97 long", '1/2" and 3 13/16" long'),
        ("{names:|, }", "5 mm, 6 mm", "5 mm, 6 mm"),
    ],
)
def test_a_text_is_filled_in_the_persons_units(text: str, mm: str, inches: str) -> None:
    """Each figure gets its unit; names that look like figures stay as they are."""
    facts = {
        "a": length(12.7), "b": length(2034.54), "c": length(97), "v": speed(508), "both": (length(12.7), length(97)),
        "names": ("5 mm", "6 mm"),
    }  # fmt: skip
    assert filled(text, facts) == mm
    assert filled(text, facts, INCHES) == inches


def test_figures_of_a_gauge_are_decimals() -> None:
    """A calliper shows no fractions, a sign stays, and a doubt of less than an inch a minute keeps two figures; 1 in =
    25.4 mm.
    """
    gauge = Units("in", exact=True, decimal=True)
    assert show(length(12.7), gauge) == '0.5"'
    assert show(length(12.7), gauge, "+.2f") == '+0.5"'
    assert show(length(-0.254), gauge, "+.3f") == '-0.01"'
    assert show(speed(1.9), gauge, ".0f") == "0.075 in/min"
    assert show(length(float("nan")), gauge) == "nan mm"
    assert filled("{speed_unit}, {length_unit}", {}, gauge) == "in/min, in"


def test_a_message_within_another_brings_its_hint() -> None:
    """In brackets or after a colon, as the sentence asks; several mistakes are told as one."""
    slow, row = (
        Message("too_slow", says="cut_too_slow"),
        Message("of_row", facts=Facts(row=2, what=Message("sign_none"))),
    )
    hint = "Go faster, or use less current with the nozzle meant for it."
    assert filled("{a}, {a:?}, {a:!}", {"a": slow}) == f"too slow, too slow ({hint}), too slow: {hint}"
    assert str(FiguresError(row, row)) == "row 2: no telling sign was noted; row 2: no telling sign was noted"


def test_no_figure_has_an_exponent() -> None:
    """A million millimetres were told as 1e+06 mm, and in inches as 1e+0.236\"."""
    assert show(length(1e6)) == "1000000 mm"
    assert show(length(1e6), INCHES) == '39370 3/32"'
    assert figure(1e-5) == "0.00001"


def test_facts_are_a_value() -> None:
    """Equal facts are one key of a dictionary, and go out as plain values."""
    one, other = Facts(width=length(3), part="rail"), Facts(width=length(3), part="rail")
    assert one == other
    assert len({one, other}) == 1
    assert facts_record(one) == {"width": {"value": 3, "dimension": "length"}, "part": "rail"}
    assert facts_record(Facts(why=(Message("a", "b"),))) == {"why": [{"code": "a", "about": "b", "facts": {}}]}


def test_fields_of_sentences_are_well_written() -> None:
    """Every sentence that is a plain text can be taken apart into its fields."""
    for key, sentence in all_sentences().items():
        for text in (sentence.text, sentence.hint):
            if isinstance(text, str):
                fields = [name for _, name, _, _ in string.Formatter().parse(text) if name is not None]
                assert all(name.isidentifier() for name in fields), key


def test_an_error_says_its_faults_in_the_persons_units() -> None:
    """Words that came from elsewhere stay; units are chosen once, for the whole error."""
    error = InputError(Fault("same_layer", "part a", Facts(layer="5 mm")))
    assert str(error) == "part a: 5 mm is named twice (name it once)"
    assert error.units == MM
    assert error.in_units(INCHES).units == INCHES
    assert Quantity(3).dimension == "number"
