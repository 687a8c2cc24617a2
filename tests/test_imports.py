"""Who may import whom: rooms, rooms within rooms, and the doors between them."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from importlib import import_module
from pathlib import Path

import networkx
import pytest

OURS = {
    "errors": {"wording"},
    "version": set(),
    "model": {"wording"},
    "wording": set(),
    "rig": {"model", "wording"},
    "things": {"wording"},
    "kernel": set(),
    "layout": {"model", "kernel", "wording"},
    "sequence": {"model", "rig", "kernel"},
    "replay": {"model"},
    "planner": {"model", "wording", "rig", "layout", "sequence", "replay", "version"},
    "files": {"model", "wording"},
    "sheets": {"model", "wording", "things"},
    "book": {"model", "wording"},
    "web": {"planner", "files", "sheets", "things", "book", "model", "wording", "version"},
    "cli": {
        "planner",
        "files",
        "sheets",
        "things",
        "book",
        "model",
        "wording",
        "replay",
        "kernel",
        "version",
        "web",
    },
    "__init__": {"planner", "files", "model", "sheets", "version"},
    "__main__": {"cli"},
}
"""Rooms of ours that each room may import; errors is open to all."""

OUTSIDE = {
    "kernel": {"numpy"},
    "rig": {"numpy", "scipy"},
    "layout": {"numpy", "highspy"},
    "sequence": {"networkx"},
    "replay": {"shapely"},
    "files": {"pydantic", "ezdxf", "openpyxl", "shapely", "networkx", "tomlkit"},
    "sheets": {"bidi", "ezdxf", "reportlab", "resvg_py"},
    "web": {"starlette", "uvicorn", "jinja2"},
    "cli": {"click", "rich"},
}
"""Libraries that each room may import."""

INNER = {
    "cli": {"rack": set(), "making": set(), "commands": {"rack"}},
    "files": {
        "toml": set(),
        "parts": {"toml"},
        "notebook": {"toml", "parts"},
        "rig": {"toml", "notebook"},
        "job": {"toml", "parts", "rig"},
        "plan": {"toml"},
        "stock": {"toml", "parts", "job"},
    },
    "layout": {
        "bounds": set(),
        "strips": {"bounds"},
        "single_plate": {"bounds"},
        "rectangles": {"bounds"},
        "plates": {"bounds", "single_plate", "rectangles"},
        "unplaced": set(),
        "shapes": set(),
    },
    "model": {"plan": set(), "rack": {"plan"}, "shapes": set()},
    "planner": {
        "settling": set(),
        "bevels": set(),
        "order": set(),
        "plates": set(),
        "total": {"bevels", "order"},
        "rack": {"settling"},
        "kept": {"order"},
        "jobs": {"order", "settling", "total"},
        "shapes": {"jobs", "kept", "order", "settling", "total"},
    },
    "replay": {"aslant": set(), "bevels": {"aslant"}, "rules": {"aslant", "bevels"}},
    "rig": {
        "process": set(),
        "cost": {"process"},
        "machine": {"process"},
        "accuracy": {"process"},
        "notebook": {"accuracy", "process", "machine"},
    },
    "sequence": {"sop": set(), "bounds": set(), "search": {"bounds", "sop"}, "aslant": set()},
    "sheets": {
        "rows": set(),
        "paper": set(),
        "picture": {"paper", "rows"},
        "dxf": {"picture", "rows"},
        "pdf": {"paper", "picture", "rows"},
        "labels": {"paper", "rows"},
    },
    "web": {"store": set(), "views": {"store"}},
    "wording": {"sentences": set()},
}
"""Inner rooms, and which rooms beside it each may import; modules that lie in the room itself are open to all of
them.
"""

DOORS = {
    "cli": {"main"},
    "files": {"words"},
    "layout": {"__init__", "solver", "portfolio"},
    "model": {"__init__", "workpiece"},
    "planner": {
        "__init__",
        "first_sight",
        "settled",
        "job_to_plan",
        "assemble",
        "limit_warnings",
        "plan_warnings",
        "job_layout",
    },
    "replay": {"geometry", "parts_made", "set_ups", "verdict"},
    "rig": set(),
    "sequence": {"__init__"},
    "sheets": {"folder", "cut_list_csv", "notebook_files"},
    "web": {"app", "server", "shared_state", "tasks"},
    "wording": {"short", "show"},
}
"""Modules of a room that put its inner rooms to work; what else lies in the room itself is shared by these, and imports
none.
"""

CLOSED = {"layout", "sequence"}
"""Rooms that others enter by the door alone: the name of the room."""

STILL: set[tuple[str, str]] = set()
"""Imports that break the tables, not mended yet. The list only gets shorter."""

REPLAY_MAY_READ = {
    "model.bevel": {"Bevel"},
    "model.job": {"Job", "OneJob"},
    "model.material": {"family_of"},
    "model.part": {"Part", "Rectangle", "Shape"},
    "model.plate": {"Plate"},
    "model.prices": {"Prices"},
    "model.rig": {"Process", "Rig"},
}
"""What the replay takes from the model beside the records of a plan: those that these are made of, and none of the
functions beside them but a table of names.
"""

FORMULAS = {"width_as_cut", "length_as_cut", "outline_as_cut", "tip_life", "electrode_life", "deep", "set_back"}
"""What such a record works out of its figures; the replay does its own sums."""

SIDE_BY_SIDE = 14
"""So many modules in a room can be taken in at a glance."""

MORE = {"model": 15}
"""A room of one thing a module, each a thing of the shop, where one more is found as easily."""


@dataclass(frozen=True)
class Tree:
    """A package as its files say: each is read once."""

    package: Path

    @cached_property
    def modules(self) -> dict[str, Path]:
        """Name of every module within the package, dotted;
        a room's `__init__` is the room, the package's own `__init__`.
        """
        found = {}
        for path in sorted(self.package.rglob("*.py")):
            parts = path.relative_to(self.package).with_suffix("").parts
            found[".".join(parts[:-1] if parts[-1] == "__init__" and parts[1:] else parts)] = path
        return found

    @cached_property
    def rooms(self) -> set[str]:
        """Names of modules that hold others."""
        return {name for name, path in self.modules.items() if path.name == "__init__.py"} - {"__init__"}

    @cached_property
    def imports(self) -> dict[str, set[str]]:
        """What every module imports, anywhere in it: ours without the package's name, others as they are."""
        return {name: set(self._imported(path)) for name, path in self.modules.items()}

    def _imported(self, path: Path) -> Iterable[str]:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                yield from (self._within(alias.name) for alias in node.names)
            elif isinstance(node, ast.ImportFrom):
                above = [self.package.name, *path.relative_to(self.package).parts][: -node.level] if node.level else []
                base = ".".join([*above, *filter(None, [node.module])])
                for alias in node.names:
                    whole = self._within(f"{base}.{alias.name}")
                    yield whole if whole in self.modules else self._within(base)

    def _within(self, dotted: str) -> str:
        """A name without the package's; the package itself is its `__init__`."""
        return "__init__" if dotted == self.package.name else dotted.removeprefix(f"{self.package.name}.")

    @cached_property
    def inside(self) -> list[tuple[str, str]]:
        """Who imports whom, of ours."""
        return [(name, each) for name, found in self.imports.items() for each in sorted(found) if each in self.modules]

    def circles(self) -> list[list[str]]:
        """Modules that import one another, round and round."""
        knots = networkx.strongly_connected_components(networkx.DiGraph(self.inside))
        return [sorted(each) for each in knots if len(each) > 1]


