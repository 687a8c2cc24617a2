"""The parts of a plan as rows: sizes wanted and expected, how true they will be, what to mind."""

from __future__ import annotations

from collections.abc import Iterator

from stripplan.model.part import Part, Shape
from stripplan.model.plan.plan import Accuracy, ExpectedOfShape, PartLine
from stripplan.sheets.rows.forms import detail_of, form_of, is_mirrored, sides_of
from stripplan.sheets.rows.lookup import Bench
from stripplan.sheets.rows.part_notes import notes_of
from stripplan.sheets.rows.row_types import PartRow
from stripplan.sheets.rows.work.bevels import bevel_trueness
from stripplan.wording.figures import show_about, show_exact, show_fine


def part_row(bench: Bench, line: PartLine, *, said: bool) -> PartRow:
    width, length = line.size_wanted
    given = next((each for each in bench.plan.job.parts if each.name == line.name), None)
    allowance = 0.0 if given is None else given.allowance
    form = ""
    if isinstance(given, Shape):
        form, (length, width) = form_of(given.outline).word, sides_of(given.outline)
    detail = detail_of(given.outline, bench.long) if isinstance(given, Shape) else ""
    wanted = f"{bench.long(length) if length is not None else 'as the plate'} × {bench.long(width)}"
    ends = 0.0 if length is None else allowance
    return PartRow(
        name=line.name,
        wanted=line.wanted,
        made=line.made,
        size=f"{form} {wanted}".strip(),
        as_cut=f"cut {bench.long(allowance)} over on each edge" + ("" if ends else ", length as it comes")
        if allowance
        else "",
        expected=tuple(
            f"{show_fine(each[1], bench.units)} × {show_fine(each[0], bench.units)}" for each in line.size_expected
        ),
        tolerance=", ".join(
            [
                *(f"{each.of} ±{show_fine(each.likely, bench.units)}" for each in line.accuracy),
                *_least_true(bench, line),
            ]
        ),
        pieces=tuple(piece.id for piece in bench.plan.pieces if piece.kind == "part" and piece.part == line.name),
        filler=line.filler,
        trueness=(
            *([detail] if detail else []),
            *_mirrored(bench, given),
            *_trueness(bench, line, said=said),
            *bevel_trueness(bench, line.name),
            *_not_foretold(bench, given, line),
        ),
        notes=notes_of(bench.plan.job).get(line.name, ()),
    )


def _most(size: Accuracy | ExpectedOfShape) -> str:
    """What a doubt about a size comes from, most of it."""
    most = [f"{doubt.cause}{' (assumed)' if doubt.assumed else ''}" for doubt in size.doubts[:2]]
    return " and ".join(most)


def most_of_all(bench: Bench) -> str:
    """The same where it is one thing for all sizes of all parts, so that it is said once; empty where it is not."""
    told = {_most(each) for line in bench.plan.parts for each in line.accuracy}
    return told.pop() if len(told) == 1 else ""


def of_all_sizes(bench: Bench) -> tuple[str, ...]:
    """What holds for how true all sizes are, said once."""
    if not any(line.accuracy for line in bench.plan.parts):
        return ()
    most = most_of_all(bench)
    told = f"Most of what sizes may be off comes from {most}. " if most else ""
    return (f"{told}9013, 2768-1: classes of ISO 9013 and ISO 2768-1 that are likely met; * as a yardstick.",)


def _trueness(bench: Bench, line: PartLine, *, said: bool) -> Iterator[str]:
    """How true each size will be, and what that comes from where that is not `said` of all; how far the part will
    bow."""
    told: dict[str, list[str]] = {}
    for each in line.accuracy:
        words = f"±{show_fine(each.likely, bench.units)} likely, ±{show_fine(each.worst, bench.units)} at worst"
        most = "" if said else f"; most of it from {_most(each)}"
        told.setdefault(f"{words}{_kept(bench, each)}{most}; {_in_few(each.classes)}", []).append(each.of)
    for of in line.shape:
        words = f"±{_plus_minus(bench, of, of.likely)} likely, ±{_plus_minus(bench, of, of.worst)} at worst"
        most = f"; most of it from {_most(of)}"
        told.setdefault(f"{words}{_kept(bench, of)}{most}", []).append(_of_shape(bench, of))
    yield from (f"{' and '.join(of)}: {words}" for words, of in told.items())
    if line.bow is not None:
        bow, low, high = (show_fine(each, bench.units) for each in (line.bow.bow, line.bow.low, line.bow.high))
        limit = f"; {show_fine(line.bow.limit, bench.units)} allowed" if line.bow.limit is not None else ""
        yield f"bow: about {bow} ({low} to {high}; {'as measured' if line.bow.calibrated else 'a model'}){limit}"
    if line.touch_minutes is not None:
        yield f"too hot for bare hands for about {show_about(line.touch_minutes)} after its cuts (a model)"


def _least_true(bench: Bench, line: PartLine) -> Iterator[str]:
    """The least true length of a shape, and its corners."""
    lengths = [each for each in line.shape if each.of != "angle"]
    if lengths:
        yield f"±{show_fine(max(each.likely for each in lengths), bench.units)}"
    yield from (f"corners ±{_plus_minus(bench, each, each.likely)}" for each in line.shape if each.of == "angle")


def _kept(bench: Bench, size: Accuracy | ExpectedOfShape) -> str:
    """What is asked of a size, and whether it is likely kept."""
    if size.asked is None:
        return ""
    return f"; ±{show_exact(size.asked, bench.units)} asked: {'likely kept' if size.met else 'NOT LIKELY KEPT'}"


def _of_shape(bench: Bench, size: ExpectedOfShape) -> str:
    """Which size of a shape is meant."""
    if size.of == "angle":
        return "corners"
    return f"{bench.long(size.size)} {'between two edges' if size.of == 'across' else 'along an edge'}"


def _plus_minus(bench: Bench, size: ExpectedOfShape, value: float) -> str:
    return f"{value:.1f}°" if size.of == "angle" else show_fine(value, bench.units)


def _in_few(classes: str) -> str:
    """Classes as the check list says them of each part: what they are is said once, and the plan file has why they are
    a yardstick only.

    >>> _in_few("ISO 9013 class 2 (outside its scope: a yardstick), ISO 2768-1 class v")
    '9013: 2*, 2768-1: v'
    """
    short = classes.replace(" (outside its scope: a yardstick)", "*")
    return short.replace("ISO 9013 class ", "9013: ").replace("ISO 2768-1 class ", "2768-1: ")


def _mirrored(bench: Bench, given: Part | None) -> Iterator[str]:
    """Pieces of a shape that come out in mirror image: the face that was up is the other one."""
    if isinstance(given, Shape):
        made = (piece for piece in bench.plan.pieces if piece.kind == "part" and piece.part == given.name)
        if found := [piece.id for piece in made if is_mirrored(piece.outline, given.outline_as_cut)]:
            yield f"in mirror image, to be turned over: {', '.join(found)}"


def _not_foretold(bench: Bench, given: Part | None, line: PartLine) -> Iterator[str]:
    """What is asked of a straight-sided shape where a plan of before does not say how true it will be."""
    if isinstance(given, Shape) and given.plus_minus is not None and not line.shape:
        asked = show_exact(given.plus_minus, bench.units)
        yield f"±{asked} asked: not foretold of such a shape, measure the first one"
