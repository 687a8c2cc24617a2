"""Who may import whom."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import networkx
import pytest

PACKAGE = Path(__file__).parent.parent / "stripplan"

OURS = {
    "errors": {"wording"},
    "version": set(),
    "model": {"wording"},
    "wording": set(),
    "rig": {"model", "wording"},
    "kernel": set(),
    "layout": {"model", "kernel"},
    "sequence": {"model", "rig", "kernel"},
    "replay": {"model"},
    "planner": {"model", "wording", "rig", "layout", "sequence", "replay", "version"},
    "files": {"model", "wording"},
    "sheets": {"model", "wording"},
    "web": {"planner", "files", "sheets", "model", "wording", "version"},
    "cli": {"planner", "files", "sheets", "model", "wording", "replay", "version", "web"},
    "__init__": {"planner", "files", "model", "version"},
    "__main__": {"cli"},
}
"""Rooms of ours that each room may import; errors is open to all."""

OUTSIDE = {
    "rig": {"numpy", "scipy"},
    "layout": {"numpy", "highspy"},
    "sequence": {"networkx"},
    "replay": {"shapely"},
    "files": {"pydantic", "ezdxf", "openpyxl"},
    "sheets": {"bidi", "ezdxf", "reportlab", "resvg_py"},
    "web": {"starlette", "uvicorn", "jinja2", "tomli_w"},
    "cli": {"click"},
}
"""Libraries that each room may import."""

REPLAY_MAY_READ = "model.plan"
"""The one room of the model that the replay reads: the records of a plan."""


def modules() -> dict[str, Path]:
    """Dotted name of every module."""
    return {".".join(path.relative_to(PACKAGE).with_suffix("").parts): path for path in sorted(PACKAGE.rglob("*.py"))}


def imports(name: str, path: Path) -> set[str]:
    """Dotted names that a module imports: ours without the package's name, others as they are."""
    found = set()
    package = name.split(".")[:-1]
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name.removeprefix("stripplan.") for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else []
            module = [*base, *((node.module or "").removeprefix("stripplan.").split(".") if node.module else [])]
            dotted = ".".join(module)
            known = {f"{dotted}.{alias.name}".lstrip(".") for alias in node.names}
            found |= {each if each in modules() else dotted for each in known}
    return found - {""}


@pytest.mark.parametrize("name", modules())
def test_rooms_import_only_what_they_may(name: str) -> None:
    """Each import of each module is allowed to its room."""
    room = name.split(".")[0]
    for each in imports(name, modules()[name]):
        top = each.split(".")[0]
        if top in (room, "errors", "stripplan") or top in sys.stdlib_module_names:
            continue
        assert top in OURS[room] | OUTSIDE.get(room, set()), f"{name} imports {each}"


def test_replay_shares_no_code_with_what_it_checks() -> None:
    """Of the model the replay reads the records alone."""
    for name, path in modules().items():
        if name.startswith("replay."):
            read = {each for each in imports(name, path) if each.startswith("model.")}
            assert all(each.startswith(f"{REPLAY_MAY_READ}.") for each in read), f"{name} imports {read}"


def test_no_import_goes_in_a_circle() -> None:
    """The graph of modules has no cycle."""
    graph = networkx.DiGraph()
    for name, path in modules().items():
        if name != "__init__":
            graph.add_edges_from((name, each) for each in imports(name, path) if each in modules())
    assert networkx.is_directed_acyclic_graph(graph)


@pytest.mark.parametrize("flag", ["--help", "--version"])
def test_help_loads_nothing_heavy(flag: str) -> None:
    """`stripplan --help` imports none of the heavy libraries."""
    heavy = ("numpy", "scipy", "shapely", "ezdxf", "reportlab", "networkx", "pydantic", "highspy")
    code = (
        "import sys; sys.argv = ['stripplan', sys.argv[1]]\n"
        "from stripplan.cli.main import run\n"
        "try: run()\n"
        "except SystemExit: pass\n"
        f"print([each for each in {heavy!r} if each in sys.modules])"
    )
    out = subprocess.run([sys.executable, "-c", code, flag], capture_output=True, text=True, check=True).stdout
    assert out.rstrip().endswith("[]")
