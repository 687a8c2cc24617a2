"""The manual page of the shell command, from click's own help: one page with every command."""

from __future__ import annotations

import inspect
from collections.abc import Iterator
from pathlib import Path

import click

from stripplan.cli.main import main
from stripplan.version import VERSION

PAGE = Path(__file__).parent.parent / "stripplan" / "guide" / "stripplan.1"
STATUS = (
    ("0", "all made"),
    ("1", "not all could be printed"),
    ("2", "what was given cannot be understood or contradicts itself; a plan that was checked is not sound"),
    ("3", "a sound job, but some part cannot be made, or no place was found for it"),
    ("4", "the program is at fault"),
    ("130", "stopped by Ctrl-C"),
)
VARIABLES = (
    ("NO_COLOR", "no colours on a terminal, whatever it holds"),
    ("COLUMNS", "width of the terminal, where it does not tell"),
    ("SOURCE_DATE_EPOCH", "the date that a plan carries, in seconds since 1970; none without it"),
    ("STRIPPLAN_KERNEL", "off: searches in Python alone, with the same plans, many times slower"),
)


def man_page() -> str:
    """The page as troff, for man(7)."""
    context = click.Context(main, info_name="stripplan", **main.context_settings)
    return "\n".join(
        [
            f'.TH STRIPPLAN 1 "" "stripplan {VERSION}" "User Commands"',
            ".SH NAME",
            "stripplan \\- plan straight cuts on plate for a straight\\-line cutting rig",
            ".SH SYNOPSIS",
            ".B stripplan",
            "COMMAND [OPTIONS] [ARGS]...",
            ".SH DESCRIPTION",
            *paragraphs(main.help or ""),
            ".SH OPTIONS",
            *options(context),
            ".SH COMMANDS",
            *(line for path, each in commands(context) for line in section(path, each)),
            ".SH EXIT STATUS",
            *pairs(STATUS),
            ".SH ENVIRONMENT",
            *pairs(VARIABLES),
            ".SH SEE ALSO",
            ".B stripplan guide",
            "shows the written guide; its page",
            ".I reference",
            "tells every key of the files.",
            "",
        ]
    )


def commands(context: click.Context, path: str = "") -> Iterator[tuple[str, click.Context]]:
    """Every command with its words, those of a group in its place, in the order of --help."""
    assert isinstance(context.command, click.Group)
    for name, command in context.command.commands.items():
        below = click.Context(command, info_name=name, parent=context)
        words = f"{path} {name}".strip()
        if isinstance(command, click.Group):
            yield from commands(below, words)
        else:
            yield words, below


def section(path: str, context: click.Context) -> Iterator[str]:
    """One command: its usage, its help, its options."""
    usage = " ".join(context.command.collect_usage_pieces(context))
    yield f'.SS "stripplan {text(path)} {text(usage)}"'
    yield from paragraphs(context.command.help or "")
    yield from options(context)


def options(context: click.Context) -> Iterator[str]:
    """A line and a text for each option."""
    records = (each.get_help_record(context) for each in context.command.get_params(context))
    return pairs([each for each in records if each is not None and each[0].startswith("-")])


def pairs(some: list[tuple[str, str]] | tuple[tuple[str, str], ...]) -> Iterator[str]:
    """Names in bold, each with what it means."""
    for name, means in some:
        yield ".TP"
        yield f"\\fB{text(name)}\\fR"
        yield text(means)


def paragraphs(words: str) -> Iterator[str]:
    """Help as click keeps it: paragraphs are filled, but one that begins with a form letter stands as it is."""
    for number, each in enumerate(inspect.cleandoc(words).split("\n\n")):
        if each.startswith("\b"):
            yield from (".PP", ".nf", *map(text, each.split("\n")[1:]), ".fi")
        else:
            yield from ([".PP"] if number else [])
            yield text(" ".join(each.split()))


def text(words: str) -> str:
    r"""Words that troff shows as they are.

    >>> text("-h, --help"), text(".5 mm"), text("it's a\\b")
    ('\\-h, \\-\\-help', '\\&.5 mm', 'it\\(aqs a\\eb')
    """
    shown = words.replace("\\", "\\e").replace("-", "\\-").replace("'", "\\(aq")
    return f"\\&{shown}" if shown.startswith((".", "\\(aq")) else shown
