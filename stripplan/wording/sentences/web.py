"""Sentences about the page."""

from __future__ import annotations

from stripplan.wording.sentence import Sentence

SENTENCES: dict[str, Sentence] = {
    "list_unreadable": Sentence("its list ({file}) cannot be read: {why}", "mend {path}, or type the job anew"),
    "list_damaged": Sentence(
        "its file ({file}) could not be read: {why}", "it was set aside beside its place; type the list anew"
    ),
    "list_changed": Sentence("it was changed in another window meanwhile", "go on with the one that is kept"),
    "measured_far": Sentence(
        lambda facts: "{said} where {expected} is expected" + (": did you mean {meant}?" if facts["meant"] else ""),
        "type it anew; where the cut is wrong, say so by Went wrong",
    ),
    "nothing_cut": Sentence("no cut is ticked: nothing was used up", "tick the cuts that are made"),
    "no_job": Sentence("there is no such job"),
    "too_few_together": Sentence("jobs are planned together from two on", "tick two or more, 50 at the most"),
    "no_cuts_like_that": Sentence("{said} are no cuts of this plan", "write 40-, 12-20, -8 or 7; it has 1 to {count}"),
    "stale_plan": Sentence("the list has changed since this plan was made", "wait for the new plan"),
    "too_deep": Sentence("what it sent is nested too deep", "load the page again"),
    "no_list_file": Sentence("this file cannot be opened here", "job files (.toml), CSV, .xlsx, .dxf or .svg"),
    "no_stock_list": Sentence("this file cannot be read as a list of pieces", "CSV or a workbook (.xlsx)"),
    "no_plan": Sentence("there is no such plan"),
    "no_batch": Sentence("it has no batch {batch}", "begin one"),
    "too_many_batches": Sentence("it has {most} batches", "delete some"),
    "no_such_plate": Sentence("the plan has no plate {plate}"),
    "no_such_file": Sentence("there is no such file"),
    "plan_forgotten": Sentence("it is not known any more", "plan again"),
    "folder_not_made": Sentence("it cannot be made: {why}", "see who may write there, and how full the disk is"),
    "damaged": Sentence("{what}", "{way_out}"),
    "too_long": Sentence(
        "it was not done within {longest:g}", "plan fewer parts at once, or cap the search with seconds"
    ),
    "ended": Sentence("its process ended, most likely for want of memory", "plan fewer parts at once"),
    "failed": Sentence("the program failed: {kind}: {said}", "please report this with the job"),
    "not_made": Sentence("so {file} is not made of it: plan it again from its list"),
    "request": Sentence("what it sent cannot be understood", "load the page again"),
    "change": Sentence("it cannot be understood", "load the page again"),
    "port": Sentence("port {port} cannot be used: {why}", "choose another with --port, 0 for any"),
    "no_job_file": Sentence("this is no job file", "it has [[part]] and [[plate]]"),
    "measured": Sentence("{said}", "write 841.5, or 33 1/8 in"),
    "kept_unreadable": Sentence("{file} cannot be read: {why}", "see to {path}"),
    "kept_not_aside": Sentence("{file} cannot be set aside: {why}", "see to {path}"),
    "no_profile": Sentence("there is no such profile"),
    "notebook_no_text": Sentence("its notebook is no text", "write the file's name in quotes"),
    "elsewhere": Sentence(
        "it lies in another folder, and the page opens only what lies beside the profiles",
        "put it there, or work on it in an editor",
    ),
    "profile_name": Sentence("{name} cannot be its name", "letters, digits, space, - and _, at most 60"),
    "profile_there": Sentence("there is a profile {name} already", "choose another"),
    "no_notebook": Sentence("it has no notebook", "begin one"),
    "changed": Sentence(
        "it was changed elsewhere meanwhile", "load the page again; what you typed is still here until you do"
    ),
    "change_no_name": Sentence("it has no name"),
    "change_no_cut": Sentence("there is no cut {cut}", "1 to {last}"),
    "usable": Sentence("{said}", "length x width, as 980x640"),
    "usable_size": Sentence("{given!r} is no size", "length x width, as 980x640"),
    "change_unknown": Sentence("{what} is nothing that can be changed"),
    "field_unknown": Sentence("this field is not known"),
    "no_figures": Sentence("this is no list of at most {most} figures"),
    "no_plain_line": Sentence("this is no line of plain text", "no control characters"),
    "line_too_long": Sentence("it has {letters} letters", "at most {most}"),
    "field_missing": Sentence("is missing"),
    "field_refused": Sentence("{said}", "{way_out}"),
    "profile_not_written": Sentence("{what}", "who may write in the folder of profiles?"),
}
