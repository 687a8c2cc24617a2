"""Sentences about what is written."""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence

_AWAY = "choose another --out, or move it away"
_INSTEAD = "choose another {instead}"


def _holes(facts: Facts) -> str:
    more = "; and {more} more, as drawn" if facts["more"] else ""
    return f"DRILL LATER: {{holes:|; }}{more} (from the lower left corner, the length lying level)"


def _bevel(facts: Facts) -> str:
    deep = "{depth:g} deep" if "depth" in facts else "root face {root:g}"
    face = {"both": " from both faces", "other": " from the other face"}.get(str(facts["face"]), "")
    return f"{{edges:| and }} {{angle:g}}, {deep}{face}"


SENTENCES: dict[str, Sentence] = {
    "holes_later": Sentence(_holes),
    "holes_of_size": Sentence(
        lambda facts: ("1 hole " if facts["count"] == 1 else "{count} holes ") + "{size} at {places:|, }"
    ),
    "bevels_told": Sentence("BEVEL {bevels:|; }"),
    "bevel_told": Sentence(_bevel),
    "from_plate": Sentence("From {plate} alone."),
    "holes_later.short": Sentence("DRILL LATER: {holes:|, }"),
    "holes_of_size.short": Sentence(lambda facts: ("1 hole " if facts["count"] == 1 else "{count} holes ") + "{size}"),
    "hole_size": Sentence("{length:g-} × {width:g}"),
    "hole_size.round": Sentence("⌀ {diameter:g}"),
    "hole_place": Sentence("{x:g-} × {y:g}"),
    "in_the_way.read": Sentence("this command reads it and would write over it", "choose another --out"),
    "in_the_way.folder": Sentence("a folder of that name is in the way", _INSTEAD),
    "in_the_way.link": Sentence("a link of that name is in the way", _INSTEAD),
    "in_the_way.device": Sentence("a device or pipe of that name is in the way", _INSTEAD),
    "in_the_way.protected": Sentence("it is in the way and protected from being written", _INSTEAD),
    "in_the_way.file": Sentence("a file of that name is in the way", "choose another --out"),
    "in_the_way.not_ours": Sentence("a file of that name is in the way that this program did not write", _AWAY),
    "in_the_way.changed": Sentence("it was changed since it was written, so it is yours", _AWAY),
    "in_the_way.kind": Sentence(
        "it comes from `stripplan {kind}`, and this command writes something else", "choose another --out"
    ),
    "in_the_way.plan": Sentence(
        "it belongs to plan {owner}, which lies beside it, and this is plan {plan}", "choose another --out"
    ),
    "in_the_way.more": Sentence("and {count} more files in the way"),
    "list.unreadable": Sentence(
        "it does not read as the list of files that this program wrote here",
        "move it away, and all files here count as yours",
    ),
    "changed.stays": Sentence("it is of the time before, but was changed since, so it is yours and stays"),
    "outdated.plan": Sentence("it shows plan {plan}, which was here before", "make it anew with `stripplan {kind}`"),
    "cannot_write.waits": Sentence(
        "not every new file could be put into its place: {why}",
        "they wait in {folder}, and are put there when the program writes into this folder again",
    ),
    "cannot_write.refused": Sentence("{what} cannot be written: {why}", _INSTEAD),
}
