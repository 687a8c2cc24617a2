"""Sentences about plan files: `{at}` is a place in the file, like plan.cuts[3].kerf."""

from __future__ import annotations

from stripplan.wording.sentence import Sentence

WAY_OUT = "write the plan anew from its job"

SENTENCES: dict[str, Sentence] = {
    "schema.other": Sentence("this is no plan: its schema is {schema}", "'{read}' is read"),
    "schema.none": Sentence("this is no plan: it names no schema", "'{read}' is read"),
    "json.broken": Sentence("this is not JSON: {said}", WAY_OUT),
    "json.half_character": Sentence("a text holds half a character", WAY_OUT),
    "json.not_finite": Sentence("{figure} is no finite number", WAY_OUT),
    "json.nested": Sentence("it is nested too deeply", WAY_OUT),
    "json.digits": Sentence("it holds a number of thousands of digits", WAY_OUT),
    "plan.too_great": Sentence("{at}: {figure} is beyond anything a plan holds; {most:g} is the most", WAY_OUT),
    "plan.too_deep": Sentence("{at}: tables and lists lie more than {most} deep in each other", WAY_OUT),
    "plan.too_many": Sentence("{at}: {count} entries; {most} are the most", WAY_OUT),
    "plan.long_key": Sentence("{at}: a key has {count} letters; {most} are the most", WAY_OUT),
    "plan.long_text": Sentence("{at}: the text has {count} letters; {most} are the most", WAY_OUT),
    "plan.long_word": Sentence("{at}: the text has a word of more than {most} letters", WAY_OUT),
    "plan.unprintable": Sentence("{at}: {words} holds letters that cannot be printed", WAY_OUT),
    "plan.same_name": Sentence("{count} {what} are called {name}", WAY_OUT),
    "plan.no_name": Sentence("one of the {what} has no name", WAY_OUT),
    "plan.numbers": Sentence("the cuts are not numbered 1, 2, 3 ... in the order of work", WAY_OUT),
    "plan.plate_size": Sentence("plate {plate}: its length, width, thickness and kerf must be above 0", WAY_OUT),
    "plan.no_stock": Sentence("plate {plate} is taken from {stock}, which the job does not have", WAY_OUT),
    "plan.no_process": Sentence("plate {plate} is cut by {process}, which the rig does not have", WAY_OUT),
    "plan.roots": Sentence("plate {plate} begins as {count} pieces, not as one whole plate", WAY_OUT),
    "plan.piece_no_plate": Sentence("piece {piece} lies on {plate}, which is no plate of the plan", WAY_OUT),
    "plan.piece_over_edge": Sentence("piece {piece} reaches over the edge of plate {plate}", WAY_OUT),
    "plan.corners": Sentence("piece {piece} has {count} corners", WAY_OUT),
    "plan.no_parent": Sentence("piece {piece} comes out of {parent}, which the plan does not have", WAY_OUT),
    "plan.parent_elsewhere": Sentence(
        "piece {piece} is on plate {plate}, and {parent}, which it comes out of, on {other}", WAY_OUT
    ),
    "plan.no_part": Sentence("piece {piece} is called {part}, which is no part of the plan", WAY_OUT),
    "plan.kind": Sentence("piece {piece} is {kind}, which does not go with its part, {part}", WAY_OUT),
    "plan.cut_no_plate": Sentence("cut {cut} is made on {plate}, which is no plate of the plan", WAY_OUT),
    "plan.cut_over_edge": Sentence("cut {cut} has a point that lies over the edge of plate {plate}", WAY_OUT),
    "plan.cut_no_piece": Sentence("cut {cut} is made in {piece}, which the plan does not have", WAY_OUT),
    "plan.makes_unknown": Sentence("cut {cut} makes {piece}, which the plan does not have", WAY_OUT),
    "plan.makes_other": Sentence("cut {cut} makes {piece} out of {of}, but {piece} names {named}", WAY_OUT),
    "plan.both_sides": Sentence("cut {cut} makes {piece} on both sides", WAY_OUT),
    "plan.passes": Sentence("cut {cut} has {count} passes; one or two can be made", WAY_OUT),
    "plan.cut_size": Sentence("cut {cut}: its travel speed and kerf must be above 0", WAY_OUT),
    "plan.turns": Sentence("cut {cut} asks for {count} quarter turns; 0 to 3 make sense", WAY_OUT),
    "plan.no_length": Sentence("cut {cut} has a line or an edge without length", WAY_OUT),
    "plan.fence": Sentence("cut {cut} is set by the fence, but lacks a figure of it", WAY_OUT),
    "plan.marks": Sentence("cut {cut} is marked out, but has no marks", WAY_OUT),
    "plan.mitre": Sentence("cut {cut} is set by the mitre bar, but has no figures of it", WAY_OUT),
    "plan.cut_up": Sentence("cut {cut} is made in {piece}, which an earlier cut has cut up already", WAY_OUT),
    "plan.not_there": Sentence("cut {cut} is made in {piece}, which is not there yet", WAY_OUT),
    "plan.made_twice": Sentence("cut {cut} makes {piece}, which is there already", WAY_OUT),
    "plan.not_made": Sentence("piece {piece} comes out of no cut", WAY_OUT),
    "plan.record": Sentence("{said}", WAY_OUT),
}
