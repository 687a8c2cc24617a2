"""`stripplan page`: the workshop's page on this computer, and for the devices beside the rig."""

from __future__ import annotations

from pathlib import Path

import click

from stripplan.cli.streams import say


@click.command(short_help="Open the workshop's page in the browser.")
@click.argument("folder", type=click.Path(path_type=Path), default=Path("workshop"))
@click.option("--port", type=click.IntRange(0, 65535), default=8321, show_default=True, help="0 takes any free one.")
@click.option("--network", is_flag=True, help="Let devices of the workshop's network in, by a code shown here.")
@click.option("--no-browser", is_flag=True, help="Do not open the page in a browser.")
def page(folder: Path, port: int, network: bool, no_browser: bool) -> None:
    """Open the workshop's page: type the list, see the plates, cut by it at the rig.

    FOLDER holds the plans that are kept; left out, workshop. Nothing leaves this computer unless --network is given.
    Ctrl-C ends it.
    """
    from stripplan.web.server import serve

    def ready(address: str, code: str | None, damaged: Path | None) -> None:
        say(f"The page: {address}   (Ctrl-C ends it)")
        say(f"Plans that are kept: {folder}")
        if damaged is not None:
            say("The list of devices that were let in before was damaged: each has to give a code once more.")
            say(f"What was left of it lies in {damaged}.")
        if code is not None:
            say(f"Other devices open this address and give the code {code}.")
        if not no_browser:
            click.launch(address)

    serve(folder, port=port, network=network, ready=ready)
