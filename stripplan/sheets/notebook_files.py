"""All files of a notebook's report by name: paper, and a picture of each chart."""

from __future__ import annotations

from collections.abc import Sequence

from stripplan.model.report import Section
from stripplan.sheets.file_names import unlike
from stripplan.sheets.options import Page


def notebook_files(
    sections: Sequence[Section], *, title: str, page: Page = "a4", made_at: str | None = None
) -> dict[str, bytes]:
    """The report as PDF and its charts as SVG, ready for `writing.write_files`."""
    from stripplan.sheets.pdf.notebook_report import notebook_report
    from stripplan.sheets.picture.charts import svg_text

    files = {"notebook.pdf": notebook_report(sections, title=title, page=page, made_at=made_at)}
    charts = [chart for section in sections for chart in section.charts]
    names = unlike((chart.name for chart in charts), instead="chart")  # of processes, so a person's own
    files |= {f"chart-{name}.svg": svg_text(chart).encode() for name, chart in zip(names, charts, strict=True)}
    return files
