"""Practice tracks: what sounds in which kind, how loud, with which tags; and the same as MIDI."""

from __future__ import annotations

import io
import struct
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
import soundfile
from written import score

from audio.errors import SettingError
from audio.loudness import loudness_lufs
from trainer.formats import midi
from trainer.practice.settings import Settings
from trainer.score.model import Score
from trainer.voices import tracks
from trainer.voices.track_midi import track_to_midi
from trainer.voices.tracks import KINDS, LOUDNESS_LUFS, RATE_HZ, Stems, Track, write_track

PIECE = score("tempo: 120 :: E5 | D5 | E5 // A4 | B4 | C5 // C4 | G4 | G4 // A2 | G2 | C3")
TENOR = 2
HZ = {"own": 261.63, "soprano": 659.26, "bass": 110.0}
"""Of bar 1: the tenor's C4, the soprano's E5, the bass's A2 (ISO 16, A4 = 440)."""


def stems(piece: Score = PIECE, **more: object) -> Stems:
    chosen = {"key_chord": False, "first_note": True, "click": False, "count_in_bars": 1} | more
    return Stems(piece, Settings(), **chosen)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def sounded() -> Stems:
    return stems()


def track(kind: str, line: int = TENOR) -> Track:
    return Track(line, kind, f"An example: tenor {kind}", "An example", 7, "120 quarters a minute")


def written(sounded: Stems, kind: str, path: Path) -> tuple[np.ndarray, tracks.WrittenTrack]:
    done = write_track(sounded, track(kind), path)
    samples, rate_hz = soundfile.read(path, always_2d=True, dtype="float32")
    assert rate_hz == RATE_HZ
    return samples, done


def level_db(samples: np.ndarray, done: tracks.WrittenTrack, hz: float, ear: int = 0) -> float:
    """Level of one sine in the middle second of bar 1, which lasts two."""
    first = round((done.starts_at_s + 0.5) * RATE_HZ)
    piece = samples[first : first + RATE_HZ, ear] * np.hanning(RATE_HZ)
    turning = np.exp(-2j * np.pi * hz * np.arange(RATE_HZ) / RATE_HZ)
    return float(20 * np.log10(abs(np.sum(piece * turning)) / RATE_HZ + 1e-9))


def test_every_kind_has_the_own_part_and_the_others_as_it_says(sounded: Stems, tmp_path: Path) -> None:
    heard = {}
    for kind in KINDS:
        samples, done = written(sounded, kind, tmp_path / f"{kind}.wav")
        heard[kind] = {name: level_db(samples, done, hz) for name, hz in HZ.items()}
    own_over_soprano = {kind: levels["own"] - levels["soprano"] for kind, levels in heard.items()}
    assert own_over_soprano["alone"] > 40
    assert own_over_soprano["without"] < -40
    equal = own_over_soprano["sides"]  # left ear: only the own part
    assert equal > 40
    assert 40 > own_over_soprano["loud"] > -10


def test_the_own_part_is_nine_decibels_over_the_others_where_it_is_loud(sounded: Stems) -> None:
    alone, others, loud = (sounded.mix(TENOR, kind) - sounded.lead(TENOR) for kind in ("alone", "without", "loud"))
    assert np.allclose(loud, alone + others * np.float32(10 ** (-9 / 20)), atol=1e-6)


def test_the_own_part_is_in_one_ear_and_the_others_in_the_other(sounded: Stems, tmp_path: Path) -> None:
    samples, done = written(sounded, "sides", tmp_path / "sides.wav")
    assert level_db(samples, done, HZ["own"], 0) > level_db(samples, done, HZ["own"], 1) + 40
    assert level_db(samples, done, HZ["bass"], 1) > level_db(samples, done, HZ["bass"], 0) + 40


