"""What a person may choose of what is written."""

from __future__ import annotations

from typing import Literal

Page = Literal["a4", "letter"]
Form = Literal["full", "short"]
"""Of the setup sheet: cuts as blocks with a picture each, or as rows, many to a page."""
Cautions = Literal["with", "once"]
"""Whether cautions and how to work by the sheet go with each sheet, or hang at the rig as a poster, printed once."""
DxfVersion = Literal["R2000", "R2004", "R2007", "R2010", "R2013", "R2018"]
