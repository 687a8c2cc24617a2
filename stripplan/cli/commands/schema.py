"""`stripplan schema`: JSON Schemas, so that editors complete and check job, rig and notebook files."""

from __future__ import annotations

import json

import click


@click.command()
@click.argument("which", type=click.Choice(["job", "rig", "notebook"]))
def schema(which: str) -> None:
    """Print the JSON Schema of job, rig or notebook files."""
    from stripplan.files.job.schema import job_schema
    from stripplan.files.notebook.schema import notebook_schema
    from stripplan.files.rig.schema import rig_schema

    made = {"job": job_schema, "rig": rig_schema, "notebook": notebook_schema}[which]()
    click.echo(json.dumps(made, indent=2))
