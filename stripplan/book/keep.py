"""What is worth keeping, by material and thickness: a setting of the book."""

from __future__ import annotations

import sqlite3

from stripplan.book.database import Database, refused
from stripplan.book.history import write_entry
from stripplan.model.rack.keep import KeepRule


def keep_rules(book: Database) -> tuple[KeepRule, ...]:
    """The rules of the book, those for any material first."""
    with book.reading() as connection:
        return rules_in(connection)


def rules_in(connection: sqlite3.Connection) -> tuple[KeepRule, ...]:
    """The same within a transaction."""
    rows = connection.execute("SELECT material, thickness, length, width FROM keep ORDER BY material, thickness")
    return tuple(
        KeepRule(material=material, thickness=thickness or None, size=(length, width))
        for material, thickness, length, width in rows
    )


def set_rule(book: Database, rule: KeepRule, at: str) -> None:
    """Set a rule in place of the one for the same material and thickness."""
    with book.changing() as connection:
        connection.execute(
            "INSERT OR REPLACE INTO keep VALUES (?, ?, ?, ?)", (rule.material, rule.thickness or 0.0, *rule.size)
        )
        write_entry(connection, at, "keep_set", note=_named(rule))


def forget_rule(book: Database, material: str, thickness: float | None, at: str) -> None:
    """Take a rule out. Raises InputError where there is none."""
    with book.changing() as connection:
        done = connection.execute(
            "DELETE FROM keep WHERE material = ? AND thickness = ?", (material, thickness or 0.0)
        ).rowcount
        if not done:
            raise refused(book.path, "no_rule")
        write_entry(connection, at, "keep_forgotten", note=f"{material} {thickness or ''}".strip())


def _named(rule: KeepRule) -> str:
    about = " ".join(filter(None, (rule.material, "" if rule.thickness is None else f"{rule.thickness:g}")))
    return f"{about} {rule.size[0]:g}x{rule.size[1]:g}".strip()
