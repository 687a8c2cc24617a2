"""The page in a real browser: Chromium of the system's packages, driven by Playwright."""

from __future__ import annotations

import os
import shutil
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import uvicorn

from stripplan.web.app import create_app
from stripplan.web.server import LOOPBACK
from stripplan.web.shared_state import SharedState
from stripplan.web.store.plan_store import PlanStore
from tests.web.kept_workers import KeptWorkers

PATIENCE = 180.0
"""So long is an event waited for before it is said that it does not come: no measure of how quick anything is [s]."""
PHONE = {"width": 390, "height": 844}
DESK = {"width": 1300, "height": 900}


def chromium() -> str | None:
    """The browser, where both it and what drives it are there;
    without it tests in a browser have nothing to look at.
    """
    try:
        import playwright.sync_api  # noqa: F401
    except ImportError:
        return None
    return shutil.which("chromium") or shutil.which("chromium-browser")


@dataclass
class Opened:
    """A browser on a page that is served; `said` are all errors and warnings of its console."""

    browser: Any
    address: str
    shared: SharedState
    said: list[str] = field(default_factory=list)

    def page(self, size: dict[str, int], **more: Any) -> Any:
        """A new page with a store of its own: another device."""
        made = self.browser.new_context(viewport=size, **more).new_page()
        made.set_default_timeout(1000 * PATIENCE)
        made.on("pageerror", lambda error: self.said.append(str(error)))
        made.on("console", lambda told: self.said.append(told.text) if told.type in ("error", "warning") else None)
        return made


def until(page: Any, true: str | Callable[[], bool]) -> None:
    """Wait until something is true, an expression on the page or a thing asked here;
    the page's policy lets no script be made on it.
    """
    end = time.monotonic() + PATIENCE
    while not (page.evaluate(true) if isinstance(true, str) else true()):
        assert time.monotonic() < end, true
        page.wait_for_timeout(50)


@contextmanager
def served(folder: Path, port: int = 0) -> Iterator[tuple[str, SharedState]]:
    """The page, on a free port or on one that was used before."""
    shared = SharedState(PlanStore(folder), KeptWorkers(1))
    config = uvicorn.Config(create_app(shared, hosts=LOOPBACK), log_level="warning", access_log=False)
    server = uvicorn.Server(config)
    with socket.socket() as listening:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind(("127.0.0.1", port))
        thread = threading.Thread(target=lambda: server.run(sockets=[listening]), daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.01)
        try:
            yield f"http://127.0.0.1:{listening.getsockname()[1]}", shared
        finally:
            server.should_exit = server.force_exit = True
            thread.join(20)


@contextmanager
def launched() -> Iterator[Any]:
    """A browser, or None where there is none; one serves all tests of a module, each with pages of its own."""
    if chromium() is None:
        yield None
        return
    from playwright.sync_api import sync_playwright

    root = hasattr(os, "geteuid") and os.geteuid() == 0  # Chromium's sandbox does not start as root
    flags = ["--disable-gpu", "--disable-quic", *(["--no-sandbox"] if root else [])]
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium(), chromium_sandbox=not root, args=flags)
        try:
            yield browser
        finally:
            browser.close()


@contextmanager
def opened(browser: Any, folder: Path) -> Iterator[Opened]:
    """The page served from a folder, for a browser; its devices are gone afterwards."""
    with served(folder) as (address, shared):
        try:
            yield Opened(browser, address, shared)
        finally:
            for each in browser.contexts:
                each.close()
