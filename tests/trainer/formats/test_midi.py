"""Standard MIDI Files, byte by byte where it matters (Standard MIDI Files 1.0, MIDI Manufacturers Association, RP-001)."""

from __future__ import annotations

import io
import struct
from fractions import Fraction

import mido
import pytest

from trainer.errors import ScoreError
from trainer.formats import read_path
from trainer.formats._smf import KeyEvent, key_events, read_smf
from trainer.formats.midi import read, write
from trainer.library import resolve
from trainer.score.model import Key, Line, Note, Score
from trainer.score.pitch import Pitch
from trainer.score.time import Meter, TempoMap


def chunk(name: bytes, body: bytes) -> bytes:
    return name + struct.pack(">L", len(body)) + body


def file(*tracks: bytes, kind: int = 1, division: int = 480) -> bytes:
    return chunk(b"MThd", struct.pack(">HHH", kind, len(tracks), division & 0xFFFF)) + b"".join(
        chunk(b"MTrk", t) for t in tracks
    )


END = b"\x00\xff\x2f\x00"


def made(*tracks: list[mido.Message], kind: int = 1, ticks: int = 480) -> bytes:
    smf = mido.MidiFile(type=kind, ticks_per_beat=ticks)
    for messages in tracks:
        smf.tracks.append(mido.MidiTrack(messages))
    out = io.BytesIO()
    smf.save(file=out)
    return out.getvalue()


def keys(*presses: tuple[int, int, int], channel: int = 0) -> list[mido.Message]:
    """Messages for (midi, on, off) in ticks."""
    events = sorted([(on, 1, midi) for midi, on, _ in presses] + [(off, 0, midi) for midi, _, off in presses])
    at, found = 0, []
    for ticks, velocity, midi in events:
        found.append(mido.Message("note_on", note=midi, velocity=64 * velocity, time=ticks - at, channel=channel))
        at = ticks
    return found


def sung(score: Score, line: int = 0) -> str:
    return " ".join(f"{n.pitch}@{n.onset_quarters}+{n.length_quarters}" for n in score.lines[line].notes)


def refused(content: bytes) -> ScoreError:
    with pytest.raises(ScoreError) as caught:
        read(content, "a.mid")
    assert "a.mid" in caught.value.where
    assert caught.value.do
    return caught.value


def test_running_status_and_velocity_nought_are_keys_down_and_up() -> None:
    # 96 ticks a quarter; C4 for a quarter, then D4, the status byte written once (RP-001, page 4)
    track = bytes([0x00, 0x90, 60, 64, 0x60, 60, 0, 0x00, 62, 64, 0x60, 62, 0]) + END
    content = file(track, kind=0, division=96)
    assert sung(read(content, "x")) == "C4@0+1 D4@1+1"
    events = list(key_events(content, "x"))
    assert [(e.ticks, e.midi, e.velocity) for e in events] == [(0, 60, 64), (96, 60, 0), (96, 62, 64), (192, 62, 0)]


def test_seconds_follow_every_tempo_change_exactly() -> None:
    # default 120 a quarter for one quarter (0.5 s), then 60 (1 s), in a track without notes
    tempo = b"\x83\x60\xff\x51\x03\x0f\x42\x40" + END
    track = bytes([0x87, 0x40, 0x90, 60, 64, 0x83, 0x60, 0x80, 60, 0]) + END
    assert [event.seconds for event in key_events(file(tempo, track), "x")] == [Fraction(3, 2), Fraction(5, 2)]


def test_seconds_agree_with_mido() -> None:
    content = made(
        [mido.MetaMessage("set_tempo", tempo=700_001), mido.MetaMessage("set_tempo", tempo=431_117, time=731)],
        keys((60, 100, 555), (62, 555, 1777)),
        keys((50, 0, 1201), channel=3),
    )
    at, theirs = 0.0, []
    for message in mido.MidiFile(file=io.BytesIO(content)):
        at += message.time
        if message.type == "note_on":
            theirs.append((round(at, 9), message.note, message.velocity > 0))
    ours = [(round(float(e.seconds), 9), e.midi, e.velocity > 0) for e in key_events(content, "x")]
    assert sorted(ours) == sorted(theirs)


@pytest.mark.parametrize(
    ("frames", "rate"), [(24, Fraction(24)), (25, Fraction(25)), (29, Fraction(30000, 1001)), (30, Fraction(30))]
)
def test_film_time_is_seconds_but_not_bars(frames: int, rate: Fraction) -> None:
    track = bytes([0x00, 0x90, 60, 64, 0x64, 0x80, 60, 0]) + END  # 100 ticks
    content = file(track, division=((256 - frames) << 8) | 40)
    assert list(key_events(content, "x"))[1] == KeyEvent(100, Fraction(100, 40) / rate, 0, 0, 60, 0)
    assert "film frames" in refused(content).what


def test_kind_2_is_refused() -> None:
    assert "kind 2" in refused(made(keys((60, 0, 480)), kind=2)).what


