"""What the page keeps: plans that were kept, the jobs they came from, and how far each has been cut.

Plain files, a folder for each plan: `plans/ID/plan.json` and `job.toml`, which the command line reads too. A plan comes
into the list as a whole folder, and each file is written whole or not at all. Each is looked at when it is read: a plan
file by its id, which is made of its content, the others by a digest that they carry. One that is damaged is set aside
beside its place, never deleted; what can be made anew is, and what happened is told on the page until somebody has seen
it.
"""

from __future__ import annotations

import hashlib
import json
import re
import secrets
import shutil
import threading
import time
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, TypeVar

from stripplan.errors import Fault, InputError
from stripplan.files.toml.document import toml_from
from stripplan.sheets.folder import write_file
from stripplan.web.store.batches import (
    FIRST,
    LONGEST_NAME,
    MOST,
    arcs_in,
    batches_in,
    before_file,
    progress_file,
)
from stripplan.web.store.progress import Progress, blamed
from stripplan.web.store.sealed_file import (
    DamagedError,
    aside_of,
    bytes_of,
    flush,
    move_aside,
    replace_kept,
    sealed,
    table,
    unsealed,
)
from stripplan.wording.message import Facts

Read = TypeVar("Read")

ID = re.compile(r"[0-9a-f]{8}")
"""A plan's id, as the sheet prints it."""
PLAN, JOB, SHOWN, ABOUT = "plan.json", "job.toml", "shown.json", "about.json"
HAPPENED = "what-happened.txt"
NUMBERS = "batches.json"
KEPT_AGAIN = "It was kept again."
AGAIN = "Plan it again from its list, and keep it."
LEAP = 1000
"""Progress that was taken from a copy gets a version that no device has yet: more than can come in one message."""
FORGOTTEN = 3600.0
"""Hidden folders of kept plans that came to nothing are cleared after so long [s]."""


@dataclass(frozen=True)
class KeptPlan:
    """A plan that was kept: its id, the job's name, when, how many of its cuts are done, and what happened to its
    files.

    `cuttable` where the rig view can be shown, `whole` where its plan file is there.
    """

    id: str
    name: str
    kept_at: str
    done: int
    cuts: int
    happened: tuple[str, ...] = ()
    cuttable: bool = True
    whole: bool = True


