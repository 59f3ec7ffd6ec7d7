"""A singer beside another, softer one: it is the louder who is followed, whatever the interval."""

from __future__ import annotations

import numpy as np
import pytest

from audio.block import Block
from audio.pitch.comb import CombTracker
from audio.units import RATE_HZ

# harmonics in decibels: a dark vowel and a bright one, which has more of them above the noise
DARK = (20, 28, 11, -6, -9, -21, -21, -26, -35)
BRIGHT = (4, 12, -1, -6, 6, -6, -8, -16, -13, -15, -6, -12, -18, -20, -24, -25)
SECONDS = np.arange(int(0.7 * RATE_HZ)) / RATE_HZ
BEGIN_S, INNER_S = 0.25, (0.35, 0.6)
SINGER_DBFS, SINGER_MIDI = -22.0, (62, 65, 69, 74)
INTERVALS = (-17, -16, -9, -8, -7, 4, 7)


def sung(midi, levels_db, dbfs):
    """A voice with a small vibrato, from BEGIN_S on."""
    f0_hz = 440 * 2 ** ((midi - 69) / 12) * 2 ** (15 / 1200 * np.sin(2 * np.pi * 5.3 * SECONDS + midi))
    phase = 2 * np.pi * np.cumsum(f0_hz) / RATE_HZ
    sound = sum(10 ** (db / 20) * np.cos(n * phase + n * n) for n, db in enumerate(levels_db, 1) if n * f0_hz[0] < 9e3)
    return sound / np.sqrt((sound**2).mean()) * 10 ** (dbfs / 20) * (SECONDS >= BEGIN_S)


def share_of_the_louder(midi, interval, down_db, noise_dbfs):
    """Share of frames within 60 cents of the louder and voiced."""
    sound = sung(midi, DARK, SINGER_DBFS) + sung(midi + interval + 0.1, BRIGHT, SINGER_DBFS - down_db)
    sound += 10 ** (noise_dbfs / 20) * np.random.default_rng(midi).normal(size=len(sound))
    tracker = CombTracker()
    frames = tracker.feed(Block(sound.astype(np.float32)[:, None], ("mic1",), 0, RATE_HZ)) + tracker.flush()
    inner = [f for f in frames if INNER_S[0] < f.centre_frame / RATE_HZ < INNER_S[1]]
    return np.mean([f.voiced and abs(f.f0_c100 - 100 * 100 * midi) < 6_000 for f in inner])


@pytest.mark.parametrize("noise_dbfs", [-95.0, -65.0], ids=["in silence", "in soft noise"])
@pytest.mark.parametrize("interval", INTERVALS)
def test_a_fainter_neighbour_is_not_followed(interval, noise_dbfs):
    lost = {
        (midi, down_db): share
        for midi in SINGER_MIDI
        for down_db in (17.0, 20.0)
        if (share := share_of_the_louder(midi, interval, down_db, noise_dbfs)) < 1
    }
    assert not lost


@pytest.mark.parametrize("midi", [50, *SINGER_MIDI])
def test_a_constant_offset_drowns_no_first_harmonic(midi):
    """Of a cheap microphone: its line is 17 dB over the voice, below everything that is sung."""
    sound = sung(midi, (-4, 6, -12, 0, -16), SINGER_DBFS - 6) + 0.3
    tracker = CombTracker()
    frames = tracker.feed(Block(sound.astype(np.float32)[:, None], ("mic1",), 0, RATE_HZ)) + tracker.flush()
    inner = [f for f in frames if INNER_S[0] < f.centre_frame / RATE_HZ < INNER_S[1]]
    assert all(f.voiced and abs(f.f0_c100 - 100 * 100 * midi) < 6_000 for f in inner)
