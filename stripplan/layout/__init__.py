"""Where cuts go: patterns for plates, how often each, and the bound beside them.

The door of the room: whoever is outside imports from here alone. `build_problem` turns plates and parts of one material
and thickness into whole units, `lay_out` solves that, `with_fillers` puts fillers into what is left. For parts that
found no place there are `OneByOne`, which tries them singly, and the diagnosis: `excluded`, `why_not`, `used_up`,
`not_found`.
"""

from stripplan.layout.bounds.material import LayoutBound, layout_bound, plates_missing
from stripplan.layout.bounds.total import LeastHands, total_bound
from stripplan.layout.fillers import with_fillers
from stripplan.layout.grid import MOST_UNITS, Grid, common_grid, exact, rounded_down, rounded_up, unit_of
from stripplan.layout.objective import HandTimes, Objective, objective_of
from stripplan.layout.parted_plates import RULES, AcrossFirst, Rule, across_first
from stripplan.layout.problem import Problem, Stock, build_problem, loosened
from stripplan.layout.shapes.blocks import ShapeToPlace, one_alone
from stripplan.layout.shapes.fits import on_some_plate
from stripplan.layout.shapes.freeing import Trouble, freed
from stripplan.layout.shapes.mix import FEW_SHAPES, Mix
from stripplan.layout.shapes.mixes import mixes
from stripplan.layout.solver import Layout, lay_out
from stripplan.layout.unplaced.diagnose import excluded, not_found, used_up, why_not
from stripplan.layout.unplaced.place_singly import OneByOne

__all__ = [
    "FEW_SHAPES",
    "MOST_UNITS",
    "RULES",
    "AcrossFirst",
    "Grid",
    "HandTimes",
    "Layout",
    "LayoutBound",
    "LeastHands",
    "Mix",
    "Objective",
    "OneByOne",
    "Problem",
    "Rule",
    "ShapeToPlace",
    "Stock",
    "Trouble",
    "across_first",
    "build_problem",
    "common_grid",
    "exact",
    "excluded",
    "freed",
    "lay_out",
    "layout_bound",
    "loosened",
    "mixes",
    "not_found",
    "objective_of",
    "on_some_plate",
    "one_alone",
    "plates_missing",
    "rounded_down",
    "rounded_up",
    "total_bound",
    "unit_of",
    "used_up",
    "why_not",
    "with_fillers",
]
