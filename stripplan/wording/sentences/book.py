"""Sentences about the stock book."""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence

_COPY = "`stripplan rack check` looks at it, `stripplan rack restore COPY` puts a copy in its place"


def _holder(facts: Facts) -> str:
    return "{piece} is promised to {job!r}" + (", plan {plan}" if facts["plan"] else "")


def _way_out_of_promise(facts: Facts) -> str:
    if facts["plan"]:
        return "`stripplan undo {plan}` gives back what that plan was promised"
    return "`stripplan rack release {piece}` takes that back"


def _from_rack(facts: Facts) -> str:
    text = "{about} mm: {there} pieces lie there" if facts["there"] != 1 else "{about} mm: 1 piece lies there"
    if not facts["there"]:
        return "{about} mm: nothing lies there"
    if facts["small"]:
        text += "; {small} too small for any part" + (", or of another length than the strips" * bool(facts["strips"]))
    if facts["more"]:
        text += "; {more} more left out, which give no part cheaper than the {kinds} kinds that are planned with"
    return text


def _without_cost(facts: Facts) -> str:
    some = (
        "1 piece of the rack has no cost: it counts"
        if facts["count"] == 1
        else "{count} pieces of the rack have no cost: they count"
    )
    return some + " at the price of new plate, offcuts at {share:g} % of it"


