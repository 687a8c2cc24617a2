"""The order of jobs with costs between them and precedence."""

from .problem import Answer, Ordering
from .solve import solve

__all__ = ["Answer", "Ordering", "solve"]
