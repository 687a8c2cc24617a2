"""Signs at the cut: each line of the table of the trade, what differs, what contradicts, what is refused."""

from __future__ import annotations

import itertools
from typing import Any

import pytest

from stripplan.rig.notebook.cut_signs import CAUTION, DROSS, Finding, Observation, diagnosis, verdict
from stripplan.wording.message import Message
from stripplan.wording.show import worded

SLOW, GOOD, FAST = "slow", "good", "fast"


def found(**signs: Any) -> dict[str, Finding]:
    """Findings by code for a cut at 300 mm/min with those signs."""
    return {each.code: each for each in diagnosis(Observation(300, **signs))}


def words(said: Message | tuple[Message, ...]) -> str:
    """What is said, in words."""
    return " ".join(worded(each).text for each in (said if isinstance(said, tuple) else (said,)))


@pytest.mark.parametrize(
    ("signs", "answer", "code"),
    [
        ({"dross": "easy"}, SLOW, "too_slow"),
        ({"dross": "hard"}, FAST, "too_fast"),
        ({"dross": "none"}, GOOD, "right"),
        ({"lag_angle": 10.0}, GOOD, "right"),
        ({"lag_angle": 5.0}, GOOD, "right"),
        ({"lag_angle": 15.0}, GOOD, "right"),
        ({"drag_lines": "j"}, FAST, "too_fast"),
        ({"kerf_wide": True}, SLOW, "too_slow"),
        ({"lag_angle": 0.0}, SLOW, "too_slow"),
        ({"lag_angle": -5.0}, SLOW, "too_slow"),
        ({"lag_angle": 20.0}, FAST, "too_fast"),
        ({"severed": False}, FAST, "not_severed"),
        ({"rounded_top_edge": True}, None, "too_high"),
        ({"bevel": -2.0, "thickness": 8.0}, None, "too_low"),
        ({}, None, "not_judged"),
        ({"drag_lines": "straight"}, None, "not_judged"),
    ],
)
def test_table_of_signs(signs: dict[str, Any], answer: str | None, code: str) -> None:
    """One sign alone gives the answer of the trade: common practice, no source (straight down: from memory, fair)."""
    assert verdict(Observation(300, **signs)) == answer
    assert code in found(**signs)


@pytest.mark.parametrize(
    "signs",
    [
        {"dross": "hard", "lag_angle": 2.0},
        {"dross": "easy", "lag_angle": 25.0},
        {"dross": "easy", "drag_lines": "j"},
        {"dross": "hard", "kerf_wide": True},
        {"dross": "none", "kerf_wide": True, "drag_lines": "j"},
        {"severed": False, "kerf_wide": True},
    ],
)
def test_contradicting_signs_give_no_answer(signs: dict[str, Any]) -> None:
    """Both signs are named, no direction is given."""
    assert verdict(Observation(300, **signs)) is None
    findings = found(**signs)
    assert "too slow: " in words(findings["contradiction"].signs)
    assert "too fast: " in words(findings["contradiction"].signs)
    assert not {"too_slow", "too_fast", "right"} & set(findings)


def test_a_clean_edge_outvotes_the_lag_angle_but_not_kerf_or_drag_lines() -> None:
    """No dross with 2 or 20 deg of lag is good with a hint; with a wide kerf slow, with J-lines fast."""
    for lag, end in ((2.0, "slow"), (20.0, "fast")):
        assert verdict(Observation(300, dross="none", lag_angle=lag)) == "good"
        assert f"near the {end} end" in words(found(dross="none", lag_angle=lag)["lag_unusual"].reason)
    assert verdict(Observation(300, dross="none", kerf_wide=True)) == "slow"
    assert verdict(Observation(300, dross="none", drag_lines="j")) == "fast"


def test_spatter_alone_gives_no_answer_for_the_sources_differ() -> None:
    """Stand-off or worn tip; one manual says slow travel too, others too fast: common practice, sources differ."""
    assert verdict(Observation(300, top_spatter=True)) is None
    finding = found(top_spatter=True)["worn_tip"]
    assert "differ on speed" in words(finding.differs)
    assert "sources differ" in finding.status
    assert verdict(Observation(300, top_spatter=True, dross="hard")) == "fast"


def test_lag_of_hand_work_is_said_to_differ() -> None:
    """One trade page calls 30 to 40 deg normal by hand, the others 5 to 15: said, not settled silently."""
    assert "one trade page gives 30 to 40 deg" in words(found(lag_angle=35.0)["too_fast"].differs)
    assert found(dross="hard")["too_fast"].differs == ()


def test_not_severed_looks_at_tip_and_current_too() -> None:
    """Too fast is not the only reason."""
    findings = found(severed=False)
    assert {"not_severed", "worn_tip"} <= set(findings)
    assert "more current" in worded(findings["not_severed"].said).hint
    assert "too_fast" not in findings


