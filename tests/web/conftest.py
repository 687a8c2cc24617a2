"""The page's tests never look into the stock book of who runs them."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def _no_book_of_ones_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("STRIPPLAN_BOOK", str(tmp_path / "no-book-here.db"))
