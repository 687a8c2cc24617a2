"""Sentences about the order of cuts: why a cut stands where it does, and what another order would take."""

from __future__ import annotations

from collections.abc import Sequence

from stripplan.wording.message import Facts, Quantity
from stripplan.wording.sentence import Sentence


def joined_words(some: Sequence[str]) -> str:
    """Words with commas between, and the last after "and"."""
    return some[0] if len(some) == 1 else f"{', '.join(some[:-1])} and {some[-1]}"


def _minutes_and_seconds(seconds: float) -> str:
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes} min {rest} s" if minutes else f"{rest} s"


def _place_of_cut(facts: Facts) -> str:
    if "made_by" in facts:
        waits = "Cut {cut} must follow cut {made_by}, because cut {made_by} makes its piece, {piece}"
    else:
        waits = "Cut {cut} waits for no cut, because its piece, {piece}, is a plate as it comes"
    takers = facts.get("cut_on_by", ())
    assert isinstance(takers, tuple)
    if takers:
        which = "cut" if len(takers) == 1 else "cuts"
        what = "that cuts" if len(takers) == 1 else "they cut"
        waits += f"; it must come before {which} {{cut_on_by:| and }}, because {what} what it makes"
    wished = " Your wishes for the order hold it as well." if facts["wished"] else ""
    run = " Cuts {run_first} to {run_last} are one run, made with one setting." if "run_first" in facts else ""
    return f"{waits}.{wished} {_other_place(facts)}{run}"


def _other_place(facts: Facts) -> str:
    if "elsewhere" not in facts:
        return "With the others in their order it has no other place."
    has = {
        "piece_lies_there": "cut {before} has left its piece on the bed",
        "fence_stands": "the fence stands at its reading",
        "end_stop_stands": "the end stop stands",
    }
    reasons = [words for fact, words in has.items() if facts[fact]]
    because = f"It stands here because {joined_words(reasons)}; at" if reasons else "At"
    place = "straight after cut {elsewhere}" if facts["elsewhere"] else "first of all"
    longer, weighed = facts["longer"], facts["weighed"]
    assert isinstance(longer, Quantity)
    assert isinstance(weighed, Quantity)
    if abs(longer.value) < 0.5:
        takes = "as long"
    else:
        takes = f"{_minutes_and_seconds(abs(longer.value))} {'longer' if longer.value > 0 else 'less'}"
    against = ", but more of what you asked to be spared" if longer.value < -0.5 < weighed.value else ""
    rests = ", rests of the power source not counted" if facts["rests"] else ""
    return f"{because} its next best place, {place}, the work would take {takes}{against}{rests}."


def _changed(facts: Facts, name: str, one: str) -> str | None:
    """ "2 more fence settings", "1 fence setting less"; None where there are as many."""
    count = facts.get(name, 0)
    assert isinstance(count, int)
    if not count:
        return None
    settings = f"{one} setting{'s' if abs(count) > 1 else ''}"
    return f"{count} more {settings}" if count > 0 else f"{-count} {settings} less"


def _takes(facts: Facts) -> str:
    longer = facts["longer"]
    assert isinstance(longer, Quantity)
    told = [_changed(facts, "fence_settings", "fence"), _changed(facts, "end_stop_settings", "end stop")]
    if abs(longer.value) < 0.5:
        told.append("no more time")
    else:
        told.append(f"{_minutes_and_seconds(abs(longer.value))} {'longer' if longer.value > 0 else 'less'}")
    wrong = facts.get("wrong", 0)
    if wrong:
        told.append(
            "one cut makes a part further off than it may be"
            if wrong == 1
            else "{wrong} cuts make parts further off than they may be"
        )
    told.append("parts of a kind come out less alike" if facts.get("less_alike") and not facts.get("wrong") else None)
    weighed = facts.get("weighed", longer)
    assert isinstance(weighed, Quantity)
    if longer.value < -0.5 < weighed.value:
        told.append("but sizes come out less sure, or more is done of what you asked to be spared")
    if weighed.value < -0.5:
        told.append("which the search for this plan had not come to")
    return ", ".join(filter(None, told))


def _set(facts: Facts) -> str:
    """How a cut is set: edge on the fence and reading, or marked."""
    return "edge {edge} on the fence, reading {reading:g}" if "reading" in facts else "marked from edge {edge}"


def _another_cut(facts: Facts) -> str:
    if "other" in facts:
        return f"Instead of cut {{cut}}: cut {{other}} first ({{piece}}; {_set(facts)}): {_takes(facts)}."
    return f"Instead of cut {{cut}}: {{piece}} cut another way first ({_set(facts)}): {_takes(facts)}."


def _set_otherwise(facts: Facts) -> str:
    return f"Cut {{cut}} set another way ({_set(facts)}): {_takes(facts)}."


def _moved_cut(facts: Facts) -> str:
    return f"Instead of cut {{cut}}: cut {{other}} first ({{piece}}), all others as they are: {_takes(facts)}."


def _spared(facts: Facts) -> str:
    less = facts["less"]
    assert isinstance(less, Quantity)
    saved = _minutes_and_seconds(abs(less.value)) + (" less" if less.value >= 0 else " longer")
    return f"{saved}, rests of the power source not counted"


def _left_larger(facts: Facts) -> str:
    wider = [f"{{{name}:g}}" for name in ("wider", "longer_by") if getattr(facts[name], "value", 0.0) > 0.01]
    cuts = "" if facts["cuts"] == 1 else ", and {cuts} cuts fall away"
    return f"Without cut {{cut}} {{part}} stays larger, by {' and '.join(wider)}{cuts}: {_spared(facts)}."


def _left_out(facts: Facts) -> str:
    cuts = "" if facts["cuts"] == 1 else "{cuts} cuts fall away, "
    more = " and {kinds_more} kinds more" if facts["kinds_more"] else ""
    return (
        f"Without cut {{cut}} {{piece}} stays whole and these are not made: {{lost:|, }}{more}; {cuts}{_spared(facts)}."
    )


def _left_whole(facts: Facts) -> str:
    cuts = "" if facts["cuts"] == 1 else "{cuts} cuts fall away, "
    return f"Without cut {{cut}} {{piece}} stays whole, and no part is lost: {cuts}{_spared(facts)}."


SENTENCES: dict[str, Sentence] = {
    "no_cut": Sentence("the plan has no such cut: it has {count}", "1 to {count}"),
    "place_of_cut": Sentence(_place_of_cut),
    "another_cut": Sentence(_another_cut),
    "set_otherwise": Sentence(_set_otherwise),
    "moved_cut": Sentence(_moved_cut),
    "no_other_cut": Sentence("No other cut can be made in place of cut {cut}: all that come after it wait for it."),
    "left_larger": Sentence(_left_larger),
    "left_out": Sentence(_left_out),
    "left_whole": Sentence(_left_whole),
    "part_times": Sentence("{about} × {count}"),
    "finding": Sentence("{what}"),
    "memory": Sentence("there is not enough memory for it", "plan fewer parts at once, or with fewer steps"),
}
"""Where cuts stand in the order of work."""
