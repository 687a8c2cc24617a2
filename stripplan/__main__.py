"""`python -m stripplan`."""

from stripplan.cli.main import run

if __name__ == "__main__":
    run()
