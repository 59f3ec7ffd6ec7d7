"""How far a voice goes, from a glide: within a tone of what was sung, whatever the tracker slips to on the way."""

from __future__ import annotations

import numpy as np
import pytest
from heard_frames import HOP_FRAMES, Sung, frames

from audio.block import Block
from audio.heard import PitchFrame
from trainer.takes.compass import Glide, Reach, reach
from trainer.takes.recording import heard_from

RATE_HZ = 24_000


def glide(from_midi: float, to_midi: float, seconds: float = 8.0, **how: int) -> list[PitchFrame]:
    """A semitone after the other, as fast as asked for, ten places a semitone."""
    steps = round(abs(to_midi - from_midi) * 10)
    way = 1 if to_midi > from_midi else -1
    length = seconds / steps
    sung = [Sung(k * length, (k + 1) * length, from_midi + way * k / 10, **how) for k in range(steps + 1)]
    return list(frames(sung, seconds + length))


def test_both_ends_of_a_glide_are_found() -> None:
    assert reach(glide(45, 64)) == Reach(45, 64)
    assert reach([*glide(57, 43), *glide(57, 67)]) == Reach(43, 67)


def test_a_slip_to_another_octave_is_no_compass() -> None:
    slipped = [*glide(57, 64)[:1600], *frames([Sung(0, 0.06, 40.0)], 0.1), *glide(57, 50)]
    assert reach(slipped) == Reach(50, 64)
    far = [*glide(57, 64), *frames([Sung(0, 0.5, 84.0)], 0.6)]  # half a second of something else
    assert reach(far) == Reach(57, 64)


def test_a_breath_that_no_longer_carries_is_no_compass() -> None:
    assert reach([*glide(57, 50), *glide(49.5, 40, level_db10=-560)]) == Reach(50, 57)


def test_nothing_and_one_note_are_no_glide() -> None:
    assert reach([]) is None
    assert reach(list(frames([], 2.0))) is None
    assert reach(list(frames([Sung(0, 2, 60.0)], 2.0))) is None


def test_while_it_is_sung_silence_is_counted_from_its_end() -> None:
    heard = Glide()
    heard.feed(glide(50, 60))
    assert heard.silent_hops() == 0
    heard.feed(frames([], 1.0))
    assert heard.silent_hops() == RATE_HZ // HOP_FRAMES
    assert heard.reach() == Reach(50, 60)


@pytest.mark.parametrize(("low", "high"), [(41, 60), (55, 76)])
def test_a_voice_like_glide_is_right_within_a_tone(low: int, high: int) -> None:
    at = np.arange(6 * RATE_HZ) / RATE_HZ
    midi = np.interp(at, [0, 2, 6], [(low + high) / 2, low, high])
    turns = np.cumsum(440 * 2 ** ((midi - 69) / 12)) / RATE_HZ
    wave = sum(np.sin(2 * np.pi * k * turns) / k for k in range(1, 9)) * 0.1
    block = Block(wave.astype(np.float32)[:, None], ("mic1",), 0, RATE_HZ)
    found = reach(one for one in heard_from([block]) if isinstance(one, PitchFrame))
    assert found is not None
    assert abs(found.lowest - low) <= 1
    assert abs(found.highest - high) <= 1
