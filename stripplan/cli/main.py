"""Entry of the shell command, and the one place where an error becomes an exit status."""

from __future__ import annotations

import os
import sys
import traceback

import click

from ..errors import StripplanError
from ..version import VERSION
from .check import check
from .guide import guide
from .plan import plan
from .rig import rig
from .schema import schema


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(VERSION, prog_name="stripplan")
def main() -> None:
    """Plan straight cuts on plate for a straight-line cutting rig.

    From a list of widths to a layout, an order of work with fence readings and end stops, a setup sheet
    to read at the rig and drawings.
    """


for command in (plan, check, rig, schema, guide):
    main.add_command(command)


def run() -> None:
    """Run the command; exit status 0 all well, 2 not understood, 3 cannot be made, 4 the program is at fault."""
    try:
        sys.exit(main.main(standalone_mode=False) or 0)
    except click.exceptions.Exit as leaving:
        sys.exit(leaving.exit_code)
    except click.ClickException as error:
        error.show()
        sys.exit(2)
    except (click.Abort, KeyboardInterrupt):
        click.echo("Stopped.", err=True)
        sys.exit(130)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        sys.exit(0)
    except StripplanError as error:
        for fault in error.faults:
            click.echo(fault.sentence(), err=True)
        if error.exit_status == 4:
            click.echo("The plan did not pass its own check: nothing was written. Please report the job file.", err=True)
        sys.exit(error.exit_status)
    except Exception as error:
        if os.environ.get("STRIPPLAN_TRACEBACK"):
            traceback.print_exc()
        click.echo(
            f"stripplan itself failed: {type(error).__name__}: {error}\n"
            "Please report this with the job file; STRIPPLAN_TRACEBACK=1 shows where.",
            err=True,
        )
        sys.exit(4)
