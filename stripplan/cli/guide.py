"""`stripplan guide`: the written guide."""

from __future__ import annotations

from importlib import resources

import click


@click.command()
@click.argument("page", required=False)
def guide(page: str | None) -> None:
    """Show a page of the guide; without PAGE, list the pages."""
    from ..errors import Fault, InputError

    folder = resources.files("stripplan").joinpath("guide")
    pages = sorted(each.name.removesuffix(".md") for each in folder.iterdir() if each.name.endswith(".md"))
    if page is None:
        click.echo("Pages: " + ", ".join(pages) + "\nShow one with: stripplan guide PAGE")
        return
    if page not in pages:
        raise InputError(Fault("no_page", page, "the guide has no such page", "it has " + ", ".join(pages)))
    click.echo_via_pager(folder.joinpath(f"{page}.md").read_text(encoding="utf-8"))