SENTENCES: dict[str, Sentence] = {
    "from_rack": Sentence(_from_rack),
    "rack_without_cost": Sentence(
        _without_cost,
        "`stripplan rack change PIECE --cost 45` sets one",
    ),
    "rack_prices_unused": Sentence(
        "the job's plates have no prices, so what {count} pieces of the rack cost is not counted: kilograms are",
        "give the plates a `cost` or a `price_per_kg`",
    ),
    "rack_empty": Sentence(
        "nothing on the rack serves it, and it names no plate that may be bought", "add a [[plate]]"
    ),
    "part_open_on_rack": Sentence(
        "without a [[plate]] its material and thickness have to be given", "add `material` and `thickness`"
    ),
    "strip_on_rack": Sentence(
        "a strip is as long as its plate, and no [[plate]] says how long that is",
        "give it a `length`, or add a [[plate]]",
    ),
    "book.missing": Sentence(
        "there is no stock book", "`stripplan rack add` or `stripplan rack read` begins one; --book names another"
    ),
    "book.not_ours": Sentence("this is no stock book", "name another with --book"),
    "book.newer": Sentence(
        "it was written by a later edition: its version is {version}, and this program knows {known}",
        "take the later program; nothing was changed",
    ),
    "book.older_and_protected": Sentence(
        "it is of an earlier edition, and cannot be brought up to date where nothing may be written",
        "copy it to where you may write",
    ),
    "book.log_protected": Sentence(
        "its last changes wait in a file beside it, and nothing may be written there",
        "copy both files to where you may write",
    ),
    "book.busy": Sentence(
        "another program has held it for too long", "end that one, or try again; nothing was changed"
    ),
    "book.full": Sentence("the disk is full", "make room and try again; nothing was changed"),
    "book.protected": Sentence(
        "nothing may be written there", "see who may write the file and its folder; nothing was changed"
    ),
    "book.not_opened": Sentence("it cannot be opened: {why}", "see who may read and write the file and its folder"),
    "book.disk": Sentence("the disk fails or is full: {why}", f"make room, or copy the book elsewhere; {_COPY}"),
    "book.damaged": Sentence("it is damaged: {why}", _COPY),
    "book.system": Sentence("it cannot be used: {why}", "see who may write there, and how full the disk is"),
    "book.copy_there": Sentence("a file of that name is there already", "name another, or take --over"),
    "book.copy_damaged": Sentence("this copy is damaged itself: {said}", "name another; nothing was changed"),
    "book.faults": Sentence("it is damaged: {said}", _COPY),
    "book.no_piece": Sentence("there is no {pieces:|, }", "`stripplan rack list` names all that lie there"),
    "book.no_piece_name": Sentence("{given!r} is no piece of the rack", "R and its number, as R12; or R12-R15"),
    "book.gone": Sentence(
        lambda facts: (
            "{piece} is not on the rack any more: it was "
            + ("used up" if facts["state"] == "used" else "written off")
            + " on {day}"
        ),
    ),
    "book.code_on_several": Sentence("the label {code} cannot be on {count} pieces", "give each its own"),
    "book.code_there": Sentence("the label {code} is in the book already: it is {piece}"),
    "book.promised": Sentence(_holder, _way_out_of_promise),
    "book.taken_meanwhile": Sentence(
        lambda facts: _holder(facts) + ", which happened while this was planned", "plan again; nothing was promised"
    ),
    "book.not_promised": Sentence("{piece} is promised to nobody"),
    "book.used_by_plan": Sentence(
        "{piece} is used by plan {plan} of {job!r}", "`stripplan undo {plan}` gives back what that plan was promised"
    ),
    "book.planned_size": Sentence(
        "plan {plan} of {job!r} rests on the size and material of {piece}",
        "`stripplan undo {plan}` first, then change it and plan again",
    ),
    "book.no_rule": Sentence("there is no such rule", "`stripplan rack keep` names all"),
    "book.no_plan": Sentence(
        "it knows no plan {plan}", "plan with --rack, or name the plan file; `stripplan rack plans` names all"
    ),
    "book.several_plans": Sentence("the ids of several plans begin with {plan}: {found:|, }", "write more of it"),
    "book.done_already": Sentence(
        "plan {plan} of {job!r} is done already",
        "to make the same once more give the job another name and plan it; `stripplan undo {plan}` takes it back",
    ),
    "book.begun": Sentence(
        "plan {plan} of {job!r} is begun: ticked are {ticked} of its cuts",
        "end it with `stripplan done {plan} --so-far` or, ticked on the page, at its end at the rig there; or take the "
        "ticks back there or with `stripplan tick {plan} --undo`",
    ),
    "book.begun_on_page": Sentence(
        "plan {plan} of {job!r} is begun: ticked are {ticked} of its cuts",
        "at its end, at the rig, write into the stock book what was cut; or take the ticks back there",
    ),
    "book.other_batch": Sentence(
        "of plan {plan} batch {stands} stands in the stock book, and this is batch {batch}",
        "end that one there, or delete it; what is cut of one plan several times is planned for each time",
    ),
    "book.not_ended": Sentence(
        "this is the rest of plan {plan} of {job!r}, which has not ended: its pieces do not lie on the rack yet",
        "`stripplan done {plan} --so-far` puts them there",
    ),
    "book.planned_together": Sentence(
        "{job} is planned together with {others:|, }, plan {plan}",
        "plan all of them again, or `stripplan undo {plan}` first",
    ),
    "book.not_all_ticked": Sentence(
        "of plan {plan} {ticked} of {cuts} cuts are ticked",
        "tick the others, take --so-far, or take the ticks back with `stripplan tick {plan} --undo`",
    ),
    "book.offcut_in_use": Sentence(
        "{piece}, an offcut of plan {plan}, was used, promised or written off since",
        "take that back first; nothing was changed",
    ),
    "book.not_measured_bevel": Sentence(
        "{cut} is a bevel, of which the book holds no size", "measure its root face by the sheet"
    ),
    "book.not_measured": Sentence("cut {cut} runs aslant: no size is known that could be measured after it"),
    "book.measured": Sentence("{given!r} is no measured size", "as 120.2, or 7=120.2 for that of cut 7"),
    "book.measured_far": Sentence(
        "{size:.1f} after cut {cut}, where {expected:.1f} are expected, is no drift",
        "was another side measured? where the cut went wrong, tick it with --spoilt and without a size",
    ),
    "book.usable": Sentence("{given!r}: of which piece?", "left=980x640 or right=980x640, beside --spoilt"),
    "book.no_cuts_measured": Sentence("a size is measured after a cut", "name the cut: stripplan tick PLAN 7"),
    "book.size": Sentence("{given!r} is no size", "LENGTHxWIDTH, as 300x100"),
    "book.code": Sentence("{given!r} is no code of a label of ours", "it reads stripplan:PLAN:PIECE"),
    "book.no_label": Sentence(
        "{given!r} is no label that the book knows, and no number of a piece",
        "a number reads R12, a label of ours stripplan:PLAN:PIECE; any other label is first typed at its piece",
    ),
    "book.code_no_plan": Sentence(
        "the book does not know plan {plan}, and the code holds no size",
        "name the plan file with --plan-file in the shell, or put the piece in by its size",
    ),
    "book.code_no_piece": Sentence("plan {plan} has no offcut {piece}", "its offcuts are {offcuts:|, }"),
    "book.other_plan": Sentence("this file is plan {found}, and the label is of plan {plan}"),
    "book.needs": Sentence("{what} is missing", "{way_out}"),
    "book.piece": Sentence("{said}"),
}
