"""A section's recording: which notes are looked at for how people come in."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
import soundfile
from slips import as_written, length_s
from written_music import Piece, write_musicxml

from trainer.formats import read_path
from trainer.practice.settings import Settings
from trainer.takes.crowd import crowd_in

RATE_HZ = 24_000
WORDS = "A3:1 r:1 B3:1 r:1 C4:1 C4:1 r:1/2 B3:1 r:1/2 r:1 A3:1 r:1 B3:1/2 r:1 C4:2 r:1 B3:1"
AFTER_RESTS = 6
"""At 60 a quarter, notes of a second or more after a second or more: not the second C4, nor after or on an eighth."""


@pytest.mark.parametrize(("apart_s", "word"), [(0.01, "together"), (0.16, "ragged")])
def test_notes_of_a_second_after_rests_tell_how_people_come_in(tmp_path: Path, apart_s: float, word: str) -> None:
    piece = Piece("Rests", (("tenor", WORDS),))
    written = as_written(piece, "tenor", qpm=60)
    rng = np.random.default_rng(5)
    at = np.arange(round(length_s(written) * RATE_HZ)) / RATE_HZ
    whole = rng.normal(0, 1e-4, len(at))
    for late_s in apart_s * np.array([-1.5, -0.8, -0.2, 0.2, 0.8, 1.5]):
        for note in written:
            own_hz = 440 * 2 ** ((note.midi - 69 + rng.normal(0, 0.15)) / 12)
            there = np.clip((at - note.start_s - late_s) / 0.03, 0, 1) * np.clip((note.end_s - at) / 0.03, 0, 1)
            whole += 0.03 * there * (2 * ((own_hz * at + rng.uniform()) % 1.0) - 1)
    soundfile.write(tmp_path / "all.wav", whole, RATE_HZ)
    score = read_path(write_musicxml(piece, tmp_path / "rests.musicxml"))
    take = crowd_in(
        score, 0, tmp_path / "all.wav", settings=Settings(starts_at_s=Fraction(1, 2), tempo_qpm=Fraction(60))
    )
    assert (take.entries.measured, take.entries.word) == (AFTER_RESTS, word)
