"""What every end-to-end test stands on: a home of its own, scores on the disk."""

from __future__ import annotations

from pathlib import Path

import pytest
from written_music import FERRY_BELL, LOCK_GATE, write_musicxml


@pytest.fixture(autouse=True)
def own_home(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Nothing that a test does is kept where the user's takes are."""
    home = tmp_path_factory.mktemp("home")
    monkeypatch.setenv("HELDLINE_HOME", str(home))
    return home


@pytest.fixture(scope="session")
def ferry_bell(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """First species as MusicXML, 120 quarters a minute."""
    return write_musicxml(FERRY_BELL, tmp_path_factory.mktemp("scores") / "ferry-bell.musicxml")


@pytest.fixture(scope="session")
def lock_gate(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Mixed lengths and rests as MusicXML, 72 quarters a minute."""
    return write_musicxml(LOCK_GATE, tmp_path_factory.mktemp("scores") / "lock-gate.musicxml")
