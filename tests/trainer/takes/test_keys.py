"""Keys in a MIDI file: presses paired with releases. Files are made by mido, so not by our own writer."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import mido
import pytest

from audio.heard import KeyNote
from audio.units import RATE_HZ
from trainer.errors import ScoreError
from trainer.formats._smf import KeyEvent
from trainer.takes.keys import key_notes, keys_in


def event(seconds: str, midi: int, velocity: int, *, track: int = 0, channel: int = 0) -> KeyEvent:
    return KeyEvent(0, Fraction(seconds), track, channel, midi, velocity)


def test_a_press_ends_at_its_release() -> None:
    assert key_notes([event("0", 60, 80), event("1/2", 60, 0)]) == [KeyNote(0, 0, RATE_HZ // 2, 60, 80)]


def test_legato_overlaps_and_stays_two_notes() -> None:
    found = key_notes([event("0", 60, 80), event("1", 62, 70), event("11/10", 60, 0), event("2", 62, 0)])
    assert [(note.midi, note.on_frame, note.off_frame) for note in found] == [(60, 0, 26_400), (62, 24_000, 48_000)]


def test_a_release_without_a_press_is_passed_over() -> None:
    assert key_notes([event("0", 60, 0), event("1", 62, 70), event("2", 62, 0), event("3", 62, 0)]) == [
        KeyNote(0, RATE_HZ, 2 * RATE_HZ, 62, 70)
    ]


def test_a_key_never_released_is_held_to_the_end() -> None:
    found = key_notes([event("0", 60, 80), event("1", 62, 70), event("3", 62, 0)])
    assert found[0].off_frame == 3 * RATE_HZ


def test_a_key_pressed_again_was_released_in_between() -> None:
    found = key_notes([event("0", 60, 80), event("1", 60, 81), event("2", 60, 0)])
    assert [(note.on_frame, note.off_frame, note.velocity) for note in found] == [(0, 24_000, 80), (24_000, 48_000, 81)]


def test_one_key_on_two_channels_is_two_keys() -> None:
    found = key_notes(
        [event("0", 60, 80), event("1", 60, 80, channel=1), event("2", 60, 0), event("3", 60, 0, channel=1)]
    )
    assert [note.off_frame // RATE_HZ for note in found] == [2, 3]


def test_a_note_of_no_length_lasts_a_frame() -> None:
    assert key_notes([event("1", 60, 80), event("1", 60, 0)])[0].off_frame == RATE_HZ + 1


def test_nothing_pressed_is_nothing_heard() -> None:
    assert key_notes([]) == []


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Two named tracks at 90 quarters a minute, and a click on the percussion channel."""
    midi = mido.MidiFile(ticks_per_beat=480)
    first, second = mido.MidiTrack(), mido.MidiTrack()
    first += [
        mido.MetaMessage("track_name", name="Right"),
        mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(90)),
        mido.Message("note_on", note=72, velocity=64),
        mido.Message("note_on", note=72, velocity=0, time=480),
    ]
    second += [
        mido.MetaMessage("track_name", name="Left"),
        mido.Message("note_on", note=48, velocity=50, channel=3, time=480),
        mido.Message("note_off", note=48, velocity=50, channel=3, time=960),
        mido.Message("note_on", note=37, velocity=100, channel=9),
        mido.Message("note_off", note=37, channel=9, time=10),
    ]
    midi.tracks += [first, second]
    path = tmp_path / "take.mid"
    midi.save(path)
    return path


def test_all_tracks_together_without_the_percussion(file: Path) -> None:
    assert [(note.midi, note.on_frame, note.off_frame) for note in keys_in(file)] == [
        (72, 0, 16_000),  # a quarter at 90 a minute is 2/3 s, 16000 frames
        (48, 16_000, 48_000),
    ]


@pytest.mark.parametrize("track", ["2", "left", "Left"])
def test_one_track_by_number_or_name(file: Path, track: str) -> None:
    assert [note.midi for note in keys_in(file, track=track, line=3)] == [48, 37]
    assert {note.line for note in keys_in(file, track=track, line=3)} == {3}


def test_a_track_that_is_not_there_is_told_with_those_that_are(file: Path) -> None:
    with pytest.raises(ScoreError) as caught:
        keys_in(file, track="Pedal")
    assert "1 Right, 2 Left" in caught.value.do


def test_percussion_alone_counts_where_nothing_else_is_played(tmp_path: Path) -> None:
    midi = mido.MidiFile()
    midi.tracks.append(
        mido.MidiTrack(
            [mido.Message("note_on", note=60, channel=9), mido.Message("note_off", note=60, channel=9, time=480)]
        )
    )
    midi.save(tmp_path / "take.mid")
    assert [note.midi for note in keys_in(tmp_path / "take.mid")] == [60]


@pytest.mark.parametrize("make", ["missing", "folder", "words", "zero byte"])
def test_what_is_no_midi_file_is_told(tmp_path: Path, make: str) -> None:
    path: object = tmp_path / "x.mid"
    if make == "folder":
        path = tmp_path
    if make == "words":
        (tmp_path / "x.mid").write_text("not MIDI")
    if make == "zero byte":
        path = "a\0b.mid"
    with pytest.raises(ScoreError):
        keys_in(path)  # type: ignore[arg-type]
