"""Sentences about the shell command."""

from __future__ import annotations

from stripplan.wording.sentence import Sentence

SENTENCES: dict[str, Sentence] = {
    "no_page": Sentence("the guide has no such page", "it has {pages:|, }"),
    "option": Sentence("{said}", "{way_out}"),
    "date": Sentence("{said} is no number of seconds", "unset it"),
    "labels": Sentence("{said}"),
    "same_layer": Sentence("{layer} is named twice", "name it once"),
    "exists": Sentence("the file is there already", "choose another, or --force"),
    "not_printed": Sentence("{file} is not printed: write it anew from its job, or take --unchecked"),
    "not_drawn": Sentence(
        "it is so far from sound that it cannot be drawn ({kind})", "`stripplan check` names its faults"
    ),
}
