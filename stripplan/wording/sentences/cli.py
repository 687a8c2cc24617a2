"""Sentences about the shell command."""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence


def _why_no_kernel(facts: Facts) -> str:
    why = {
        "off": "{switch} is off",
        "outdated": "they were built from older sources",
        "foreign": "they were built for another machine",
    }
    return (
        f"runs without its compiled searches, many times slower ({why.get(str(facts['state']), 'they were not built')})"
    )


def _mend_kernel(facts: Facts) -> str:
    if facts["state"] == "off":
        return "take {switch} out of the environment"
    return "with a C compiler, or after `pip install ziglang`, run `python -m stripplan.kernel`"


SENTENCES: dict[str, Sentence] = {
    "no_kernel": Sentence(_why_no_kernel, _mend_kernel),
    "no_page": Sentence("the guide has no such page", "it has {pages:|, }"),
    "option": Sentence("{said}", "{way_out}"),
    "no_such_cuts": Sentence("{given!r} are no cuts of the plan", "1 to {most}: 7, or 1-12"),
    "no_spoilt_cut": Sentence(
        "{given!r} is no cut of the plan with a side", "1 to {most}, and :left, :right or :none behind it: 13:left"
    ),
    "date": Sentence("{said} is no number of seconds", "unset it"),
    "labels": Sentence("{said}"),
    "same_layer": Sentence("{layer} is named twice", "name it once"),
    "exists": Sentence("the file is there already", "choose another, or --force"),
    "not_printed": Sentence("{file} is not printed: write it anew from its job, or take --unchecked"),
    "not_drawn": Sentence(
        "it is so far from sound that it cannot be drawn ({kind})", "`stripplan check` names its faults"
    ),
}
