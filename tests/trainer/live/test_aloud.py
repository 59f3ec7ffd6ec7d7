"""Sound let out through a loudspeaker is what was made, in order and whole, at any rate and on any number of outputs."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from heldline_command import heldline

from audio.devices.fake import FakeSound
from trainer.cli import _aloud
from trainer.errors import DeviceError
from trainer.live.aloud import MADE_AT_HZ, aloud

SECONDS = 2.3


def made() -> np.ndarray:
    at = np.arange(round(SECONDS * MADE_AT_HZ)) / MADE_AT_HZ
    return (0.1 * np.stack([np.sin(2 * np.pi * 220 * at), np.sin(2 * np.pi * 330 * at)], axis=1)).astype(np.float32)


def pieces(sound: np.ndarray) -> Iterator[np.ndarray]:
    """As a rendering gives them, far longer than a link has room for at once."""
    yield sound[:50_000]
    yield sound[50_000:]


@pytest.mark.parametrize(("rate_hz", "channels"), [(48_000, 2), (44_100, 2), (48_000, 1)])
def test_all_of_it_is_sounded_once_and_in_order(rate_hz: int, channels: int) -> None:
    link = FakeSound(rate_hz=rate_hz, channels_out=channels, block_frames=441)
    seconds = aloud(link, pieces(made()), link.advance_seconds)
    assert seconds == pytest.approx(SECONDS, abs=0.01)
    left = link.left()
    assert link.flags().late_frames == 0
    begin = int(np.flatnonzero(np.abs(left).max(axis=1) > 1e-4)[0])
    heard = left[begin : begin + rate_hz * 2]
    loudest = [
        float(np.fft.rfftfreq(len(heard), 1 / rate_hz)[np.argmax(np.abs(np.fft.rfft(heard[:, side])))])
        for side in range(channels)
    ]
    assert loudest[0] == pytest.approx(220, abs=1)
    if channels == 2:
        assert loudest[1] == pytest.approx(330, abs=1)


def test_a_device_that_vanishes_is_told() -> None:
    link = FakeSound(block_frames=480)

    def wait(seconds: float) -> None:
        link.advance_seconds(seconds)
        if link.write_until() > 20_000:
            link.vanish("the sound server is gone")

    with pytest.raises(DeviceError, match="the sound server is gone"):
        aloud(link, pieces(made()), wait)


def test_voices_and_bars_are_heard_through_the_loudspeaker_where_no_file_is_named(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    link = FakeSound(block_frames=480)
    monkeypatch.setattr(_aloud, "_opened", lambda name: link)
    monkeypatch.setattr("trainer.cli._aloud.time.sleep", link.advance_seconds)
    drill = tmp_path / "two.drill"
    drill.write_text("title: Two\nmeter: 2/4\ntempo: 240\n\nsoprano | C5 | D |\nbass | C4 | B3 |\n")
    done = heldline("hear", drill, "--only", "bass")
    assert done.status == 0
    assert done.out == "Begin softly: as loud as quiet talk. Ctrl-C stops.\n"
    assert np.abs(link.left()).max() > 0.01
    assert heldline("hear", drill, "--json").status == 2
    assert heldline("hear", drill, "-o", tmp_path / "x.wav", "--output-device", "front").status == 2