def breaches(tree: Tree) -> set[tuple[str, str]]:
    """Imports that pass the walls of inner rooms, or come into a closed room beside its door."""
    found = set()
    for name, other in tree.inside:
        (room, *place), (into, *there) = name.split("."), other.split(".")
        if room != into:
            if into in CLOSED and there:
                found.add((name, other))
            continue
        if room not in INNER or not there or there[0] not in INNER[room]:
            continue
        inner = place[0] if place else "__init__"
        if inner in INNER[room]:
            open_to_it = there[0] in {inner, *INNER[room][inner]}
        else:
            open_to_it = inner in DOORS[room]
        if not open_to_it:
            found.add((name, other))
    return found


@pytest.fixture(scope="module")
def ours() -> Tree:
    """The package as it is."""
    return Tree(Path(__file__).parent.parent / "stripplan")


@pytest.fixture
def tiny(tmp_path: Path) -> Tree:
    """A package of a few lines: its root imports a room, whose door imports a module, which imports nothing."""
    package = tmp_path / "tiny"
    for name, text in {
        "__init__": "from tiny.room import open_it",
        "room/__init__": "from tiny.room.inner import open_it",
        "room/inner": "import json\nopen_it = json.loads",
        "room/other": "from tiny.room import inner",
    }.items():
        (package / name).parent.mkdir(exist_ok=True, parents=True)
        (package / name).with_suffix(".py").write_text(text)
    return Tree(package)


def test_a_package_is_read_as_it_is_written(tiny: Tree) -> None:
    """A room is named as it is imported; what is imported from a room is the module where it is one,
    and the room where it is a name.
    """
    assert tiny.imports == {
        "__init__": {"room"},
        "room": {"room.inner"},
        "room.inner": {"json"},
        "room.other": {"room.inner"},
    }
    assert tiny.circles() == []


