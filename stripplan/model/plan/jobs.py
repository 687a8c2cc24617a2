"""What becomes of each of several jobs that are planned together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from stripplan.model.job import OneJob


@dataclass(frozen=True, kw_only=True)
class JobLine:
    """One job: its parts, the plates that they come from, when it is finished, and its share of the whole.

    `finished_cut` is the cut after which all its parts are there (0: none is needed), `finished_minutes` the minutes at
    the rig from the first cut of all to the end of that one. `done_on` is the day on which that is (ISO 8601), None
    where no hours a day are given; `late`: after the day that it is due. `early` are cuts that make parts of it though
    a job due before it is not finished yet.

    `minutes` and `plate_mass` [kg] are its share of the time and of the plates with their scrap, in thousandths that
    add up to those of the plan; `quoted` its share of the quotation, where there is one.
    """

    name: str
    due: str | None
    parts: tuple[str, ...]
    wanted: int
    made: int
    plates: tuple[str, ...]
    finished_cut: int
    finished_minutes: float
    done_on: str | None
    late: bool
    early: tuple[int, ...]
    minutes: float
    plate_mass: float
    quoted: float | None


@dataclass(frozen=True, kw_only=True)
class Together:
    """What planning jobs together comes to: the `total` of the plan, what each job would cost `alone` one after the
    other from the same plates, in the plan's currency and the order of its jobs (empty: not compared), and whether the
    parts due first are made first (`in_due_order`), or the quickest order keeps all days as well.
    """

    total: float
    alone: tuple[float, ...]
    in_due_order: bool

    @property
    def saved(self) -> float | None:
        """What is saved by planning them together; None where it was not compared."""
        return sum(self.alone) - self.total if self.alone else None


def names_of(lines: Iterable[JobLine | OneJob], job: str) -> tuple[str, ...]:
    """The names of the jobs of a plan; that of its own `job` where it is of one."""
    return tuple(each.name for each in lines) or (job,)


def jobs_on(lines: Iterable[JobLine], plate: str, job: str) -> tuple[str, ...]:
    """The jobs that have parts on a plate, by the plate's id; the plan's own `job` where it is of one."""
    return tuple(each.name for each in lines if plate in each.plates) or (job,)
