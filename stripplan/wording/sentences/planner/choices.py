"""Sentences about the plans of a job that a person may choose from."""

from __future__ import annotations

from collections.abc import Iterator

from stripplan.wording.message import Facts, Quantity
from stripplan.wording.sentence import Sentence

_BEST = {
    "total": "cheapest in total",
    "plate": "least plate",
    "time": "least time",
    "offcut": "largest offcut",
    "settings": "fewest fence settings",
}
"""What a choice is the best in, by the code that the planner gives it."""

WORTH_A_WORD = 0.5
"""Minutes of difference below which none is told: the figures are no truer."""


def _best_of_all(facts: Facts) -> str:
    best = facts["best"]
    assert isinstance(best, tuple)
    return ", ".join(_BEST[str(each)] for each in best)


def _default(facts: Facts) -> str:
    best = _best_of_all(facts)
    weighed = "best once fence settings and true sizes are weighed as the job asks"
    if facts["aim"] in ("plate", "time"):
        weighed = f"best by the job's aim, {facts['aim']}"
    return best if _BEST["total"] in best else ", ".join(each for each in (weighed, best) if each)


def _choice(facts: Facts) -> str:
    gains, costs = ([each for sign, each in _changes(facts) if sign is good] for good in (True, False))
    change = " for ".join(_joined(each) for each in (gains, costs) if each) or "hardly anything else"
    return ": ".join(each for each in (_best_of_all(facts), change) if each)


def _changes(facts: Facts) -> Iterator[tuple[bool, str]]:
    """Whether it is a gain, and in words, for all in which a choice differs from the first."""
    minutes, settings = facts["minutes"], facts["settings"]
    assert isinstance(minutes, Quantity)
    assert isinstance(settings, int)
    if abs(minutes.value) >= WORTH_A_WORD:
        yield minutes.value < 0, f"{abs(minutes.value):.0f} min {_less(minutes.value)}"
    for key, noun, good in (("plates", "plate", -1), ("offcuts", "in offcuts", 1)):
        value = facts[key]
        assert isinstance(value, (int, float))
        if abs(value) >= 0.005:
            shown = f"{abs(value):.1f}" if facts["unit"] == "kg" else f"{abs(value):.2f}"
            unit = " {unit}" if facts["unit"] else ""
            yield value * good > 0, f"{shown}{unit} {_less(value)} {noun}"
    if settings:
        yield settings < 0, f"{abs(settings)} fence setting{'s' * (abs(settings) > 1)} {_less(settings)}"


def _joined(some: list[str]) -> str:
    return " and ".join([", ".join(some[:-1]), some[-1]] if some[1:] else some)


def _less(value: float) -> str:
    return "less" if value < 0 else "more"


SENTENCES: dict[str, Sentence] = {
    "choice": Sentence(_choice),
    "choice_default": Sentence(_default),
    "no_choice_of_that_number": Sentence("there is no choice {number}", "1 to {most}"),
    "choice_of_another_job": Sentence(
        "the choice is one of another job or rig", "one of what `choices` gives for this"
    ),
}
