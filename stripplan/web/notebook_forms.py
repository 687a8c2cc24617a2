"""The forms of the notebook view: what is asked for each kind of row, and what was typed as a row of TOML."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Any, Literal

import tomli_w

from ..errors import Fault, InputError

Sort = Literal["length", "speed", "number", "seconds", "whole", "text", "process", "choice", "truth"]
LONGEST = 200
"""Most letters in one field."""
MOST_ENTRIES = 200
"""Most figures in one column of a form."""
TRUTH = (("", "not looked at"), ("yes", "yes"), ("no", "no"))


@dataclass(frozen=True, kw_only=True)
class Field:
    """One field of a form. `unit` stands beside it; a length has that of the notebook. `more`: seldom needed, folded away."""

    key: str
    label: str
    sort: Sort
    hint: str = ""
    unit: str = ""
    needed: bool = False
    more: bool = False
    choices: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, kw_only=True)
class Form:
    """The form of one kind of row. Columns are figures that belong together, one row of them each place or piece.

    `section` is the part of the report that the rows speak in.
    """

    kind: str
    title: str
    one: str
    how: str
    fields: tuple[Field, ...] = ()
    columns: tuple[Field, ...] = ()
    rows: int = 0
    grows: str = ""
    section: str = ""
    last: tuple[Field, ...] = field(
        default_factory=lambda: (
            Field(key="note", label="note", sort="text", hint="for whoever reads the notebook", more=True),
        )
    )

    def all_fields(self) -> tuple[Field, ...]:
        """Every field, the day left out."""
        return (*self.fields, *self.columns, *self.last)


_PROCESS = Field(key="process", label="process", sort="process", needed=True)
_OTHERWISE = (
    Field(key="current", label="current", sort="number", unit="A", more=True, hint="if not that of the process"),
    Field(key="tip", label="tip", sort="text", more=True, hint="if not that of the process"),
)
_PLACE = Field(key="positions", label="from home", sort="length", needed=True)

FORMS: tuple[Form, ...] = (
    Form(
        kind="timed_run",
        title="Timed runs",
        one="timed run",
        how="Arc off. Let the carriage run a measured way and time it: at five marks of the dial or more, some of them "
        "twice with the dial turned away between.",
        fields=(
            Field(key="mark", label="mark on the dial", sort="number", needed=True, hint="4 or 4.5"),
            Field(key="distance", label="distance run", sort="length", needed=True, hint="half a metre or more"),
            Field(key="seconds", label="time", sort="seconds", unit="s", needed=True, hint="93.6 or 1:33.6"),
        ),
        section="Dial",
    ),
    Form(
        kind="kerf_test",
        title="Kerf tests",
        one="kerf test",
        how="Measure a piece across, cut it, measure all that was made of it: cold, dross off, on the same face, away "
        "from the ends. What is missing is the kerf. Three tests are worth far more than one.",
        fields=(
            _PROCESS,
            Field(key="before", label="width before", sort="length", needed=True),
            *_OTHERWISE,
            Field(key="travel_speed", label="speed", sort="speed", more=True, hint="if not that of the process"),
        ),
        columns=(Field(key="after", label="width after, piece", sort="length", needed=True),),
        rows=2,
        grows="Another piece",
        section="Kerf",
    ),
    Form(
        kind="fence_check",
        title="Fence checks",
        one="fence check",
        how="Cut a strip on the fence at a reading, measure it cold. One strip gives the zero, two readings the scale "
        "as well; five from narrow to wide say how well a setting repeats.",
        fields=(
            Field(key="reading", label="reading of the fence", sort="length", needed=True),
            Field(key="width", label="width of the strip", sort="length", needed=True),
            Field(key="process", label="process", sort="process", hint="whose kerf it was cut with"),
            Field(key="kerf", label="kerf of this very cut", sort="length", more=True, hint="if it was measured"),
        ),
        section="Fence",
    ),
    Form(
        kind="test_cut",
        title="Test cuts",
        one="test cut",
        how="Cut 100 to 150 mm of scrap. Arc off, torch parked and the piece cold before the edge is looked at or felt: "
        "fresh edges are hot and sharp, dross flies off. Eye and hand protection. Leave open what was not looked at.",
        fields=(
            _PROCESS,
            Field(key="travel_speed", label="speed", sort="speed", needed=True),
            Field(
                key="dross", label="dross below", sort="choice",
                choices=(("", "not looked at"), ("none", "none"), ("easy", "thick, comes off easily"), ("hard", "thin line, hard to remove")),
            ),
            Field(key="severed", label="cut through all the way", sort="truth", choices=TRUTH),
            Field(key="top_spatter", label="spatter on top", sort="truth", choices=TRUTH),
            Field(
                key="drag_lines", label="lines on the cut face", sort="choice",
                choices=(("", "not looked at"), ("straight", "straight"), ("curved", "curved"), ("j", "hooked at the foot, like a J")),
            ),
            Field(key="lag_angle", label="arc trails by", sort="number", unit="degrees", hint="below, from upright"),
            Field(key="bevel", label="bevel, square side", sort="number", unit="degrees", more=True),
            Field(key="wide_kerf", label="kerf burnt wide", sort="truth", choices=TRUTH, more=True),
            Field(key="rounded_edge", label="top edge rounded", sort="truth", choices=TRUTH, more=True),
            Field(key="starts_on_tip", label="arcs struck on this tip before", sort="whole", more=True),
            Field(key="stand_off", label="torch above the plate", sort="length", more=True),
            Field(key="air", label="air", sort="text", more=True, hint="pressure or flow, in words"),
            *_OTHERWISE,
        ),
        section="Speed of ",
    ),
    Form(
        kind="height_check",
        title="Height of the torch",
        one="height check",
        how="Arc off and plug out. A dial gauge or rule in the torch's place, read above the bed at several places along the travel.",
        columns=(_PLACE, Field(key="heights", label="height", sort="length", needed=True)),
        rows=5,
        grows="Another place",
        section="Height of the torch",
    ),
    Form(
        kind="rail_check",
        title="Distance between the rails",
        one="rail check",
        how="Arc off and plug out. Inside calipers between the rails, at several places along the travel.",
        columns=(_PLACE, Field(key="distances", label="rail to rail", sort="length", needed=True)),
        rows=3,
        grows="Another place",
        section="Distance between the rails",
    ),
    Form(
        kind="parallel_check",
        title="Fence and travel",
        one="parallel check",
        how="One long strip, cut on the fence, measured cold at both of its ends. The last check counts.",
        fields=(
            Field(key="entry", label="width where the torch entered", sort="length", needed=True),
            Field(key="exit", label="width where it left", sort="length", needed=True),
            Field(key="length", label="between the two places", sort="length", needed=True),
        ),
        section="Fence and travel",
    ),
    Form(
        kind="square_check",
        title="Squareness",
        one="square check",
        how="A rectangle cut on the rig, and both of its diagonals.",
        fields=(
            Field(key="width", label="width", sort="length", needed=True),
            Field(key="length", label="length", sort="length", needed=True),
        ),
        columns=(Field(key="diagonals", label="diagonal", sort="length", needed=True),),
        rows=2,
        section="Squareness",
    ),
    Form(
        kind="bow_check",
        title="Bow of strips",
        one="bow check",
        how="A strip with one hot edge, cold, against a straight edge. Three strips of about 50 mm, a metre long.",
        fields=(
            _PROCESS,
            Field(key="bow", label="greatest gap", sort="length", needed=True),
            Field(key="length", label="length of the strip", sort="length", needed=True),
            Field(key="width", label="width of the strip", sort="length", needed=True),
        ),
        section="Bow",
    ),
)  # fmt: skip
BY_KIND = {each.kind: each for each in FORMS}


@dataclass(frozen=True)
class Typed:
    """What was typed as a row of TOML. `entries` are the fields that the figures of a list were typed in."""

    text: str
    entries: Mapping[str, tuple[int, ...]]


def typed_row(form: Form, given: Mapping[str, Any]) -> Typed:
    """A form as it was sent, as TOML. Raises InputError with every field that cannot stand in a notebook at all.

    >>> print(typed_row(BY_KIND["timed_run"], {"mark": "4", "distance": "19 3/4 in", "seconds": "1:33.6", "on": ""}).text)
    [[timed_run]]
    mark = 4
    distance = "19 3/4 in"
    seconds = 93.6
    <BLANKLINE>
    """
    known = {each.key for each in form.all_fields()} | {"on"}
    faults = [
        Fault("unknown_key", "", "this field is not known", place=(str(key)[:40],)) for key in given.keys() - known
    ]
    lines = [f"[[{form.kind}]]"]
    entries, columns = {}, {each.key: _column(given.get(each.key), each.key, faults) for each in form.columns}
    used = [
        at
        for at in range(max(map(len, columns.values()), default=0))
        if any(at < len(c) and c[at] for c in columns.values())
    ]
    for each in (*form.fields, *form.columns, Field(key="on", label="day", sort="text"), *form.last):
        if each.key in columns:
            column = columns[each.key]
            faults += [
                Fault("missing", "", "is missing", place=(each.key, at)) for at in used if at >= len(column) or not column[at]
            ]  # fmt: skip
            entries[each.key] = tuple(used)
            values = ", ".join(literal(each.sort, column[at]) for at in used if at < len(column))
            lines += [f"{each.key} = [{values}]"] if used else []
        else:
            text = _plain(given.get(each.key, ""), (each.key,), faults)
            lines += [f"{each.key} = {literal(each.sort, text)}"] if text else []
    if faults:
        raise InputError(faults)
    return Typed("\n".join(lines) + "\n", entries)


def _column(given: object, key: str, faults: list[Fault]) -> list[str]:
    if given is None:
        return []
    if not isinstance(given, list) or len(given) > MOST_ENTRIES:
        faults.append(Fault("value", "", f"this is no list of at most {MOST_ENTRIES} figures", place=(key,)))
        return []
    return [_plain(each, (key, at), faults) for at, each in enumerate(given)]


def _plain(given: object, place: tuple[str | int, ...], faults: list[Fault]) -> str:
    """One line of printable text."""
    text = " ".join(given.split()) if isinstance(given, str) else None
    if text is None or not text.isprintable():
        faults.append(Fault("value", "", "this is no line of plain text", "write it without control characters", place))
        return ""
    if len(text) > LONGEST:
        faults.append(Fault("value", "", f"it has {len(text)} letters", f"at most {LONGEST}", place))
        return ""
    return text


def literal(sort: Sort, text: str) -> str:
    """What was typed as TOML: a plain number as it was written, everything else as text for the notebook's own reader.

    >>> [literal("length", each) for each in ("58.20", "58,2", "-.5", "3 1/4 in", "1,200")]
    ['58.20', '58.2', '-0.5', '"3 1/4 in"', '"1,200"']
    >>> literal("number", "3 1/2"), literal("seconds", "2:05"), literal("truth", "yes"), literal("text", '5 "bar"')
    ('3.5', '125', 'true', '"5 \\\\"bar\\\\""')
    """
    if sort == "truth" and text in ("yes", "no"):
        return "true" if text == "yes" else "false"
    if sort in ("text", "process", "choice", "truth"):
        return quoted(text)
    number = _number(text)
    if number is None and sort == "seconds":
        number = _clock(text)
    if number is None and sort in ("number", "whole"):
        number = _mixed(text)
    return number if number is not None else quoted(text)


def quoted(text: str) -> str:
    """A text as TOML has it."""
    return tomli_w.dumps({"t": text}).removeprefix("t = ").removesuffix("\n")


def _number(text: str) -> str | None:
    """A plain number as TOML writes it; a decimal comma where it has one meaning."""
    found = re.fullmatch(r"([-+−]?)([0-9]{0,12})(?:([.,])([0-9]{0,12}))?", text)
    if found is None or not (found[2] or found[4]):
        return None
    sign, whole, point, part = found.groups()
    if point == "," and len(part) == 3 and whole.strip("0") and len(whole) <= 3:  # a thousand or a decimal?
        return None
    made = f"{'-' if sign in ('-', '−') else ''}{whole.lstrip('0') or '0'}"
    return f"{made}.{part}" if part else made


def _clock(text: str) -> str | None:
    """Minutes and seconds of a watch, in seconds."""
    found = re.fullmatch(r"([0-9]{1,3}):([0-5][0-9](?:[.,][0-9]{1,3})?)", text)
    return str(60 * int(found[1]) + Decimal(found[2].replace(",", "."))) if found else None


def _mixed(text: str) -> str | None:
    """A fraction, with a whole number or without."""
    found = re.fullmatch(r"(?:([0-9]{1,6})[ -])?([0-9]{1,4})/([1-9][0-9]{0,3})", text)
    return f"{float(int(found[1] or 0) + Fraction(int(found[2]), int(found[3]))):g}" if found else None


def at_fields(form: Form, faults: Sequence[Fault], entries: Mapping[str, tuple[int, ...]]) -> Iterator[dict[str, str]]:
    """Faults for the page, each with the name of its field; "" where it concerns none."""
    labels = {each.key: each for each in form.all_fields()}
    for each in faults:
        hint = f" ({each.hint})" if each.hint else ""
        key = str(each.place[0]) if each.place else ""
        if key not in labels and key != "on":
            yield {"field": "", "said": each.sentence(), "text": each.text + hint}
            continue
        name, words = key, labels[key].label if key in labels else "day"
        if key in {column.key for column in form.columns}:
            number = each.place[1] if len(each.place) > 1 and isinstance(each.place[1], int) else 0
            typed_in = entries.get(key, ())
            at = typed_in[number] if number < len(typed_in) else number
            name, words = f"{key}.{at}", f"{words} {at + 1}"
        if each.code == "missing":
            hint = ""
        yield {"field": name, "said": f"{words}: {each.text}{hint}", "text": each.text + hint}
