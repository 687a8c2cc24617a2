"""The build hook, asked as a build asks it: name and tag of the wheel, and what it wants from the package index."""

from __future__ import annotations

import importlib.util
import sys
import types
from pathlib import Path
from typing import Any

import pytest

from stripplan import kernel
from stripplan.kernel import compiler

ROOT = Path(__file__).parents[2]


@pytest.fixture
def hook(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Any:
    """The hook on a copy of the sources. Its base class is hatchling's,
    of which it uses the attributes `root` and `app`.
    """
    module = types.ModuleType("hatchling.builders.hooks.plugin.interface")
    module.BuildHookInterface = object  # type: ignore[attr-defined]
    for name in ("hatchling", "hatchling.builders", "hatchling.builders.hooks", "hatchling.builders.hooks.plugin"):
        monkeypatch.setitem(sys.modules, name, types.ModuleType(name))
    monkeypatch.setitem(sys.modules, module.__name__, module)
    room = tmp_path / "stripplan" / "kernel"
    room.mkdir(parents=True)
    for path in [*compiler.HERE.glob("*.[ch]"), compiler.HERE / "compiler.py"]:
        (room / path.name).write_bytes(path.read_bytes())
    spec = importlib.util.spec_from_file_location("hatch_build", ROOT / "hatch_build.py")
    assert spec is not None
    assert spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(made)
    hook = made.KernelHook()
    hook.root, hook.said = str(tmp_path), []
    hook.app = types.SimpleNamespace(display_warning=hook.said.append)
    return hook


@pytest.mark.long
@pytest.mark.skipif(not kernel.available(), reason="no C compiler here: install one to test the build")
def test_a_wheel_for_every_python_of_this_platform(hook: Any) -> None:
    """The library is in it, of these sources; its tag names no version of Python; nothing is fetched."""
    data: dict[str, Any] = {"artifacts": [], "pure_python": True}
    assert hook.dependencies() == []
    hook.initialize("standard", data)
    assert data["artifacts"] == [f"/stripplan/kernel/{compiler.LIBRARY}"]
    assert data["pure_python"] is False
    assert data["tag"].startswith("py3-none-")
    assert "manylinux" not in data["tag"]
    assert compiler.is_current(Path(hook.root) / "stripplan" / "kernel" / compiler.LIBRARY)


def test_without_a_compiler_one_is_asked_for(hook: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """The compiler that comes as a wheel; if that fails too the wheel is one of Python alone, and the build says so."""
    real = importlib.util.find_spec
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None if name == "ziglang" else real(name))
    monkeypatch.setenv("CC", "false")
    data: dict[str, Any] = {"artifacts": [], "pure_python": True}
    assert [each.split(";")[0] for each in hook.dependencies()] == ["ziglang>=0.13"]
    hook.initialize("standard", data)
    assert data == {"artifacts": [], "pure_python": True}
    assert hook.said == [
        "stripplan goes without its compiled searches: no C compiler found: install one, or `pip install ziglang`"
    ]
