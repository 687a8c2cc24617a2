"""The one random generator of the searches; its twin in C is rng.h, and a test compares the two."""

from __future__ import annotations

MASK = (1 << 64) - 1


class Rng:
    """splitmix64 (G. L. Steele, D. Lea, C. H. Flood, OOPSLA 2014, 453-472; from memory): any seed will do, and so few
    lines that both twins are the same at a glance."""

    def __init__(self, seed: int) -> None:
        self._state = seed & MASK

    def drawn(self) -> int:
        """The next 64 random bits."""
        self._state = (self._state + 0x9E3779B97F4A7C15) & MASK
        z = self._state
        z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & MASK
        z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & MASK
        return z ^ (z >> 31)

    def below(self, n: int) -> int:
        """A number from 0 to before n, from the upper 31 bits."""
        return (self.drawn() >> 33) % n
