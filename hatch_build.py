"""Build hook: compiles the kernel when a wheel is made, with a C compiler from the package index where the machine has
none.
"""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface
from packaging.tags import platform_tags

ZIG = (
    "ziglang>=0.13; platform_machine in 'x86_64 AMD64 aarch64 arm64 ARM64 i686' and sys_platform in 'linux darwin "
    "win32'"
)
"""A C compiler as a wheel, asked for only where there are wheels of it: elsewhere the installation would fail for
it.
"""


class KernelHook(BuildHookInterface):
    """Compiles beside the sources and takes the library into the wheel;
    without a compiler the wheel is one of Python alone.
    """

    def dependencies(self) -> list[str]:
        """What the build needs from the package index: nothing where a compiler works."""
        return [] if self._compiler.find_compiler() else [ZIG]

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:  # noqa: ARG002
        """Build, and name the platform in the wheel's tag: the library has no Python in it, so any version will do."""
        compiler = self._compiler
        try:
            made = compiler.build()
        except compiler.BuildError as error:
            self.app.display_warning(f"stripplan goes without its compiled searches: {error}")
            return
        build_data["artifacts"].append(f"/stripplan/kernel/{made.name}")
        build_data["pure_python"] = False
        build_data["tag"] = f"py3-none-{platform()}"

    @property
    def _compiler(self) -> ModuleType:
        """The module `stripplan.kernel.compiler`, from the file: its package is not installed yet."""
        spec = importlib.util.spec_from_file_location("compiler", Path(self.root) / "stripplan/kernel/compiler.py")
        assert spec is not None
        assert spec.loader is not None
        module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
        return module


def platform() -> str:
    """This machine's tag. Not manylinux: that would promise the C library of another machine."""
    return next(each for each in platform_tags() if not each.startswith(("manylinux", "musllinux")))
