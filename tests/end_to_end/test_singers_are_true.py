"""The singers of these tests do what they are asked: measured with Praat, not with the project."""

from __future__ import annotations

import numpy as np
import parselmouth
import pytest
from singers import CAST, Singer
from slips import as_written, detuned, whole_s
from written_music import FERRY_BELL, LOCK_GATE, Piece


@pytest.mark.parametrize("piece", [FERRY_BELL, LOCK_GATE], ids=lambda piece: piece.title)
@pytest.mark.parametrize("singer", CAST, ids=lambda singer: singer.name)
def test_a_singer_is_as_true_as_it_says(singer: Singer, piece: Piece) -> None:
    asked = detuned(as_written(piece, singer.voice), 1, -40)
    sound = parselmouth.Sound(singer.sing(asked, whole_s(piece)), singer.rate_hz)
    line = sound.to_pitch_ac(time_step=0.005, pitch_floor=60, pitch_ceiling=1100, octave_jump_cost=0.6)
    seconds, hz = line.xs(), line.selected_array["frequency"]
    for note in asked:
        steady = (seconds > note.start_s + 0.15) & (seconds < note.end_s - 0.15) & (hz > 0)
        assert steady.sum() > 20, f"note {note.index} is hardly sung"
        heard = 69 + 12 * np.log2(hz[steady] / 440)
        assert abs(float(np.median(heard)) - note.midi) < 0.6, "another note altogether"
        assert abs(float(np.mean(heard)) - note.midi) * 100 <= singer.true_within_cents


@pytest.mark.parametrize("singer", CAST, ids=lambda singer: singer.name)
def test_the_same_singer_sings_the_same_twice(singer: Singer) -> None:
    asked = as_written(FERRY_BELL, singer.voice)[:2]
    assert np.array_equal(singer.sing(asked, 4.0), singer.sing(asked, 4.0))
