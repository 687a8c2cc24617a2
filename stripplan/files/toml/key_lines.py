"""In which line of a TOML text a key stands.

The TOML reader of the standard library gives values without places. This scan walks over text that it has
already found to be good, so it need not check anything: it only follows headers, keys and the nesting of
values. What it finds is used if it has met exactly the keys that were read, else there are no lines at all.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from typing import Any

Path = tuple[str | int, ...]

LARGEST = 1_000_000
"""Texts longer than this are not scanned [letters]."""

_TRIVIA = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_KEY = re.compile(r"[A-Za-z0-9_-]+|\"(?:\\.|[^\"\\\n])*\"|'[^'\n]*'")
_STRING = re.compile(
    r'"""(?:\\.|[^\\])*?"""(?:"{0,2})|\'\'\'.*?\'\'\'(?:\'{0,2})|"(?:\\.|[^"\\\n])*"|\'[^\'\n]*\'', re.DOTALL
)
_BARE = re.compile(r"[^,\[\]{}#\n]+")


def line_index(text: str, data: Mapping[str, Any]) -> dict[Path, int]:
    """Line of each key, table and list entry of a TOML text, by path such as ("part", 2, "width").

    `data` is what was read from the text. Empty where the two do not agree.

    >>> line_index("[[part]]\\nwidth = 5\\n", {"part": [{"width": 5}]})
    {('part',): 1, ('part', 0): 1, ('part', 0, 'width'): 2}
    """
    if len(text) > LARGEST:
        return {}
    try:
        found = _Scan(text).run()
    except (AttributeError, IndexError, RecursionError, ValueError):
        return {}
    return found if found.keys() == set(_paths(data, ())) else {}


def _paths(value: Any, at: Path) -> Iterator[Path]:
    children = value.items() if isinstance(value, Mapping) else enumerate(value) if isinstance(value, list) else ()
    for key, child in children:
        yield (*at, key)
        yield from _paths(child, (*at, key))


class _Scan:
    """One walk over a text; `_at` is the place in it, `_entries` counts the tables of each [[array]]."""

    def __init__(self, text: str) -> None:
        self._text = text
        self._at = 0
        self._line = 1
        self._counted = 0
        self._entries: dict[Path, int] = {}
        self._found: dict[Path, int] = {}

    def run(self) -> dict[Path, int]:
        table: Path = ()
        self._go_over(_TRIVIA)
        while self._at < len(self._text):
            table = self._header() if self._text[self._at] == "[" else self._pair(table)
            self._go_over(_TRIVIA)
        return self._found

    def _header(self) -> Path:
        """A [table] or [[array]] header; the path of what follows it."""
        line, several = self._now(), self._text.startswith("[[", self._at)
        self._at += 2 if several else 1
        *parents, last = self._keys()
        self._at = self._text.index("]", self._at) + (2 if several else 1)
        path: Path = ()
        for key in parents:
            path = self._inside((*path, key), line)
        if not several:
            return self._inside((*path, last), line)
        number = self._entries.get((*path, last), 0)
        self._entries[(*path, last)] = number + 1
        return self._inside((*path, last), line)

    def _inside(self, path: Path, line: int) -> Path:
        """Note a table's line; in an array of tables the path of its last entry."""
        self._found.setdefault(path, line)
        if path in self._entries:
            path = (*path, self._entries[path] - 1)
            self._found.setdefault(path, line)
        return path

    def _pair(self, table: Path) -> Path:
        """A `key = value`, also inside an inline table."""
        line, path = self._now(), table
        for key in self._keys():
            path = (*path, key)
            self._found.setdefault(path, line)
        self._at = self._text.index("=", self._at) + 1
        self._value(path)
        return table

    def _keys(self) -> list[str]:
        """The parts of a dotted key."""
        keys = []
        while True:
            self._go_over(_TRIVIA)
            word = self._go_over(_KEY)
            keys.append(tomllib.loads(f"k = {word}")["k"] if word[0] in "\"'" else word)
            self._go_over(_TRIVIA)
            if self._text[self._at] != ".":
                return keys
            self._at += 1

    def _value(self, path: Path) -> None:
        self._go_over(_TRIVIA)
        mark = self._text[self._at]
        if mark == "[":
            self._several(path, "]")
        elif mark == "{":
            self._several(path, "}")
        else:
            self._go_over(_STRING if mark in "\"'" else _BARE)

    def _several(self, path: Path, end: str) -> None:
        """Entries of a list or inline table, up to its closing bracket."""
        self._at += 1
        number = 0
        self._go_over(_TRIVIA)
        while self._text[self._at] != end:
            if end == "}":
                self._pair(path)
            else:
                self._found[(*path, number)] = self._now()
                self._value((*path, number))
                number += 1
            self._go_over(_TRIVIA)
            self._at += self._text[self._at] == ","
            self._go_over(_TRIVIA)
        self._at += 1

    def _go_over(self, what: re.Pattern[str]) -> str:
        """Go over what must stand here, and give it back."""
        match = what.match(self._text, self._at)
        self._at = match.end()  # type: ignore[union-attr]
        return match[0]  # type: ignore[index]

    def _now(self) -> int:
        """The line that the scan has come to."""
        self._line += self._text.count("\n", self._counted, self._at)
        self._counted = self._at
        return self._line
