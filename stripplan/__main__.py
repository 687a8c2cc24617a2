"""`python -m stripplan`."""

from stripplan.cli.main import run

run()
