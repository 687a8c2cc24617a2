"""Sentences about lists of parts, in whatever file they come, and about CSV."""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence
from stripplan.wording.sentences.files.hints import nearest

_CSV = "save the list as CSV, UTF-8"


def _same_part(facts: Facts) -> str:
    own = "give each its own name"
    return f"they are alike: leave one out and add the quantities, or {own}" if facts["alike"] else own


def _unit(unit: object) -> str:
    return "inches" if unit == "in" else str(unit)


def _passed(facts: Facts) -> str:
    kinds = {
        "above": "above the header",
        "remarks": "headings and remarks",
        "totals": "totals",
        "again": "header again",
    }
    return "rows that are no parts were passed over: " + "; ".join(
        f"{{{key}}} ({words})" for key, words in kinds.items() if facts[key]
    )


SENTENCES: dict[str, Sentence] = {
    # several lists, and how they are read
    "same_list.job": Sentence("the list is named twice", "name it once"),
    "same_name.lists": Sentence("both hold a part called {name}", _same_part),
    "same_name.rows": Sentence("{count} parts are called {name}: the later ones are told apart by a number"),
    "option.tolerance": Sentence(
        "{file} is no drawing", "only an outline has a tolerance to be read with; leave it out"
    ),
    "option.layers": Sentence("{file} is no drawing", "only a drawing has layers; leave it out"),
    "option.layer_names": Sentence("{file} is no drawing", "only a drawing has layers; leave it out"),
    "option.leave_out": Sentence("{file} is no drawing", "only a drawing holds what is no part; leave it out"),
    "option.drill_later": Sentence("{file} is no drawing", "only a drawing has holes; leave it out"),
    "option.sheet": Sentence("{file} is no workbook", "only a workbook (.xlsx) has sheets; leave it out"),
    # the text of a CSV list
    "binary.spreadsheet": Sentence("this is a spreadsheet or archive, no CSV", _CSV),
    "binary.no_text": Sentence("this is no text file", _CSV),
    "encoding.guessed": Sentence("the list is not UTF-8 and was read as Windows-1252", "check its names"),
    "encoding.unknown": Sentence("the text is neither UTF-8 nor Windows-1252", _CSV),
    "csv.long_cell": Sentence("a cell is too long", 'is there a quote " that is not closed?'),
    # how many a name says
    "doubt.number": Sentence(
        "{text} may be one part of that name, or {count} of {name}: write {name} {count}x, or {whole} 1x"
    ),
    "doubt.counts": Sentence("what {text} counts can be read in two ways: write the count alone, as qty 4"),
    "doubt.stuck": Sentence("{text} may be a name, or a name and a count: write them apart, as Rail 6x, or Box2 1x"),
    # header and rows
    "empty.list": Sentence("the list is empty", "the first row names the columns: width, qty"),
    "empty.parts": Sentence("there is no part below the header", "add a row for each part"),
    "too_many.rows": Sentence("the list has too many rows", "at most {most:,}"),
    "too_many.columns": Sentence("the list has too many columns", "at most {most}"),
    "no_header.list": Sentence("this row holds no column names", "name them first: name, width, length, quantity"),
    "unknown_column.list": Sentence(
        "column {column} {cell} is not known",
        lambda facts: nearest(facts) + "; leave out a column that is not for the plan",
    ),
    "unknown_column.size": Sentence(
        "column {column} {cell} may be a size of the part", "name it width or length, or leave it out"
    ),
    "unknown_column.second": Sentence(
        "column {column} {cell} may be the {near} too, which another column holds", "leave out one of them"
    ),
    "unknown_column.number": Sentence(
        "column {column} {cell} counts 1, 2, 3 down the rows: it may number them, or say how many",
        "name it item no, or qty",
    ),
    "unknown_column.unit": Sentence("column {column} {cell} has a unit, but is no length", "name it {key}"),
    "same_column.list": Sentence("columns {one} and {other} both hold the {key}", "rename or leave out one of them"),
    "no_width.column": Sentence("no column holds the width", "name one `width`"),
    "no_width.row": Sentence("the width is missing", "each part has a width; end a heading with a colon"),
    "title.two": Sentence("the rows above the header say two things of the {what}: {one} and {other}", "leave out one"),
    "title.count": Sentence(
        "{said} above the header may ask for the whole list {count} times", "multiply the quantities, and leave it out"
    ),
    "title.units": Sentence(
        lambda facts: (
            f"the rows above the header say that bare numbers are in {_unit(facts['units'])}: they were read so"
        )
    ),
    "title.units_asked": Sentence(
        lambda facts: (
            f"the rows above the header say that bare numbers are in {_unit(facts['units'])}: they were read in "
            f"{_unit(facts['asked'])}, as asked"
        )
    ),
    "title.value": Sentence("the {what} {said} stands above the header: parts that say none have it"),
    "total.differs": Sentence(
        "the total says {said}, and the rows above come to {found}",
        "mend the row that is wrong, or leave out the total",
    ),
    "passed.rows": Sentence(_passed),
    "passed.columns": Sentence("columns that the plan does not need were passed over: {columns:|, }"),
    "size.differs": Sentence("the {what} is said twice, and differs", "say it once"),
    "too_wide.row": Sentence(
        "it has more cells than the header, which has {header}",
        "a decimal comma? write 12.5, or put semicolons between the columns",
    ),
    # cells
    "value.point": Sentence(
        "{said} can be read in two ways: nothing in the list tells whether its point parts thousands",
        "write {one} or {other}",
    ),
    "value.size": Sentence("{said} is no size of two or three figures", "write width x length, as 120 x 450"),
    "value.size_order": Sentence("{said} has {count} figures, and its column names three", "write all three"),
    "value.size_thickness": Sentence(
        "which figure of {said} is the thickness cannot be told", "name the column w x l x t, or give it one of its own"
    ),
    "value.gauge": Sentence(
        "{said} is a gauge, and gauges of steel, stainless and aluminium differ", "write the thickness in mm or inches"
    ),
    "value.no_quantity": Sentence("{said} is no whole number", "write {number}"),
    "value.quantity": Sentence("{count} is not from 1 to {most}", "leave out a row that is not wanted"),
    "value.yes_or_no": Sentence("{said} is neither yes nor no", "write yes or no"),
}
