"""Sentences about things that are welded of strips: how a size comes about, and why one cannot be."""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence

_SMALLER = {
    "thickness": "or take thinner plate",
    "bar": "or take narrower bar",
    "edge": "or let the ribs stand nearer to the edge",
    "rib": "or take fewer or thinner ribs",
    "gap": "or a smaller gap",
}


def _sum_less(facts: Facts) -> str:
    return "{whole:g-} - {taken:| - }" if facts["taken"] else "{whole:g-}"


def _sum_bay(facts: Facts) -> str:
    inside = "({whole:g-} - {taken:| - })" if facts["taken"] else "{whole:g-}"
    shared = f"{inside} / {{bays}}" if facts["bays"] != 1 else inside.strip("()")
    return shared + (" - {gaps:| - }" if facts["gaps"] else "")


def _larger(facts: Facts) -> str:
    return f"make it more than {{off:g^}}, {_SMALLER[str(facts['by'])]}"


def _fewer(facts: Facts) -> str:
    return (
        "take {most} at most, or thinner ones, or let them stand nearer to the edge"
        if facts["most"]
        else "take thinner ribs, or let them stand nearer to the edge"
    )


SENTENCES: dict[str, Sentence] = {
    "thing.size": Sentence("{size:g-}"),
    "thing.times": Sentence("{count} x {size:g-}"),
    "thing.less": Sentence(_sum_less),
    "thing.bay": Sentence(_sum_bay),
    "thing.strut_sum": Sentence("{reach:g-} x 1.4142 - 2 x {gap:g-}"),
    "thing.mitre_sum": Sentence("{whole:g-} - 1.4142 x {gap:g-}"),
    "thing.mitred_on_edge": Sentence(
        "bars on edge meet in a bevel across their thickness, not in a mitre",
        "let them lie flat, or let the sides or the ends run through",
    ),
    "thing.nothing_left": Sentence("{whole:g} less {taken:| and } leaves nothing for the {piece}", _larger),
    "thing.ribs": Sentence(
        "{count} of {thick:g} need {need:g} and some space between them; there is {room:g} in the {side} of {whole:g}",
        _fewer,
    ),
    "thing.strut": Sentence(
        "{reach:g} reaches beyond leg or arm: from their inner corner there is {inside:g}",
        "{inside:g} at most, or a longer leg and arm",
    ),
    "thing.short_strut": Sentence("{reach:g} leaves no strut beside its two gaps, {gaps:g} together", "a longer reach"),
    "thing.no_size": Sentence("{given:g} is no size", "it must be above 0, and a kilometre at most"),
    "thing.below_0": Sentence("{given:g} cannot be", "0 or more"),
    "thing.no_count": Sentence("{given} cannot be", "0 to {most}"),
    "thing.no_rib": Sentence("it has no rib: it would be a plain plate", "ask for ribs, for cross ribs, or for both"),
    "thing.needed": Sentence("it is needed", "say it: as 800, 800 mm, 31 1/2 in"),
    "thing.no_figure": Sentence("{said}", "{hint}"),
    "thing.sizes": Sentence("it takes {count} sizes, {keys:|, }", "as {example}"),
    "thing.times_off": Sentence("that is no count", "1 to {most}"),
    "thing.no_kind": Sentence("no such thing can be made here", "it is one of {kinds:|, }"),
    "thing.above": Sentence("{thing}, seen from above"),
    "thing.above_cut": Sentence("{thing}, cut level and seen from above"),
    "thing.front": Sentence("{thing}, seen from the front"),
    "thing.front_cut": Sentence("{thing}, cut along its length and seen from the front"),
    "thing.side": Sentence("{thing}, seen from the side"),
    "thing.side_cut": Sentence("{thing}, cut across and seen from the side"),
    "thing.row": Sentence("{letter}  {name}: {count} of {width:g-} x {length:g-} x {thickness:g}"),
    "thing.row_mitred": Sentence(
        "{letter}  {name}: {count} of {width:g-} x {length:g-} x {thickness:g}, ends at 45°, between long points"
    ),
    "thing.described": Sentence("{pieces:|, }. Outer size {size}."),
}
