"""Who may ask the page for what: hosts, pairing, tokens against foreign pages, size of what is sent, headers of
answers.

The page listens on the machine itself unless asked. Foreign web pages in the same browser are kept out by the Host
header (against names that are pointed at this machine; starlette's own middleware for that refuses with "Invalid host
header", which tells a person nothing, and leaves out the headers of all our answers), by Sec-Fetch-Site or Origin, and
by a token that only our own pages know. Other devices of the workshop are let in by a code that is shown on the
computer.
"""

from __future__ import annotations

import hashlib
import hmac
import json
import secrets
from dataclasses import dataclass, field
from http.cookies import CookieError, SimpleCookie
from ipaddress import ip_address
from pathlib import Path
from typing import Any
from urllib.parse import quote

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from stripplan.sheets.folder import write_file

LARGEST = 4 * 2**20
"""Most that may be sent at once [bytes]."""
COOKIE = "stripplan-device"
TRIES, WHILE = 5, 60.0
"""So many wrong codes in so many seconds, by all devices together; then nobody is paired for as long."""
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; "
    "connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'; manifest-src 'self'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=(), screen-wake-lock=(self)",
}


@dataclass
class Pairing:
    """The code of this run, and the devices that were let in, now or in an earlier run.

    Devices are kept as hashes of their secrets in the file `kept`; deleting it lets nobody in without a code.
    """

    code: str = field(default_factory=lambda: f"{secrets.randbelow(10**6):06d}")
    kept: Path | None = None
    devices: set[str] = field(default_factory=set)
    wrong: list[float] = field(default_factory=list)

    def __post_init__(self) -> None:
        try:
            read = json.loads(self.kept.read_text(encoding="utf-8")) if self.kept is not None else []
        except (OSError, ValueError):
            return
        self.devices |= {each for each in read if isinstance(each, str)} if isinstance(read, list) else set()

    def knows(self, secret: str) -> bool:
        """Whether a device was let in."""
        told = _hashed(secret)
        return any(hmac.compare_digest(told, each) for each in self.devices)

    def pair(self, code: str, now: float) -> str | None:
        """A new device's secret for the right code, None for a wrong one. Raises PermissionError after too many."""
        self.wrong = [each for each in self.wrong if now - each < WHILE]
        if len(self.wrong) >= TRIES:
            raise PermissionError
        if not hmac.compare_digest(code.strip().encode(), self.code.encode()):
            self.wrong.append(now)
            return None
        device = secrets.token_urlsafe(32)
        self.devices.add(_hashed(device))
        if self.kept is not None:
            self.kept.parent.mkdir(parents=True, exist_ok=True)
            write_file(self.kept, json.dumps(sorted(self.devices)).encode())
        return device


def _hashed(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


class Guard:
    """ASGI middleware around the page. `hosts` are the names by which it may be called, ports left out."""

    def __init__(self, app: ASGIApp, *, hosts: frozenset[str], token: str, pairing: Pairing) -> None:
        self._app = app
        self._hosts = hosts
        self._token = token
        self._pairing = pairing

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self._app(scope, receive, send)
            return
        refused = self._refused(scope)
        if refused is not None:
            await refused(scope, receive, _with_headers(send))
            return
        await self._app(scope, _limited(receive), _with_headers(send))

    def _refused(self, scope: Scope) -> Response | None:
        headers = Headers(scope=scope)
        if _name(headers.get("host", "")) not in self._hosts:
            return PlainTextResponse("This page is not served under that name.", 400)
        length = headers.get("content-length", "0")
        if not (length.isascii() and length.isdigit()):
            return PlainTextResponse("The length of what is sent is no number.", 400)
        if int(length) > LARGEST:
            return PlainTextResponse(f"Too much at once: at most {LARGEST // 2**20} MB.", 413)
        if scope["method"] not in ("GET", "HEAD") and not self._ours(scope, headers):
            return PlainTextResponse("This came from another page. Load this page again.", 403)
        if not self._known(scope, headers):
            if scope["path"] in ("/pair", "/static/page.css", "/static/icon.svg") or scope["path"].startswith(
                "/fonts/"
            ):
                return None
            return RedirectResponse(f"/pair?to={quote(scope['path'])}", 303)
        return None

    def _ours(self, scope: Scope, headers: Headers) -> bool:
        """Whether what is sent comes from a page of ours."""
        site = headers.get("sec-fetch-site")
        origin = headers.get("origin")
        if site is not None and site != "same-origin":
            return False
        if origin is not None and origin.partition("://")[2] != headers.get("host"):
            return False
        if site is None and origin is None:
            return False
        given = headers.get("x-stripplan-token", "")
        return scope["path"] == "/pair" or hmac.compare_digest(given.encode(), self._token.encode())

    def _known(self, scope: Scope, headers: Headers) -> bool:
        """Whether the device is this machine or was let in."""
        client = scope.get("client")
        if client is not None and _is_loopback(client[0]):
            return True
        try:
            morsel = SimpleCookie(headers.get("cookie", "")).get(COOKIE)
        except CookieError:
            return False
        return morsel is not None and self._pairing.knows(morsel.value)


def _name(host: str) -> str:
    """The name in a Host header, without its port."""
    if host.startswith("["):
        return host.partition("]")[0].removeprefix("[").lower()
    return host.partition(":")[0].lower()


def _is_loopback(address: str) -> bool:
    try:
        return ip_address(address).is_loopback
    except ValueError:
        return False


def _with_headers(send: Send) -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
            if "cache-control" not in headers:
                headers["cache-control"] = "no-store"
        await send(message)

    return sent


class TooMuchError(Exception):
    """More was sent than is taken."""


def _limited(receive: Receive) -> Receive:
    taken = 0

    async def received() -> Any:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > LARGEST:
            raise TooMuchError
        return message

    return received
