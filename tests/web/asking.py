"""The page asked over HTTP, without a browser."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from stripplan.web.app import create_app
from stripplan.web.server import LOOPBACK
from stripplan.web.shared_state import SharedState
from stripplan.web.store.plan_store import PlanStore
from tests.web.kept_workers import KeptWorkers

JOB: dict[str, Any] = {
    "name": "gate",
    "plate": [{"name": "sheet", "length": 1250, "width": 1000, "thickness": 6, "material": "mild steel"}],
    "part": [{"name": "bar", "width": 50, "quantity": 4}],
}


@contextmanager
def page(
    folder: Path, *, device: str = "127.0.0.1", workers: int = 1, **more: Any
) -> Iterator[tuple[TestClient, SharedState]]:
    """A client of the page, on the computer itself unless `device` is another address, and what the page holds."""
    shared = SharedState(PlanStore(folder), KeptWorkers(workers, **more))
    app = create_app(shared, hosts=LOOPBACK)
    with TestClient(app, base_url="http://127.0.0.1", client=(device, 50000), follow_redirects=False) as client:
        client.headers["accept"] = "application/json"
        yield client, shared


def ours(shared: SharedState) -> dict[str, str]:
    """The headers that our own pages send along."""
    return {"x-stripplan-token": shared.token, "sec-fetch-site": "same-origin", "origin": "http://127.0.0.1"}


def planned(
    client: TestClient, shared: SharedState, job: dict[str, Any], owner: str = "page-one-1", **more: Any
) -> dict[str, Any]:
    """The last plan that is given of a list, or the answer that refuses it; `given` is all that came on the way."""
    answer = client.post("/planning", json={"owner": owner, "job": job, **more}, headers=ours(shared)).json()
    given = list(answer.get("news", ()))
    end = time.monotonic() + 180  # a cap, no measure
    while answer["state"] == "working" and time.monotonic() < end:
        answer = client.get(f"/planning/{owner}").json()
        given += answer["news"]
    plans = [each for each in given if each["kind"] == "plan"]
    made: dict[str, Any] = {**answer, **(plans[-1] if plans else {}), "given": given}
    return made
