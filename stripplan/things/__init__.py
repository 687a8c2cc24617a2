"""From a thing to its strips: open frame, box, base with ribs, shelf bracket, from outer sizes to a list of pieces."""

from __future__ import annotations

from stripplan.things.base import Base
from stripplan.things.box import Box
from stripplan.things.bracket import Bracket
from stripplan.things.frame import Frame
from stripplan.things.thing import Piece, Solid, Thing, View
from stripplan.things.typed import KINDS, Maker, typed_thing

__all__ = ["KINDS", "Base", "Box", "Bracket", "Frame", "Maker", "Piece", "Solid", "Thing", "View", "typed_thing"]
