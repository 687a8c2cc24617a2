"""In what order: sibling order, datum edges, order of work, and what each set-up costs.

The door of the room: whoever is outside imports from here alone.
"""

from stripplan.sequence.aslant.records import with_blocks
from stripplan.sequence.aslant.settable import settable
from stripplan.sequence.aslant.spared import WAYS_OVER, Margins, Over, TreeOf
from stripplan.sequence.bounds.travel import travel_minutes
from stripplan.sequence.conditions import CutConditions
from stripplan.sequence.constraints import OrderConstraints, precedence_circle
from stripplan.sequence.cut_options import BenchPiece, ChosenCut
from stripplan.sequence.cut_order import CutOrder
from stripplan.sequence.part_sizes import UNEQUAL_SECONDS
from stripplan.sequence.place_reason import PlaceReason, RecordedOrder
from stripplan.sequence.search.best_order import best_order
from stripplan.sequence.search.instead import Instead, WhatIfNot, what_if_not
from stripplan.sequence.search.kept_order import RecordedCut, kept_order
from stripplan.sequence.to_plan import PiecesAndCuts, PlateToCut, pieces_and_cuts

__all__ = [
    "UNEQUAL_SECONDS",
    "WAYS_OVER",
    "BenchPiece",
    "ChosenCut",
    "CutConditions",
    "CutOrder",
    "Instead",
    "Margins",
    "OrderConstraints",
    "Over",
    "PiecesAndCuts",
    "PlaceReason",
    "PlateToCut",
    "RecordedCut",
    "RecordedOrder",
    "TreeOf",
    "WhatIfNot",
    "best_order",
    "kept_order",
    "pieces_and_cuts",
    "precedence_circle",
    "settable",
    "travel_minutes",
    "what_if_not",
    "with_blocks",
]
