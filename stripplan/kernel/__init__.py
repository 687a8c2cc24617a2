"""The compiled twins of our searches in Python: used where they were built, with the same answers, only sooner.

`compiler` makes the library, `library` finds it, `api` has a wrapper for every function of it. `rng` is the random
generator of the twins in Python.
"""

from stripplan.kernel.compiler import BuildError, build
from stripplan.kernel.library import SWITCH, State, available, library, look_again, state
from stripplan.kernel.rng import Rng

__all__ = ["SWITCH", "BuildError", "Rng", "State", "available", "build", "library", "look_again", "state"]