def test_strange_chunks_are_skipped_as_the_standard_asks() -> None:
    content = made(keys((60, 0, 480)))
    head, rest = content[:14], content[14:]
    assert sung(read(head + chunk(b"XFIH", b"\x00\xff\x90") + rest, "x")) == "C4@0+1"


def test_a_riff_wrapper_is_taken_off() -> None:
    content = made(keys((60, 0, 480)))
    wrapped = b"RIFF" + struct.pack("<L", len(content) + 12) + b"RMIDdata" + struct.pack("<L", len(content)) + content
    assert sung(read(wrapped, "x")) == "C4@0+1"


def test_a_file_of_one_track_is_told_apart_by_channels_and_drums_are_left_out() -> None:
    track = keys((72, 0, 960)) + keys((48, 0, 960), channel=1) + keys((35, 0, 240), channel=9)
    track = sorted(track, key=lambda message: message.velocity == 0)
    for message in track:
        message.time = 0
    track[3].time = 960
    score = read(made(track, kind=0), "x")
    assert (sung(score), sung(score, 1)) == ("C5@0+2", "C3@0+2")
    assert score.fact("remark") == "1 notes of channel 10 (drums) left out"


def test_silent_tracks_are_skipped_and_names_kept() -> None:
    named = [mido.MetaMessage("track_name", name="Viola"), *keys((60, 0, 480))]
    score = read(made([mido.MetaMessage("track_name", name="Low Tide")], [], named), "x")
    assert score.title == "Low Tide"
    assert [line.name for line in score.lines] == ["Viola"]


def test_keys_are_spelled_by_the_signature_in_force() -> None:
    signature = [mido.MetaMessage("key_signature", key="Ab"), mido.MetaMessage("key_signature", key="E", time=480)]
    score = read(made(signature, keys((61, 0, 480), (61, 480, 960), (66, 960, 1440))), "x")
    assert [str(note.pitch) for note in score.lines[0].notes] == ["Db4", "C#4", "F#4"]
    assert score.keys == ((Fraction(0), Key(-4, "major")), (Fraction(1), Key(4, "major")))


def test_onsets_of_a_hand_are_set_on_a_grid_and_the_largest_shift_is_told() -> None:
    # within a sixteenth's half (60 ticks of 480); the worst is 35 ticks off
    score = read(made(keys((60, 0, 470), (62, 495, 920), (64, 925, 1180), (65, 1200, 1400))), "x")
    assert sung(score) == "C4@0+1 D4@1+1 E4@2+1/2 F4@5/2+1/2"
    assert "the largest shift was 0.073 quarters" in score.fact("remark")


def test_exact_tuplets_are_left_alone() -> None:
    score = read(made(keys((60, 0, 160), (62, 160, 320), (64, 320, 480), (65, 480, 576), (67, 576, 960))), "x")
    assert sung(score) == "C4@0+1/3 D4@1/3+1/3 E4@2/3+1/3 F4@1+1/5 G4@6/5+4/5"
    assert score.fact("remark") == ""


def test_notes_shortened_for_a_lighter_touch_are_whole_again() -> None:
    # notation programs play 95 % of a note's length
    score = read(made(keys((60, 0, 1824), (62, 1920, 2832), (64, 2880, 4704))), "x")
    assert sung(score) == "C4@0+4 D4@4+2 E4@6+4"


def test_a_written_rest_stays() -> None:
    assert sung(read(made(keys((60, 0, 360), (62, 480, 960))), "x")) == "C4@0+3/4 D4@1+1"


def test_a_small_legato_overlap_is_trimmed() -> None:
    assert sung(read(made(keys((60, 0, 500), (62, 480, 960))), "x")) == "C4@0+1 D4@1+1"


def test_two_notes_at_once_are_refused_with_the_place() -> None:
    err = refused(made([mido.MetaMessage("track_name", name="Piano"), *keys((60, 1920, 3840), (64, 2880, 3840))]))
    assert err.what == "two notes at once in 'Piano': C4 still sounds when E4 begins"
    assert "bar 2 beat 3" in err.where


def test_a_chord_is_refused_with_the_place() -> None:
    assert "bar 1 beat 2" in refused(made(keys((60, 480, 960), (64, 480, 960)))).where


def test_the_same_meter_again_inside_a_bar_cuts_it_short_and_at_a_bar_line_changes_nothing() -> None:
    four = mido.MetaMessage("time_signature", numerator=4, denominator=4)
    notes = [
        mido.Message(kind, note=69, time=time) for _ in range(12) for kind, time in (("note_on", 0), ("note_off", 480))
    ]
    marks = [four, four.copy(time=4 * 480), four.copy(time=3 * 480)]
    score = read(made(marks, notes), "x")
    assert score.meters == ((Fraction(0), Meter(4, 4)), (Fraction(7), Meter(4, 4)))
    assert [bar.length_quarters for bar in score.bars().bars] == [4, 3, 4, 4]


def test_a_short_first_meter_is_a_pickup() -> None:
    meters = [
        mido.MetaMessage("time_signature", numerator=1, denominator=4),
        mido.MetaMessage("time_signature", numerator=4, denominator=4, time=480),
    ]
    score = read(made(meters, keys((60, 0, 480), (62, 480, 2400))), "x")
    assert score.pickup_quarters == 1
    assert score.meters == ((Fraction(0), Meter(4, 4)),)


