"""The rig view: one cut a screen, for a phone or an old tablet beside the rig."""

from __future__ import annotations

import asyncio

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from ..errors import Fault, InputError
from .shop import Shop


async def view(request: Request) -> Response:
    """All cuts of a kept plan; the script shows one at a time."""
    shop: Shop = request.app.state.shop
    plan_id = request.path_params["id"]
    shown = await asyncio.to_thread(shop.store.shown, plan_id)
    progress = await asyncio.to_thread(shop.store.progress, plan_id)
    return shop.page("rig.html", plan=shown, progress=vars(progress))


async def progress(request: Request) -> Response:
    """How far the plan has been cut; `?since=VERSION` waits a while for something newer."""
    shop: Shop = request.app.state.shop
    plan_id = request.path_params["id"]
    return JSONResponse(vars(await asyncio.to_thread(shop.store.progress, plan_id)))


async def change(request: Request) -> Response:
    """Changes that a device made, all or none; the answer is how far the plan is for all devices."""
    shop: Shop = request.app.state.shop
    given = await request.json()
    changes = given.get("changes")
    if not isinstance(changes, list) or len(changes) > 200 or not all(isinstance(each, dict) for each in changes):
        raise InputError(Fault("change", "the change", "it cannot be understood", "load the page again"))
    return JSONResponse(vars(await asyncio.to_thread(shop.store.change, request.path_params["id"], changes)))


routes = [
    Route("/rig/{id}", view),
    Route("/rig/{id}/progress", progress),
    Route("/rig/{id}/progress", change, methods=["POST"]),
]
