"""Sentences about workbooks."""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence
from stripplan.wording.sentences.files.hints import nearest

_SAVE = "save the list as .xlsx or CSV"
_ALONE = "keep the cut list alone in a new workbook"
_AGAIN = "save it again from its program"


def _more(facts: Facts) -> str:
    return " and {more} more" if facts["more"] else ""


SENTENCES: dict[str, Sentence] = {
    # the archive
    "binary.xls": Sentence("this is an old .xls workbook, or one with a password", f"{_SAVE}, without a password"),
    "binary.no_workbook": Sentence("this is no workbook (.xlsx), or it is damaged", _SAVE),
    "binary.open_document": Sentence("this is an OpenDocument sheet, no .xlsx workbook", _SAVE),
    "binary.archive": Sentence("this is an archive, no .xlsx workbook", _SAVE),
    "binary.document_type": Sentence("{member} in it declares a document type, as no workbook does", _SAVE),
    "binary.workbook": Sentence("the workbook cannot be read", _SAVE),
    "binary.sheet": Sentence("the workbook is damaged", "open it in a spreadsheet program and save it again"),
    "too_large.archive": Sentence("the archive holds too many files", "at most {most:,}"),
    "too_large.unpacked": Sentence(
        "the workbook unpacks to {size:,.0f} MB", "at most {most} MB; keep the cut list alone"
    ),
    "too_large.marks": Sentence("the workbook holds {count:,} marks ({kind})", f"at most {{most:,}}; {_ALONE}"),
    "too_large.sheets": Sentence("the workbook has {count:,} large sheets", _ALONE),
    "not_installed.openpyxl": Sentence(
        "workbooks are read by the library openpyxl, which is not installed",
        "pip install 'stripplan[xlsx]', or save the list as CSV",
    ),
    # the sheet
    "too_many.sheet_columns": Sentence(
        "something stands in cell {cell}: the list has too many columns", "at most {most}"
    ),
    "no_sheet.name": Sentence("there is no sheet {sheet}", nearest),
    "no_sheet.hidden": Sentence("there is no sheet that is not hidden", "name the sheet to read"),
    "sheets.first": Sentence(
        lambda facts: (
            "only the first sheet was read, {first}, and not {others:|, }" + ("" if facts["all_said"] else " ...")
        ),
        "--list-sheet, or sheet beside the file in cut_list, names another",
    ),
    "sheets.only": Sentence(
        lambda facts: (
            "sheet {first} was read, which alone holds a list, and not {others:|, }"
            + ("" if facts["all_said"] else " ...")
        ),
        "--list-sheet, or sheet beside the file in cut_list, names another",
    ),
    "merged.cells": Sentence(
        "cells {cells} are merged, so that only the first of them holds a value",
        "take the merge apart and fill each cell",
    ),
    "formulas.read": Sentence(
        "results of formulas were read as they were last saved", "save the workbook after a change"
    ),
    "hidden.rows": Sentence(
        lambda facts: "hidden rows were read too: {first:|, }" + _more(facts),
        "delete the rows that are not for the plan",
    ),
    "hidden.columns": Sentence(
        lambda facts: "hidden columns were read too: {first:|, }" + _more(facts),
        "delete the columns that are not for the plan",
    ),
    # cells
    "value.no_result": Sentence(
        "the formula has no stored result", "open it in a spreadsheet program and save it again"
    ),
    "value.cell_error": Sentence("the cell shows the error {error}", "mend its formula"),
    "value.cell_date": Sentence(
        "the cell holds a date or time, {shown}",
        "a spreadsheet makes a date of 3/8 typed in: format the cell as text, and write 3/8 in",
    ),
    "value.cell_not_finite": Sentence("the cell holds no finite number", "write a plain number"),
    # what is out of order as it is stored
    "value.sheet_marks": Sentence("the sheet holds more than a list", _ALONE),
    "value.column_twice": Sentence("column {column} is described twice: the workbook is damaged", _AGAIN),
    "value.row_order": Sentence("row {row} follows row {before}: the workbook is damaged", _AGAIN),
    "value.cell_place": Sentence("cell {cell} is out of its place: the workbook is damaged", _AGAIN),
    "value.row_cells": Sentence("row {row} has too many cells: the workbook is damaged", _AGAIN),
}
