"""Words match the program."""

from __future__ import annotations

import re
from pathlib import Path

import click
import pytest

from stripplan.cli.main import main
from stripplan.files.schema import job_schema, rig_schema
from stripplan.version import VERSION

ROOT = Path(__file__).parent.parent
GUIDE = ROOT / "stripplan" / "guide"
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted(GUIDE.glob("*.md"))]


def commands(group: click.Group, name: str = "stripplan") -> dict[str, click.Command]:
    """Every command by its full name."""
    found: dict[str, click.Command] = {}
    for word, command in group.commands.items():
        full = f"{name} {word}"
        found |= commands(command, full) if isinstance(command, click.Group) else {full: command}
    return found


@pytest.mark.parametrize("name", commands(main))
def test_every_command_and_option_is_in_the_reference(name: str) -> None:
    """Commands have help, and the reference names each of them with each option."""
    text = (GUIDE / "reference.md").read_text()
    command = commands(main)[name]
    assert command.help
    assert name in text
    options = [o for p in command.params if isinstance(p, click.Option) for o in p.opts]
    assert [option for option in options if f"`{option}`" not in text] == []


def test_every_command_in_the_words_exists() -> None:
    """`stripplan x` in README and guide is a command."""
    known = {name.split()[1] for name in commands(main)} | {"--help", "--version", "itself"}
    for page in PAGES:
        for word in re.findall(r"`stripplan ([\w-]+)", page.read_text()):
            assert word in known, f"{page.name}: stripplan {word}"


@pytest.mark.parametrize("schema", [job_schema(), rig_schema()], ids=["job", "rig"])
def test_every_key_is_in_the_reference(schema: dict) -> None:  # type: ignore[type-arg]
    """Each key of job and rig files has its row."""
    text = (GUIDE / "reference.md").read_text()
    tables = [schema, *schema["$defs"].values()]
    missing = [key for table in tables for key in table.get("properties", {}) if f"| `{key}` |" not in text]
    assert missing == []


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_links_resolve(page: Path) -> None:
    """Links and pictures lead to files of the tree."""
    for target in re.findall(r"\]\(([^)#]+)\)", page.read_text()):
        if not target.startswith("http"):
            assert (page.parent / target).exists(), target


def test_version_is_said_once() -> None:
    """pyproject.toml and the package agree."""
    assert f'version = "{VERSION}"' in (ROOT / "pyproject.toml").read_text()


def test_ci_runs_the_tests_as_the_readme_says() -> None:
    """The test command of README.md is the one that .ci/run looks for and runs."""
    assert "python -m pytest -n auto" in (ROOT / "README.md").read_text()
    assert "python -m pytest -n auto" in (ROOT / ".ci" / "run").read_text()
