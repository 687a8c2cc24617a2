"""The page as a running server."""

from __future__ import annotations

import socket
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from stripplan.errors import Fault, InputError
from stripplan.wording.message import Facts

LOOPBACK = frozenset({"127.0.0.1", "localhost", "::1"})


def serve(folder: Path, *, port: int, network: bool, ready: Callable[[str, str | None, Path | None], None]) -> None:
    """Serve the page until Ctrl-C. `ready` is called with its address, where other devices may come the code, and where
    the list of those that were let in lies now, if it was damaged.

    Raises InputError where the port is taken.
    """
    import uvicorn

    from stripplan.web.app import create_app
    from stripplan.web.guard import Pairing
    from stripplan.web.shared_state import SharedState
    from stripplan.web.store.plan_store import PlanStore
    from stripplan.web.store.sealed_file import set_aside_unless_list
    from stripplan.web.worker import Workers

    damaged = set_aside_unless_list(folder / "devices.json")
    shared = SharedState(PlanStore(folder), Workers(), Pairing(kept=folder / "devices.json"))
    listening = _listening("0.0.0.0" if network else "127.0.0.1", port)
    port = listening.getsockname()[1]
    hosts = LOOPBACK | (_own_names() if network else frozenset())
    config = uvicorn.Config(
        create_app(shared, hosts=hosts),
        log_level="warning",
        access_log=False,
        server_header=False,
        proxy_headers=False,
        timeout_graceful_shutdown=1,
    )
    server = uvicorn.Server(config)
    address = next(iter(sorted(_own_addresses())), "127.0.0.1") if network else "127.0.0.1"
    ready(f"http://{address}:{port}/", shared.pairing.code if network else None, damaged)
    with closing(listening):
        server.run(sockets=[listening])


def _listening(host: str, port: int) -> socket.socket:
    made = socket.socket()
    made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        made.bind((host, port))
    except OSError as error:
        made.close()
        facts = Facts(port=port, why=error.strerror or str(error))
        raise InputError(Fault("port", "the page", facts=facts)) from None
    made.listen(128)
    return made


def _own_names() -> frozenset[str]:
    """Names and addresses by which devices of the workshop call this machine."""
    name = socket.gethostname().lower()
    return frozenset({name, f"{name}.local", f"{name}.lan", f"{name}.home", *_own_addresses()})


def _own_addresses() -> frozenset[str]:
    """Address of this machine in the workshop's network, as far as it is known; nothing is sent."""
    with closing(socket.socket(socket.AF_INET, socket.SOCK_DGRAM)) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # TEST-NET-1 (RFC 5737): only the way there is looked up
            return frozenset({str(probe.getsockname()[0])})
        except OSError:
            return frozenset()
