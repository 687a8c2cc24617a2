"""The file of a stock book: opened, brought up to date, read and changed, and what is said when that cannot be.

SQLite keeps it whole: a change is one transaction that is on the disk when it ends or never was (write-ahead log,
`synchronous = FULL`), and whoever changes it holds it alone from the first look to the last line, so that two programs
never promise one plate.
"""

from __future__ import annotations

import os
import sqlite3
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from typing import Self

from stripplan.book.schema import APPLICATION, MIGRATIONS, Step
from stripplan.errors import Fault, InputError
from stripplan.wording.message import Fact, Facts

PATIENCE = 10.0
"""So long another program may hold the book [s]."""
NAME = "rack.db"


def usual_book() -> Path:
    """Where the book lies when nobody says otherwise: `STRIPPLAN_BOOK`, else in the person's own data folder."""
    named = os.environ.get("STRIPPLAN_BOOK")
    if named:
        return Path(named)
    base = os.environ.get("XDG_DATA_HOME") or os.environ.get("LOCALAPPDATA")
    usual = "Library/Application Support" if sys.platform == "darwin" else ".local/share"
    return (Path(base) if base else Path.home() / usual) / "stripplan" / NAME


def refused(path: Path | str, says: str, /, **facts: Fact) -> InputError:
    """What is wrong with a book or what was asked of it, as an error."""
    return InputError(Fault("book", str(path), Facts(**facts), says=f"book.{says}"))


