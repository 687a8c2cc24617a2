"""The canvas of our PDFs."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from reportlab.lib.colors import Color, HexColor
from reportlab.pdfgen import canvas


class Canvas(canvas.Canvas):  # type: ignore[misc]
    """Knows its colours by "#RRGGBB" again: reportlab evaluates each text anew, some hundred thousand times in a large
    job."""

    def setFillColor(self, colour: Any, alpha: float | None = None) -> None:  # noqa: N802
        """As reportlab's own."""
        super().setFillColor(_colour(colour) if isinstance(colour, str) else colour, alpha)

    def setStrokeColor(self, colour: Any, alpha: float | None = None) -> None:  # noqa: N802
        """As reportlab's own."""
        super().setStrokeColor(_colour(colour) if isinstance(colour, str) else colour, alpha)


@lru_cache
def _colour(text: str) -> Color:
    return HexColor(text)
