"""A job that the page of the first edition, version 0.1.0, kept, half of its cuts done: it opens, goes on and is cut to
the end.
"""

from __future__ import annotations

import shutil
from pathlib import Path

from stripplan.files.plan.read import plan_from
from stripplan.replay.verdict import replay
from stripplan.web.store.plan_store import PlanStore
from tests.web.asking import ours, page

THEN = Path(__file__).parent / "first_edition"
ID = "7fb6d087"


def opened(folder: Path) -> Path:
    """A copy of the folder as that page left it."""
    shutil.copytree(THEN, folder / "shop")
    return folder / "shop"


def test_it_lies_in_the_list_as_far_as_it_was_cut(tmp_path: Path) -> None:
    """Name, cuts, cuts done, what was measured and what went wrong; nothing is set aside as damaged."""
    store = PlanStore(opened(tmp_path))
    (kept,) = store.kept()
    assert (kept.id, kept.name, kept.cuts, kept.done) == (ID, "gate", 4, 2)
    assert (kept.happened, kept.cuttable, kept.whole) == ((), True, True)
    now = store.progress(ID)
    assert (now.at, now.done, now.measured, now.wrong) == (3, [1, 2], {"1": "50.2"}, {"2": "left: burr"})
    assert replay(plan_from(store.plan_text(ID), name="plan.json")) == ()
    assert not list((tmp_path / "shop").rglob("*damaged*"))


def test_the_rig_view_goes_on_where_it_stood(tmp_path: Path) -> None:
    """Every view of it opens, each cut is there with its figures, and the cuts that are left can be ticked."""
    with page(opened(tmp_path)) as (client, shared):
        for path in ("/", "/plans", f"/plans/{ID}/plan.json", f"/plans/{ID}/job.toml", f"/rig/{ID}", f"/rig/{ID}/1"):
            answer = client.get(path, headers={"accept": "text/html"}, follow_redirects=True)
            assert answer.status_code == 200, path
        text = client.get(f"/rig/{ID}/1", headers={"accept": "text/html"}).text
        for number in (1, 2, 3, 4):
            assert f'data-cut="{number}"' in text
        changes = [{"what": "done", "cut": cut, "text": "", "name": f"today-000{cut}"} for cut in (3, 4)]
        sent = client.post(f"/rig/{ID}/progress", json={"changes": changes}, headers=ours(shared))
        assert sent.status_code == 200
        assert shared.store.progress(ID).done == [1, 2, 3, 4]
        assert shared.store.progress(ID).measured == {"1": "50.2"}
