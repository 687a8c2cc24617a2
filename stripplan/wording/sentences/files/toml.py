"""Sentences about TOML files and the values in them."""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence
from stripplan.wording.sentences.files.hints import nearest

PRESSURE_FORM = 'write bar as a number, or text such as "75 psi"'
SHARE_FORM = 'write "2 %" or 0.02; it is below 1'
_PAIR = Sentence("this is not TOML: this line is no `key = value`", "write width = 50")
_LIST = "write [ ... ]"
_TABLE = "write its keys below a header in brackets"


def _value_meant(otherwise: str) -> Sentence:
    """The hint at a value that was probably meant: a number with a decimal comma, or text without its quotes."""

    def hint(facts: Facts) -> str:
        if "number" in facts:
            return "write {number}"
        return 'write "{text}" in quotes' if "text" in facts else otherwise

    return Sentence("", hint)


def _listed(otherwise: str, facts: Facts) -> str:
    return "write [[{table}]] in double brackets" if "table" in facts else otherwise


def _bound(facts: Facts) -> str:
    return "above {least:g}" if facts["above"] else "at least {least:g}"


SENTENCES: dict[str, Sentence] = {
    # the text of the file
    "toml.no_value": Sentence(
        "this is not TOML: a value is missing or not understood",
        _value_meant("text stands in quotes, numbers do not").hint,
    ),
    "toml.more_after_value": Sentence(
        "this is not TOML: something follows the value",
        _value_meant("one `key = value` a line; text stands in quotes").hint,
    ),
    "toml.no_pair": _PAIR,
    "toml.key_twice": Sentence("this is not TOML: a key stands twice in one table", "keep one of the two"),
    "toml.open_text": Sentence("this is not TOML: a text is not closed", "put quotes at its end"),
    "toml.open_list": Sentence("this is not TOML: a list is not closed", "end it with ]"),
    "toml.open_header": Sentence("this is not TOML: a header is not closed", "write [[part]] or [options]"),
    "toml.backslash": Sentence(
        "this is not TOML: a \\ in a text has no meaning", "write / in paths, or put the text in single quotes"
    ),
    "toml.table_twice": Sentence(
        "this is not TOML: a table stands twice", "write [[plate]] and [[part]] in double brackets, others once"
    ),
    "toml.syntax": Sentence("this is not TOML: {said}", "text stands in quotes"),
    "toml.digits": Sentence("the file holds a number of thousands of digits", "correct it"),
    "toml.nested": Sentence("lists or tables are nested too deeply", "see a job as an example"),
    "toml.long_line": Sentence("the line has more than {most:,} letters", "break it up"),
    "toml.points": Sentence("the line has more than {most:,} points", "break it up"),
    # keys and shapes
    "missing.key": Sentence("is missing", "{purpose}"),
    "unknown_key.table": Sentence("this key is not known", nearest),
    "shape.bool_type": Sentence("{shown} must be true or false", "write true or false, without quotes"),
    "shape.string_type": Sentence("{shown} must be text", "put it in quotes"),
    "shape.list_type": Sentence("{shown} must be a list", lambda facts: _listed(_LIST, facts)),
    "shape.tuple_type": Sentence("{shown} must be a list", _LIST),
    "shape.model_type": Sentence("{shown} must be a table", lambda facts: _listed(_TABLE, facts)),
    "shape.dict_type": Sentence("{shown} must be a table", _TABLE),
    "shape.string_too_long": Sentence("{shown} is too long", "at most {most} letters"),
    "shape.too_short": Sentence(
        lambda facts: "{shown} has one entry" if facts["count"] == 1 else "{shown} has {count} entries",
        "{least} are wanted",
    ),
    "shape.too_long": Sentence("{shown} has too many entries", "at most {most:,}"),
    "shape.other": Sentence("{shown} {said}"),
    "value.rig": Sentence("this is neither text nor a table", "name a file or a profile in quotes, or write [rig]"),
    "value.only": Sentence("{said} is not {only!r}", 'write "{only}", or leave the key out'),
    "value.choice": Sentence("{said} is not known here", nearest),
    # values
    "value.unit": Sentence("{said}", "{way_out}"),
    "value.no_length": Sentence("this is no length", 'write a number, or text such as "10 in"'),
    "value.no_speed": Sentence("this is no speed", 'write a number, or text such as "24 in/min"'),
    "value.negative": Sentence(
        lambda facts: "{said} is below 0" if facts["zero"] else "{said} is not above 0",
        "no {key} is below 0; write {positive}",
    ),
    "value.zero": Sentence("{said} is not above 0", "write a {key} above 0"),
    "value.quoted_number": Sentence("{said} is text", "write {number} without quotes"),
    "value.no_number": Sentence("{said} is no number", "write a plain number without unit"),
    "value.not_finite": Sentence("{said} is no finite number", "write a plain number"),
    "value.too_large": Sentence("the number is too large", "{most:,} is the most"),
    "value.too_little": Sentence(
        lambda facts: "{said} is not " + _bound(facts), lambda facts: "write a number " + _bound(facts)
    ),
    "value.too_many": Sentence("{said} is too many", "at most {most:,.0f}"),
    "value.too_much": Sentence("{said} is too much", "at most {most:,.0f}"),
    "value.no_whole_number": Sentence(
        "{said} is no whole number",
        lambda facts: "write {number} without quotes" if "number" in facts else "write a whole number",
    ),
    "value.between": Sentence("{said} is no whole number", "write {below} or {beyond}"),
    "value.no_pressure": Sentence("{said} is no pressure", PRESSURE_FORM),
    "value.pressure": Sentence(
        lambda facts: "{bar:g} bar is too much" if facts["bar"] else "{bar:g} bar is not above 0", PRESSURE_FORM
    ),
    "value.no_share": Sentence("{said} is no share", SHARE_FORM),
    "value.whole_share": Sentence("{said} is all of it or more", SHARE_FORM),
    "value.bare_percent": Sentence("{said} is all of it or more", 'write "{number} %" in quotes'),
    "value.no_name": Sentence("this is no text", "write a name in quotes"),
    "value.empty_name": Sentence("the name is empty", "write a name, or leave the key out"),
    "value.control_character": Sentence("{said} holds a control character", "one line of plain text"),
    "value.long_name": Sentence("the name has {count} letters", "at most {most}"),
    "value.no_file_name": Sentence("this is no text", "write the file's name in quotes"),
    "value.empty_file_name": Sentence("the name is empty", "name a file"),
    "value.no_date": Sentence("{said} is no date", "write year-month-day, as 2026-05-30"),
    "value.ends": Sentence("{said} are no angles of two ends", "write 45/45, or one angle for both"),
    "value.bevels": Sentence(
        "{said} is no bevel", 'write edge, angle, root face: "long 30/2", "right 45 both", "2 30 deep 4 other"'
    ),
    "value.bevel_angle": Sentence("a bevel of {angle:g} degrees", "above 0 and up to 60, from the vertical"),
    "value.corners": Sentence(
        "{said} does not say what is clipped off four corners",
        "write one length for all, or four: 20/20/0/0"
        """, or 1/2"; 1/2"; 0; 0""",
    ),
    "value.clip": Sentence(
        "{count} figures are given for one corner", "write one length, or two: along and across, [20, 30]"
    ),
}
