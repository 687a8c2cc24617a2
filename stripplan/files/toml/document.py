"""A TOML file: its values, and where in its text they stand."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from stripplan.errors import Fault, InputError
from stripplan.files.fault_words import fault
from stripplan.files.read_file import read_text
from stripplan.files.toml.key_lines import line_index
from stripplan.wording.message import Fact

LARGEST = 4 * 1024 * 1024
"""Greatest size of a TOML file [bytes]."""
LONGEST_LINE, MOST_DOTS = 100_000, 2000

_SYNTAX = (
    ("Invalid value", "no_value"),
    ("Expected '=' after a key in a key/value pair", "no_pair"),
    ("Invalid statement", "no_pair"),
    ("Expected newline or end of document after a statement", "more_after_value"),
    ("Cannot overwrite a value", "key_twice"),
    ("Unterminated string", "open_text"),
    ("Illegal character '\\n'", "open_text"),
    ("Unclosed array", "open_list"),
    ("Unescaped '\\' in a string", "backslash"),
    ("Found invalid character", "backslash"),
    ("Cannot declare", "table_twice"),
    ("Cannot mutate immutable", "table_twice"),
    ("Expected ']", "open_header"),
)
"""How messages of the standard library's reader begin, and what they mean to the writer of the file."""


@dataclass(frozen=True)
class TomlFile:
    """What was read from a TOML file. `name` is what messages call it, `folder` where the files lie that it names."""

    name: str
    text: str
    data: dict[str, Any]
    folder: Path = Path()

    @cached_property
    def _lines(self) -> dict[tuple[str | int, ...], int]:
        return line_index(self.text, self.data)

    def where(self, place: Iterable[str | int], words: str) -> str:
        """File, line where it is certain, and place in words: "job.toml line 9, [[part]] 1 'bar', width"."""
        line = self._lines.get(tuple(place))
        return f"{self.name} line {line}, {words}" if line else f"{self.name}, {words}"


def read_toml(path: Path, *, name: str | None = None) -> TomlFile:
    """A TOML file read. Raises InputError with line, column and plain words where it is none."""
    name = name or str(path)
    text = read_text(path, name=name, largest=LARGEST, instead="list")
    return toml_from(text, name=name, folder=path.parent)


def toml_from(text: str, *, name: str, folder: Path) -> TomlFile:
    """A text of TOML read, as `read_toml` does; `folder` is where files that it names are looked for."""
    _check_lines(text, name)
    try:
        return TomlFile(name, text, tomllib.loads(text), folder)
    except tomllib.TOMLDecodeError as error:
        raise InputError(_syntax_fault(str(error), name, text)) from None
    except ValueError:  # whole numbers of thousands of digits
        raise InputError(fault("toml.digits", name)) from None
    except RecursionError:
        raise InputError(fault("toml.nested", name)) from None


def _check_lines(text: str, name: str) -> None:
    """Refuse lines that nobody writes and that the reader would spend minutes on."""
    for number, line in enumerate(text.split("\n"), 1):
        if len(line) > LONGEST_LINE:
            raise InputError(fault("toml.long_line", f"{name} line {number}", most=LONGEST_LINE))
        if line.count(".") > MOST_DOTS:
            raise InputError(fault("toml.points", f"{name} line {number}", most=MOST_DOTS))


def _syntax_fault(words: str, name: str, text: str) -> Fault:
    """The reader's own message in plain words, with what was probably meant."""
    found = re.fullmatch(r"(.*) \(at (?:line (\d+), column (\d+)|end of document)\)", words, re.DOTALL)
    said, line, column = (found[1], found[2], found[3]) if found else (words, None, None)
    number = int(line) if line else text.count("\n", 0, len(text.rstrip())) + 1
    place = f"{name} line {number}, " + (f"column {column}" if column else "at the end of the file")
    kind = next((kind for start, kind in _SYNTAX if said.startswith(start)), None)
    if kind is None:
        return fault("toml.syntax", place, said=said[0].lower() + said[1:])
    value = _meant(text.splitlines()[number - 1]) if kind in ("no_value", "more_after_value") else {}
    return fault(f"toml.{kind}", place, **value)


def _meant(line: str) -> dict[str, Fact]:
    """What was probably meant by a value that is none:
    a `number` with a decimal comma, or a `text` without its quotes.
    """
    value = re.fullmatch(r"\s*[\w.-]+\s*=\s*([^\s\"'\[\]{}#=][^\"'\[\]{}#=]{0,40}?)\s*(?:#.*)?", line)
    if value is None or not value[1].isprintable():
        return {}
    if re.fullmatch(r"\d+,\d+", value[1]):
        return {"number": value[1].replace(",", ".")}
    return {"text": value[1]}
