"""Plates: full sheets and registered offcuts."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from stripplan.model.material import Family, family_of

EdgeState = Literal["mill", "cut", "dressed"]
PlateRolling = Literal["length", "width", "none"]

DENSITY: dict[Family | None, float] = {"mild steel": 7850.0, "stainless": 8000.0, "aluminium": 2700.0, None: 7850.0}
"""Density by family [kg/m3]. Mild steel and austenitic stainless: engineering tutorials; aluminium: from memory. What
is not known counts as steel.
"""


def density(material: str | None) -> float:
    """Density of a material by its plain name or its grade [kg/m3]; an unknown name counts as mild steel."""
    return DENSITY[family_of(material)]


def plate_mass(length: float, width: float, thickness: float, material: str | None) -> float:
    """Mass of a rectangle of plate [kg] from length, width and thickness [mm].

    >>> round(plate_mass(2000, 1000, 10, "mild steel"), 3)
    157.0
    """
    return length * width * thickness * density(material) * 1e-9


@dataclass(frozen=True, kw_only=True)
class Plate:
    """A rectangular piece of stock, or several alike.

    Lengths are mm, masses kg. `length` lies along x of the plate frame and need not be the longer
    side. `quantity` None means as many as needed (an offcut: 1). `edges` are the states of the edges
    y = 0, x = length, y = width, x = 0, in that order (counter-clockwise). A plate that is to be used
    `first` is filled before any other is taken. What its `note` says stands on the sheet.
    """

    name: str
    length: float
    width: float
    thickness: float | None = None
    material: str | None = None
    quantity: int | None = None
    cost: float | None = None
    price_per_kg: float | None = None
    offcut: bool = False
    measured: bool = False
    out_of_square: float = 0.0
    edges: tuple[EdgeState, EdgeState, EdgeState, EdgeState] = ("mill", "mill", "mill", "mill")
    rolling: PlateRolling = "none"
    process: str | None = None
    first: bool = False
    note: str = ""

    def __post_init__(self) -> None:
        _positive(self.name, length=self.length, width=self.width, thickness=self.thickness)
        if self.quantity is not None and self.quantity < 0:
            raise ValueError(f"plate {self.name}: quantity {self.quantity} is below 0")
        if self.cost is not None and self.price_per_kg is not None:
            raise ValueError(f"plate {self.name}: give cost or price_per_kg, not both")

    @property
    def limit(self) -> int | None:
        """How many there are; None = as many as needed."""
        return 1 if self.quantity is None and self.offcut else self.quantity

    @property
    def mass(self) -> float:
        """Mass [kg]; 0 while the thickness is not settled."""
        return plate_mass(self.length, self.width, self.thickness or 0.0, self.material)


def _positive(name: str, **lengths: float | None) -> None:
    for key, value in lengths.items():
        if value is not None and not (math.isfinite(value) and value > 0):
            raise ValueError(f"plate {name}: {key} {value} must be above 0")
