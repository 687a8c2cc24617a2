"""Who may ask the page for what."""

from __future__ import annotations

from pathlib import Path

import pytest

from stripplan.web.guard import LARGEST, POLICY, Pairing
from stripplan.web.store.sealed_file import set_aside_unless_list
from tests.web.asking import JOB, ours, page


@pytest.mark.parametrize("host", ["example.org", "127.0.0.1.example.org", "localhost.example.org:80", "", "[::2]"])
def test_a_foreign_name_is_not_answered(tmp_path: Path, host: str) -> None:
    """A name that somebody has pointed at this machine gets nothing (DNS rebinding)."""
    with page(tmp_path, workers=0) as (client, _):
        assert client.get("/plans", headers={"host": host}).status_code == 400


@pytest.mark.parametrize("host", ["127.0.0.1:8321", "localhost", "LOCALHOST:1", "[::1]:8321"])
def test_our_own_names_are_answered(tmp_path: Path, host: str) -> None:
    """The machine's own names are served, whatever the port."""
    with page(tmp_path, workers=0) as (client, _):
        assert client.get("/plans", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "change",
    [
        {"x-stripplan-token": "guessed"},
        {"x-stripplan-token": ""},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"sec-fetch-site": "none"},
        {"origin": "http://example.org"},
        {"origin": "null"},
        {"origin": "http://127.0.0.1:9999"},
    ],
)
def test_another_page_cannot_send_anything(tmp_path: Path, change: dict[str, str]) -> None:
    """Without our token, or from another origin, nothing is taken (OWASP: cross-site request forgery)."""
    with page(tmp_path, workers=0) as (client, shared):
        sent = {**ours(shared), **change}
        answer = client.post("/planning", json={"owner": "page-one-1", "job": JOB}, headers=sent)
        assert answer.status_code == 403
        assert not shared.planning.running


def test_nothing_is_taken_without_saying_where_it_comes_from(tmp_path: Path) -> None:
    """A browser too old for Sec-Fetch-Site that sends no Origin either is refused, token or not."""
    with page(tmp_path, workers=0) as (client, shared):
        sent = {"x-stripplan-token": shared.token}
        assert client.post("/planning", json={"owner": "page-one-1", "job": JOB}, headers=sent).status_code == 403


def test_every_answer_carries_the_policy(tmp_path: Path) -> None:
    """Pages, files, faults and redirects: no inline script, no frame, no sniffing, nothing kept by caches."""
    assert "unsafe" not in POLICY
    with page(tmp_path, workers=0) as (client, _):
        for path in ("/", "/plans", "/static/plan.js", "/nowhere", "/rig/zzzz"):
            headers = client.get(path, headers={"accept": "text/html"}).headers
            assert headers["content-security-policy"] == POLICY, path
            assert headers["x-content-type-options"] == "nosniff"
        assert client.get("/", headers={"host": "example.org"}).headers["content-security-policy"] == POLICY


def test_pages_hold_no_inline_script_or_style(tmp_path: Path) -> None:
    """What the policy would block is not there: no style attribute, no handler, no script but data and files."""
    with page(tmp_path, workers=0) as (client, _):
        text = client.get("/", headers={"accept": "text/html"}).text
    assert " style=" not in text
    assert " onclick" not in text
    assert text.count("<script") == text.count('<script type="application/json"') + text.count(
        '<script type="module" src="/static/'
    )


