"""What is said of a part without a place: why it cannot be made and what would help, or how many are missing.

A part is tried alone on an empty plate, by the questions that layout asks.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from stripplan.layout.grid import exact
from stripplan.layout.problem import Stock
from stripplan.layout.unplaced.case import Case, can_be_made, grid_of, mm_of, sides_of
from stripplan.layout.unplaced.offers import offers
from stripplan.layout.unplaced.one_part import Cutter
from stripplan.layout.unplaced.stopped_by import cannot_make, stopped_by
from stripplan.model.part import Part
from stripplan.wording.message import Fact, Facts, Message


def why_not(
    part: Part,
    stocks: Sequence[Stock],
    *,
    depth: int | None = None,
    others: Sequence[tuple[Message, Sequence[Stock]]] = (),
) -> Message:
    """What stops a part, and what would help; asked only for parts that no plate yields by itself.

    `others` are changes that only the caller can work out, with the plates and rules after them
    (two passes, say); they are offered where they help.

    >>> from stripplan.model.cut_rules import CutRules
    >>> from stripplan.model.part import Rectangle
    >>> from stripplan.model.plate import Plate
    >>> rules = CutRules(kerf=2, longest_one_pass=999, longest_two_pass=999, narrowest_offcut=10, fence_min=0,
    ...                  fence_max=999, marked=True)
    >>> stock = Stock(0, Plate(name="p", length=100, width=50, thickness=5, material="steel"), rules, cost=1.0)
    >>> found = why_not(Rectangle(name="a", length=95, width=50), [stock])
    >>> found.says, [change.says for change in found.facts["changes"]]
    ('sliver_left', ['a_tolerance', 'longer', 'smaller_plate', 'shorter'])
    """
    if not stocks:
        return cannot_make(
            "no_plate_of_kind", (), material=part.material or "its material", thickness=mm_of(part.thickness)
        )
    case = Case(part, tuple(stocks), depth)
    stopped = stopped_by(case)
    changes = tuple(change.message for change in offers(case, others))
    return replace(stopped, facts=Facts(**stopped.facts, changes=changes))


def excluded(
    part: Part, stocks: Sequence[Stock], *, depth: int | None, parts: Sequence[Part], rounding: float = 0.0
) -> bool:
    """Whether a part is shown to come from no plate, whatever else of `parts` is cut beside it.

    `rounding` is how much part and plates may have lost against each other before they came here [mm]. Where there was
    any, or no grid holds the sizes, only a part larger than every plate is excluded: a limit is met or missed by less.
    False proves nothing: the limits asked about are loosened (`Cutter.beside`). Without this question a part that only
    a neighbour makes possible would be called impossible: alone it leaves a sliver, beside another part it does not.
    """
    # A part stands beside others, and beside its own copies where more than one is wanted.
    beside = [side for each in parts if each is not part or part.quantity > 1 for side in sides_of(each)]
    narrowest = min(beside, default=math.inf)
    for stock in stocks:
        if stock.limit == 0 or _larger(part, stock, rounding):
            continue
        grid = None if rounding else grid_of(part, stock, *beside)
        if grid is None:
            return False
        if Cutter(stock.on(grid), depth).beside(min(narrowest, stock.rules.narrowest_offcut)).possible(part):
            return False
    return True


def _larger(part: Part, stock: Stock, rounding: float) -> bool:
    """Whether a part is larger than a plate, however it lies; exact, and asked in mm, so that it needs no grid."""
    room = [exact(stock.plate.width), exact(stock.plate.length)]
    sides = [exact(side) for side in sides_of(part)]
    # A strip does not turn: its one side is compared with the plate's width.
    pairs = zip(sorted(sides), sorted(room) if len(sides) > 1 else room, strict=False)
    return any(side > most + exact(rounding) for side, most in pairs)


def used_up(part: Part, count: int, stocks: Sequence[Stock], missing: int) -> Message:
    """How many of a part have no place, where a bound shows `missing` plates too few for all parts.

    Shown, not guessed: no search however long would find a place, so buying plates is the only advice.
    """
    facts = Facts(count=count, wanted=part.quantity, stock=_limited(stocks), missing=missing)
    return Message("stock_used_up", facts=facts)


def not_found(part: Part, count: int, stocks: Sequence[Stock], steps: int, *, depth: int | None = None) -> Message:
    """How many of a part have no place and what was searched, where nothing shows that there is none.

    The steps are said because more of them may find it; a plate is named where more of it surely would.
    """
    serving = [stock.plate.name for stock in stocks if can_be_made(part, stock, depth)]
    facts = {"count": count, "wanted": part.quantity, "steps": steps}
    # No plate is known to yield it alone, so none can be named of which more would help.
    if not serving:
        return Message("not_found", facts=Facts(**facts), says="not_found_alone")
    return Message("not_found", facts=Facts(**facts, stock=_limited(stocks), more=serving[0]))


def _limited(stocks: Sequence[Stock]) -> tuple[Fact, ...]:
    """The plates of which there are only so many; one that is there without limit never stopped a part."""
    limited = ((stock.plate.name, stock.limit) for stock in stocks)
    return tuple(Message("plates_there", name, Facts(limit=limit)) for name, limit in limited if limit is not None)
