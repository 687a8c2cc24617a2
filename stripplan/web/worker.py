"""Long tasks in processes of their own: a runaway plan stops neither the page nor the machine.

Each process does one task at a time and is bounded in time and memory. A task that is not wanted any more is asked to
stop; if it does not, its process is ended and another takes its place. Processes are started by `spawn`, so that
nothing of the server is copied into them.
"""

from __future__ import annotations

import asyncio
import contextlib
import gc
import multiprocessing
import signal
import sys
import time
import traceback
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from typing import Any

from stripplan.errors import Fault
from stripplan.wording.message import Facts, Quantity
from stripplan.wording.show import MM, Units

LONGEST = 120.0
"""Greatest time for a task [s]."""
GRACE = 60.0
"""Time for a task that was asked to stop until its process is ended: its best so far must still be ordered and checked
[s].
"""
GONE = 4.0
"""The same where nobody waits for it [s]."""
MEMORY = 2 * 2**30
"""Greatest memory of a process where the machine can bound it [bytes of address space]."""
SELDOM = 100_000
"""Objects made until garbage is looked for."""


class RefusedError(Exception):
    """A task that could not be done: what is wrong, as the command line would say it, and its exit status."""

    def __init__(self, faults: tuple[Fault, ...], status: int, units: Units = MM) -> None:
        super().__init__("; ".join(each.sentence(units) for each in faults))
        self.faults = faults
        self.status = status
        self.units = units


class DroppedError(Exception):
    """A task that nobody waits for any more."""


@dataclass
class Task:
    """A task on its way: what it tells of itself, what it has given already, whether it is still wanted, and whether
    what it has found is enough.

    `told` is how far it is, the last word alone; `given_so_far` is what it gave before its end, all of it.
    """

    name: str
    given: tuple[Any, ...]
    told: dict[str, Any] = field(default_factory=dict)
    given_so_far: deque[Any] = field(default_factory=deque)
    dropped: bool = False
    enough: bool = False

    def drop(self) -> None:
        """Nobody waits for it any more."""
        self.dropped = True

    def end(self) -> None:
        """What it has found so far is enough: it is to give that."""
        self.enough = True


class Workers:
    """A few processes; tasks wait for a free one in the order in which they came."""

    def __init__(self, count: int = 2, *, longest: float = LONGEST, memory: int = MEMORY) -> None:
        self._longest = longest
        self._memory = memory
        self._count = count
        self._free: asyncio.Queue[_Process] = asyncio.Queue()
        self._all: list[_Process] = []

    def start(self) -> None:
        """Start the processes; they make themselves ready while the page is already shown."""
        for _ in range(self._count):
            self._add()

    def close(self) -> None:
        """End all processes."""
        for each in self._all:
            each.end()
        self._all.clear()

    async def do(self, task: Task) -> Any:
        """What the task gives. Raises RefusedError, DroppedError."""
        process = await self._free.get()
        try:
            if task.dropped:
                raise DroppedError
            return await asyncio.to_thread(process.do, task, self._longest)
        finally:
            if process.alive:
                self._free.put_nowait(process)
            else:
                self._all.remove(process)
                self._add()

    def _add(self) -> None:
        process = _Process(self._memory)
        self._all.append(process)
        self._free.put_nowait(process)


class _Process:
    """One process and the pipe to it."""

    def __init__(self, memory: int) -> None:
        context = multiprocessing.get_context("spawn")
        self._pipe, theirs = context.Pipe()
        self._process = context.Process(target=_serve, args=(theirs, memory), daemon=True, name="stripplan-worker")
        self._process.start()
        theirs.close()
        self.alive = True

    def end(self) -> None:
        """End it at once."""
        self.alive = False
        self._process.kill()
        self._process.join(5)
        self._pipe.close()

    def do(self, task: Task, longest: float) -> Any:
        """Hand a task over and wait for it, in a thread."""
        start, asked = time.monotonic(), 0.0
        try:
            self._pipe.send((task.name, task.given))
            while True:
                if self._pipe.poll(0.02):
                    kind, value = self._pipe.recv()
                    if kind == "told":
                        task.told = value
                        continue
                    if kind == "so far":
                        task.given_so_far.append(value)
                        continue
                    break
                now = time.monotonic()
                if not asked and (task.dropped or task.enough or now - start > longest):
                    self._pipe.send("stop")
                    asked = now
                if asked and now - asked > (GONE if task.dropped else GRACE):
                    self.end()
                    raise DroppedError if task.dropped else RefusedError((_too_long(longest),), 3)
        except (EOFError, OSError):
            self.end()
            raise RefusedError((_ended(),), 4) from None
        if task.dropped:
            raise DroppedError
        if kind == "refused":
            raise RefusedError(*value)
        return value


def _too_long(longest: float) -> Fault:
    return Fault("too_long", "the plan", facts=Facts(longest=Quantity(longest, "seconds")))


def _ended() -> Fault:
    return Fault("ended", "the plan")


def _serve(pipe: Connection, memory: int) -> None:
    """The process: tasks in, what they give out, until the pipe is closed."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the server, which ends this process
    _bound(memory)
    _make_ready()
    while True:
        try:
            order = pipe.recv()
        except (EOFError, OSError):
            return
        if order == "stop":  # for a task that was done just then
            continue
        with contextlib.suppress(BrokenPipeError):
            pipe.send(_done(pipe, *order))


def _bound(memory: int) -> None:
    """Bound the memory where the machine can."""
    try:
        import resource
    except ImportError:  # Windows
        return
    with contextlib.suppress(ValueError, OSError):
        resource.setrlimit(resource.RLIMIT_AS, (memory, memory))


def _make_ready() -> None:
    """Read what every plan needs, before the first comes: a small one is made."""
    from stripplan.web import tasks

    job = {"plate": [{"length": 300, "width": 200, "thickness": 6}], "part": [{"width": 50}]}
    tasks.planned(job, ".", tell=lambda _: None, stop=lambda: True)
    # What is there now stays; looking for garbage every 700 objects takes a fifth of a plan.
    gc.collect()
    gc.freeze()
    gc.set_threshold(SELDOM)


def _done(pipe: Connection, name: str, given: tuple[Any, ...]) -> tuple[str, Any]:
    """The task done: ("made", value) or ("refused", (faults, status))."""
    from stripplan.errors import StripplanError
    from stripplan.web import tasks

    last = 0.0

    def tell(value: dict[str, Any]) -> None:
        nonlocal last
        if "kind" in value:
            pipe.send(("so far", value))
        elif time.monotonic() - last > 0.1:
            last = time.monotonic()
            pipe.send(("told", value))

    asked = False

    def stop() -> bool:
        nonlocal asked
        if not asked and pipe.poll():
            asked = pipe.recv() == "stop"
        return asked

    doing: Callable[..., Any] = getattr(tasks, name)
    try:
        return "made", doing(*given, tell=tell, stop=stop)
    except StripplanError as error:
        return "refused", (error.faults, error.exit_status, error.units)
    except MemoryError:
        return "refused", ((Fault("memory", "the plan"),), 3, MM)
    except Exception as error:
        traceback.print_exc(file=sys.stderr)
        facts = Facts(kind=type(error).__name__, said=str(error))
        return "refused", ((Fault("failed", "the plan", facts=facts),), 4, MM)
