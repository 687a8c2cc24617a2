"""Sentences about lists of what lies on the rack."""

from __future__ import annotations

from stripplan.wording.sentence import Sentence

SENTENCES: dict[str, Sentence] = {
    "stock.nothing": Sentence("there is no piece in it", "a row has length, width, thickness and material"),
    "stock.passed": Sentence("not needed, so passed over: {columns:|, }"),
    "stock.no_size": Sentence(
        "no column holds the size", "name two of them length and width, or one of them size: 2000x1000x6"
    ),
    "stock.no_size_in_row": Sentence("its length or width is missing"),
    "stock.no_material": Sentence(
        "it has no material", "give it a column, or say one for all rows, in the shell with --material"
    ),
    "stock.no_thickness": Sentence(
        "it has no thickness", "give it a column, or say one for all rows, in the shell with --thickness"
    ),
    "stock.material_missing": Sentence("it has no material", "a grade, as S235, or a family, as mild steel"),
    "stock.material": Sentence("{given} is not known", "did you mean {near}? Change it if so"),
    "stock.unlikely": Sentence(
        "no plate measures {sides:g| x }", "length x width x thickness, as 2000x1000x6; the thickness is the least"
    ),
    "stock.two_sides": Sentence("{given} is no size", "length x width, as 600x400, each above 0"),
    "stock.three_sides": Sentence(
        "{given} is no size of a piece", "length x width x thickness, as 2000x1000x6, each above 0"
    ),
    "stock.two_or_three_sides": Sentence(
        "{given} is no size of a piece",
        "length x width, as 610x410, or length x width x thickness, as 610x410x6, each above 0",
    ),
    "stock.thickness_alone": Sentence("{given} is no length above 0", "one figure, as 6"),
    "stock.kind": Sentence("{said} is no kind of piece", "plate or offcut"),
    "stock.quantity": Sentence("{said} is no quantity", "1 to {most}"),
    "stock.cost": Sentence("{said} is no amount of money", "as 45.50, for one piece"),
    "stock.outline": Sentence("{said} are no corners", "x,y of each in the order round the piece, as 0,0 400,0 0,300"),
    "stock.edges": Sentence("{said} are no edges", "mill, cut or dressed; one word for all, or four"),
    "stock.rolling": Sentence("{said} is no rolling direction", "length, width or none"),
    "stock.yes_or_no": Sentence("{said} is neither", "yes or no"),
    "stock.day": Sentence("{said} is no day", "as 2026-03-31, or 31.3.2026"),
    "stock.code_for_several": Sentence("one label cannot be on {count} pieces", "a row for each"),
}
