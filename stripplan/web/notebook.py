"""The notebook view: what was measured on the rig, and what it says."""

from __future__ import annotations

from starlette.routing import Route

routes: list[Route] = []
