"""What test pieces say of the kerf, and what is wrong with their widths."""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence
from stripplan.wording.sentences.notebook.hints import IN_MM, TYPE_IN_MM

# Figures are whole thousandths of a millimetre where they are found: nine digits show all of them.


def _no_metal(facts: Facts) -> str:
    more = "{excess:.9g} more than the" if "excess" in facts else "no less than the"
    finer = ", with a finer instrument than one of {step:.9g} or more cuts in one piece" if "step" in facts else ""
    inches = "; {inches}" if "inches" in facts else ""
    return (
        f"the widths after add to {{total:.9g}}, {more} {{before:.9g}} before; a cut takes metal away: "
        f"measure again{finer}{inches}"
    )


def _too_wide(facts: Facts) -> str:
    what = "any cut of this kind" if facts["of_its_kind"] else "the narrowest piece left"
    inches = "; {inches}" if "inches" in facts else " or a piece was not measured"
    return f"kerf {{kerf:.9g}} is wider than {what} ({{most:.9g}}): units are likely mixed{inches}"


def _like_inches(facts: Facts) -> str:
    which = facts["which"]
    words = {"before": "the width before looks", "after": "the widths after look"}
    return f"{words.get(str(which), f'width {which} after looks')} like inches (kerf {{kerf:.9g}} {IN_MM})"


KERF: dict[str, Sentence] = {
    "kerf_known": Sentence("The kerf is known to ±{half:.9g} (95 %)."),
    "kerf_on_strips": Sentence(
        "A strip on the fence is off by up to {on_fence:.9g} for that, a strip between two settings by up to "
        "{between:.9g}."
    ),
    "kerf_on_rest": Sentence("After {strips} strips from a moving edge, what is left is off by up to {left:.9g}."),
    "kerf_stands_out": Sentence(
        "Row {row} stands out: kerf {kerf:.9g} (G = {statistic:.2f}, above {critical:.2f}, Grubbs). It is kept. "
        "Measure it again; if there was a cause, say ignore = true in that row: the kerf would be {without:.9g-} "
        "±{half:.9g}."
    ),
    "kerf_few_stand_out": Sentence(
        "With {few} tests or fewer an outlier cannot be told safely: look for a cause before a row is left out."
    ),
    "kerf_one_test": Sentence("One test: how much the kerf itself scatters is not known. Three tests or more show it."),
    "kerf_two_tests": Sentence(
        "Two tests: one difference says little about the scatter, so the interval is wide. A third test narrows it."
    ),
    "kerf_too_alike": Sentence(
        "The tests agree better than the instrument can tell: a finer instrument is needed to know more, not more "
        "tests."
    ),
    "kerf_too_narrow": Sentence(
        "Kerf {kerf:.9g} is narrower than any thermal cut (from about {narrowest:.9g}, common practice): "
        "was it typed in inches?"
    ),
}
"""What test cuts say of the kerf."""

FAULTS: dict[str, Sentence] = {
    "tests_of_process": Sentence("tests of {about}, counted by themselves: {what}"),
    "kerf_width": Sentence("width {width:g-}: every width must be a number above {zero:g}"),
    "kerf_one_width": Sentence(
        "{widths} width after the cut: at least 2 are needed, the piece on the fence and the far piece"
    ),
    "kerf_cuts": Sentence(
        "{cuts} cuts leave at most {most} pieces, but {widths} widths are given; at least 1 cut and 1 width are needed"
    ),
    "kerf_no_metal": Sentence(_no_metal),
    "kerf_too_wide": Sentence(_too_wide),
    "kerf_like_inches": Sentence(_like_inches),
    "kerf_row_in_inches": Sentence(
        "row {row} looks like inches: its kerf {kerf:.9g-} is about 1/25 of the {other:.9g-} of row {other_row}; "
        f"{TYPE_IN_MM}"
    ),
}
"""What is wrong with a test."""

SENTENCES: dict[str, Sentence] = KERF | FAULTS
