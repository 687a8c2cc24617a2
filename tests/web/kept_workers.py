"""Worker processes that outlive a test: a page takes one where it has something to do, and gives it back.

A process reads its libraries anew for seconds; which page it served before is nothing to it. `test_worker` starts its
own.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from stripplan.web.worker import Task, Workers

_IDLE: dict[tuple[Any, ...], list[Any]] = {}
"""Processes that wait for a task, by what they were started with: a process keeps the environment and folder of its
start.
"""


class KeptWorkers(Workers):
    """As `Workers`, with processes that other pages of this run had before."""

    def start(self) -> None:
        """Nothing yet: most pages of a test plan nothing."""

    async def do(self, task: Task) -> Any:
        """What the task gives, by a process that is there, else by a new one."""
        if not self._all:
            self._kind = (self._memory, os.environ.get("XDG_CONFIG_HOME"), os.environ.get("HOME"), str(Path.cwd()))
            for _ in range(self._count):
                self._take()
        return await super().do(task)

    def close(self) -> None:
        """Processes without a task go back, others are ended."""
        while not self._free.empty():
            process = self._free.get_nowait()
            self._all.remove(process)
            _IDLE.setdefault(self._kind, []).append(process)
        super().close()

    def _take(self) -> None:
        waiting = _IDLE.get(self._kind, [])
        if not waiting:
            self._add()
            return
        self._all.append(waiting.pop())
        self._free.put_nowait(self._all[-1])