class PlanStore:
    """The folder of a workshop."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._lock = threading.RLock()  # one at a time mends or changes what lies there

    def keep(self, plan_id: str, plan_text: str, job_text: str, shown: Mapping[str, Any], kept_at: str) -> None:
        """Keep a plan, its job and what the page shows of it. Raises InputError where the folder cannot be written."""
        place = self._place(plan_id)
        about = {"id": plan_id, "name": shown["job"], "kept_at": kept_at, "cuts": arcs_in(shown)}
        files = {JOB: job_text.encode(), SHOWN: sealed(shown), ABOUT: sealed(about), PLAN: plan_text.encode()}
        with self._lock:
            if _lies_there(place):
                for name, data in files.items():
                    write_file(place / name, data)
                if self.happened(plan_id):
                    self._tell(place, KEPT_AGAIN)
            else:
                _put(place, files)

    def forget(self, plan_id: str) -> None:
        """Away with a plan, for the list of plans; its folder stays under another name. Raises InputError."""
        place = self._there(plan_id)
        with self._lock:
            number = 1
            while (gone := place.with_name(f"{plan_id}-forgotten-{number}")).exists():
                number += 1
            try:
                place.rename(gone)
                flush(place.parent)
            except OSError as error:
                facts = Facts(file=place.name, why=error.strerror or str(error), path=str(place))
                raise InputError(Fault("cannot_write", f"plan {plan_id}", facts=facts, says="kept_not_aside")) from None

    def kept(self) -> list[KeptPlan]:
        """All plans that were kept, the newest first; a folder that holds none of ours is passed over."""
        base = self.folder / "plans"
        places = [each for each in base.iterdir() if ID.fullmatch(each.name)] if base.is_dir() else []
        found = [self._listed(each.name) for each in places if _lies_there(each)]
        return sorted(found, key=lambda each: (each.kept_at, each.id), reverse=True)

    def among(self, plan_ids: Iterable[str]) -> list[str]:
        """Those of some plans that are kept here."""
        return [each for each in plan_ids if ID.fullmatch(each) and _lies_there(self.folder / "plans" / each)]

    def _listed(self, plan_id: str) -> KeptPlan:
        """A plan in the list, whatever of it can be read."""
        said: list[str] = []

        def asked(ask: Callable[[str], Read]) -> Read | None:
            try:
                return ask(plan_id)
            except InputError as error:
                said.extend(each.sentence() for each in error.faults if each.code != "damaged")  # that is told below
                return None

        about = asked(self._about) or {}
        progress = asked(self._newest) or Progress()
        text, shown, _ = asked(self.plan_text), asked(self.shown), asked(self.job)
        return KeptPlan(
            plan_id,
            str(about.get("name", f"plan {plan_id}")),
            str(about.get("kept_at", "")),
            len(progress.done),
            int(about.get("cuts", 0)),
            (*self.happened(plan_id), *said),
            cuttable=shown is not None,
            whole=text is not None,
        )

    def _newest(self, plan_id: str) -> Progress:
        """The progress of the batch that was begun last."""
        return self.progress(plan_id, max(self.batches(plan_id), default=FIRST))

    def plan_text(self, plan_id: str) -> str:
        """The plan file. Raises InputError where there is none, or none that is whole."""

        def read(data: bytes) -> str:
            if _id_of(data) != plan_id:
                raise DamagedError("it is not what was written")
            return data.decode()

        def lost(file: Path, why: str) -> str:
            self._lost(file, "Its plan file", why)
            raise _damaged(plan_id, "its plan file is damaged or gone", AGAIN)

        return self._whole(plan_id, PLAN, read, lost)

    def job_text(self, plan_id: str) -> str:
        """The job that the plan came from, as a file that people may write into:
        one that is damaged stays where it is.
        """
        file = self._there(plan_id) / JOB
        try:
            return bytes_of(file).decode()
        except (DamagedError, UnicodeDecodeError) as error:
            why = str(error) if isinstance(error, DamagedError) else "it is no text"
            facts = Facts(file=JOB, why=why, path=str(file))
            raise InputError(Fault("job", f"plan {plan_id}", facts=facts, says="list_unreadable")) from None

    def job(self, plan_id: str) -> dict[str, Any]:
        """The same as a table. Raises InputError."""
        return toml_from(self.job_text(plan_id), name=f"plan {plan_id}, {JOB}", folder=Path()).data

    def shown(self, plan_id: str) -> dict[str, Any]:
        """What the page shows of the plan. Raises InputError."""

        def read(data: bytes) -> dict[str, Any]:
            record = unsealed(data)
            cuts = record.get("cuts")
            if not isinstance(cuts, list) or not all(isinstance(each, dict) for each in cuts) or "job" not in record:
                raise DamagedError("it holds something else")
            return record

        def anew(file: Path, why: str) -> dict[str, Any]:
            what = "What the page shows of it"
            try:
                record = _shown_of(self.plan_text(plan_id))
            except InputError:
                self._lost(file, what, why)
                raise _damaged(
                    plan_id, "what the page shows of it is damaged, and so is its plan file", AGAIN
                ) from None
            self._tell(file.parent, _aside_words(what, file, why, "It was made anew from the plan file."))
            data = sealed(record)
            replace_kept(file, data)
            return unsealed(data)

        return self._whole(plan_id, SHOWN, read, anew)

    def progress(self, plan_id: str, batch: int = FIRST) -> Progress:
        """How far it has been cut in a batch. Where that is damaged, as far as the copy before it says. Raises
        InputError, also for a batch other than the first that was never begun."""
        before = self._there(plan_id) / before_file(batch)
        return self._whole(
            plan_id,
            progress_file(batch),
            _progress_of,
            lambda file, why: self._progress_before(file, before, why, batch),
        )

    def _progress_before(self, file: Path, before: Path, why: str, batch: int) -> Progress:
        """Progress as the copy from before the last change says, with what is to be done told."""
        if not file.exists() and not before.exists():
            if batch != FIRST:
                raise InputError(Fault("no_plan", f"plan {file.parent.name}", Facts(batch=batch), says="no_batch"))
            return Progress()  # no cut was ever made
        try:
            now = _progress_of(bytes_of(before))
            then = f"The copy from before the last change was taken: cuts done, {len(now.done)}."
        except DamagedError:
            now = Progress()
            then = "There is no copy of it: no cut counts as done."
        now.version += LEAP
        words = _aside_words(
            "How far it was cut", file, why, f"{then} See at the plate which cuts are done, and tick them."
        )
        self._tell(file.parent, words)
        replace_kept(file, sealed(vars(now)))
        return now

    def batches(self, plan_id: str) -> list[int]:
        """The numbers of the batches that were begun, the oldest first. Raises InputError."""
        return batches_in(each.name for each in self._there(plan_id).iterdir())

    def begin(self, plan_id: str) -> int:
        """Begin another batch; its number. One that nothing was done in is it already. Raises InputError."""
        with self._lock:
            numbers = self.batches(plan_id)
            if not numbers or not self.progress(plan_id, numbers[-1]).version:
                return numbers[-1] if numbers else FIRST
            number = max(numbers[-1], self._last_number(plan_id)) + 1  # a device may still hold one that was deleted
            if number > MOST:
                raise InputError(Fault("no_plan", f"plan {plan_id}", Facts(most=MOST), says="too_many_batches"))
            write_file(self._place(plan_id) / NUMBERS, sealed({"last": number}))
            write_file(self._place(plan_id) / progress_file(number), sealed(vars(Progress())))
            return number

    def _last_number(self, plan_id: str) -> int:
        """The number that the last batch got; none is given twice. Where that is damaged the files alone count."""
        with suppress(DamagedError):
            last = unsealed(bytes_of(self._there(plan_id) / NUMBERS)).get("last")
            return last if isinstance(last, int) and 0 < last <= MOST else FIRST
        return FIRST

    def rename(self, plan_id: str, batch: int, name: str) -> None:
        """Give a batch a name. Raises InputError."""
        with self._lock:
            now = self.progress(plan_id, batch)
            now.name = " ".join("".join(each for each in name if each.isprintable()).split())[:LONGEST_NAME]
            now.version += 1
            write_file(self._place(plan_id) / progress_file(batch), sealed(vars(now)))

    def delete(self, plan_id: str, batch: int) -> None:
        """Delete a batch with all that was noted in it. Raises InputError."""
        with self._lock:
            self.progress(plan_id, batch)
            for name in (before_file(batch), progress_file(batch)):
                (self._place(plan_id) / name).unlink(missing_ok=True)
            flush(self._place(plan_id))

    def change(self, plan_id: str, changes: list[Mapping[str, Any]], at: float, batch: int = FIRST) -> Progress:
        """Take over changes of one device, all or none, and give back how far the plan is for all devices.

        Raises InputError; where one of the changes is to blame, its place is ("changes", number from 0).
        """
        with self._lock:
            now, cuts = self.progress(plan_id, batch), arcs_in(self.shown(plan_id))
            before = sealed(vars(now)) if now.version else None
            for number, each in enumerate(changes):
                with blamed(number):
                    now.change(each, cuts, at)
            data = sealed(vars(now))
            if before is not None and data != before:
                write_file(self._place(plan_id) / before_file(batch), before)
            if data != before and now.version:
                write_file(self._place(plan_id) / progress_file(batch), data)
        return now

    def brought(self, plan_id: str, batch: int, bring: Callable[[Progress], bool]) -> Progress:
        """Progress as `bring` makes it: it says whether it changed anything that a device is to see. Raises
        InputError."""
        with self._lock:
            now = self.progress(plan_id, batch)
            before = sealed(vars(now))
            if bring(now):
                now.version += 1
            data = sealed(vars(now))
            if data != before:
                write_file(self._place(plan_id) / progress_file(batch), data)
        return now

    def happened(self, plan_id: str) -> tuple[str, ...]:
        """What happened to the plan's files and nobody has said to have seen, in sentences."""
        try:
            text = (self._place(plan_id) / HAPPENED).read_text(encoding="utf-8", errors="replace")
        except OSError:
            return ()
        return tuple(line for line in text.splitlines() if line.strip())

    def seen(self, plan_id: str) -> None:
        """Somebody has seen what happened; it is still in the folder. Raises InputError."""
        with self._lock:
            move_aside(self._there(plan_id) / HAPPENED)

    def _tell(self, place: Path, words: str, *, unless: str = "") -> None:
        """Write down what happened, unless these words, or words with `unless`, stand there since the plan was kept
        last.

        A kill between this and what it tells of has the same told again.
        """
        lines = self.happened(place.name)
        since = lines[len(lines) - lines[::-1].index(KEPT_AGAIN) :] if KEPT_AGAIN in lines else lines
        if words not in since and not (unless and any(unless in line for line in since)):
            write_file(place / HAPPENED, "".join(f"{line}\n" for line in (*lines, words)).encode())

    def _lost(self, file: Path, what: str, why: str) -> None:
        """Set aside a file that cannot be made anew, and tell it; that it is gone from then on is not told again."""
        self._tell(file.parent, _aside_words(what, file, why, AGAIN), unless="" if file.exists() else f"({file.name})")
        move_aside(file)

    def _about(self, plan_id: str) -> dict[str, Any]:
        """Name, date and count of cuts."""

        def read(data: bytes) -> dict[str, Any]:
            record = unsealed(data)
            if not isinstance(record.get("cuts"), int) or not {"name", "kept_at"} <= record.keys():
                raise DamagedError("it holds something else")
            return record

        def anew(file: Path, why: str) -> dict[str, Any]:
            shown = self.shown(plan_id)
            day = datetime.fromtimestamp(file.parent.stat().st_mtime, UTC).isoformat(timespec="seconds")
            record = {"id": plan_id, "name": shown["job"], "kept_at": day, "cuts": arcs_in(shown)}
            words = "They were made anew; the date is that of the folder."
            self._tell(file.parent, _aside_words("Its name and date", file, why, words))
            replace_kept(file, sealed(record))
            return record

        return self._whole(plan_id, ABOUT, read, anew)

    def _whole(
        self, plan_id: str, name: str, read: Callable[[bytes], Read], mended: Callable[[Path, str], Read]
    ) -> Read:
        """What `read` makes of a file; of one that is damaged, what `mended` does. Raises InputError."""
        file = self._there(plan_id) / name
        with suppress(DamagedError):
            return read(bytes_of(file))
        with self._lock:
            try:
                return read(bytes_of(file))  # another request may have mended it just now
            except DamagedError as error:
                return mended(file, str(error))

    def _place(self, plan_id: str) -> Path:
        if not ID.fullmatch(plan_id):
            raise InputError(Fault("no_plan", f"plan {plan_id[:20]!r}"))
        return self.folder / "plans" / plan_id

    def _there(self, plan_id: str) -> Path:
        place = self._place(plan_id)
        if not _lies_there(place):
            raise InputError(Fault("no_plan", f"plan {plan_id}"))
        return place


