"""A learnt room as text and back."""

from __future__ import annotations

import numpy as np
import pytest

from audio.canceller._filter import TAPS
from audio.canceller.path import EchoPath, unpacked


def room() -> EchoPath:
    taps = np.random.default_rng(3).standard_normal(TAPS) * np.exp(-np.arange(TAPS) / 900) * 0.2
    return EchoPath(taps.astype(np.float32), 700, -31.5, -27.0)


def test_a_room_comes_back_from_its_text_to_60_db():
    path = room()
    again = unpacked(path.packed(), delay_frames=700, drift_ppm=-31.5, left_db=-27.0)
    assert np.sum((again.taps - path.taps) ** 2) < 1e-6 * np.sum(path.taps**2)
    assert again.gain_db == pytest.approx(path.gain_db, abs=0.01)
    assert len(path.packed()) < 20_000


@pytest.mark.parametrize("text", ["", "0.5", "0.5:!!", "0.5:" + "A" * 100, "x:" + "c$@>"])
def test_a_damaged_text_is_a_value_error(text: str):
    with pytest.raises(ValueError, match=r"damaged|could not|no echo path|invalid"):
        unpacked(text, delay_frames=700, drift_ppm=0.0, left_db=-20.0)


def test_what_is_no_room_is_refused():
    with pytest.raises(ValueError, match="no echo path"):
        EchoPath(np.zeros(10, np.float32), 0)
    with pytest.raises(ValueError, match="no echo path"):
        EchoPath(np.full(TAPS, np.nan, np.float32), 0)