def test_too_much_is_refused(tmp_path: Path) -> None:
    """More than the limit is not even read, whether its length is said or not."""
    with page(tmp_path, workers=0) as (client, shared):
        big = b'{"owner": "' + b"x" * (LARGEST + 1)
        assert client.post("/planning", content=big, headers=ours(shared)).status_code == 413

        def pieces() -> object:
            for _ in range(LARGEST // 65536 + 2):
                yield b"x" * 65536

        assert client.post("/planning", content=pieces(), headers=ours(shared)).status_code == 413  # type: ignore[arg-type]
        assert (
            client.post("/planning", content=b"{}", headers={**ours(shared), "content-length": "many"}).status_code
            == 400
        )


@pytest.mark.parametrize(
    "path", ["/static/../app.py", "/static/%2e%2e/app.py", "/fonts/..%2f..%2fversion.py", "/static//etc/passwd"]
)
def test_no_path_leads_out_of_the_folders_that_are_served(tmp_path: Path, path: str) -> None:
    """Dots and slashes in a path lead nowhere."""
    with page(tmp_path, workers=0) as (client, _):
        assert client.get(path).status_code == 404


@pytest.mark.parametrize("path", ["/", "/plans", "/rig/00000000", "/static/plan.js", "/plans/00000000/plan.json"])
def test_another_device_sees_nothing_before_it_is_let_in(tmp_path: Path, path: str) -> None:
    """Every page but that of the code leads to it."""
    with page(tmp_path, device="192.0.2.7", workers=0) as (client, _):
        answer = client.get(path)
        assert (answer.status_code, answer.headers["location"].partition("?")[0]) == (303, "/pair")


def test_the_code_lets_a_device_in(tmp_path: Path) -> None:
    """With the right code the device is known from then on by a cookie that no script reads; another device is not."""
    with page(tmp_path, device="192.0.2.7", workers=0) as (client, shared):
        assert client.get("/pair").status_code == 200
        answer = client.post("/pair", data={"code": shared.pairing.code}, headers=ours(shared))
        assert (answer.status_code, answer.headers["location"]) == (303, "/")
        assert {"httponly", "samesite=strict"} <= {
            each.strip().lower() for each in answer.headers["set-cookie"].split(";")
        }
        assert client.get("/plans").status_code == 200
        client.cookies.clear()
        assert client.get("/plans").status_code == 303
        assert client.get("/plans", headers={"cookie": "stripplan-device=guessed"}).status_code == 303


def test_a_code_cannot_be_guessed_by_trying(tmp_path: Path) -> None:
    """After five wrong codes within a minute even the right one is refused; a minute later it is taken."""
    pairing = Pairing()
    wrong = "000000" if pairing.code != "000000" else "111111"
    assert [pairing.pair(wrong, float(now)) for now in range(5)] == [None] * 5
    with pytest.raises(PermissionError):
        pairing.pair(pairing.code, 10.0)
    assert pairing.pair(pairing.code, 65.0)
    with page(tmp_path, device="192.0.2.7", workers=0) as (client, shared):
        codes = [client.post("/pair", data={"code": "abc"}, headers=ours(shared)).status_code for _ in range(7)]
        assert codes == [403] * 5 + [429] * 2


def test_a_device_is_known_after_a_restart_and_comes_back_to_its_page(tmp_path: Path) -> None:
    """What is kept of it is no secret; the page that it asked for is the one it gets, and never another machine's."""
    pairing = Pairing(kept=tmp_path / "shop" / "devices.json")
    device = pairing.pair(pairing.code, 0.0)
    assert device is not None
    assert device not in (tmp_path / "shop" / "devices.json").read_text()
    again = Pairing(kept=tmp_path / "shop" / "devices.json")
    assert again.knows(device)
    assert not again.knows("guessed")
    kept = tmp_path / "shop" / "devices.json"
    assert set_aside_unless_list(kept) is None
    kept.write_text("{broken")
    aside = set_aside_unless_list(kept)
    assert aside is not None
    assert (aside.read_text(), kept.exists()) == ("{broken", False)
    assert set_aside_unless_list(kept) is None
    assert not Pairing(kept=kept).knows(device)
    with page(tmp_path, device="192.0.2.7", workers=0) as (client, shared):
        asked = client.get("/rig/0123abcd").headers["location"]
        assert asked == "/pair?to=/rig/0123abcd"
        assert 'value="/rig/0123abcd"' in client.get(asked).text
        for to, lands in (
            ("/rig/0123abcd", "/rig/0123abcd"),
            ("//example.org", "/"),
            ("https://example.org", "/"),
            ("/static/../x", "/"),
        ):
            answer = client.post("/pair", data={"code": shared.pairing.code, "to": to}, headers=ours(shared))
            assert answer.headers["location"] == lands
