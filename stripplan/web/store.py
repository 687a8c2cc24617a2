"""What the page keeps: plans that were kept, the jobs they came from, and how far each has been cut.

Plain files, a folder for each plan: `plans/ID/plan.json` and `job.toml`, which the command line reads too. Each file is
written whole or not at all.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from ..errors import Fault, InputError
from ..sheets.folder import write_file

ID = re.compile(r"[0-9a-f]{8}")
"""A plan's id, as the sheet prints it."""
REMEMBERED = 1000
"""So many changes of progress are known again when a device sends them twice."""
LONGEST_NOTE = 500


@dataclass(frozen=True)
class Kept:
    """A plan that was kept: its id, the job's name, when, and how many of its cuts are done."""

    id: str
    name: str
    kept_at: str
    done: int
    cuts: int


@dataclass
class Progress:
    """How far a plan has been cut. `version` grows with each change, so that a device sees that it is behind.

    `done` are the numbers of cuts, `last_at` when the last of them was made [s since 1970], `measured` what was read after
    them, `wrong` what went wrong at them and which side it spoilt ("left: burr").
    """

    version: int = 0
    at: int = 1
    done: list[int] = field(default_factory=list)
    last_at: float = 0.0
    measured: dict[str, str] = field(default_factory=dict)
    wrong: dict[str, str] = field(default_factory=dict)
    seen: list[str] = field(default_factory=list)

    def change(self, change: Mapping[str, Any], cuts: int, now: float) -> None:
        """Take over a change that a device sends: what, of which cut, and its own name, by which a second one is known.

        Raises InputError for one that cannot be.
        """
        name, what, cut = change.get("name"), change.get("what"), change.get("cut")
        if not isinstance(name, str) or not 8 <= len(name) <= 64:
            raise InputError(Fault("change", "the change", "it has no name"))
        if name in self.seen:
            return
        if not isinstance(cut, int) or isinstance(cut, bool) or not 1 <= cut <= cuts:
            raise InputError(Fault("change", "the change", f"there is no cut {cut!r}"[:60], f"1 to {cuts}"))
        text = str(change.get("text", ""))[:LONGEST_NOTE]
        if what == "at":
            self.at = cut
        elif what == "done":
            self.done, self.last_at = sorted({*self.done, cut}), now
        elif what == "undone":
            self.done = [each for each in self.done if each != cut]
        elif what == "measured":
            _put(self.measured, cut, text)
        elif what == "wrong":
            _put(self.wrong, cut, text)
        else:
            raise InputError(Fault("change", "the change", f"{str(what)[:30]!r} is nothing that can be changed"))
        self.version += 1
        self.seen = [*self.seen, name][-REMEMBERED:]


@contextmanager
def blamed(number: int) -> Iterator[None]:
    """What is wrong inside is wrong with the change of that number: a device leaves out this one and no other."""
    try:
        yield
    except InputError as error:
        raise InputError(replace(each, place=("changes", number)) for each in error.faults) from None


def _put(texts: dict[str, str], cut: int, text: str) -> None:
    """Keep a text at a cut; an empty one is taken away."""
    texts.pop(str(cut), None)
    if text.strip():
        texts[str(cut)] = text.strip()


class Store:
    """The folder of a workshop."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def keep(self, plan_id: str, plan_text: str, job_text: str, shown: Mapping[str, Any], kept_at: str) -> None:
        """Keep a plan, its job and what the page shows of it. Raises InputError where the folder cannot be written."""
        place = self._place(plan_id)
        try:
            place.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise InputError(Fault("cannot_write", str(place), f"it cannot be made: {error.strerror}")) from None
        about = {"id": plan_id, "name": shown["job"], "kept_at": kept_at, "cuts": len(shown["cuts"])}
        write_file(place / "job.toml", job_text.encode())
        write_file(place / "shown.json", json.dumps(shown, ensure_ascii=False).encode())
        write_file(place / "about.json", json.dumps(about, ensure_ascii=False).encode())
        write_file(place / "plan.json", plan_text.encode())

    def kept(self) -> list[Kept]:
        """All plans that were kept, the newest first; a folder that holds none of ours is passed over."""
        found = []
        base = self.folder / "plans"
        for place in base.iterdir() if base.is_dir() else ():
            try:
                about = json.loads((place / "about.json").read_text(encoding="utf-8"))
                done = len(self.progress(place.name).done)
                found.append(Kept(place.name, str(about["name"]), str(about["kept_at"]), done, int(about["cuts"])))
            except (OSError, ValueError, KeyError, TypeError, InputError):
                continue
        return sorted(found, key=lambda each: (each.kept_at, each.id), reverse=True)

    def plan_text(self, plan_id: str) -> str:
        """The plan file. Raises InputError where there is none."""
        return self._read(plan_id, "plan.json")

    def job_text(self, plan_id: str) -> str:
        """The job that the plan came from."""
        return self._read(plan_id, "job.toml")

    def shown(self, plan_id: str) -> dict[str, Any]:
        """What the page shows of the plan."""
        read: dict[str, Any] = json.loads(self._read(plan_id, "shown.json"))
        return read

    def progress(self, plan_id: str) -> Progress:
        """How far it has been cut."""
        try:
            return Progress(**json.loads((self._place(plan_id) / "progress.json").read_text(encoding="utf-8")))
        except FileNotFoundError:
            return Progress()
        except (OSError, ValueError, TypeError) as error:
            words = f"how far it was cut cannot be read: {error}"
            raise InputError(Fault("progress", f"plan {plan_id}", words)) from None

    def change(self, plan_id: str, changes: list[Mapping[str, Any]], at: float) -> Progress:
        """Take over changes of one device, all or none, and give back how far the plan is for all devices.

        Raises InputError; where one of the changes is to blame, its place is ("changes", number from 0).
        """
        now, cuts = self.progress(plan_id), len(self.shown(plan_id)["cuts"])
        before = now.version
        for number, each in enumerate(changes):
            with blamed(number):
                now.change(each, cuts, at)
        if now.version != before:
            write_file(self._place(plan_id) / "progress.json", json.dumps(vars(now)).encode())
        return now

    def _place(self, plan_id: str) -> Path:
        if not ID.fullmatch(plan_id):
            raise InputError(Fault("no_plan", f"plan {plan_id[:20]!r}", "there is no such plan"))
        return self.folder / "plans" / plan_id

    def _read(self, plan_id: str, name: str) -> str:
        try:
            return (self._place(plan_id) / name).read_text(encoding="utf-8")
        except OSError:
            raise InputError(Fault("no_plan", f"plan {plan_id}", "there is no such plan")) from None
