"""What several commands share: how lists are to be read, as options, and what a shell completes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from stripplan.errors import Fault, InputError
from stripplan.wording.message import Facts

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

    from stripplan.files.parts.drawings.layers import Layers
    from stripplan.files.parts.read import HowRead, ListFile

OPTION = {
    "units": "--list-units",
    "tolerance": "--list-tolerance",
    "layers": "--layer",
    "layer_names": "--layers-named",
    "sheet": "--list-sheet",
    "leave_out": "--leave-out",
    "drill_later": "--drill-later",
}
"""What the shell calls the options of a list."""


@dataclass(frozen=True, kw_only=True)
class ListOptions:
    """The options as they stand in the command; None = left out."""

    list_units: str | None
    list_tolerance: str | None
    layers: tuple[str, ...]
    layers_named: bool
    list_sheet: str | None
    leave_out: bool
    drill_later: bool

    def given(self) -> list[str]:
        """What the shell calls those that are given."""
        values = (
            self.list_units, self.list_tolerance, self.layers, self.layers_named, self.list_sheet, self.leave_out,
            self.drill_later,
        )  # fmt: skip
        return [name for name, value in zip(OPTION.values(), values, strict=True) if value not in (None, (), False)]


_OPTIONS = (
    click.option(
        OPTION["units"],
        "list_units",
        type=click.Choice(["mm", "cm", "m", "in", "ft"]),
        help="Units of a list's bare numbers, or of a drawing.",
    ),
    click.option(
        OPTION["layers"],
        "layers",
        multiple=True,
        metavar="NAME[=THICKNESS[,MATERIAL]]",
        help="A layer of the drawing to read, as PL6=6,S235; may be repeated. Others are then not read.",
    ),
    click.option(
        OPTION["layer_names"],
        "layers_named",
        is_flag=True,
        help="Take thickness and material from the names of layers, as PLATE_6MM_S235.",
    ),
    click.option(
        OPTION["tolerance"],
        "list_tolerance",
        metavar="LENGTH",
        help="How far a drawn outline may be off a true rectangle; 0.05 mm, if left out.",
    ),
    click.option(OPTION["sheet"], "list_sheet", metavar="NAME", help="The sheet of a workbook to read."),
    click.option(
        OPTION["leave_out"],
        "leave_out",
        is_flag=True,
        help="Go on without what a drawing holds that is no part; the sheet says what is NOT PLANNED.",
    ),
    click.option(
        OPTION["drill_later"],
        "drill_later",
        is_flag=True,
        help="Of a drawn rectangle with holes plan the rectangle; the holes stay as a note.",
    ),
)


def any_file(_context: click.Context, _parameter: click.Parameter, typed: str) -> list[CompletionItem]:
    """For a shell that completes: a file, whatever else the word may be."""
    from click.shell_completion import CompletionItem

    return [CompletionItem(typed, type="file")]


def list_options(command: Callable[..., None]) -> Callable[..., None]:
    """The options of a list on a command, which is handed all of them as `reading`."""
    own = [each.name for each in fields(ListOptions)]

    @wraps(command)
    def packed(**given: Any) -> None:
        reading = ListOptions(**{key: given.pop(key) for key in own})
        command(**given, reading=reading)

    decorated: Callable[..., None] = packed
    for option in reversed(_OPTIONS):
        decorated = option(decorated)
    return decorated


def list_files(paths: Sequence[Path], words: ListOptions, units: str) -> list[ListFile]:
    """Lists with how each is read: an option goes to all that it goes with.

    Lengths typed without a unit are in `units`. Raises InputError with every fault, also for an option that goes with
    none.
    """
    from stripplan.files.parts.read import ListFile, unfit

    how = _how_read(words, units)
    faults = [
        unfit(key, path.name, OPTION[key])
        for key in how.unfitting(paths[0])
        if all(key in how.unfitting(each) for each in paths)
        for path in paths
    ]
    if faults:
        raise InputError(faults)
    return [ListFile(path, how.fitting(path), OPTION.__getitem__) for path in paths]


def _how_read(words: ListOptions, units: str) -> HowRead:
    from stripplan.files.parts.read import HowRead
    from stripplan.wording.quantity import UnitError, parse_length

    faults: list[Fault] = []
    tolerance = None
    try:
        if words.list_tolerance is not None:
            tolerance = parse_length(words.list_tolerance, units)
    except UnitError as error:
        faults.append(Fault("option", OPTION["tolerance"], facts=Facts(said=error.said, way_out=error.hint)))
    layers = _layers(words.layers, units, faults)
    if faults:
        raise InputError(faults)
    return HowRead(
        units=words.list_units,
        tolerance=tolerance,
        layers=layers or None,
        layer_names=words.layers_named,
        sheet=words.list_sheet,
        leave_out=words.leave_out,
        drill_later=words.drill_later,
    )


def _layers(words: Sequence[str], units: str, faults: list[Fault]) -> Layers:
    from stripplan.files.fault_words import shortened
    from stripplan.files.parts.drawings.layers import parse_layer

    layers: dict[str, tuple[float | None, str | None]] = {}
    for word in words:
        try:
            name, says = parse_layer(word, units=units)
        except InputError as error:
            faults += error.faults
            continue
        if name in layers:
            faults.append(Fault("same_layer", OPTION["layers"], facts=Facts(layer=shortened(name))))
        layers[name] = says
    return layers
