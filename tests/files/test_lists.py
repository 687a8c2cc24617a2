"""Lists in whatever file they come: by the ending, to the same parts."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import openpyxl
import pytest

from stripplan.errors import InputError
from stripplan.files.job_toml import read_job
from stripplan.files.lists import read_list


def sizes(path: Path) -> list[tuple[float, float, int]]:
    return sorted((each.width, getattr(each, "length", 0.0), each.quantity) for each in read_list(path).parts)


def drawing(path: Path, *, slanted: bool = False) -> Path:
    """Two pads of 60 x 80 and one bar of 300 x 40 in mm, and perhaps a slanted outline."""
    document = ezdxf.new(units=4)
    for x, y, wide, high in ((0, 0, 60, 80), (100, 0, 60, 80), (0, 200, 300, 40)):
        points = [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)]
        document.modelspace().add_lwpolyline(points, close=True)
    if slanted:
        document.modelspace().add_lwpolyline([(500, 0), (600, 0), (650, 80), (500, 80)], close=True)
    document.saveas(path)
    return path


def test_the_same_list_in_each_kind_of_file(tmp_path: Path) -> None:
    """Two pads and a bar: from CSV, from a workbook, from a drawing and from a picture."""
    rows = [("width", "length", "qty"), (60, 80, 2), (40, 300, 1)]
    (tmp_path / "l.csv").write_text("\n".join(",".join(map(str, row)) for row in rows))
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    book.save(tmp_path / "l.xlsx")
    drawing(tmp_path / "l.dxf")
    shapes = '<rect x="0" y="0" width="60" height="80"/><rect x="90" y="0" width="60" height="80"/><rect x="0" y="99" width="300" height="40"/>'
    (tmp_path / "l.svg").write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="200mm" viewBox="0 0 400 200">{shapes}</svg>'
    )
    for name in ("l.csv", "l.xlsx", "l.dxf", "l.svg"):
        assert sizes(tmp_path / name) == [(40, 300, 1), (60, 80, 2)], name


def test_what_is_no_part_is_told(tmp_path: Path) -> None:
    """A slanted outline stays out, and the job's notes say so and where; a drawing without a part is refused with the same."""
    drawing(tmp_path / "frame.dxf", slanted=True)
    (tmp_path / "job.toml").write_text('cut_list = "frame.dxf"\n[[plate]]\nlength = 800\nwidth = 400\nthickness = 6\n')
    read = read_job(tmp_path / "job.toml")
    assert sum(part.quantity for part in read.job.parts) == 3
    assert any("is not taken" in note.sentence() for note in read.notes)
    document = ezdxf.new(units=4)
    document.modelspace().add_circle((0, 0), 50)
    document.saveas(tmp_path / "round.dxf")
    with pytest.raises(InputError, match="the drawing holds no part"):
        read_list(tmp_path / "round.dxf")
