"""Sentences about files of whatever kind, and about words on the command line."""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence

PART_FORM = "write WIDTHxQUANTITY as 50x6, or WIDTHxLENGTHxQUANTITY as 120x300x2"
FILLER_FORM = "write WIDTHxLENGTH as 60x60, and *20 for at most 20 of them"
PLATE_FORM = "write LENGTHxWIDTH as 2000x1000, or LENGTHxWIDTHxTHICKNESS as 2000x1000x6, and *3 for three of them"
FORMS = {"part": PART_FORM, "filler": FILLER_FORM, "plate": PLATE_FORM}


def _near_file(facts: Facts) -> str:
    if "near" in facts:
        return "did you mean {near}?"
    return "check the name" if facts["folder"] else "there is no such folder either; check the name"


def _smaller(facts: Facts) -> str:
    instead = {
        "list": "a long list of parts goes into a CSV file: cut_list",
        "outlines": "at most {most} MB; keep the outlines of the parts alone",
        "drawing": "at most {most} MB",
    }
    return instead.get(str(facts["instead"]), "at most {most} MB are read")


SENTENCES: dict[str, Sentence] = {
    "more.faults": Sentence(
        lambda facts: "and one more fault like these" if facts["count"] == 1 else "and {count} more faults like these"
    ),
    # the file
    "is_folder.file": Sentence("this is a folder, not a file", "name the file in it"),
    "no_file.device": Sentence("this is a device or pipe, not a file", "save it as a file"),
    "no_file.file": Sentence("there is no such file", _near_file),
    "cannot_read.file": Sentence("the file cannot be read: {reason}", "check its name and who may read it"),
    "too_large.file": Sentence("the file has more than {most} MB", _smaller),
    "empty.file": Sentence("the file is empty", "see `stripplan guide reference`"),
    "encoding.file": Sentence("the file is not UTF-8 text", "save it as UTF-8"),
    # words on the command line
    "part.sizes": Sentence("this is no part", PART_FORM),
    "part.shape": Sentence(
        "{said} behind it is no shape", "write :triangle, :ends=45/45 or :corners=20, one of them, behind the quantity"
    ),
    "part.triangle": Sentence(
        "nothing is to be said of a triangle, but it says {said}", "write WIDTHxLENGTHxQUANTITY:triangle"
    ),
    "part.quantity": Sentence("the quantity {count} is no whole number from 1 to {most}", PART_FORM),
    "part.two_counts": Sentence(
        "its name says {one}, and its last number, which is how many, {other}",
        "write {name}=WIDTHxQUANTITY or {name}=WIDTHxLENGTHxQUANTITY",
    ),
    "part.length_for_quantity": Sentence(
        "the quantity {count} is no whole number from 1 to {most}",
        "the last number is how many; for one rectangle write {text}x1",
    ),
    "filler.three_sizes": Sentence(
        "a filler has two sizes",
        lambda facts: "for at most {count} of them write {sizes}*{count}" if "count" in facts else FILLER_FORM,
    ),
    "filler.sizes": Sentence("this is no filler", FILLER_FORM),
    "filler.count": Sentence("{count} is no number of fillers from 1 to {most}", FILLER_FORM),
    "plate.four_sizes": Sentence(
        "a plate has two or three sizes",
        lambda facts: "for several plates alike write {sizes}*{count}" if "count" in facts else PLATE_FORM,
    ),
    "plate.sizes": Sentence("this is no plate", PLATE_FORM),
    "plate.count": Sentence("{count} is no number of plates from 1 to {most}", PLATE_FORM),
    "name.word": Sentence("{why}", "write shelf=50x6"),
    "length.unit": Sentence("{said}", "{way_out}"),
    "length.missing": Sentence("{said}", lambda facts: FORMS[str(facts["form"])]),
    "length.nothing": Sentence("{size} is not above 0", lambda facts: FORMS[str(facts["form"])]),
}
