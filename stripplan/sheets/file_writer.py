"""The one writer: whole or not at all, on the disk when it returns, and never in place of a person's own file.

A folder that the program writes into holds a list of what was written there, `.stripplan.json`: of each file its kind,
the plan that it shows and its hash. A command replaces and removes only files that the list gives as its own kind and
whose hash still fits. All else is a person's: it is left, or the command is refused by that file's name before anything
is touched.

Several files are exchanged as one. All of them and the new list are written and flushed into a hidden folder within the
folder; renaming that from `.stripplan-write-...` to `.stripplan-move-...` decides. What was killed before is thrown
away by whoever writes there next; after it only renames are left to do, and they are done, by the next run if need be.
So at every instant each file is the old or the new one, whole, and the two lists together tell which files are ours.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
import re
import shutil
import stat
import sys
import tempfile
import time
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal

from stripplan.errors import Fault, InputError
from stripplan.model.plan.record import to_record
from stripplan.wording.message import Fact, Facts

if sys.platform != "win32":
    import fcntl

LIST = ".stripplan.json"
OWN = ".stripplan"
"""So begins the name of everything that the program keeps for itself."""
SCHEMA = "stripplan/written/1"
BEING_WRITTEN = ".stripplan-write-"
BEING_MOVED = ".stripplan-move-"
PATIENCE = 10.0
"""So long another run may hold the folder [s]."""
SURELY_DEAD = 86_400.0
"""Where a folder cannot be held, a rest is cleared once it is so old [s]."""
MOST_NAMED = 5
"""So many files that are in the way are named one by one."""

Kind = Literal["plan", "sheet", "labels", "pictures", "notebook", "things"]
"""What a file is, called after the command that writes it; `plan` writes the sheet too."""


@dataclass(frozen=True)
class Made:
    """A file to be written: its bytes, what it is, and the id of the plan that it shows."""

    data: bytes
    kind: Kind
    plan: str = ""


@dataclass(frozen=True)
class Entry:
    """A file that was written, as the list gives it."""

    kind: str
    plan: str
    sha256: str


@dataclass(frozen=True)
class Written:
    """What a command wrote, and what it left that the person should know of."""

    files: tuple[Path, ...]
    left: tuple[Fault, ...] = ()


Former = Callable[[Path], Mapping[str, Entry]]
"""What an earlier edition, which left no list, wrote into a folder: as far as the files themselves tell."""


def write_file(file: Path, data: bytes) -> None:
    """One file in place of what is there, whole or not at all, and on the disk when this returns.

    A link is followed and stays; so does the mode of a file that was there. Raises InputError where it cannot be
    written.
    """
    with _plainly(file, "it", "place"):
        real = _real(file)
        with _held(real.parent) as alone:
            _settle(real.parent, alone=alone)
            if os.path.lexists(real) and (what := _no_plain_file(real)):
                raise InputError(_fault(f"in_the_way.{what}", file, instead="place"))
            _replace(real, data)


def write_one(file: Path, made: Made, *, inputs: Iterable[Path] = (), former: Former | None = None) -> Written:
    """One file of a command as `write_files` writes several, into a folder that is there."""
    with _plainly(file, "it", "--out"):
        place = _real(file) if file.is_symlink() else file
        if not place.parent.is_dir():
            raise FileNotFoundError(errno.ENOENT, "there is no such folder")
    return replace(write_files({place.name: made}, place.parent, inputs=inputs, former=former), files=(file,))


def write_files(
    files: Mapping[str, Made],
    folder: Path,
    *,
    stale: Kind | None = None,
    inputs: Iterable[Path] = (),
    former: Former | None = None,
) -> Written:
    """Files into `folder`, all or none, beside what lies there; what we wrote before of the kind `stale` and do not
    write again goes.

    `inputs` are what the command read: they are never replaced. A link to the folder is followed and stays. Raises
    InputError, and nothing is touched, where the folder cannot be written or a name belongs to a file that is not ours
    to replace.
    """
    folder, inputs = Path(folder), list(inputs)
    with _opened(folder, keep=True) as place:
        before = _ours(place, former)
        owner = before["plan.json"].plan if "plan.json" in before and "plan.json" not in files else ""
        faults = []
        for name, made in files.items():
            found = _why_not(place / name, before.get(name), {made.kind}, inputs, made=made, owner=owner)
            faults += [replace(found, where=str(folder / name))] if found is not None else []
        if faults:
            raise InputError(_few(faults))
        left = _exchange(files, place, folder, before, stale)
    return Written(tuple(folder / name for name in files), left)


def check_folder(
    folder: Path,
    names: re.Pattern[str],
    *,
    kinds: Collection[Kind],
    inputs: Iterable[Path] = (),
    former: Former | None = None,
) -> None:
    """InputError where `write_files` would be refused: asked before long work. Nothing is left behind.

    `names` fits every name that may be written, `kinds` are the kinds that may be replaced.
    """
    folder, inputs = Path(folder), list(inputs)
    with _opened(folder, keep=False) as place:
        before = _ours(place, former)
        faults = []
        for name in sorted(each.name for each in place.iterdir() if names.fullmatch(each.name)):
            found = _why_not(place / name, before.get(name), kinds, inputs)
            faults += [replace(found, where=str(folder / name))] if found is not None else []
        with _staged(place):  # it can be written into
            pass
    if faults:
        raise InputError(_few(faults))


def entry_of(made: Made) -> Entry:
    """A file as the list will give it."""
    return Entry(made.kind, made.plan, hashlib.sha256(made.data).hexdigest())


def is_as_written(path: Path, entry: Entry) -> bool:
    """Whether a plain file lies there that is the same to the byte as what was written."""
    return os.path.lexists(path) and not _no_plain_file(path) and _digest(path) == entry.sha256


# --- whose a file is ------------------------------------------------------------------------------------------------


def _why_not(
    path: Path,
    entry: Entry | None,
    kinds: Collection[str],
    inputs: Iterable[Path],
    *,
    made: Made | None = None,
    owner: str = "",
) -> Fault | None:
    """Why a name must not be written over; None where nothing of a person's is lost.

    `owner` is the plan that lies in the folder and stays: what shows it does not give way to another plan's.
    """
    if not os.path.lexists(path):
        return None
    if any(_same_file(path, each) for each in inputs):
        return _fault("in_the_way.read", path)
    if what := _no_plain_file(path):
        return _fault(f"in_the_way.{what}", path, instead="--out")
    if made is not None and path.stat().st_size == len(made.data) and is_as_written(path, entry_of(made)):
        return None
    if entry is None:
        return _fault("in_the_way.not_ours", path)
    if not is_as_written(path, entry):
        return _fault("in_the_way.changed", path)
    if entry.kind not in kinds:
        return _fault("in_the_way.kind", path, kind=entry.kind)
    if made is not None and owner and entry.plan == owner != made.plan:
        return _fault("in_the_way.plan", path, owner=owner, plan=made.plan)
    return None


def _no_plain_file(path: Path) -> str:
    """What lies there that nobody may write over, whoever wrote it; empty for a plain file that may be."""
    mode = path.lstat().st_mode
    if not stat.S_ISREG(mode):
        return "folder" if stat.S_ISDIR(mode) else "link" if stat.S_ISLNK(mode) else "device"
    return "" if os.access(path, os.W_OK) else "protected"


def _same_file(path: Path, other: Path) -> bool:
    try:
        return path.samefile(other)
    except (OSError, ValueError):
        return False


def _few(faults: list[Fault]) -> list[Fault]:
    if len(faults) <= MOST_NAMED:
        return faults
    return [*faults[:MOST_NAMED], _fault("in_the_way.more", "", count=len(faults) - MOST_NAMED)]


def _fault(says: str, where: Path | str, **facts: Fact) -> Fault:
    """A fault by the key of its sentence, whose first word is its code."""
    return Fault(says.partition(".")[0], str(where), facts=Facts(**facts), says=says)


# --- the list -------------------------------------------------------------------------------------------------------


def _ours(place: Path, former: Former | None) -> dict[str, Entry]:
    """What was written into a folder by its list, or where it has none by its files."""
    listed = _listed(place)
    if listed is None:
        listed = dict(former(place)) if former is not None and (place / "plan.json").is_file() else {}
    return listed


def _listed(place: Path) -> dict[str, Entry] | None:
    """The list of a folder, None where it has none. Raises InputError for one that is none of ours."""
    try:
        data = json.loads((place / LIST).read_bytes())
        if data["schema"] != SCHEMA:
            raise ValueError
        return {str(name): _entry(str(name), each) for name, each in data["files"].items()}
    except FileNotFoundError:
        return None
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise InputError(_fault("list.unreadable", place / LIST)) from None


def _entry(name: str, data: Any) -> Entry:
    if not name or name != Path(name).name or name.startswith(OWN) or not isinstance(data["sha256"], str):
        raise ValueError
    return Entry(str(data["kind"]), str(data.get("plan", "")), data["sha256"])


def _list_text(files: Mapping[str, Entry]) -> bytes:
    lines = []
    for name in sorted(files):
        told = {key: word for key, word in to_record(files[name]).items() if word}
        lines.append(f"  {json.dumps(name)}: {json.dumps(told)}")
    inner = "{\n" + ",\n".join(lines) + "\n }" if lines else "{}"
    return f'{{\n "schema": {json.dumps(SCHEMA)},\n "files": {inner}\n}}\n'.encode()


# --- the exchange ---------------------------------------------------------------------------------------------------


def _exchange(
    files: Mapping[str, Made], place: Path, folder: Path, before: Mapping[str, Entry], stale: Kind | None
) -> tuple[Fault, ...]:
    """New files in place of old ones; what is left that the person should know."""
    if before and not os.path.lexists(place / LIST):  # of an earlier edition: known from now on, whatever comes
        _replace(place / LIST, _list_text(before))
    others = {name: entry for name, entry in before.items() if name not in files}
    stay = {name: each for name, each in others.items() if each.kind != stale and is_as_written(place / name, each)}
    left = _left(others, stay, place, folder, next((made.plan for made in files.values()), ""), stale)
    with _staged(place) as stage:
        for name, made in files.items():
            _put(stage / name, made.data, like=place / name)
        _put(stage / LIST, _list_text(stay | {name: entry_of(made) for name, made in files.items()}))
        _flush(stage)
        moving = stage.with_name(stage.name.replace(BEING_WRITTEN, BEING_MOVED))
        stage.rename(moving)
    _move(place, moving)
    return left


def _left(
    others: Mapping[str, Entry], stay: Mapping[str, Entry], place: Path, folder: Path, plan: str, stale: Kind | None
) -> tuple[Fault, ...]:
    """Files of ours that a person has changed since, and those that show the plan before."""
    left = []
    for name, entry in others.items():
        if entry.kind == stale and os.path.lexists(place / name) and not is_as_written(place / name, entry):
            left.append(_fault("changed.stays", folder / name))
        elif stale == "plan" and name in stay and entry.plan not in ("", plan):
            left.append(_fault("outdated.plan", folder / name, plan=entry.plan, kind=entry.kind))
    return tuple(left)


def _move(place: Path, moving: Path) -> None:
    """All to its place, stale files away, the new list last. It takes an instant, and Ctrl-C waits for it."""
    while True:
        try:
            _flush(place)
            return _moved(place, moving)
        except KeyboardInterrupt:
            continue
        except OSError as error:
            waits = _fault("cannot_write.waits", place, why=_reason(error), folder=moving.name)
            raise InputError(waits) from None


def _moved(place: Path, moving: Path) -> None:
    new, old = _listed(moving), _listed(place) or {}
    for name, entry in (new or {}).items():
        known = [each for each in (entry, old.get(name)) if each is not None]
        free = not os.path.lexists(place / name) or any(is_as_written(place / name, each) for each in known)
        if free and is_as_written(moving / name, entry):
            (moving / name).replace(place / name)
    if new is not None:
        for name in old.keys() - new.keys():
            if is_as_written(place / name, old[name]):
                (place / name).unlink()
        _flush(place)
        with suppress(FileNotFoundError):  # another run has been quicker, where a folder cannot be held
            (moving / LIST).replace(place / LIST)
        _flush(place)
    shutil.rmtree(moving, ignore_errors=True)


def _settle(place: Path, *, alone: bool) -> None:
    """Finish what a killed run had decided, and clear what it had not."""
    for rest in [each for each in place.iterdir() if each.name.startswith((BEING_WRITTEN, BEING_MOVED))]:
        if rest.is_symlink() or not rest.is_dir():
            continue
        if rest.name.startswith(BEING_MOVED):
            _move(place, rest)
        elif alone or time.time() - rest.stat().st_mtime > SURELY_DEAD:
            shutil.rmtree(rest, ignore_errors=True)


# --- the disk -------------------------------------------------------------------------------------------------------


@contextmanager
def _opened(folder: Path, *, keep: bool) -> Iterator[Path]:
    """The folder itself, made if need be, held and settled; folders that were made go again unless something comes of
    it.

    Raises InputError for what the system refuses meanwhile.
    """
    made: list[Path] = []
    kept = False
    try:
        with _plainly(folder, "the folder", "--out"):
            place = _real(folder)
            if place.exists() and not place.is_dir():
                raise InputError(_fault("in_the_way.file", folder))
            _make(place, made)
            with _held(place) as alone:
                _settle(place, alone=alone)
                yield place
            kept = keep
    finally:
        for each in [] if kept else reversed(made):
            with suppress(OSError):
                each.rmdir()


def _make(place: Path, made: list[Path]) -> None:
    """Make a folder and those above it; each that is made is told in `made`."""
    if place.exists():
        return
    _make(place.parent, made)
    place.mkdir()
    made.append(place)
    _flush(place.parent)


@contextmanager
def _held(place: Path) -> Iterator[bool]:
    """A folder held against other runs of the program; False where the system has no way to hold one."""
    if sys.platform == "win32":
        yield False
        return
    handle = os.open(place, os.O_RDONLY | os.O_DIRECTORY)
    try:
        yield _locked(handle)
    finally:
        os.close(handle)


def _locked(handle: int) -> bool:
    end = time.monotonic() + PATIENCE
    while True:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            if time.monotonic() > end:
                raise BlockingIOError(errno.EAGAIN, "another run of this program is writing there") from None
            time.sleep(0.01)
        except OSError:  # a file system without locks
            return False
        else:
            return True


@contextmanager
def _staged(place: Path) -> Iterator[Path]:
    """A hidden folder in the folder, to write into; what is left of it goes."""
    stage = Path(tempfile.mkdtemp(prefix=BEING_WRITTEN, dir=place))
    try:
        yield stage
    finally:
        shutil.rmtree(stage, ignore_errors=True)


def _replace(real: Path, data: bytes) -> None:
    """One file to its place, whole or not at all."""
    with _staged(real.parent) as stage:
        _put(stage / "new", data, like=real)
        (stage / "new").replace(real)
        _flush(real.parent)


def _put(path: Path, data: bytes, *, like: Path | None = None) -> None:
    """A new file, flushed; its mode is that of the file `like`, or what the person's umask makes it."""
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
    try:
        rest = memoryview(data)
        while rest:
            rest = rest[os.write(handle, rest) :]
        os.fsync(handle)
    finally:
        os.close(handle)
    if like is not None and os.path.lexists(like):
        with suppress(OSError):  # some file systems know no modes
            path.chmod(stat.S_IMODE(like.stat().st_mode))


def _flush(place: Path) -> None:
    """What a folder holds, onto the disk, where the system can."""
    if sys.platform == "win32":
        return
    handle = os.open(place, os.O_RDONLY | os.O_DIRECTORY)
    try:
        with suppress(OSError):  # some file systems cannot
            os.fsync(handle)
    finally:
        os.close(handle)


def _digest(path: Path) -> str:
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _real(path: Path) -> Path:
    """The place itself, whatever links lead to it and wherever the program runs."""
    return Path(os.path.realpath(path))


@contextmanager
def _plainly(where: Path, what: str, instead: str) -> Iterator[None]:
    """What the system refuses meanwhile, as a fault of input."""
    try:
        yield
    except InputError:
        raise
    except (OSError, ValueError) as error:
        refused = _fault("cannot_write.refused", where, what=what, why=_reason(error), instead=instead)
        raise InputError(refused) from None


def _reason(error: Exception) -> str:
    return error.strerror if isinstance(error, OSError) and error.strerror else str(error)
