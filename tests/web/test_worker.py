"""Tasks in processes of their own: bounded, dropped, and never in each other's way."""

from __future__ import annotations

import asyncio
import time
from pathlib import Path
from typing import Any

import pytest

from stripplan.web import worker
from stripplan.web.worker import DroppedError, RefusedError, Task, Workers

from .asking import JOB

SMALL = (JOB, ".")
LONG: dict[str, Any] = {
    **JOB,
    "part": [{"width": 60 + 7 * n, "length": 90 + 11 * n, "quantity": 9} for n in range(30)],
    "options": {"seconds": 100, "steps": 10**9},
}
"""A job whose search goes on until it is stopped."""


def run(doing: Any) -> Any:
    """The end of a coroutine."""
    return asyncio.run(doing)


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


def test_a_runaway_plan_is_ended_and_the_next_one_done() -> None:
    """Past its time a task is asked to stop and gives its best so far; one that does not listen loses its process."""

    async def both() -> tuple[float, Any, Any]:
        workers = Workers(1, longest=1.0)
        workers.start()
        try:
            await workers.do(Task("planned", SMALL))  # the process is ready from here on
            start = time.monotonic()
            best = await workers.do(Task("planned", (LONG, ".")))
            return time.monotonic() - start, best, await workers.do(Task("planned", SMALL))
        finally:
            workers.close()

    took, best, after = run(both())
    assert took < 1.0 + worker.GRACE + 1.0
    assert best["shown"]["cuts"]
    assert after["shown"]["cuts"]


def test_what_nobody_waits_for_makes_room() -> None:
    """A dropped task ends at once, so that the next one of the page is not kept waiting behind it."""

    async def dropped() -> tuple[Any, Any, float]:
        workers = Workers(1)
        workers.start()
        try:
            await workers.do(Task("planned", SMALL))
            old = Task("planned", (LONG, "."))
            doing = asyncio.create_task(workers.do(old))
            await asyncio.sleep(0.5)
            start = time.monotonic()
            old.drop()
            made = await workers.do(Task("planned", SMALL))
            return (await asyncio.gather(doing, return_exceptions=True))[0], made, time.monotonic() - start
        finally:
            workers.close()

    gone, made, took = run(dropped())
    assert isinstance(gone, DroppedError)
    assert made["shown"]["cuts"]
    assert took < worker.GRACE


def test_a_process_that_dies_is_replaced(monkeypatch: pytest.MonkeyPatch) -> None:
    """If the process ends, whoever waits is told, and the next task finds another process."""

    async def killed() -> tuple[Any, Any]:
        workers = Workers(1)
        workers.start()
        try:
            await workers.do(Task("planned", SMALL))
            doing = asyncio.create_task(workers.do(Task("planned", (LONG, "."))))
            await asyncio.sleep(0.3)
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
