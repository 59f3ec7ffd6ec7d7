"""Two lines of a section at one microphone, against singers who share no code with the program: middles, a half that is missing."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from crowd_singers import SungTogether, together
from slips import SungNote

from audio.divided import Half, halves_of

RATE_HZ = 24_000
LOWER_MIDI = 55.0


def hz(semitones: float) -> float:
    return float(440 * 2 ** ((LOWER_MIDI + semitones - 69) / 12))


@cache
def sung(semitones: float, singers: int, centre_cents: float) -> SungTogether:
    note = SungNote(0, 0.1, 2.6, LOWER_MIDI + semitones)
    return together(
        (note,),
        seconds=2.7,
        rate_hz=RATE_HZ,
        singers=singers,
        spread_cents=12.0,
        seed=5 + singers,
        centre_cents=centre_cents,
    )


def middle(*halves: SungTogether) -> np.ndarray:
    whole = np.sum([one.samples for one in halves], axis=0)
    return np.asarray(whole[round(0.3 * RATE_HZ) : round(2.4 * RATE_HZ)])


@pytest.mark.parametrize("semitones", [3, 4, 9])
@pytest.mark.parametrize(("above", "below"), [(1, 2), (6, 2)])
def test_each_line_has_its_own_middle(semitones: int, above: int, below: int) -> None:
    upper, lower = sung(semitones, above, 15.0), sung(0, below, -20.0)
    found = halves_of(middle(upper, lower), RATE_HZ, hz(semitones), hz(0))
    for half, truth in zip(found, (upper, lower), strict=True):
        assert half.heard
        # louder singers weigh more, as in any crowd
        assert half.centre_cents == pytest.approx(truth.centres[0], abs=10)


@pytest.mark.parametrize("semitones", [3, 4, 9])
def test_a_line_that_nobody_sings_is_missing(semitones: int) -> None:
    upper, lower = sung(semitones, 6, 15.0), sung(0, 2, -20.0)
    assert halves_of(middle(upper), RATE_HZ, hz(semitones), hz(0))[1] == Half(heard=False)
    assert halves_of(middle(lower), RATE_HZ, hz(semitones), hz(0))[0] == Half(heard=False)
    assert halves_of(np.zeros(2 * RATE_HZ), RATE_HZ, hz(semitones), hz(0)) == (Half(heard=False),) * 2


def test_a_note_that_the_other_covers_is_not_told() -> None:
    lower = sung(0, 2, -20.0)
    upper, below = halves_of(middle(lower), RATE_HZ, hz(12), hz(0))
    assert upper == Half(heard=None)
    assert below.centre_cents == pytest.approx(lower.centres[0], abs=7)
