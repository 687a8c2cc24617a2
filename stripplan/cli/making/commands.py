"""`stripplan make`: from a thing to its strips, as a job file and a picture to check."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

from stripplan.cli.making.job_file import write_thing

_Command = TypeVar("_Command", bound=Callable[..., Any])


def _shared(command: _Command) -> _Command:
    """Options that all things have, in the order in which help shows them."""
    for option in reversed(
        (
            click.option("--thickness", required=True, metavar="LENGTH", help="Thickness of the plate or bar."),
            click.option("--gap", metavar="LENGTH", help="Weld gap left wherever a piece butts on another."),
            click.option(
                "--allowance", metavar="LENGTH", help="Metal left on each edge of every piece, for preparing it."
            ),
            click.option("--material", help="Material or grade."),
            click.option(
                "--plate",
                "plates",
                multiple=True,
                metavar="LENGTHxWIDTH[xTHICKNESS][*N]",
                help="A plate for the job file; may be repeated. Left out: add plates to it, or plan it with --rack.",
            ),
            click.option("--times", type=click.IntRange(1, 1000), default=1, show_default=True, help="So many of it."),
            click.option("--name", help="Name of the job; left out: what is made."),
            click.option("--units", type=click.Choice(["mm", "in"]), default="mm", help="Units of bare numbers."),
            click.option(
                "--out",
                type=click.Path(path_type=Path),
                metavar="JOB.toml",
                help="Job file to write, the picture beside it; left out: NAME.toml.",
            ),
        )
    ):
        command = option(command)
    return command


@click.group(short_help="Make a job file for a thing: frame, box, base, bracket.")
def make() -> None:
    """From outer sizes to the list of strips: writes a job file, and a picture (SVG) to check it by."""


@make.command(short_help="An open frame of flat bar.")
@click.argument("size", metavar="LENGTHxWIDTH")
@click.option("--bar", required=True, metavar="LENGTH", help="Width of the flat bar.")
@click.option(
    "--through",
    type=click.Choice(["sides", "ends", "round", "mitred"]),
    default="sides",
    show_default=True,
    help="Bars that run through at the corners: those along the length, those across, each at one of its ends, or "
    "none: all are mitred at 45 degrees.",
)
@click.option("--on-edge", is_flag=True, help="The bars stand on edge; left out: they lie flat.")
@_shared
def frame(size: str, **given: Any) -> None:
    """An open frame of four flat bars, by its outer size: 800x600."""
    write_thing("frame", size, ("length", "width"), given)


@make.command(short_help="A box, with a lid or without.")
@click.argument("size", metavar="LENGTHxWIDTHxHEIGHT")
@click.option(
    "--through",
    type=click.Choice(["sides", "ends", "round"]),
    default="sides",
    show_default=True,
    help="Walls that run through at the corners.",
)
@click.option(
    "--base",
    type=click.Choice(["under", "between"]),
    default="under",
    show_default=True,
    help="The walls stand on the base, or the base lies between them.",
)
@click.option(
    "--lid",
    type=click.Choice(["none", "loose", "welded"]),
    default="none",
    show_default=True,
    help="A lid on the walls; it counts in the height.",
)
@_shared
def box(size: str, **given: Any) -> None:
    """A box of base and four walls, by its outer size: 800x400x300."""
    write_thing("box", size, ("length", "width", "height"), given)


@make.command(short_help="A plate with ribs on edge.")
@click.argument("size", metavar="LENGTHxWIDTHxHEIGHT")
@click.option("--ribs", default="2", show_default=True, metavar="N", help="Ribs that run through.")
@click.option(
    "--cross-ribs", default="0", show_default=True, metavar="N", help="Rows of ribs across, in pieces between those."
)
@click.option("--rib-thickness", metavar="LENGTH", help="Thickness of the ribs; left out: that of the plate.")
@click.option("--edge", metavar="LENGTH", help="How far ribs stay off the plate's edges.")
@click.option(
    "--along",
    type=click.Choice(["length", "width"]),
    default="length",
    show_default=True,
    help="Which way the ribs run that run through.",
)
@_shared
def base(size: str, **given: Any) -> None:
    """A base plate with ribs on edge, by its outer size: 600x400x80, the height that of plate and ribs together."""
    write_thing("base", size, ("length", "width", "height"), given)


@make.command(short_help="A shelf bracket.")
@click.argument("size", metavar="DEPTHxHEIGHT")
@click.option("--bar", required=True, metavar="LENGTH", help="Width of the flat bar.")
@click.option(
    "--through",
    type=click.Choice(["leg", "arm"]),
    default="leg",
    show_default=True,
    help="What runs through in the corner: the leg on the wall, or the arm.",
)
@click.option(
    "--strut", metavar="LENGTH", help="How far a strut at 45 degrees reaches along leg and arm; left out: no strut."
)
@_shared
def bracket(size: str, **given: Any) -> None:
    """A shelf bracket of leg, arm and strut, by its outer size: 250x200."""
    write_thing("bracket", size, ("depth", "height"), given)
