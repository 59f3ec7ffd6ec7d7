"""One performance from a file a singer, or from the channels of one."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from audio.errors import SoundFileError
from audio.heard import PitchFrame
from trainer.takes.recording import heard_in
from trainer.takes.together import HeardTogether

RATE_HZ = 48_000


def tone(f0_hz: float, seconds: float) -> np.ndarray:
    t = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    return 0.1 * sum(np.sin(2 * np.pi * k * f0_hz * t) / k for k in range(1, 9))


@pytest.fixture
def singers(tmp_path: Path) -> tuple[list[Path], Path]:
    """Two recordings, the second a second shorter, and the same as channels of one."""
    sounds = [tone(220.0, 3.0), tone(330.0, 2.0)]
    paths = [tmp_path / "one.wav", tmp_path / "two.wav"]
    for path, sound in zip(paths, sounds, strict=True):
        soundfile.write(path, sound, RATE_HZ, subtype="PCM_24")
    both = np.stack([sounds[0], np.concatenate([sounds[1], np.zeros(RATE_HZ)])], axis=1)
    soundfile.write(tmp_path / "both.wav", both, RATE_HZ, subtype="PCM_24")
    return paths, tmp_path / "both.wav"


def test_channels_of_one_recording_are_heard_as_recordings_are(singers) -> None:
    paths, both = singers
    apart = list(HeardTogether([(path, None) for path in paths]).heard())
    channels = list(HeardTogether([(both, 0), (both, 1)]).heard())
    until = 2 * 24_000 - 2_400
    assert [one for one in channels if one.centre_frame < until] == [one for one in apart if one.centre_frame < until]


def test_beyond_the_end_of_a_recording_nothing_is_said(singers) -> None:
    paths, _ = singers
    found = list(HeardTogether([(path, None) for path in paths]).heard())
    last = [max(one.centre_frame for one in found if one.line == line) for line in range(2)]
    assert 3 * 24_000 - 2_000 < last[0] <= 3 * 24_000
    assert 2 * 24_000 - 2_000 < last[1] <= 2 * 24_000


def test_recordings_without_bleed_are_heard_as_each_by_itself(singers) -> None:
    paths, _ = singers
    together = list(HeardTogether([(path, None) for path in paths]).heard())
    for line, path in enumerate(paths):
        alone = {one.centre_frame: one for one in heard_in(path) if isinstance(one, PitchFrame) and one.voiced}
        beside = {one.centre_frame: one for one in together if one.line == line and one.voiced}
        both = sorted(set(alone) & set(beside))
        assert len(both) > 0.95 * len(alone)
        middle = both[len(both) // 10 : -len(both) // 10]
        assert max(abs(alone[k].f0_c100 - beside[k].f0_c100) for k in middle) <= 100


def test_a_channel_that_is_not_there_is_one_clear_error(singers) -> None:
    _, both = singers
    with pytest.raises(SoundFileError, match="no channel 3 in a recording of 2"):
        HeardTogether([(both, 0), (both, 2)])
