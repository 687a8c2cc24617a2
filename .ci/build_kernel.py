"""Builds the compiled search when the package is built, where a C compiler is there."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class KernelHook(BuildHookInterface):
    """Compiles beside the sources and takes the library into the wheel."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:  # noqa: ARG002
        """Build; without a compiler the wheel is one of Python alone."""
        folder = Path(self.root) / "stripplan" / "kernel"
        spec = importlib.util.spec_from_file_location("kernel", folder / "__init__.py")
        assert spec is not None
        assert spec.loader is not None
        kernel = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(kernel)
        made = kernel.build(folder)
        if made is not None:
            build_data["artifacts"].append(f"/stripplan/kernel/{made.name}")
            build_data["pure_python"] = False
            build_data["infer_tag"] = True
