"""All files of a notebook's report by name, paper and a picture of each chart; and the notebook itself, changed."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from stripplan.errors import Fault, InputError
from stripplan.model.report import Section
from stripplan.sheets.file_names import unlike
from stripplan.sheets.file_writer import write_file
from stripplan.sheets.options import Page


def notebook_files(
    sections: Sequence[Section], *, title: str, page: Page = "a4", made_at: str | None = None
) -> dict[str, bytes]:
    """The report as PDF and its charts as SVG, ready for `writing.write_files`."""
    from stripplan.sheets.pdf.notebook_report import notebook_report
    from stripplan.sheets.picture.charts.painter import svg_text
    from stripplan.sheets.rows.notebook import part_of, units_told

    parts, units = [part_of(each) for each in sections], units_told(sections)
    files = {"notebook.pdf": notebook_report(parts, title=title, units=units, page=page, made_at=made_at)}
    charts = [chart for part in parts for chart in part.charts]
    names = unlike((chart.name for chart in charts), instead="chart")  # of processes, so a person's own
    files |= {f"chart-{name}.svg": svg_text(chart).encode() for name, chart in zip(names, charts, strict=True)}
    return files


def rewrite(path: Path, before: bytes, after: bytes, *, kept: Path) -> None:
    """A changed text of a person's in place of the one that was read, which is `kept` beside it.

    Raises InputError where another program has changed it since, or it cannot be written.
    """
    if path.read_bytes() != before:
        raise InputError(Fault("changed", path.name, says="changed.elsewhere"))
    write_file(kept, before)
    write_file(path, after)
