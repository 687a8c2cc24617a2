"""The order of jobs with costs between them and precedence."""

from stripplan.sequence.sop.problem import Answer, Ordering
from stripplan.sequence.sop.solve import solve

__all__ = ["Answer", "Ordering", "solve"]
