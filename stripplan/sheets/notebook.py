"""All files of a notebook's report by name: paper, and a picture of each chart."""

from __future__ import annotations

import re
from collections.abc import Sequence

from ..model.report import Section
from .choices import Page


def notebook_files(
    sections: Sequence[Section], *, title: str, page: Page = "a4", made_at: str | None = None
) -> dict[str, bytes]:
    """The report as PDF and its charts as SVG, ready for `folder.write_files`."""
    from .charts import svg_text
    from .notebook_pdf import notebook_report

    files = {"notebook.pdf": notebook_report(sections, title=title, page=page, made_at=made_at)}
    for chart in (chart for section in sections for chart in section.charts):
        name, number = f"chart-{_plain(chart.name)}", 1
        while f"{name}.svg" in files:  # two names that look alike without their marks
            number += 1
            name = f"chart-{_plain(chart.name)}-{number}"
        files[f"{name}.svg"] = svg_text(chart).encode()
    return files


def _plain(name: str) -> str:
    """A chart's name as a file's: names of processes are a person's own.

    >>> _plain("speed-6 mm / 30 A")
    'speed-6-mm-30-A'
    """
    return re.sub(r"[^\w]+", "-", name).strip("-")[:60] or "chart"
