"""Sentences about rig profiles and notebooks."""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence
from stripplan.wording.sentences.files.hints import nearest


def _rigs(facts: Facts) -> str:
    """Rig files that were found, each as it is named; where there is none, how one is made."""
    if not facts["rigs"]:
        return "`stripplan rig copy FILE` makes one to fill in; name it by --rig FILE, or in a job by rig = 'FILE'"
    return "rig files nearby: {rigs:|, }; write --rig {first}, or in a job beside it rig = '{beside}'"


def _profile(facts: Facts) -> str:
    if facts.keys() & {"near", "known"}:
        return nearest(facts)
    return _rigs(facts) if facts["rigs"] else "put a profile there, or name a file"


SENTENCES: dict[str, Sentence] = {
    # the profile
    "rig.contradiction": Sentence(
        "{what}",
        lambda facts: "{built_in:| and } comes from the built-in profile: give your own" if facts["built_in"] else "",
    ),
    "figure_above": Sentence("{name} {value:g-} lies above {limit_name} {limit:g-}"),
    "figure_below": Sentence("{name} {value:g-} lies below {limit_name} {limit:g-}"),
    "no_stroke_left": Sentence("lead_in and overrun leave nothing of stroke {stroke:g-}"),
    "dial_mark_twice": Sentence("dial mark {mark:g} stands twice, at {one:g-} and {other:g}: keep one"),
    "dial_speed_twice": Sentence("dial marks {mark:g} and {next_mark:g} have the same speed, {speed:g}: keep one"),
    "dial_goes_back": Sentence(
        "dial mark {second:g} ({second_speed:g}) and mark {third:g} ({third_speed:g}) go another way than mark "
        "{first:g} ({first_speed:g}): time them again"
    ),
    "rig.both_names": Sentence("{old} and {now} are both given, and mean the same", "keep {now}"),
    "rig.mitre": Sentence("mitre_min {least:g} lies above mitre_max {most:g}", "swap or give both"),
    "renamed.key": Sentence("is read as {now}", "write {now}"),
    "same_name.processes": Sentence("two processes are called {name!r}", "give each its own name"),
    "no_file.rig": Sentence(
        lambda facts: "there is no such file" if facts["folder"] else "there is no such file, and no such folder", _rigs
    ),
    "no_profile.folder": Sentence(
        "there is no such file, and no profile in {folder}",
        _profile,
    ),
    # the notebook
    "drive.no_pitch": Sentence("neither belt nor pitch is given", "give one of the two"),
    "drive.two_pitches": Sentence("belt and pitch are both given", "give one of the two"),
    "unknown_key.row": Sentence("this is no kind of row", nearest),
    "empty.rows": Sentence("the list is empty", "the first row names the columns: {columns:|, }"),
    "unknown_column.row": Sentence("column {column} {cell} is not known", nearest),
    "same_column.row": Sentence("two columns hold the {key}", "leave out one of them"),
    "missing_column.row": Sentence("no column holds the {what}", "name one `{key}`: {purpose}"),
    "value.two_ways": Sentence("{said} can be read in two ways", "write {thousands} or {decimal}"),
}
