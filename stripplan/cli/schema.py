"""`stripplan schema`: JSON Schemas, so that editors complete and check job and rig files."""

from __future__ import annotations

import json

import click


@click.command()
@click.argument("which", type=click.Choice(["job", "rig"]))
def schema(which: str) -> None:
    """Print the JSON Schema of job or rig files."""
    from ..files.schema import job_schema, rig_schema

    click.echo(json.dumps(job_schema() if which == "job" else rig_schema(), indent=2))
