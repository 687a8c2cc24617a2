"""Entry of the shell command, and the one place where an error becomes an exit status."""

from __future__ import annotations

import errno
import gc
import os
import sys
import traceback

import click

from stripplan.cli.commands.check import check
from stripplan.cli.commands.completion import completion
from stripplan.cli.commands.guide import guide
from stripplan.cli.commands.labels import labels
from stripplan.cli.commands.notebook import notebook
from stripplan.cli.commands.page import page
from stripplan.cli.commands.pictures import pictures
from stripplan.cli.commands.plan import plan
from stripplan.cli.commands.rest import rest
from stripplan.cli.commands.rig import rig
from stripplan.cli.commands.schema import schema
from stripplan.cli.commands.sheet import sheet
from stripplan.cli.commands.show import show
from stripplan.cli.commands.why import why
from stripplan.cli.kernel_notice import tell_kernel
from stripplan.cli.making.commands import make
from stripplan.cli.rack.finishing import buy, done, undo
from stripplan.cli.rack.keeping import keep, release, reserve, write_off
from stripplan.cli.rack.learning import drift, minutes
from stripplan.cli.rack.looking import history, list_pieces, plans, value
from stripplan.cli.rack.putting_in import add, change, read, scan
from stripplan.cli.rack.ticking import tick
from stripplan.cli.rack.whole_book import backup, check_book, restore
from stripplan.cli.streams import guard_streams, plain, say, trouble
from stripplan.errors import CannotMakeError, Fault, StripplanError
from stripplan.version import VERSION

STOPPED = 130
"""Exit status after Ctrl-C: 128 and the number of the signal, as shells count."""


def _show_version(context: click.Context, _option: click.Parameter, asked: bool) -> None:
    if asked and not context.resilient_parsing:
        say(f"stripplan, version {VERSION}")
        tell_kernel()
        context.exit()


class InOrder(click.Group):
    """Commands in the order in which they were added, not by letters."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        """Their names."""
        return list(self.commands)


@click.group(cls=InOrder, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.option(
    "--version",
    is_flag=True,
    expose_value=False,
    is_eager=True,
    callback=_show_version,
    help="Show the version and exit.",
)
def main() -> None:
    """Plan straight cuts on plate for a straight-line cutting rig.

    From a list of widths to a layout, an order of work with fence readings and end stops, a setup sheet to
    read at the rig, and drawings.
    """


@main.group(cls=InOrder, short_help="Keep the book of what lies on the rack.")
def rack() -> None:
    """Keep the stock book: plates and offcuts, what they are worth, whom they are for."""


# in the order of --help: first what is used most
for command in (list_pieces, add, read, scan, change, reserve, release, write_off, value, keep, plans, history,
                minutes, drift, backup, restore, check_book):  # fmt: skip
    rack.add_command(command)
main.commands.pop("rack")  # its place is among the others
for command in (
    plan,
    page,
    make,
    rack,
    tick,
    done,
    undo,
    buy,
    show,
    why,
    rest,
    check,
    sheet,
    labels,
    pictures,
    rig,
    notebook,
    schema,
    guide,
    completion,
):
    main.add_command(command)


def run() -> None:
    """Run the command and leave: 0 all made, 1 not all could be said, 2 not understood, 3 cannot be made, 4 the program
    is at fault.
    """
    gc.set_threshold(500_000)  # one short run: looking for garbage every 700 objects only slows it
    guard_streams()
    status = _status()
    unsaid = trouble()
    if unsaid is not None and status == 0:
        status = 1
        if unsaid.errno != errno.EPIPE:  # a reader that went away knows
            _say(f"What was to be printed could not all be: {unsaid.strerror}. All else was done.")
    sys.exit(status)


def _status() -> int:
    try:
        # A value comes back only from click's own --help and --version: their exit status.
        return main.main(prog_name="stripplan", standalone_mode=False) or 0
    except click.ClickException as error:
        said = "\n".join(map(plain, error.format_message().split("\n")))
        error.format_message = lambda: said  # type: ignore[method-assign]
        error.show()
        return 2
    except (click.Abort, KeyboardInterrupt):
        _say("Stopped; nothing was written.")
        return STOPPED
    except StripplanError as error:
        return _refused(error)
    except MemoryError:  # no fault of the program: more was asked for than the machine has room for
        return _refused(CannotMakeError(Fault("memory", "the job")))
    except Exception as error:
        return _failed(error)


def _refused(error: StripplanError) -> int:
    """One line for each fault."""
    for fault in error.faults:
        _say(fault.sentence(error.units))
    if error.exit_status == 4:
        _say(f"stripplan {VERSION} made a plan that did not pass its own check; nothing was written.")
        _say("Please report these lines with the job and rig files.")
    return error.exit_status


def _failed(error: Exception) -> int:
    """The program is at fault: short for the person, whole for whoever mends it."""
    if os.environ.get("STRIPPLAN_TRACEBACK") == "1":
        traceback.print_exception(error)
    _say(f"stripplan {VERSION} failed: {type(error).__name__}: {error}")
    _say("This is a fault of the program. Please report these lines with the job and rig files;")
    _say("with STRIPPLAN_TRACEBACK=1 in the environment it says where.")
    return 4


def _say(text: str) -> None:
    say(text, err=True)
