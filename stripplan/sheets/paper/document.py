"""Sections as the bytes of a PDF."""

from __future__ import annotations

import io
from collections.abc import Sequence

from stripplan.sheets.paper.canvas import Canvas
from stripplan.sheets.paper.flow import Frame, Section, draw_pages, paginate
from stripplan.sheets.paper.text import REGULAR


def document(
    found: Sequence[Section],
    on: Frame,
    around: tuple[str, str, str],
    title: str,
    *,
    subject: str,
    by: str,
    checked: bool = True,
) -> bytes:
    """Sections dealt out to pages and drawn. `around` are left and right of the head of each page and its foot, `by` is
    the version of the program; each page is stamped where what it shows was not `checked`.
    """
    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=(on.width, on.height), invariant=1, lang="en-GB", initialFontName=REGULAR)
    canvas.setTitle(title)
    canvas.setSubject(subject)
    canvas.setCreator(f"stripplan {by}")
    canvas.setAuthor("stripplan")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    canvas.showOutline()
    draw_pages(canvas, paginate(found, on.room), on, *around, checked=checked)
    canvas.save()
    return stream.getvalue()
