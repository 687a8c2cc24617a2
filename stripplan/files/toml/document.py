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
from stripplan.files.read_file import read_text
from stripplan.files.toml.key_lines import line_index

LARGEST = 4 * 1024 * 1024
"""Greatest size of a TOML file [bytes]."""
LONGEST_LINE, MOST_DOTS = 100_000, 2000

_PLAIN = {
    "Invalid value": ("a value is missing or not understood", "text stands in quotes, numbers do not"),
    "Expected '=' after a key in a key/value pair": ("this line is no `key = value`", "write width = 50"),
    "Invalid statement": ("this line is no `key = value`", "write width = 50"),
    "Expected newline or end of document after a statement": (
        "something follows the value", "one `key = value` a line; text stands in quotes"),
    "Cannot overwrite a value": ("a key stands twice in one table", "keep one of the two"),
    "Unterminated string": ("a text is not closed", "put quotes at its end"),
    "Unclosed array": ("a list is not closed", "end it with ]"),
    "Unescaped '\\' in a string": ("a \\ in a text has no meaning", "write / in paths, or put the text in single quotes"),
}  # fmt: skip
_STARTS = (
    ("Illegal character '\\n'", ("a text is not closed", "put quotes at its end")),
    ("Cannot declare", ("a table stands twice", "write [[plate]] and [[part]] in double brackets, others once")),
    ("Cannot mutate immutable", ("a table stands twice", "write [[plate]] and [[part]] in double brackets, others once")),
    ("Expected ']", ("a header is not closed", "write [[part]] or [options]")),
    ("Found invalid character", ("a \\ in a text has no meaning", "write / in paths, or put the text in single quotes")),
)  # fmt: skip


_VALUES = ("Invalid value", "Expected newline or end of document after a statement")


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
    text = read_text(path, name=name, largest=LARGEST, instead="a long list of parts goes into a CSV file: cut_list")
    return toml_from(text, name=name, folder=path.parent)


def toml_from(text: str, *, name: str, folder: Path) -> TomlFile:
    """A text of TOML read, as `read_toml` does; `folder` is where files that it names are looked for."""
    _check_lines(text, name)
    try:
        return TomlFile(name, text, tomllib.loads(text), folder)
    except tomllib.TOMLDecodeError as error:
        raise InputError(_syntax_fault(str(error), name, text)) from None
    except ValueError:  # whole numbers of thousands of digits
        raise InputError(Fault("toml", name, "the file holds a number of thousands of digits", "correct it")) from None
    except RecursionError:
        raise InputError(
            Fault("toml", name, "lists or tables are nested too deeply", "see a job as an example")
        ) from None


def _check_lines(text: str, name: str) -> None:
    """Refuse lines that nobody writes and that the reader would spend minutes on."""
    for number, line in enumerate(text.split("\n"), 1):
        if len(line) > LONGEST_LINE or line.count(".") > MOST_DOTS:
            what = f"{LONGEST_LINE:,} letters" if len(line) > LONGEST_LINE else f"{MOST_DOTS:,} points"
            raise InputError(Fault("toml", f"{name} line {number}", f"the line has more than {what}", "break it up"))


def _syntax_fault(words: str, name: str, text: str) -> Fault:
    """The reader's own message in plain words, with what was probably meant."""
    found = re.fullmatch(r"(.*) \(at (?:line (\d+), column (\d+)|end of document)\)", words, re.DOTALL)
    said, line, column = (found[1], found[2], found[3]) if found else (words, None, None)
    number = int(line) if line else text.count("\n", 0, len(text.rstrip())) + 1
    place = f"{name} line {number}, " + (f"column {column}" if column else "at the end of the file")
    starts = next((plain for start, plain in _STARTS if said.startswith(start)), None)
    plain, hint = _PLAIN.get(said) or starts or (said[0].lower() + said[1:], "text stands in quotes")
    if said in _VALUES:
        hint = _meant(text.splitlines()[number - 1]) or hint
    return Fault("toml", place, f"this is not TOML: {plain}", hint)


def _meant(line: str) -> str:
    """What was probably meant by a value that is none: a decimal comma, or text without its quotes."""
    value = re.fullmatch(r"\s*[\w.-]+\s*=\s*([^\s\"'\[\]{}#=][^\"'\[\]{}#=]{0,40}?)\s*(?:#.*)?", line)
    if value is None or not value[1].isprintable():
        return ""
    if re.fullmatch(r"\d+,\d+", value[1]):
        return f"write {value[1].replace(',', '.')}"
    return f'write "{value[1]}" in quotes'
