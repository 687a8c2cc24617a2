"""Rows of a notebook added, corrected and left out in a person's own text: every byte that is not meant to change
stays.

A new row goes to the end of the file. Of a row that changes only the lines between its header and the next are read
with tomlkit, which keeps figures, spaces and comments as they were written; read whole, rows of one kind with rows of
another between them would be moved together. What comes out is read again and must hold what was meant, else the
change is refused and said how to make by hand.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from stripplan.errors import InputError
from stripplan.files.fault_words import fault, meant, shortened
from stripplan.files.notebook.read import KINDS, model_of, notebook_from
from stripplan.files.toml.document import TomlFile
from stripplan.files.toml.key_lines import line_index
from stripplan.files.toml.validate import checked
from stripplan.model.notebook import Notebook
from stripplan.wording.message import length

if TYPE_CHECKING:
    from tomlkit.toml_document import TOMLDocument

_IGNORED = "ignore = true\n"
_LOOKED_AT = (
    "dross", "severed", "drag_lines", "lag_angle", "top_spatter", "bevel", "wide_kerf", "rounded_edge",
)  # fmt: skip
"""What a test cut is made for: one of which nothing was looked at says nothing."""
_BOM = b"\xef\xbb\xbf"


def added(raw: bytes, kind: str, row: str, *, name: str) -> bytes:
    """A notebook with a row (`[[kind]]` and its keys) at its end, a blank line between, in its own line ends.

    >>> added(b"units = 'in'  # mine", "timed_run", "[[timed_run]]\\nmark = 2\\n", name="book.toml")
    b"units = 'in'  # mine\\n\\n[[timed_run]]\\nmark = 2\\n"
    """
    data, end = _read(raw), _line_end(raw)
    listed = data.get("lists", {})
    if kind == "parallel_check" and kind in listed:
        raise InputError(fault("by_hand.last_counts", name, list=str(listed[kind])))
    before = data.get(kind, [])
    gap = b"" if raw.endswith(b"\n") else end
    new = raw + gap + end + row.encode().replace(b"\n", end)
    wanted = {**data, kind: [*before, *tomllib.loads(row)[kind]]} if isinstance(before, list) else None
    if _read(new) != wanted:
        raise InputError(fault("by_hand.add", name, kind=kind))
    return new


def check_row(kind: str, row: str, processes: Sequence[str], *, units: str) -> None:
    """InputError with every fault of a row that no other row need be asked about, each with the place of its value."""
    values = tomllib.loads(row)[kind][0]
    read, faults = checked(model_of(kind), values, TomlFile("", "", values), units=units)
    named = values.get("process")
    if isinstance(named, str) and named not in processes:
        unknown = fault("no_process.in_rig", "", name=shortened(named), **meant(named, processes))
        faults.append(replace(unknown, place=("process",)))
    if read is not None and kind == "test_cut" and not any(key in values for key in _LOOKED_AT):
        faults.append(replace(fault("value.nothing_looked_at", ""), place=(_LOOKED_AT[0],)))
    if read is not None and kind == "kerf_test":
        widths = read.model_dump()
        if sum(widths["after"]) >= widths["before"]:
            sums = {"after": length(sum(widths["after"])), "before": length(widths["before"])}
            faults.append(replace(fault("value.no_metal_taken", "", **sums), place=("before",)))
    if faults:
        raise InputError(replace(each, where="") for each in faults)


def changed(raw: bytes, kind: str, number: int, values: Mapping[str, str], *, name: str) -> bytes:
    """A notebook with other values in one row, each as TOML has it, or "" for a key that goes.

    `number` counts rows of the kind from 0. Comments beside a value stay with it.
    """
    import tomlkit

    wanted = _with_row(raw, kind, number)
    for key, value in values.items():
        wanted[kind][number].pop(key, None)
        if value:
            wanted[kind][number] |= tomllib.loads(f"{key} = {value}")

    def edit(keys: TOMLDocument) -> str:
        for key, value in values.items():
            if value:
                keys[key] = tomlkit.value(value)
            elif key in keys:
                del keys[key]
        return keys.as_string()

    new = _edited(raw, kind, number, edit)
    if new is None or _read(new) != wanted:
        raise InputError(fault("by_hand.change", name, row=number + 1, kind=kind))
    return new


def ignored(raw: bytes, kind: str, number: int, *, name: str) -> bytes:
    """A notebook with one row left out that was not, or taken in again.

    Left out it gets a first line of its own, which goes when it is taken in; a word of the person's changes in place.
    """
    wanted = _with_row(raw, kind, number)
    out = wanted[kind][number].get("ignore") is True
    wanted[kind][number]["ignore"] = not out

    def edit(keys: TOMLDocument) -> str:
        if "ignore" not in keys:
            return _IGNORED + keys.as_string()
        if out and keys.as_string().startswith(_IGNORED):
            return keys.as_string().removeprefix(_IGNORED)
        keys["ignore"] = not out
        return keys.as_string()

    new = _edited(raw, kind, number, edit)
    read = _read(new) if new is not None else {}
    if read:
        read[kind][number].setdefault("ignore", False)
    if new is None or read != wanted:
        raise InputError(fault("by_hand.ignore", name, row=number + 1, kind=kind, ignore=str(not out).lower()))
    return new


def notebook_in(raw: bytes, file: TomlFile) -> Notebook:
    """The notebook in a text that stands, or is to stand, in a file. Raises InputError."""
    text = raw.decode("utf-8-sig")
    return notebook_from(replace(file, text=text, data=_read(raw)), name=file.name.removesuffix(".toml"))


def _with_row(raw: bytes, kind: str, number: int) -> dict[str, Any]:
    """What a notebook holds, to be changed. Raises InputError where it has no such row itself."""
    data = _read(raw)
    rows = data.get(kind) if kind in KINDS else None
    if not isinstance(rows, list) or not 0 <= number < len(rows):
        raise InputError(fault("row.none", "the row"))
    return data


def _edited(raw: bytes, kind: str, number: int, edit: Callable[[TOMLDocument], str]) -> bytes | None:
    """The text with the keys of one row edited; None where it is not sure that nothing else changes."""
    import tomlkit

    text = raw.decode("utf-8-sig")
    lines = [f"{line}\n" for line in text.split("\n")]
    lines[-1] = lines[-1].removesuffix("\n")
    index = line_index(text, tomllib.loads(text))
    header = index.get((kind, number))
    if header is None or not lines[header - 1].lstrip().startswith("[["):
        return None
    tables = [line for path, line in index.items() if len(path) == 1 or (len(path) == 2 and isinstance(path[1], int))]
    below = min((line for line in tables if line > header), default=len(lines) + 1)
    before, keys, after = lines[:header], "".join(lines[header : below - 1]), lines[below - 1 :]
    end = "\r\n" if before[-1].endswith("\r\n") else "\n"
    plain = keys.replace("\r\n", "\n")
    read = tomlkit.parse(plain)
    if plain.replace("\n", end) != keys or read.as_string() != plain:
        return None
    last = max((at for at, (key, _) in enumerate(read.body) if key is not None), default=-1)
    rest = "".join(item.as_string() for _, item in read.body[last + 1 :])  # may speak of the row below
    made = edit(tomlkit.parse(plain.removesuffix(rest))) + rest
    bom = raw[: len(raw) - len(raw.removeprefix(_BOM))]
    return bom + "".join((*before, made.replace("\n", end), *after)).encode()


def _read(raw: bytes) -> dict[str, Any]:
    """The values of a TOML text; none of what is no TOML."""
    try:
        return tomllib.loads(raw.decode("utf-8-sig"))
    except (ValueError, RecursionError):
        return {}


def _line_end(raw: bytes) -> bytes:
    return b"\r\n" if b"\r\n" in raw else b"\n"
