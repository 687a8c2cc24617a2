"""What the page asks for that may take long: run in a process of its own (`worker`), plain values in and out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stripplan.wording.show import worded

if TYPE_CHECKING:
    from stripplan.model.report import Section

STANDINGS = ("testing", "untested", "enough")
"""In what order the page shows the next test cuts."""

Tell = Callable[[dict[str, Any]], None]
Stop = Callable[[], bool]


def planned(data: dict[str, Any], folder: str, *, tell: Tell, stop: Stop) -> dict[str, Any]:
    """A plan of the job in a table: its text and what the page shows of it. Raises what the front door raises."""
    from stripplan.files.job.read import job_from
    from stripplan.files.toml.document import TomlFile
    from stripplan.model.search_progress import Progress
    from stripplan.planner import plan
    from stripplan.sheets.plan_json import plan_text
    from stripplan.web.plan_for_page import shown

    read = job_from(TomlFile("the list", "", data, Path(folder)), name="job")

    def progress(each: Progress) -> None:
        gap = each.gap
        tell({"words": each.words, "share": each.share, "gap": gap})

    made = plan(read.job, read.rig, progress=progress, stop=stop)
    return {"text": plan_text(made), "shown": shown(made), "notes": [note.sentence() for note in read.notes]}


def written(text: str, name: str, choices: dict[str, str], *, tell: Tell, stop: Stop) -> bytes:
    """One file of a plan by its name, as the command line writes it.

    Raises InputError; so it does where the plan is not sound, for every file but the plan file itself.
    """
    from stripplan.errors import Fault, InputError
    from stripplan.files.plan.read import plan_from
    from stripplan.planner import unsound
    from stripplan.sheets.cuts_csv import cut_list
    from stripplan.sheets.dxf.drawing import job_drawing, plate_drawing
    from stripplan.sheets.labels.label_sheet import label_sheet
    from stripplan.sheets.labels.labels import labels
    from stripplan.sheets.pdf.setup_sheet import setup_sheet
    from stripplan.sheets.picture import png, svg
    from stripplan.sheets.picture.animation import sequence_svg
    from stripplan.sheets.plan_json import plan_text
    from stripplan.wording.message import Facts

    del tell, stop  # none of these takes long enough to be asked
    made = plan_from(text, name="the plan")
    stem, _, ending = name.rpartition(".")
    plate = stem.removeprefix("plate-").removeprefix("sequence-")
    version: Any = choices.get("dxf", "R2000")
    if plate != stem and plate not in {each.id for each in made.plates}:
        raise InputError(Fault("no_plan", name, facts=Facts(plate=plate), says="no_such_plate"))
    if name == "plan.json":
        return plan_text(made).encode()
    if faults := [replace(each, where="") for each in unsound(made)]:
        raise InputError([*faults, Fault("not_printed", "", facts=Facts(file=name), says="not_made")])
    if name == "setup-sheet.pdf":
        page: Any = choices.get("page", "a4")
        form: Any = choices.get("form", "full")
        return setup_sheet(made, page=page, form=form)
    if name == "labels.pdf":
        return labels(made, label_sheet(choices.get("grid", "a4-3x8-70x36")))
    if name == "cut-list.csv":
        return cut_list(made).encode()
    if name == "job.dxf":
        return job_drawing(made, version=version)
    if ending == "dxf":
        return plate_drawing(made, plate, version=version)
    if stem.startswith("sequence-"):
        return sequence_svg(made, plate).encode()
    picture = svg.plate_picture(made, plate)
    return png.png(picture) if ending == "png" else picture.encode()


def reported(rig: str, *, tell: Tell, stop: Stop) -> dict[str, Any]:
    """What a profile's notebook says: the next test cuts, and part by part; charts are pictures with their words."""
    from stripplan.planner import report
    from stripplan.sheets.picture.charts import described, svg_text
    from stripplan.sheets.rows.notebook import part_of, units_told
    from stripplan.web.store import profiles

    del tell, stop
    profile = profiles.profile(rig)
    sections = report(profiles.rig_of(profile, profiles.book_of(profile)))
    return {
        "units": units_told(sections),
        "next": next_cuts(sections),
        "parts": [
            {
                "title": part.title,
                "problem": part.problem,
                "lines": list(part.lines),
                "table": [list(row) for row in part.table],
                "charts": [{"words": described(chart), "svg": svg_text(chart)} for chart in part.charts],
            }
            for part in map(part_of, sections)
        ],
    }


def next_cuts(sections: Sequence[Section]) -> list[dict[str, str]]:
    """The next test cut of each process: those under test, those without a cut, those that are done.

    `speed` [mm/min] is "" where there is nothing more to test.
    """
    from stripplan.sheets.rows.notebook import units_of

    cuts = [(each, units_of(section)) for section in sections for each in section.next_cuts]
    return [
        {
            "process": each.process,
            "speed": "" if each.speed is None else f"{each.speed:g}",
            "words": worded(each.said, units).text,
        }
        for each, units in sorted(cuts, key=lambda pair: STANDINGS.index(pair[0].standing))
    ]
