"""A home of its own, and a recording without a tracker's slowness: a few seconds of a two-bar exercise."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

SCORE = """\
title: Two Bars Only
meter: 4/4
tempo: 240

soprano | A4 | B4 |
bass    | D3 | G3 |
"""


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Nothing that a test does is kept where the user's takes are, and nothing of the user's terminal decides."""
    monkeypatch.setenv("HELDLINE_HOME", str(tmp_path / "home"))
    for name in ("NO_COLOR", "FORCE_COLOR", "CLICOLOR_FORCE", "ACCESSIBLE", "COLUMNS", "HELDLINE_TRACEBACK"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.chdir(tmp_path)
    return tmp_path / "home"


@pytest.fixture
def score(tmp_path: Path) -> Path:
    """Two bars of a second each."""
    path = tmp_path / "two-bars.drill"
    path.write_text(SCORE)
    return path


def tone(*parts: tuple[float, float]) -> np.ndarray:
    """(hertz, seconds) one after another, twelve harmonics, at 24 kHz; 0 Hz is silence."""
    pieces = []
    for hertz, seconds in parts:
        at = np.arange(round(seconds * 24_000)) / 24_000
        wave = sum(np.sin(2 * np.pi * hertz * k * at) / k for k in range(1, 13)) * 0.1
        fade = np.minimum(1, np.minimum(at, at[-1] - at) / 0.02)
        pieces.append(wave * fade if hertz else np.zeros(len(at)))
    return np.concatenate(pieces)


@pytest.fixture
def good(tmp_path: Path) -> Path:
    """The soprano as written."""
    path = tmp_path / "good.wav"
    soundfile.write(path, tone((440.0, 0.98), (0, 0.02), (493.88, 0.98), (0, 0.3)), 24_000)
    return path


@pytest.fixture
def silence(tmp_path: Path) -> Path:
    """Two and a half seconds of digital silence."""
    path = tmp_path / "silence.wav"
    soundfile.write(path, tone((0, 2.5)), 24_000)
    return path
