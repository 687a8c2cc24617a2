"""`stripplan guide`: the written guide."""

from __future__ import annotations

from importlib import resources

import click

from stripplan.cli.kernel_notice import tell_kernel

PAGES = ("first-sheet", "how-to", "page", "rack", "your-rig", "reference", "how-it-is-solved", "cautions")
"""In the order of reading."""


@click.command()
@click.argument("page", required=False)
def guide(page: str | None) -> None:
    """Show a page of the guide; without PAGE, list the pages."""
    from stripplan.errors import Fault, InputError
    from stripplan.wording.message import Facts

    folder = resources.files("stripplan").joinpath("guide")
    texts = {name: folder.joinpath(f"{name}.md").read_text(encoding="utf-8") for name in PAGES}
    if page is None:
        for name, text in texts.items():
            click.echo(f"{name:<18}{text.splitlines()[0].lstrip('# ')}")
        click.echo("\nShow a page: stripplan guide PAGE")
        tell_kernel()
        return
    if page not in texts:
        raise InputError(Fault("no_page", f"page {page!r}", facts=Facts(pages=tuple(PAGES))))
    click.echo_via_pager(texts[page])