@pytest.mark.parametrize(
    "line",
    [
        "from tiny.room import open_it",
        "import tiny.room",
        "from . import open_it",
        "from .. import room",
        "from tiny import room",
        "import tiny",
        "def late():\n    from tiny.room import open_it",
        "from tiny.room import other\nfrom tiny.room.inner import inner",
    ],
)
def test_a_circle_through_the_door_is_seen(tiny: Tree, line: str) -> None:
    """A module that imports the room that imports it, however it is written, is a circle."""
    (tiny.package / "room" / "inner.py").write_text(f"{line}\nopen_it = 1")
    assert len(tiny.circles()) == 1


def test_walls_and_doors_are_seen(tmp_path: Path) -> None:
    """An inner room that reaches into one above it, a shared module that knows an inner room,
    a stranger past the door.
    """
    package = tmp_path / "tiny"
    for name, text in {
        "layout/__init__": "from tiny.layout.strips import cuts",
        "layout/grid": "from tiny.layout.strips import cuts",
        "layout/bounds/__init__": "from tiny.layout.strips import cuts",
        "layout/strips/__init__": "",
        "layout/strips/cuts": "from tiny.layout.bounds import low; from tiny.layout import grid",
        "planner/__init__": "from tiny.layout import lay_out; from tiny.layout.strips import cuts",
    }.items():
        (package / name).parent.mkdir(exist_ok=True, parents=True)
        (package / name).with_suffix(".py").write_text(text)
    assert breaches(Tree(package)) == {
        ("layout.grid", "layout.strips.cuts"),
        ("layout.bounds", "layout.strips.cuts"),
        ("planner", "layout.strips.cuts"),
    }


def test_rooms_import_only_what_they_may(ours: Tree) -> None:
    """Each import of each module is allowed to its room."""
    for name, found in ours.imports.items():
        room = name.split(".")[0]
        tops = {each.split(".")[0] for each in found} - {room, "errors", *sys.stdlib_module_names}
        assert tops <= OURS[room] | OUTSIDE.get(room, set()), name


def test_every_inner_room_is_in_the_table(ours: Tree) -> None:
    """The tables name the rooms that there are, and no others; no room is above one that is above it."""
    assert {room: set(inner) for room, inner in INNER.items()} == {
        room: found
        for room in ours.rooms
        if "." not in room and (found := {each.split(".")[1] for each in ours.rooms if each.startswith(f"{room}.")})
    }
    for room, inner in INNER.items():
        assert networkx.is_directed_acyclic_graph(networkx.DiGraph(inner)), room
        missing = {each for each in DOORS[room] - {"__init__"} if f"{room}.{each}" not in ours.modules}
        assert missing == set(), room


def test_inner_rooms_and_doors_are_kept(ours: Tree) -> None:
    """No import goes through a wall or past a door but those that are known."""
    assert sorted(breaches(ours) - STILL) == []


def test_the_list_of_known_breaches_gets_shorter(ours: Tree) -> None:
    """What has been mended is taken off the list."""
    assert sorted(STILL - breaches(ours)) == []


def test_replay_shares_no_code_with_what_it_checks(ours: Tree) -> None:
    """Of the model the replay reads the records alone, and of these no figure that they work out."""
    for name, path in ours.modules.items():
        if name.split(".")[0] != "replay":
            continue
        nodes = list(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))
        assert not FORMULAS & {node.attr for node in nodes if isinstance(node, ast.Attribute)}, name
        taken = {
            ((node.module or "").removeprefix("stripplan."), alias.name)
            for node in nodes
            if isinstance(node, ast.ImportFrom)
            for alias in node.names
        }
        read = {(room, each) for room, each in taken if room.startswith("model") and not room.startswith("model.plan.")}
        assert read <= {(room, each) for room, known in REPLAY_MAY_READ.items() for each in known}, name
        assert not any(
            each.startswith("stripplan.model")
            for node in nodes
            if isinstance(node, ast.Import)
            for each in (alias.name for alias in node.names)
        ), name


def test_no_import_goes_in_a_circle(ours: Tree) -> None:
    """The graph of modules has no cycle."""
    assert ours.circles() == []


def test_a_room_is_taken_in_at_a_glance(ours: Tree) -> None:
    """Some fourteen modules side by side at most."""
    beside = Counter(name.rpartition(".")[0] for name in set(ours.modules) - ours.rooms)
    assert {room: count for room, count in beside.items() if count > MORE.get(room, SIDE_BY_SIDE)} == {}


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


BENCHMARKS = sorted(each.stem for each in (Path(__file__).parent / "benchmarks").glob("*.py"))


def test_every_benchmark_can_still_be_begun() -> None:
    """Benchmarks lie outside the suite: what they import is there under its name, or one would fail only when asked."""
    for name in BENCHMARKS:
        import_module(f"tests.benchmarks.{name}")
