"""A second voice beside the one that is followed, against singers who share no code with the program."""

from __future__ import annotations

import weakref
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
import pytest
from rooms import in_room
from simulated_singer import Sound, Throat, sing
from slips import Performance, SungNote

from audio.heard import PitchFrame
from audio.second_voice import second_voices
from audio.units import RATE_HZ

ONE = (SungNote(0, 0.2, 1.4, 57.0), SungNote(1, 1.4, 2.6, 60.0))
OTHER = (SungNote(0, 0.2, 1.4, 62.0), SungNote(1, 1.4, 2.6, 64.0))
SECONDS = 3.0


def sung(line: Performance, seed: int, vibrato_cents: float = 30.0) -> Sound:
    throat = Throat(vibrato_cents=vibrato_cents, legato=0.0)
    return sing(line, seed=seed, seconds=SECONDS, throat=throat, rate_hz=RATE_HZ).samples


def followed(line: Performance) -> list[PitchFrame]:
    """As a tracker would that is never wrong."""
    frames = range(0, int(SECONDS * RATE_HZ), 120)
    found = []
    for frame in frames:
        note = next((one for one in line if one.start_s <= frame / RATE_HZ < one.end_s), None)
        pitch = 10_000 * round(note.midi) if note else 690_000
        found.append(PitchFrame(0, frame, pitch, 5, note is not None, 950, -200))
    return found


@pytest.mark.parametrize("under_db", [0, 6])
def test_a_second_line_is_found_at_its_pitches(under_db: float) -> None:
    both = sung(ONE, 1) + sung(OTHER, 2) * 10 ** (-under_db / 20)
    found = second_voices((both,), followed(ONE))
    assert {round(voice.own_c100 / 10_000) for voice in found} == {57, 60}
    assert {round(voice.other_c100 / 10_000) for voice in found} == {62, 64}
    assert sum(voice.to_frame - voice.from_frame for voice in found) > RATE_HZ


@pytest.mark.parametrize("vibrato_cents", [0.0, 70.0])
@pytest.mark.parametrize("room_s", [0.01, 0.8, 2.5])
def test_one_singer_is_one_voice_in_any_room(vibrato_cents: float, room_s: float) -> None:
    alone = in_room(sung(ONE, 1, vibrato_cents), RATE_HZ, seed=3, rt60_s=room_s, direct_to_reverb_db=3.0)
    assert second_voices((alone,), followed(ONE)) == []


def test_two_who_are_on_one_pitch_are_not_found() -> None:
    beside = tuple(SungNote(note.index, note.start_s, note.end_s, note.midi + 0.2) for note in ONE)
    assert second_voices((sung(ONE, 1) + sung(beside, 2),), followed(ONE)) == []


def test_silence_has_no_voice() -> None:
    assert second_voices((np.zeros(3 * RATE_HZ),), followed(ONE)) == []
    assert second_voices((np.zeros(0),), []) == second_voices((), []) == []


def test_any_cutting_gives_the_same_voices_and_no_piece_is_held_for_long() -> None:
    both = sung(ONE, 1) + sung(OTHER, 2)
    given: list[weakref.ref[Sound]] = []

    def pieces() -> Iterator[Sound]:
        sizes = np.random.default_rng(4).integers(1, 3_000, 400)
        for start, end in pairwise([0, *np.cumsum(sizes)]):
            assert sum(piece() is not None for piece in given) <= 2
            piece = both[start:end].copy()
            given.append(weakref.ref(piece))
            yield piece

    assert second_voices(pieces(), followed(ONE)) == second_voices((both,), followed(ONE)) != []
