"""A line keyed into a MIDI file made with mido (a general library), judged through ``heldline key``."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import mido
import pytest
import slips
from heldline_command import heldline, judged, signs, written_notes
from slips import Performance
from written_music import FERRY_BELL, LOCK_GATE

STARTS_AT_S = 0.5
TICKS_A_SECOND = 960


def keyed(
    sung: Performance, place: Path, *, overlap_ms: float = 0, tempo: int = 500_000, more: tuple[mido.Message, ...] = ()
) -> Path:
    """A MIDI file of the performance; with *overlap_ms* each key is let go that long after the next is down."""
    events = []
    for note, after in zip(sung, (*sung[1:], None), strict=True):
        end_s = note.end_s + overlap_ms / 1000
        if after is not None and after.midi == note.midi:  # one key cannot be held down and struck again
            end_s = min(end_s, after.start_s - 0.02)
        events.append((note.start_s, 1, mido.Message("note_on", note=round(note.midi), velocity=70)))
        events.append((end_s, 0, mido.Message("note_off", note=round(note.midi))))
    track = mido.MidiTrack([mido.MetaMessage("set_tempo", tempo=tempo), *more])
    at = 0
    a_second = TICKS_A_SECOND * 500_000 / tempo
    for seconds, _, message in sorted(events, key=lambda event: event[:2]):
        ticks = round(seconds * a_second)
        track.append(message.copy(time=ticks - at))
        at = ticks
    mido.MidiFile(ticks_per_beat=480, tracks=[track]).save(place)
    return place


def key(score: Path, voice: str, midi: Path, *options: str) -> dict[str, object]:
    return judged("key", score, "--voice", voice, "--input", midi, "--starts-at", STARTS_AT_S, *options)


@pytest.mark.parametrize("voice", FERRY_BELL.voices)
@pytest.mark.parametrize("overlap_ms", [-60, 0, 25, 80])
def test_legato_and_detached_keys_are_held_without_extra_notes(
    overlap_ms: float, voice: str, ferry_bell: Path, tmp_path: Path
) -> None:
    sung = slips.as_written(FERRY_BELL, voice, starts_at_s=STARTS_AT_S)
    take = key(ferry_bell, voice, keyed(sung, tmp_path / "take.mid", overlap_ms=overlap_ms))
    assert signs(take) == ["held"] * 11
    assert take["extra"] == []
    assert take["source"] == "keyed"
    assert take["settings"]["on_time_ms"] == 40  # type: ignore[index]


def test_a_keyboard_is_never_in_cents(ferry_bell: Path, tmp_path: Path) -> None:
    take = key(ferry_bell, "alto", keyed(slips.as_written(FERRY_BELL, "alto"), tmp_path / "take.mid"))
    for note in written_notes(take):
        assert note["cents"] is None
        assert note["uncertainty_cents"] is None
    assert {beat["cents"] for beat in take["beats"]} == {None}  # type: ignore[union-attr,attr-defined]
    assert take["drift_cents"] is None


FAULTS: dict[str, tuple[Callable[[Performance], Performance], int, str]] = {
    "a wrong note": (
        lambda s: slips.at_pitch(s, 3, slips.third_off(FERRY_BELL, "tenor", 3)),
        3,
        "off",
    ),
    "a late key": (lambda s: slips.late_legato(s, 5, 120), 5, "late"),
    "an early key": (lambda s: slips.early(s, 4, 120), 4, "early"),
    "a key not pressed": (lambda s: slips.missing(s, 6), 6, "silent"),
    "a key an octave off": (lambda s: slips.at_pitch(s, 6, s[6].midi + 12), 6, "octave"),
    "a key let go half-way": (lambda s: slips.left_early(s, 10, 1200), 10, "left early"),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_keyed_fault_is_named_and_all_else_is_held(fault: str, ferry_bell: Path, tmp_path: Path) -> None:
    plant, index, sign = FAULTS[fault]
    sung = plant(slips.as_written(FERRY_BELL, "tenor", starts_at_s=STARTS_AT_S))
    take = key(ferry_bell, "tenor", keyed(sung, tmp_path / "take.mid"))
    expected = ["held"] * 11
    expected[index] = sign
    assert signs(take) == expected


def test_keyed_times_are_exact_to_the_millisecond(ferry_bell: Path, tmp_path: Path) -> None:
    sung = slips.late_legato(slips.as_written(FERRY_BELL, "tenor", starts_at_s=STARTS_AT_S), 5, 33)
    note = written_notes(key(ferry_bell, "tenor", keyed(sung, tmp_path / "take.mid")))[5]
    assert (note["sign"], note["onset_error_ms"]) == ("held", 33)  # on time is within 40 ms keyed


def test_following_another_voice_on_the_keys_is_pulled(ferry_bell: Path, tmp_path: Path) -> None:
    sung = slips.as_written(FERRY_BELL, "tenor", starts_at_s=STARTS_AT_S)
    sung = slips.pulled(sung, (8, 9), FERRY_BELL, "tenor", "alto")
    take = key(ferry_bell, "tenor", keyed(sung, tmp_path / "take.mid"))
    assert signs(take)[8:] == ["pulled", "pulled", "held"]
    assert [note["pulled_to"] for note in written_notes(take)[8:10]] == ["alto", "alto"]


def test_a_tempo_inside_the_midi_file_is_its_own_clock(ferry_bell: Path, tmp_path: Path) -> None:
    sung = slips.as_written(FERRY_BELL, "bass", starts_at_s=STARTS_AT_S)
    for tempo in (250_000, 1_000_000):
        take = key(ferry_bell, "bass", keyed(sung, tmp_path / f"{tempo}.mid", tempo=tempo))
        assert signs(take) == ["held"] * 11


def test_mixed_lengths_with_rests_are_held_on_the_keys(lock_gate: Path, tmp_path: Path) -> None:
    for voice in LOCK_GATE.voices:
        sung = slips.as_written(LOCK_GATE, voice, starts_at_s=STARTS_AT_S)
        take = key(lock_gate, voice, keyed(sung, tmp_path / "take.mid", overlap_ms=20))
        assert set(signs(take)) == {"held"}, voice


def test_an_added_note_is_an_extra_one_and_hurts_no_other(ferry_bell: Path, tmp_path: Path) -> None:
    sung = slips.as_written(FERRY_BELL, "tenor", starts_at_s=STARTS_AT_S)
    slip = slips.SungNote(99, STARTS_AT_S + 9.0, STARTS_AT_S + 9.12, 49.0)
    take = key(ferry_bell, "tenor", keyed((*sung, slip), tmp_path / "take.mid"))
    assert signs(take) == ["held"] * 11
    assert [extra["sung"] for extra in take["extra"]] == ["C#3"]  # type: ignore[attr-defined]


def test_sound_is_no_midi_file(ferry_bell: Path, tmp_path: Path) -> None:
    (tmp_path / "take.mid").write_bytes(b"RIFF" + bytes(400))
    done = heldline("key", ferry_bell, "--voice", "tenor", "--input", tmp_path / "take.mid", "--json")
    assert done.status == 4
    assert done.out == ""
    assert "Traceback" not in done.err