@pytest.mark.parametrize("kind", KINDS)
def test_every_track_of_a_set_is_as_loud_as_the_next(sounded: Stems, kind: str, tmp_path: Path) -> None:
    samples, done = written(sounded, kind, tmp_path / f"{kind}.flac")
    assert loudness_lufs(samples, RATE_HZ) == pytest.approx(LOUDNESS_LUFS, abs=0.5)
    assert done.loudness_lufs == pytest.approx(loudness_lufs(samples, RATE_HZ), abs=0.1)
    assert np.max(np.abs(samples)) <= 10 ** (-6 / 20) + 1e-3


def test_peaks_that_the_loudness_would_lift_over_the_limit_are_bent_and_the_loudness_kept() -> None:
    bursts = np.zeros(RATE_HZ * 4, dtype=np.float32)
    for start in range(0, len(bursts), RATE_HZ // 4):
        bursts[start : start + 300] = 0.5 * np.sin(2 * np.pi * 440 * np.arange(300) / RATE_HZ)
    levelled, loud = tracks._levelled(bursts)
    assert np.max(np.abs(levelled)) <= 10 ** (-6 / 20) + 1e-6
    assert np.max(np.abs(bursts * 10 ** ((LOUDNESS_LUFS - loudness_lufs(bursts, RATE_HZ)) / 20))) > 10 ** (-6 / 20)
    assert loud == pytest.approx(loudness_lufs(levelled, RATE_HZ), abs=0.05)


def test_the_first_sound_comes_up_softly(sounded: Stems, tmp_path: Path) -> None:
    samples, _ = written(sounded, "alone", tmp_path / "x.wav")
    first, later = (
        np.sqrt(np.mean(samples[at : at + RATE_HZ // 10, 0] ** 2)) for at in (RATE_HZ // 20, 3 * RATE_HZ // 2)
    )
    assert 20 * np.log10(later / first) > 6


def test_the_first_note_comes_first_then_the_count_then_bar_one(sounded: Stems, tmp_path: Path) -> None:
    samples, done = written(sounded, "without", tmp_path / "x.wav")
    assert done.starts_at_s == pytest.approx(2.5 + 2.0)  # two seconds of note, half a second of rest, one bar at 120
    turning = np.exp(-2j * np.pi * HZ["own"] * np.arange(RATE_HZ) / RATE_HZ)
    given = abs(np.sum(samples[RATE_HZ // 2 : RATE_HZ // 2 + RATE_HZ, 0] * turning)) / RATE_HZ
    assert 20 * np.log10(given) > -45
    counted = np.abs(samples[round(2.5 * RATE_HZ) : round(4.5 * RATE_HZ), 0])
    loud = np.flatnonzero(counted > counted.max() / 2)
    assert len({int(at / RATE_HZ * 2 + 0.25) for at in loud}) == 4  # four clicks, half a second apart


def tags_of_wav(content: bytes) -> dict[str, str]:
    """RIFF INFO by its published layout (Microsoft and IBM, Multimedia Programming Interface 1.0, 1991), without a library."""
    found, at = {}, content.index(b"LIST")
    size = struct.unpack("<I", content[at + 4 : at + 8])[0]
    assert content[at + 8 : at + 12] == b"INFO"
    place, end = at + 12, at + 8 + size
    while place + 8 <= end:
        name, length = content[place : place + 4].decode(), struct.unpack("<I", content[place + 4 : place + 8])[0]
        found[name] = content[place + 8 : place + 8 + length].rstrip(b"\0").decode()
        place += 8 + length + length % 2
    return found


def tags_of_flac(content: bytes) -> dict[str, str]:
    """Vorbis comments of a FLAC file by RFC 9639, without a library."""
    assert content[:4] == b"fLaC"
    at = 4
    while True:
        head, size = content[at], int.from_bytes(content[at + 1 : at + 4])
        if head & 0x7F == 4:
            break
        assert not head & 0x80, "no comments in the file"
        at += 4 + size
    at += 4
    at += 4 + struct.unpack("<I", content[at : at + 4])[0]
    count = struct.unpack("<I", content[at : at + 4])[0]
    at += 4
    found = {}
    for _ in range(count):
        length = struct.unpack("<I", content[at : at + 4])[0]
        name, _, text = content[at + 4 : at + 4 + length].decode().partition("=")
        found[name.upper()] = text
        at += 4 + length
    return found


def test_a_player_is_told_title_album_artist_and_number(sounded: Stems, tmp_path: Path) -> None:
    for ending in ("wav", "flac"):
        write_track(sounded, track("alone"), tmp_path / f"x.{ending}")
    wav, flac = tags_of_wav((tmp_path / "x.wav").read_bytes()), tags_of_flac((tmp_path / "x.flac").read_bytes())
    assert (wav["INAM"], wav["IPRD"], wav["IART"]) == ("An example: tenor alone", "An example", "heldline")
    assert (flac["TITLE"], flac["ALBUM"], flac["ARTIST"]) == ("An example: tenor alone", "An example", "heldline")
    assert flac["TRACKNUMBER"] == "7"
    assert (wav["ICMT"], flac["COMMENT"]) == ("120 quarters a minute",) * 2


def test_a_piece_for_one_voice_has_no_track_without_it_and_a_very_long_one_none_at_all() -> None:
    with pytest.raises(SettingError, match="one voice only"):
        stems(score("C4 | D | C")).mix(0, "without")
    long = score("tempo: 20 :: " + " | ".join(["C4"] * 80))
    with pytest.raises(SettingError, match="16 minutes"):
        stems(long)


def midi_track(kind: str, **more: object) -> Score:
    chosen = {"count_in_bars": 1, "first_note": Fraction(2), "click": "off"} | more
    return midi.read(track_to_midi(PIECE, track(kind), **chosen).content, "x.mid")  # type: ignore[arg-type]


def notes(line: object, since: int = 0) -> list[tuple[Fraction, str]]:
    return [(note.onset_quarters, str(note.pitch)) for note in line.notes if note.onset_quarters >= since]  # type: ignore[attr-defined]


def test_midi_has_the_first_note_then_a_bar_of_count_then_the_music_of_the_kind() -> None:
    loud, alone, without = midi_track("loud"), midi_track("alone"), midi_track("without")
    lead = 8
    assert len(loud.lines) == 4
    for index, line in enumerate(loud.lines):
        expected = [(note.onset_quarters + lead, str(note.pitch)) for note in PIECE.lines[index].notes]
        assert notes(line, lead) == expected
    assert notes(loud.lines[TENOR])[0] == (0, "C4")
    assert [line.name for line in alone.lines] == ["tenor"]
    assert [notes(line, lead) == [] for line in without.lines] == [False, False, True, False]


def test_midi_says_choir_volume_side_and_count() -> None:
    import mido

    for kind, volumes, sides in (("loud", [48, 48, 112, 48], [64] * 4), ("sides", [112] * 4, [127, 127, 0, 127])):
        done = track_to_midi(PIECE, track(kind), count_in_bars=1, first_note=Fraction(0), click="on")
        file = mido.MidiFile(file=io.BytesIO(done.content))
        voices = file.tracks[1:-1]
        controls = [{m.control: m.value for m in voice if m.type == "control_change"} for voice in voices]
        assert [one[7] for one in controls] == volumes
        assert [one[10] for one in controls] == sides
        assert all(any(m.type == "program_change" and m.program == 52 for m in voice) for voice in voices)
        quiet = track_to_midi(PIECE, track(kind), count_in_bars=1, first_note=Fraction(0), click="off")
        counted = mido.MidiFile(file=io.BytesIO(quiet.content)).tracks[-1]
        assert sum(m.type == "note_on" for m in counted) == 4
        clicks = [m for m in file.tracks[-1] if m.type == "note_on"]
        assert {m.channel for m in clicks} == {9}
        assert len(clicks) == 4 + 12
        assert [m.note for m in clicks[:5]] == [76, 77, 77, 77, 76]
        assert done.starts_at_s == pytest.approx(2.0)
