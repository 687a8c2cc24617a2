"""What every table of our files has in common: unknown keys are faults, and a number is no text."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

Units = Literal["mm", "in"]


class Table(BaseModel):
    """A table of a file: unknown keys are refused, nothing is turned into another kind unasked."""

    model_config = ConfigDict(extra="forbid", strict=True, defer_build=True)
