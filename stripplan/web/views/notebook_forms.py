"""The forms of the notebook view: what is asked for each kind of row, and what was typed as a row of TOML."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from stripplan.errors import Fault, InputError
from stripplan.files.notebook.typed import Sort, Typed, literal
from stripplan.wording.message import Facts

LONGEST = 200
"""Most letters in one field."""
MOST_FIGURES = 200
"""Most figures in one column of a form."""


@dataclass(frozen=True, kw_only=True)
class Field:
    """One field of a form. A length or speed has the units of the notebook; `more`: seldom needed, folded away."""

    key: str
    label: str
    sort: Sort
    unit: str = ""
    hint: str = ""
    needed: bool = False
    more: bool = False
    choices: tuple[tuple[str, str], ...] = ()

    def unit_in(self, units: str) -> str:
        """The unit that stands beside it, where bare numbers are in `units`."""
        return {"length": units, "speed": f"{units}/min", "seconds": "s"}.get(self.sort, self.unit)


@dataclass(frozen=True, kw_only=True)
class Form:
    """The form of one kind of row. `columns` are figures that belong together, `places` rows of them to begin with.

    `one` is what stands before the number of such a row of figures; with `grows` more of them can be had.
    """

    kind: str
    title: str
    how: str
    fields: tuple[Field, ...] = ()
    columns: tuple[Field, ...] = ()
    places: int = 0
    one: str = ""
    grows: bool = True

    def all_fields(self) -> tuple[Field, ...]:
        """Every field in the order in which a row is written."""
        return (*self.fields, *self.columns, DAY, NOTE)


DAY = Field(key="on", label="day", sort="day")
NOTE = Field(key="note", label="note", sort="text")
_PROCESS = Field(key="process", label="process", sort="process", needed=True)
_OTHERWISE = (
    Field(key="current", label="current", sort="number", unit="A", more=True, hint="if not that of the process"),
    Field(key="tip", label="tip", sort="text", more=True, hint="if not that of the process"),
)
_PLACE = Field(key="positions", label="from home", sort="length", needed=True)
_TRUTH = (("", "not looked at"), ("yes", "yes"), ("no", "no"))
_DROSS = (("none", "none"), ("easy", "thick, comes off easily"), ("hard", "thin line, hard to remove"))
_LINES = (("straight", "straight"), ("curved", "curved"), ("j", "hooked at the foot, like a J"))

FORMS: tuple[Form, ...] = (
    Form(
        kind="timed_run", title="Timed run",
        how="Arc off. Let the carriage run a measured way and time it: at five marks of the dial or more, some of "
            "them twice with the dial turned away between.",
        fields=(
            Field(key="mark", label="mark on the dial", sort="number", needed=True),
            Field(key="distance", label="distance run", sort="length", needed=True),
            Field(key="seconds", label="time", sort="seconds", needed=True, hint="93.6 or 1:33.6"),
        ),
    ),
    Form(
        kind="kerf_test", title="Kerf test", one="piece", places=2,
        how="Measure a piece across, cut it, measure all that was made of it: cold, dross off, on the same face, "
            "away from the ends. What is missing is the kerf. Three tests are worth far more than one.",
        fields=(
            _PROCESS,
            Field(key="before", label="width before", sort="length", needed=True),
            *_OTHERWISE,
            Field(key="travel_speed", label="speed", sort="speed", more=True, hint="if not that of the process"),
        ),
        columns=(Field(key="after", label="width after", sort="length", needed=True),),
    ),
    Form(
        kind="fence_check", title="Fence check",
        how="Cut a strip on the fence at a reading, measure it cold. One strip gives the zero, two readings the "
            "scale as well; five from narrow to wide say how well a setting repeats.",
        fields=(
            Field(key="reading", label="reading of the fence", sort="length", needed=True),
            Field(key="width", label="width of the strip", sort="length", needed=True),
            Field(key="process", label="process", sort="process", hint="left open: the rig's first"),
            Field(key="kerf", label="kerf of this very cut", sort="length", more=True, hint="if it was measured"),
        ),
    ),
    Form(
        kind="test_cut", title="Test cut",
        how="Cut 100 to 150 mm of scrap. Arc off, torch parked and the piece cold before the edge is looked at or "
            "felt: fresh edges are hot and sharp, dross flies off. Eye and hand protection. Leave open what was not "
            "looked at.",
        fields=(
            _PROCESS,
            Field(key="travel_speed", label="speed", sort="speed", needed=True),
            Field(key="dross", label="dross below", sort="choice", choices=(("", "not looked at"), *_DROSS)),
            Field(key="severed", label="cut through all the way", sort="truth", choices=_TRUTH),
            Field(key="top_spatter", label="spatter on top", sort="truth", choices=_TRUTH),
            Field(key="drag_lines", label="lines on the cut face", sort="choice",
             choices=(("", "not looked at"), *_LINES)),
            Field(key="lag_angle", label="arc trails by", sort="number", unit="degrees", hint="below, from upright"),
            Field(key="bevel", label="bevel, square side", sort="number", unit="degrees", more=True),
            Field(key="wide_kerf", label="kerf burnt wide", sort="truth", choices=_TRUTH, more=True),
            Field(key="rounded_edge", label="top edge rounded", sort="truth", choices=_TRUTH, more=True),
            Field(key="starts_on_tip", label="arcs struck on this tip before", sort="whole", more=True),
            Field(key="stand_off", label="torch above the plate", sort="length", more=True),
            Field(key="air", label="air", sort="text", more=True, hint="pressure or flow, in words"),
            *_OTHERWISE,
        ),
    ),
    Form(
        kind="height_check", title="Height of the torch", one="place", places=5,
        how="Arc off and plug out. A dial gauge or rule in the torch's place, read above the bed at several places "
            "along the travel. Where both rails are measured, the left one is the height, the right one stands "
            "beside it, and the way between them is needed.",
        fields=(Field(key="rail_distance", label="rail to rail", sort="length", hint="with a right rail", more=True),),
        columns=(
            _PLACE,
            Field(key="heights", label="height", sort="length", needed=True),
            Field(key="other", label="right rail", sort="length"),
        ),
    ),
    Form(
        kind="rail_check", title="Distance between the rails", one="place", places=3,
        how="Arc off and plug out. Inside calipers between the rails, at several places along the travel.",
        columns=(_PLACE, Field(key="distances", label="rail to rail", sort="length", needed=True)),
    ),
    Form(
        kind="parallel_check", title="Fence and travel",
        how="One long strip, cut on the fence, measured cold at both of its ends. The last check counts.",
        fields=(
            Field(key="entry", label="width where the torch entered", sort="length", needed=True),
            Field(key="exit", label="width where it left", sort="length", needed=True),
            Field(key="length", label="between the two places", sort="length", needed=True),
        ),
    ),
    Form(
        kind="square_check", title="Squareness", one="diagonal", places=2, grows=False,
        how=("A rectangle cut on the rig, and both of its diagonals. The first one starts at the corner on the fence "
            "near home."),
        fields=(
            Field(key="width", label="width", sort="length", needed=True),
            Field(key="length", label="length", sort="length", needed=True),
        ),
        columns=(Field(key="diagonals", label="corner to corner", sort="length", needed=True),),
    ),
    Form(
        kind="bow_check", title="Bow of a strip",
        how=("A strip with one hot edge, cold, dross off, against a straight edge. Three strips of about 50 mm, a "
            "metre long."),
        fields=(
            _PROCESS,
            Field(key="bow", label="greatest gap", sort="length", needed=True),
            Field(key="length", label="length of the strip", sort="length", needed=True),
            Field(key="width", label="width of the strip", sort="length", needed=True),
        ),
    ),
)  # fmt: skip
BY_KIND = {each.kind: each for each in FORMS}


def typed_row(form: Form, given: Mapping[str, Any]) -> Typed:
    """A form as it was sent, as a table of TOML. Raises InputError with every field that cannot stand in a notebook.

    >>> sent = {"mark": "4", "distance": "19 3/4 in", "seconds": "1:33.6", "on": ""}
    >>> print(typed_row(BY_KIND["timed_run"], sent).text)
    [[timed_run]]
    mark = 4
    distance = "19 3/4 in"
    seconds = 93.6
    <BLANKLINE>
    """
    columns = {each.key for each in form.columns}
    faults = [
        Fault("unknown_key", says="field_unknown", place=(str(key)[:40],))
        for key in given.keys() - {each.key for each in form.all_fields()}
    ]
    figures = {key: _figures(given.get(key, []), key, faults) for key in sorted(columns)}
    used = tuple(sorted({at for each in figures.values() for at, text in enumerate(each) if text}))
    lines = [f"[[{form.kind}]]"]
    for each in form.all_fields():
        if each.key in columns:
            if not (each.needed or any(figures[each.key])):
                continue
            cells = [(at, (figures[each.key][at : at + 1] or [""])[0]) for at in used]
            values = [_written(each, cell, (each.key, at), faults) for at, cell in cells]
            if not used:
                faults.append(Fault("missing", says="field_missing", place=(each.key, 0)))
            lines.append(f"{each.key} = [{', '.join(values)}]")
        else:
            text = _plain(given.get(each.key, ""), (each.key,), faults)
            if text or each.needed:
                lines.append(f"{each.key} = {_written(each, text, (each.key,), faults)}")
    if faults:
        raise InputError(dict.fromkeys(faults))
    return Typed("\n".join(lines) + "\n", dict.fromkeys(columns, used))


def _figures(given: object, key: str, faults: list[Fault]) -> list[str]:
    if not isinstance(given, list) or len(given) > MOST_FIGURES:
        faults.append(Fault("value", facts=Facts(most=MOST_FIGURES), says="no_figures", place=(key, 0)))
        return []
    return [_plain(each, (key, at), faults) for at, each in enumerate(given)]


def _plain(given: object, place: tuple[str | int, ...], faults: list[Fault]) -> str:
    """One line of printable text."""
    text = " ".join(given.split()) if isinstance(given, str) else None
    if text is None or not text.isprintable():
        faults.append(Fault("value", says="no_plain_line", place=place))
        return ""
    if len(text) > LONGEST:
        faults.append(Fault("value", facts=Facts(letters=len(text), most=LONGEST), says="line_too_long", place=place))
        return ""
    return text


def _written(field: Field, text: str, place: tuple[str | int, ...], faults: list[Fault]) -> str:
    """A value of TOML; what cannot be one is among the faults."""
    if not text:
        faults.append(Fault("missing", says="field_missing", place=place))
        return '""'
    try:
        return literal(field.sort, text)
    except ValueError as error:
        said, _, hint = str(error).partition(": ")
        faults.append(Fault("value", facts=Facts(said=said, way_out=hint), says="field_refused", place=place))
        return '""'


def told(form: Form, row: Mapping[str, Any], units: str) -> str:
    """A row of a notebook in words, its figures as they were written.

    >>> told(BY_KIND["timed_run"], {"mark": 4, "distance": 500, "seconds": 93.6, "on": "2026-03-07"}, "mm")
    'mark on the dial 4, distance run 500 mm, time 93.6 s, day 2026-03-07'
    """
    known = {each.key: each for each in form.all_fields()}
    keys = [*(key for key in known if key in row), *(key for key in row if key not in known and key != "ignore")]
    return ", ".join(_told(known.get(key), key, row[key], units) for key in keys)


def _told(field: Field | None, key: str, value: object, units: str) -> str:
    values = value if isinstance(value, list) else [value]
    words = "; ".join({True: "yes", False: "no"}[each] if isinstance(each, bool) else str(each) for each in values)
    unit = field.unit_in(units) if field is not None and not any(isinstance(each, str) for each in values) else ""
    return " ".join(filter(None, (field.label if field is not None else key.replace("_", " "), words, unit)))
