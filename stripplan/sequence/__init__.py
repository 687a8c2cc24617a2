"""In what order: sibling order, datum edges, order of work, and what each set-up costs.

The door of the room: whoever is outside imports from here alone.
"""

from stripplan.sequence.bounds.travel import travel_minutes
from stripplan.sequence.conditions import CutConditions
from stripplan.sequence.constraints import OrderConstraints, precedence_circle
from stripplan.sequence.cut_options import BenchPiece, ChosenCut
from stripplan.sequence.cut_order import CutOrder
from stripplan.sequence.place_reason import PlaceReason, place_reasons
from stripplan.sequence.search.best_order import best_order, quick_minutes
from stripplan.sequence.to_plan import PiecesAndCuts, PlateToCut, pieces_and_cuts

__all__ = [
    "BenchPiece",
    "ChosenCut",
    "CutConditions",
    "CutOrder",
    "OrderConstraints",
    "PiecesAndCuts",
    "PlaceReason",
    "PlateToCut",
    "best_order",
    "pieces_and_cuts",
    "place_reasons",
    "precedence_circle",
    "quick_minutes",
    "travel_minutes",
]