def test_starts_on_the_tip_are_told_and_no_life_is_made_up() -> None:
    """The argument goes before the field; a new tip is hardly worn."""
    seen = Observation(300, top_spatter=True, starts_on_tip=90)
    assert "90 starts" in words(diagnosis(seen)[-1].differs)
    assert "no figure" in words(diagnosis(seen)[-1].differs)
    assert "wear is unlikely" in words(diagnosis(seen, starts_on_tip=0)[-1].differs)
    assert "not known" in words(diagnosis(Observation(300, top_spatter=True))[-1].differs)
    with pytest.raises(ValueError, match="starts on the tip -1 must be a whole number"):
        diagnosis(seen, starts_on_tip=-1)


@pytest.mark.parametrize(
    ("signs", "codes"),
    [
        ({"stand_off": 4.0}, {"too_high"}),
        ({"stand_off": 1.0}, {"too_low"}),
        ({"stand_off": 1.6}, set()),
        ({"stand_off": 3.2}, set()),
        ({"bevel": 5.0}, set()),
        ({"bevel": 6.0}, {"bevel"}),
        ({"bevel": -2.0}, {"too_low"}),
        ({"bevel": -2.0, "thickness": 6.3}, set()),
        ({"rounded_top_edge": True, "top_spatter": True}, {"too_high", "worn_tip"}),
    ],
)
def test_height_and_bevel(signs: dict[str, Any], codes: set[str]) -> None:
    """1.6 to 3.2 mm, negative bevel from 6.4 mm: common practice, no source; bevel to 5 deg: a training slide."""
    assert set(found(**signs)) & {"too_high", "too_low", "bevel", "worn_tip"} == codes


def test_every_finding_is_whole() -> None:
    """All combinations of signs: one-sentence reason, sign, advice and status; verdict and findings agree."""
    cases = itertools.product(
        (None, *DROSS),
        (None, -5.0, 2.0, 10.0, 25.0),
        (None, True),
        (None, "straight", "curved", "j"),
        (None, True, False),
    )
    said = {"slow": "too_slow", "good": "right"}
    count = 0
    for dross, lag, wide, lines, severed in cases:
        if severed is False and (dross or lag is not None):
            continue
        seen = Observation(300, dross, None, lag, None, severed, wide, None, lines)  # type: ignore[arg-type]
        findings = diagnosis(seen)
        codes = {each.code for each in findings}
        answer = verdict(seen)
        for each in findings:
            told, reason = worded(each.said), words(each.reason)
            assert all((told.text, told.hint, words(each.signs), each.status))
            assert reason.endswith(".")
            assert reason.count(". ") == 0
        assert len(codes) == len(findings)
        assert (answer == "slow") == ("too_slow" in codes)
        assert (answer == "fast") == bool({"too_fast", "not_severed"} & codes and "contradiction" not in codes)
        assert (answer == "good") == bool({said["good"], "lag_unusual"} & codes)
        count += 1
    assert count == 328


def test_caution_names_heat_sharp_edges_and_local_rules() -> None:
    """Looking at a fresh edge can hurt."""
    for word in ("Arc off", "hot and sharp", "Eye and hand protection", "Local rules"):
        assert word in words(CAUTION)


@pytest.mark.parametrize(
    ("signs", "said"),
    [
        ({"speed": -5}, "speed -5 mm/min must be a number above 0"),
        ({"speed": float("inf")}, "speed inf mm/min must be a number above 0"),
        ({"speed": True}, "speed 1 mm/min must be a number above 0"),
        ({"dross": "soft"}, "dross 'soft' is not known; known are none, easy, hard"),
        ({"drag_lines": "zigzag"}, "drag lines 'zigzag' are not known; known are straight, curved, j"),
        ({"severed": "yes"}, "severed 'yes' must be true or false"),
        ({"lag_angle": 95}, "lag_angle 95 deg must be a number from -60 to 80"),
        ({"bevel": 60}, "bevel 60 deg must be a number from -45 to 45"),
        ({"stand_off": -1}, "stand_off -1 mm must be a number of 0 or more"),
        ({"thickness": 0}, "thickness 0 mm must be a number above 0"),
        ({"starts_on_tip": 2.5}, "starts on the tip 2.5 must be a whole number"),
        ({"severed": False, "dross": "hard"}, "not severed, yet dross 'hard' given"),
        ({"severed": False, "lag_angle": 9}, "not severed, yet a lag angle of 9 deg given"),
    ],
)
def test_bad_input_by_its_words(signs: dict[str, Any], said: str) -> None:
    """Each names the field, the figure and the limit."""
    with pytest.raises(ValueError, match=said):
        Observation(**{"speed": 300, **signs})