class Database:
    """An open stock book. Raises InputError for whatever stops it, with a way out."""

    def __init__(
        self,
        path: Path,
        *,
        create: bool = False,
        writes: bool = True,
        patience: float = PATIENCE,
        migrations: Sequence[Step] = MIGRATIONS,
    ) -> None:
        self.path, self.new, self._migrations = path, not path.exists(), migrations
        self._held = False
        if self.new and not create:
            raise refused(path, "missing")
        with told(path):
            if self.new:
                path.parent.mkdir(parents=True, exist_ok=True)
            try:
                self._connection = _connected(path, patience)
                self._ready(patience)
            except sqlite3.OperationalError as error:
                if writes or _kind(error) not in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN):
                    raise
                self._connection = _only_read(path, patience)
                self._ready(patience, changes=False)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file."""
        with suppress(sqlite3.Error):
            self._connection.close()

    @property
    def version(self) -> int:
        """The version of its tables."""
        return _figure(self._connection, "user_version")

    @contextmanager
    def reading(self) -> Iterator[sqlite3.Connection]:
        """The book as it is at one moment, whatever others change meanwhile."""
        with self._transaction("BEGIN") as connection:
            yield connection

    @contextmanager
    def changing(self) -> Iterator[sqlite3.Connection]:
        """The book held alone: what is done inside is kept whole when it ends, and not at all where it fails.

        One that is begun within another is part of it: so several steps are one. What fails in it has to end all.
        """
        if self._held:
            yield self._connection
            return
        with self._transaction("BEGIN IMMEDIATE") as connection:
            self._held = True
            try:
                yield connection
            finally:
                self._held = False

    @contextmanager
    def _transaction(self, begin: str) -> Iterator[sqlite3.Connection]:
        with told(self.path):
            if self._held:  # read within a change: as it is so far
                yield self._connection
                return
            self._connection.execute(begin)
            try:
                yield self._connection
                self._connection.execute("COMMIT")
            except BaseException:
                with suppress(sqlite3.Error):
                    if self._connection.in_transaction:
                        self._connection.execute("ROLLBACK")
                raise

    def copied_to(self, copy: Path, *, over: bool = False) -> None:
        """A whole copy of the book, as it is at one moment, as one file that is on the disk when this returns. Raises
        InputError, also where a file is there already and may not be written `over`.

        It is made beside its place and renamed, so that a copy of before stays until the new one is whole.
        """
        if copy.exists() and not over:
            raise refused(copy, "copy_there")
        with told(copy):
            new = copy.with_name(f".{copy.name}.new")
            new.unlink(missing_ok=True)
            try:
                with closing(sqlite3.connect(new, isolation_level=None)) as connection:
                    self._connection.backup(connection)
                    connection.execute("PRAGMA journal_mode = DELETE")
                _flush(new)
                new.replace(copy)
                _flush(copy.absolute().parent)
            finally:
                new.unlink(missing_ok=True)

    def take_from(self, other: sqlite3.Connection) -> None:
        """All of another in place of what is here, at once or not at all."""
        with told(self.path):
            other.backup(self._connection)

    def _ready(self, patience: float, *, changes: bool = True) -> None:
        """Ours, not of a later edition, and brought up to date."""
        connection, newest = self._connection, len(self._migrations)
        _check_ours(self.path, connection)
        version = self.version
        if version > newest:
            raise refused(self.path, "newer", version=version, known=newest)
        if not changes:
            if version < newest:
                raise refused(self.path, "older_and_protected")
            return
        _settings(connection, patience)
        if version < newest:
            self._migrate()

    def _migrate(self) -> None:
        """Step by step to today's version; another program may have done it meanwhile. What was there before lies
        beside the book.
        """
        before = self.version
        if before:
            self.copied_to(self.path.with_name(f"{self.path.name}.version-{before}"), over=True)
        with self._transaction("BEGIN IMMEDIATE") as connection:
            _check_ours(self.path, connection)
            for number, step in enumerate(self._migrations[self.version :], self.version + 1):
                for statement in step:
                    connection.execute(statement)
                connection.execute(f"PRAGMA user_version = {number}")
            connection.execute(f"PRAGMA application_id = {APPLICATION}")


def _connected(path: Path, patience: float) -> sqlite3.Connection:
    return sqlite3.connect(path, timeout=patience, isolation_level=None)


def _only_read(path: Path, patience: float) -> sqlite3.Connection:
    """A book in a folder that nothing may be written into. A log beside it would be passed over, so there may be
    none.
    """
    log = path.with_name(f"{path.name}-wal")
    if log.exists() and log.stat().st_size:
        raise refused(path, "log_protected")
    address = f"{path.absolute().as_uri()}?mode=ro&immutable=1"
    return sqlite3.connect(address, uri=True, timeout=patience, isolation_level=None)


def _settings(connection: sqlite3.Connection, patience: float) -> None:
    """How it is kept. Turning to the log asks for the file alone, and does not wait by itself where two begin."""
    end = time.monotonic() + patience
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
            break
        except sqlite3.OperationalError as error:
            if _kind(error) != sqlite3.SQLITE_BUSY or time.monotonic() > end:
                raise
            time.sleep(0.01)
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA foreign_keys = ON")


def _check_ours(path: Path, connection: sqlite3.Connection) -> None:
    """A file with our mark, or one that holds nothing yet."""
    if _figure(connection, "application_id") == APPLICATION:
        return
    tables = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
    if tables or _figure(connection, "user_version"):
        raise refused(path, "not_ours")


def _figure(connection: sqlite3.Connection, name: str) -> int:
    return int(connection.execute(f"PRAGMA {name}").fetchone()[0])


def _kind(error: sqlite3.Error) -> int:
    """The kind of an error, without what is said more closely (SQLite: the primary result code)."""
    code = getattr(error, "sqlite_errorcode", None)
    return 0 if code is None else int(code) & 0xFF


def _flush(path: Path) -> None:
    """On the disk, as far as the system can say; a folder cannot be asked everywhere."""
    with suppress(OSError):
        handle = os.open(path, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


_SAYS = {
    sqlite3.SQLITE_BUSY: "busy",
    sqlite3.SQLITE_LOCKED: "busy",
    sqlite3.SQLITE_FULL: "full",
    sqlite3.SQLITE_READONLY: "protected",
    sqlite3.SQLITE_CANTOPEN: "not_opened",
    sqlite3.SQLITE_PERM: "not_opened",
    sqlite3.SQLITE_IOERR: "disk",
    sqlite3.SQLITE_CORRUPT: "damaged",
    sqlite3.SQLITE_NOTADB: "damaged",
}


@contextmanager
def told(path: Path) -> Iterator[None]:
    """What SQLite or the system refuses, as an error that a person can do something about."""
    try:
        yield
    except sqlite3.Error as error:
        says = _SAYS.get(_kind(error))
        if says is None:
            raise
        raise refused(path, says, why=str(error)) from None
    except OSError as error:
        raise refused(path, "system", why=error.strerror or str(error)) from None
