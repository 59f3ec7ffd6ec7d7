"""Several singers at one microphone: the middle, the spread, vibrato, octaves, against singers who share no code with the program."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from crowd_singers import SungTogether, together
from slips import SungNote

from audio.crowd import crowd_of, doubling_db, lowest_octave

RATE_HZ = 24_000
MIDI = 55.0
F0_HZ = 440 * 2 ** ((MIDI - 69) / 12)


@cache
def sung(**how: object) -> SungTogether:
    note = SungNote(0, 0.4, 3.4, MIDI)
    return together((note,), seconds=3.6, rate_hz=RATE_HZ, **({"singers": 5, "spread_cents": 15.0, "seed": 3} | how))  # type: ignore[arg-type]


def middle(one: SungTogether) -> np.ndarray:
    return one.samples[round(0.65 * RATE_HZ) : round(3.15 * RATE_HZ)]


@pytest.mark.parametrize("spread", [4.0, 15.0, 30.0])
def test_centre_and_spread_are_those_of_the_singers(spread: float) -> None:
    centres, spreads = [], []
    for seed in range(4):
        one = sung(spread_cents=spread, centre_cents=-12.0, seed=seed)
        found = crowd_of(middle(one), RATE_HZ, F0_HZ)
        assert found is not None
        assert found.spread_cents is not None
        centres.append(found.centre_cents - one.centres[0])
        spreads.append(found.spread_cents - one.spreads[0])
    # louder singers weigh more, so the centre is the surer the closer they are together
    assert np.sqrt(np.mean(np.square(centres))) <= 2 + spread / 6
    assert np.sqrt(np.mean(np.square(spreads))) <= 4


def test_with_vibrato_no_spread_is_claimed() -> None:
    found = crowd_of(middle(sung(vibrato_cents=40.0)), RATE_HZ, F0_HZ)
    assert found is not None
    assert (found.vibrato, found.spread_cents) == (True, None)
    assert found.centre_cents == pytest.approx(sung(vibrato_cents=40.0).centres[0], abs=12)


@pytest.mark.parametrize(("asked", "octave"), [(F0_HZ / 2, 1), (F0_HZ, 0), (2 * F0_HZ, -1)])
def test_the_octave_that_is_sung_is_told(asked: float, octave: int) -> None:
    assert lowest_octave(middle(sung()), RATE_HZ, asked) == octave


def test_a_second_octave_lifts_every_other_harmonic() -> None:
    one, two = (doubling_db(middle(sung(singers=6, an_octave_up=up)), RATE_HZ, F0_HZ) for up in (0, 3))
    assert one is not None
    assert two is not None
    assert two > one + 3


def test_high_notes_say_nothing_of_octaves() -> None:
    assert doubling_db(middle(sung()), RATE_HZ, 500.0) is None


def test_silence_noise_and_another_note_are_no_crowd() -> None:
    noise = np.random.default_rng(1).normal(0, 0.1, 2 * RATE_HZ)
    for sound in (np.zeros(2 * RATE_HZ), noise):
        assert crowd_of(sound, RATE_HZ, F0_HZ) is None
        assert lowest_octave(sound, RATE_HZ, F0_HZ) is None
    for semitones in (-4, -3, -2, 2, 3, 4):
        assert crowd_of(middle(sung()), RATE_HZ, F0_HZ * 2 ** (semitones / 12)) is None