def _lies_there(place: Path) -> bool:
    """Whether anything of a plan lies in its folder; a folder that cannot be looked into may hold one."""
    try:
        return place.is_dir() and any(place.iterdir())
    except OSError:
        return True


def _put(place: Path, files: Mapping[str, bytes]) -> None:
    """A new folder with all its files at once: made beside its place and renamed. Raises InputError."""
    new = place.parent / f".new-{secrets.token_hex(8)}"
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        _clear(place.parent)
        new.mkdir()
        try:
            for name, data in files.items():
                write_file(new / name, data)
            new.rename(place)
            flush(place.parent)
        finally:
            shutil.rmtree(new, ignore_errors=True)
    except OSError as error:
        facts = Facts(why=error.strerror or str(error))
        raise InputError(Fault("cannot_write", str(place), facts=facts, says="folder_not_made")) from None


def _clear(base: Path) -> None:
    """Away with hidden folders of ours that a kill left behind."""
    for each in base.glob(".new-*"):
        with suppress(OSError):
            if time.time() - each.stat().st_mtime > FORGOTTEN:
                shutil.rmtree(each, ignore_errors=True)


def _id_of(data: bytes) -> str:
    """The id of a plan file by its content, as the sheet makes it of the plan: all but the date counts. Raises
    DamagedError.
    """
    record = table(data)
    record.pop("made_at", None)
    text = json.dumps(record, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()[:8]


def _shown_of(text: str) -> dict[str, Any]:
    """What the page shows of a plan file. Raises InputError."""
    from stripplan.files.plan.read import plan_from
    from stripplan.web.plan_for_page import shown

    return shown(plan_from(text, name=PLAN))


def _progress_of(data: bytes) -> Progress:
    return Progress.of(unsealed(data))


def _aside_words(what: str, file: Path, why: str, then: str) -> str:
    """What happened to a file, and what is to be done."""
    aside = f" It was set aside as {aside_of(file).name}." if file.exists() else ""
    return f"{what} ({file.name}) could not be read: {why}.{aside} {then}"


def _damaged(plan_id: str, words: str, hint: str) -> InputError:
    facts = Facts(what=words, way_out=hint[0].lower() + hint[1:].rstrip("."))
    return InputError(Fault("damaged", f"plan {plan_id}", facts=facts))
