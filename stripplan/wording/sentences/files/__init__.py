"""Sentences about what people hand in, by what is read. A key is the code of the fault, a point, and which of its
kind.
"""

from __future__ import annotations

from stripplan.wording.sentence import Sentence
from stripplan.wording.sentences.files import any_file, drawing, job, notebook, parts_list, rig, stock, toml, workbook

SENTENCES: dict[str, Sentence] = {
    **any_file.SENTENCES,
    **toml.SENTENCES,
    **job.SENTENCES,
    **rig.SENTENCES,
    **notebook.SENTENCES,
    **parts_list.SENTENCES,
    **workbook.SENTENCES,
    **stock.SENTENCES,
    **drawing.SENTENCES,
}