@pytest.mark.parametrize("qpm", [Fraction(60), Fraction(72), Fraction(145, 2), Fraction(133), Fraction(100, 3)])
def test_a_tempo_survives_the_whole_microseconds(qpm: Fraction) -> None:
    note = Note(Fraction(0), Fraction(1), Pitch("C", 0, 4))
    score = Score("x", (Line("a", (note,)),), tempo=TempoMap(((Fraction(0), qpm),)))
    back = read(write(score), "x").tempo.points[0][1]
    assert back == qpm or abs(back - qpm) < Fraction(1, 10_000)
    if qpm.denominator <= 2:
        assert back == qpm


def test_a_tempo_that_nobody_can_follow_is_left_out_and_told() -> None:
    first = mido.MetaMessage("set_tempo", tempo=1)
    notes = [mido.Message("note_on", note=60, velocity=64), mido.Message("note_off", note=60, time=480)]
    out = io.BytesIO()
    mido.MidiFile(tracks=[mido.MidiTrack([first, *notes])]).save(file=out)
    score = read(out.getvalue(), "x")
    assert score.tempo.points == ((Fraction(0), Fraction(120)),)  # the standard's own, which a faulty one stands in for
    assert score.fact("remark") == "a tempo of 6e+07 quarters a minute left out"


def test_a_score_without_tempo_is_taken_at_sixty_but_a_take_at_the_standards_120() -> None:
    content = made(keys((60, 0, 480), (62, 480, 960)))
    assert read(content, "x").tempo.points == ((Fraction(0), Fraction(60)),)
    assert list(key_events(content, "x"))[-1].seconds == 1


def test_mido_finds_what_we_wrote(tmp_path) -> None:
    score = resolve("1")
    path = tmp_path / "a.mid"
    path.write_bytes(write(score))
    smf = mido.MidiFile(path)
    assert (smf.type, smf.ticks_per_beat) == (1, 480)
    assert [track.name for track in smf.tracks] == ["Ferry Bell at Low Water", "soprano", "alto", "tenor", "bass"]
    first = {message.type: message for message in smf.tracks[0]}
    assert first["set_tempo"].tempo == 1_000_000
    assert (first["time_signature"].numerator, first["time_signature"].denominator) == (4, 4)
    assert first["key_signature"].key == "F#m"  # three sharps, a mode with a minor third
    assert smf.length == pytest.approx(44.0)
    assert read_path(path).digest() == score.digest()


def test_septuplets_get_finer_ticks() -> None:
    notes = tuple(Note(Fraction(n, 7), Fraction(1, 7), Pitch("C", 0, 4)) for n in range(7))
    content = write(Score("x", (Line("a", notes),)))
    assert read_smf(content, "x").ticks_a_quarter == 3360
    assert read(content, "x").lines[0].notes == notes


@pytest.mark.parametrize(
    ("content", "what"),
    [
        (b"MThd", "not a Standard MIDI File"),
        (b"MThd\x00\x00\x00\x06\x00\x01\x00\x00\x01\xe0", "no track"),
        (file(END), "no notes"),
        (file(bytes([0, 0x90, 60, 200])), "broken"),
        (file(bytes([0, 60, 64])), "broken"),
        (file(bytes([0, 0xF4])), "broken"),
        (file(b"\xff" * 200_000), "does not end"),
        (file(b"\x00\xff\x51\x03\x00\x00\x00" + bytes([0, 0x90, 60, 64, 0x60, 60, 0]) + END), "no duration"),
        (
            file(b"\x00\xff\x58\x04\x04\x07\x18\x08" + bytes([0, 0x90, 60, 64, 0x60, 60, 0]) + END),
            "4/128 is not a meter",
        ),
        (file(bytes([0, 0x90, 60, 64, 0x60, 60, 0]) + END, division=0), "division"),
        (file(bytes([0xFF, 0xFF, 0xFF, 0x7F, 0x90, 60, 64, 0x60, 60, 0]) + END, division=1), "more than 5000 bars"),
        (file(bytes([0, 0x90, 60, 64, 0x60, 60, 0]) + END)[:-6], "ends inside"),
        (file(bytes([0, 0x90, 60, 64, 0x60, 60, 0]) + END, END)[: -8 - len(END)], "ends after 1 of its 2 tracks"),
        (file(END + b"\x00" * 1_000_001), "larger than 1000 kB"),
        (b"RIFF\x00\x00\x00\x00WAVEfmt " + b"\x00" * 1_000_001, "not a Standard MIDI File"),
    ],
)
def test_broken_files_have_a_sentence_each(content: bytes, what: str) -> None:
    assert what in refused(content).what


def test_the_largest_file_that_is_allowed_is_judged_in_a_few_seconds() -> None:
    import time

    track = (bytes([0, 0x90, 60, 64, 0x60, 60, 0]) * 142_000)[:990_000]
    before = time.process_time()
    assert "more than 5000 bars" in refused(file(track + END)).what
    assert time.process_time() - before < 10
