"""Tasks in processes of their own: bounded, dropped, and never in each other's way."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import Any

import pytest

from stripplan.web import worker
from stripplan.web.worker import DroppedError, RefusedError, Task, Workers
from tests.web.asking import JOB

SMALL = (JOB, ".")
LONG: dict[str, Any] = {
    "plate": [{"length": 1000, "width": 600, "thickness": 6, "material": "mild steel"}],
    "part": [{"width": 120, "length": 300, "quantity": 9}, {"width": 70, "length": 90, "quantity": 14}],
    "options": {"seconds": 10_000, "steps": 10**9},
}
"""A job whose search goes on for hours until it is stopped: that it comes back at all shows that it was."""
CAP = 600.0
"""So long is anything waited for before a test fails: no measure of how quick it is [s]."""


def run(doing: Any) -> Any:
    """The end of a coroutine."""
    return asyncio.run(asyncio.wait_for(doing, CAP))


async def _each(workers: Workers, *tasks: Task) -> list[Any]:
    workers.start()
    try:
        return await asyncio.gather(*(workers.do(task) for task in tasks), return_exceptions=True)
    finally:
        workers.close()


def test_a_plan_comes_back_with_what_the_page_shows() -> None:
    """The task gives the plan file and the rows of the sheet; a faulty job gives its faults with their places."""
    bad = {**JOB, "part": [{"name": "bar", "width": "wide"}, {"name": "rod"}]}
    good, refused = run(_each(Workers(1), Task("planned", SMALL), Task("planned", (bad, "."))))
    assert good["shown"]["cuts"][0]["number"] == 1
    assert isinstance(refused, RefusedError)
    assert refused.status == 2
    assert {each.place for each in refused.faults} == {("part", 0, "width"), ("part", 1, "width")}


async def begun(task: Task) -> None:
    """Wait until a task tells of itself."""
    while not task.told:
        await asyncio.sleep(0.02)


@pytest.mark.long
def test_a_runaway_plan_gives_its_best_so_far(monkeypatch: pytest.MonkeyPatch) -> None:
    """Past its time a task is asked to stop, long before it would end by itself;
    the next one is done by the same process.
    """
    monkeypatch.setattr(worker, "GRACE", CAP)

    async def both() -> tuple[Any, Any, bool]:
        workers = Workers(1, longest=1.0)
        workers.start()
        try:
            first = workers._all[0]
            best = await workers.do(Task("planned", (LONG, ".")))
            workers._longest = CAP  # however busy the machine is, the next one has time enough
            return best, await workers.do(Task("planned", SMALL)), workers._all == [first]
        finally:
            workers.close()

    best, after, same = run(both())
    assert best["shown"]["cuts"]
    assert after["shown"]["cuts"]
    assert same


@pytest.mark.long
def test_a_plan_that_does_not_listen_is_ended_and_the_next_one_done(monkeypatch: pytest.MonkeyPatch) -> None:
    """It loses its process, whoever waits is told, and another process takes the next task."""
    monkeypatch.setattr(worker, "GRACE", 0.0)

    async def both() -> tuple[Any, Any]:
        workers = Workers(1, longest=0.0)
        workers.start()
        try:
            lost = (await asyncio.gather(workers.do(Task("planned", (LONG, "."))), return_exceptions=True))[0]
            workers._longest = CAP
            return lost, await workers.do(Task("planned", SMALL))
        finally:
            workers.close()

    lost, after = run(both())
    assert isinstance(lost, RefusedError)
    assert (lost.faults[0].code, lost.status) == ("too_long", 3)
    assert after["shown"]["cuts"]


@pytest.mark.long
def test_what_nobody_waits_for_makes_room(monkeypatch: pytest.MonkeyPatch) -> None:
    """A dropped task ends by itself or with its process, and not as late as one that somebody waits for."""
    monkeypatch.setattr(worker, "GRACE", CAP)

    async def dropped() -> tuple[Any, Any]:
        workers = Workers(1)
        workers.start()
        try:
            old = Task("planned", (LONG, "."))
            doing = asyncio.create_task(workers.do(old))
            await begun(old)
            old.drop()
            made = await workers.do(Task("planned", SMALL))
            return (await asyncio.gather(doing, return_exceptions=True))[0], made
        finally:
            workers.close()

    gone, made = run(dropped())
    assert isinstance(gone, DroppedError)
    assert made["shown"]["cuts"]


@pytest.mark.long
def test_a_process_that_dies_is_replaced() -> None:
    """If the process ends, whoever waits is told, and the next task finds another process."""

    async def killed() -> tuple[Any, Any]:
        workers = Workers(1)
        workers.start()
        try:
            old = Task("planned", (LONG, "."))
            doing = asyncio.create_task(workers.do(old))
            await begun(old)
            workers._all[0]._process.kill()
            lost = (await asyncio.gather(doing, return_exceptions=True))[0]
            return lost, await workers.do(Task("planned", SMALL))
        finally:
            workers.close()

    lost, made = run(killed())
    assert isinstance(lost, RefusedError)
    assert lost.faults[0].code == "ended"
    assert made["shown"]["cuts"]


def test_memory_is_bounded(tmp_path: Path) -> None:
    """A process with little memory refuses the plan instead of taking the machine's; the next process still starts."""
    refused = run(_each(Workers(1, memory=2 * 2**20), Task("planned", SMALL)))[0]
    assert isinstance(refused, RefusedError)
    assert refused.faults[0].code in ("ended", "memory", "failed")
