"""The same for a job of few cuts, in few lines beside the drawing of its plate."""

from __future__ import annotations

from stripplan.sheets.paper.flow import HEADING_GAP, Box, Section, Words
from stripplan.sheets.paper.text import DESK, NEAR, markup
from stripplan.sheets.pdf.job.boxes import BOX, line_of
from stripplan.sheets.pdf.job.check_list import IN_ONE, ticks_of
from stripplan.sheets.pdf.job.first_page import letters_lacking, measure_rows, setting_told
from stripplan.sheets.pdf.job.how_to_read import plate_legend
from stripplan.sheets.rows.row_types import PartRow, Sheet


def stock_lines(sheet: Sheet, width: float) -> list[Box]:
    """What to take off the rack, two lines a plate."""
    found: list[Box] = []
    for each in sheet.stock:
        note = f" ({each.note})" if each.note else ""
        heavy = markup(f": {each.lifting}", bold=True) if each.lifting else ""
        first = f"{BOX} {markup(each.plate, bold=True)} {markup(each.stock + note)}"
        second = f"{markup(f'{each.size} {each.material}')} {markup(each.mass)}{heavy}"
        found.append(Words(f"{first}<br/>{second}", width, DESK))
    return found


def mind_lines(sheet: Sheet, width: float) -> list[Box]:
    """All that is to be minded, what comes first in bold."""
    found: list[Box] = [line_of(f"! {each}", width, bold=True) for each in sheet.first]
    found += measure_rows(sheet, width) if sheet.measure_first else []
    return [*found, *(line_of(f"! {each}", width, size=NEAR) for each in [*sheet.warnings, *letters_lacking(sheet)])]


def part_lines(sheet: Sheet, width: float) -> list[Box]:
    """Each part with a box for each of its pieces, and the offcuts to register, in few lines."""
    found: list[Box] = []
    for part in sheet.parts:
        for number, row in enumerate(
            part.pieces[at : at + IN_ONE] for at in range(0, max(1, len(part.pieces)), IN_ONE)
        ):
            told = f"{markup(part.name, bold=True)} {_in_few(part)} " if not number else ""
            found.append(Words(told + ticks_of(row), width, DESK))
    for each in sheet.offcuts:
        words = f"{each.size} {each.material} {each.mass}, rack place ________"
        found.append(Words(f"{markup('Offcut', bold=True)} {ticks_of((each.piece,))} {markup(words)}", width, DESK))
    return found


def _in_few(part: PartRow) -> str:
    """Wanted and made, sizes, how true, in one line."""
    expected = "; ".join(part.expected) + (f" ({part.tolerance})" if part.tolerance else "")
    size = part.size + (f" ({part.as_cut})" if part.as_cut else "")
    short = markup(" SHORT", bold=True) if part.made < part.wanted else ""
    count = f"filler, {part.made}" if part.filler else f"{part.wanted}, {part.made}"
    return markup(count) + short + markup(f"; {size}; {expected}" if expected else f"; {size}")


def rests_in_few(sheet: Sheet, width: float) -> Box:
    """What the plan rests on, and what of it is to be checked, in small print."""
    rests = "; ".join(setting_told(each) for each in (*sheet.settings, *sheet.measured))
    assumed = f"Assumed figures that move the minutes: {'; '.join(sheet.assumed_times)}." if sheet.assumed_times else ""
    return Words(f"{markup('Rests on:', bold=True)} {rests}. {markup(assumed)}", width, NEAR, above=HEADING_GAP / 3)


def behind_in_few(sheet: Sheet, width: float) -> Section:
    """What stands behind the plan, in small print: what it comes to, how good it is, how true the parts will be."""
    told = [
        ("How good", markup(" ".join([*sheet.proof, *([sheet.other_order] if sheet.other_order else [])]))),
        *(("Sizes", markup(each)) for each in sheet.of_all_sizes),
        *((part.name, markup("; ".join(part.trueness))) for part in sheet.parts if part.trueness),
    ]
    boxes = [Words(f"{markup(what + ':', bold=True)} {text}", width, NEAR) for what, text in told]
    boxes = [totals_in_few(sheet, width), *boxes, plate_legend(sheet, width)]
    return Section("Behind the plan", [], boxes, fresh=False, whole=True)


def totals_in_few(sheet: Sheet, width: float) -> Words:
    """What the plan comes to, in small print."""
    totals = "; ".join(f"{what}: {figure}" for what, figure in sheet.totals)
    return Words(f"{markup('Totals:', bold=True)} {markup(f'{totals}.')}", width, NEAR)
