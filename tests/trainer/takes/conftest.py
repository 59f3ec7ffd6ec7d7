"""A home of its own for every test."""

from __future__ import annotations

from pathlib import Path

import pytest

from trainer.places import Places, places


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Places:
    """All paths under a fresh folder."""
    monkeypatch.setenv("HELDLINE_HOME", str(tmp_path / "home"))
    return places()
