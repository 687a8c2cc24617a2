"""Lists that are being typed, kept on the computer at every change, so that nothing typed is lost.

A file for each, `drafts/ID.json`, sealed and written whole. A page says which edition it has changed; where another
window wrote meanwhile, what it typed is kept as a list of its own. A deleted list stays in the folder under another
name, and can be had back.
"""

from __future__ import annotations

import re
import threading
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from stripplan.errors import Fault, InputError
from stripplan.sheets.folder import write_file
from stripplan.web.store.sealed_file import DamagedError, bytes_of, flush, move_aside, sealed, unsealed
from stripplan.wording.message import Facts

ID = re.compile(r"[0-9a-f]{16}")
RECENT = 60
"""So many lists are shown, those changed last; the others stay in the folder."""
DELETED = "-deleted.json"


@dataclass(frozen=True)
class Draft:
    """A list as it was typed, its edition from 1, and when it was changed last."""

    id: str
    job: Mapping[str, Any]
    edition: int
    changed_at: str

    @property
    def name(self) -> str:
        """What the person calls it; empty where it has no name yet."""
        return str(self.job.get("name") or "").strip()

    @property
    def parts(self) -> int:
        """Rows of parts in which something is typed."""
        rows = self.job.get("part")
        return sum(1 for row in rows if row) if isinstance(rows, list) else 0


class DraftStore:
    """The lists of a workshop."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder / "drafts"
        self._lock = threading.RLock()

    def read(self, draft_id: str) -> Draft:
        """A list. Raises InputError where there is none, or none that is whole: that one is set aside."""
        file = self._file(draft_id)
        if not file.exists():
            raise InputError(Fault("no_plan", f"job {draft_id}", says="no_job"))
        try:
            return _draft(draft_id, unsealed(bytes_of(file)))
        except DamagedError as error:
            move_aside(file)
            facts = Facts(file=file.name, why=str(error))
            raise InputError(Fault("damaged", f"job {draft_id}", facts=facts, says="list_damaged")) from None

    def recent(self) -> tuple[list[Draft], list[str]]:
        """Lists that can be read, the one changed last first, and what is wrong with others, in sentences."""
        files = [each for each in self.folder.glob("*.json") if ID.fullmatch(each.stem)] if self._there() else []
        found, said = [], []
        for file in files:
            try:
                found.append(self.read(file.stem))
            except InputError as error:
                said += [each.sentence() for each in error.faults]
        return sorted(found, key=lambda each: (each.changed_at, each.id), reverse=True)[:RECENT], said

    def keep(self, draft_id: str, job: Mapping[str, Any], *, was: int, now: str) -> Draft:
        """Keep a list that was typed into, `was` its edition before (0 = a new one).

        Raises InputError with code "changed" where another window has written since, and where the folder cannot be
        written.
        """
        with self._lock:
            file = self._file(draft_id)
            there = self.read(draft_id) if file.exists() else None
            if there is not None and there.job == job:
                return there  # opened without a change, or sent a second time
            if there is not None and there.edition != was:
                raise InputError(Fault("changed", "the list", says="list_changed"))
            draft = Draft(draft_id, job, was + 1, now)
            self._write(draft)
            return draft

    def copy(self, draft_id: str, new_id: str, *, name: str, now: str) -> Draft:
        """A second list like the first, under a name of its own. Raises InputError."""
        with self._lock:
            draft = Draft(new_id, {**self.read(draft_id).job, "name": name}, 1, now)
            if self._file(new_id).exists():
                raise InputError(Fault("request", "the page"))
            self._write(draft)
            return draft

    def delete(self, draft_id: str) -> None:
        """Away with a list, for the list of jobs; its file stays under another name. Raises InputError."""
        with self._lock:
            file = self._file(draft_id)
            self.read(draft_id)
            self._rename(file, file.with_name(f"{draft_id}{DELETED}"))

    def restore(self, draft_id: str) -> Draft:
        """A deleted list back again. Raises InputError."""
        with self._lock:
            file = self._file(draft_id)
            gone = file.with_name(f"{draft_id}{DELETED}")
            if file.exists() or not gone.exists():
                raise InputError(Fault("no_plan", f"job {draft_id}", says="no_job"))
            self._rename(gone, file)
            return self.read(draft_id)

    def _write(self, draft: Draft) -> None:
        record = {"job": draft.job, "edition": draft.edition, "changed_at": draft.changed_at}
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise _unwritten(self.folder, error) from None
        write_file(self._file(draft.id), sealed(record))

    def _rename(self, file: Path, to: Path) -> None:
        try:
            file.replace(to)
        except OSError as error:
            raise _unwritten(file, error) from None
        flush(self.folder)

    def _there(self) -> bool:
        return self.folder.is_dir()

    def _file(self, draft_id: str) -> Path:
        if not ID.fullmatch(draft_id):
            raise InputError(Fault("no_plan", f"job {draft_id[:20]!r}", says="no_job"))
        return self.folder / f"{draft_id}.json"


def _draft(draft_id: str, record: Mapping[str, Any]) -> Draft:
    job, edition, changed_at = record.get("job"), record.get("edition"), record.get("changed_at")
    if not isinstance(job, dict) or not isinstance(edition, int) or not isinstance(changed_at, str):
        raise DamagedError("it holds something else")
    return Draft(draft_id, job, edition, changed_at)


def _unwritten(file: Path, error: OSError) -> InputError:
    facts = Facts(why=error.strerror or str(error))
    return InputError(Fault("cannot_write", str(file), facts=facts, says="folder_not_made"))
