"""A recording made without our click: the singer's own time is found, and pitch judged by it. Frames written by hand."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest
from heard_frames import Sung, as_written, frames, judged, quartet
from hypothesis import given, settings
from hypothesis import strategies as st

from audio.heard import PitchFrame
from trainer.practice.take import Take
from trainer.reports.as_json import to_json
from trainer.reports.look import Look
from trainer.reports.text import take_text

LINES = (
    "B4 F#4 G#4 A4 G#4 F#4 E4 D4",
    "B3 C#4 E4 F#4 E4 D4 B3 A3",
    "F#3 A3 B3 C#4 B3 F#3 G#3 A3",
    "B2 A2 G#2 F#2 G#2 B2 G#2 F#2",
)
TENOR = 2
SCORE = quartet(*LINES)


def free(sung: list[Sung], end_s: float | None = None) -> Take:
    last = max((s.end_s for s in sung), default=1.0)
    return judged(SCORE, TENOR, frames(sung, end_s or last + 0.5), time="free")


def stretched(sung: list[Sung], lengths: list[float], start_s: float = 1.3) -> list[Sung]:
    """The same notes one after the other, each as long as said."""
    starts = list(itertools.accumulate(lengths[:-1], initial=start_s))
    return [replace(s, start_s=a, end_s=a + d - 0.02) for s, a, d in zip(sung, starts, lengths, strict=True)]


def signs(take: Take) -> list[str]:
    return [note.sign.value for note in take.notes]


WRITTEN = as_written(SCORE, TENOR)


@settings(max_examples=6, deadline=None)
@given(
    st.lists(st.floats(0.82, 1.2), min_size=8, max_size=8),
    st.sampled_from([0.45, 0.7, 1.0, 1.5]),
    st.floats(0.2, 6.0),
)
def test_any_start_tempo_and_rubato_of_a_fifth_is_followed_to_every_note(
    swings: list[float], pace: float, start_s: float
) -> None:
    sung = stretched(WRITTEN, [4 * pace * swing for swing in swings], start_s)
    take = free(sung)
    assert signs(take) == ["held"] * 8
    for note, true in zip(take.notes, sung, strict=True):
        assert note.start_s == pytest.approx(true.start_s, abs=0.03)
    assert [point.bar for point in take.tempo_line] == list(range(1, 9))
    for point, true, after in zip(take.tempo_line[:-1], sung, sung[1:], strict=False):
        assert point.time_s == pytest.approx(true.start_s, abs=0.03)
        assert point.quarters_per_minute == pytest.approx(240 / (after.start_s - true.start_s), rel=0.05)


def test_wrong_notes_are_told_as_they_would_be_to_the_click_and_never_late_or_early() -> None:
    sung = stretched(WRITTEN, [4.0, 3.2, 4.4, 3.0, 3.6, 5.0, 3.5, 4.0])
    sung[2] = replace(sung[2], midi=sung[2].midi - 0.4)
    sung[5] = replace(sung[5], midi=sung[5].midi + 3)
    take = free(sung)
    assert signs(take) == ["held", "held", "flat", "held", "held", "off", "held", "held"]
    assert all(note.onset_error_ms is None for note in take.notes)
    assert not any({"late", "early"} & {sign.value for sign in note.signs} for note in take.notes)


def test_a_note_passed_over_is_silent_and_those_around_it_keep_their_places() -> None:
    sung = stretched([*WRITTEN[:3], *WRITTEN[4:]], [4.0] * 7)
    take = free(sung)
    assert signs(take) == ["held", "held", "held", "silent", "held", "held", "held", "held"]
    assert take.notes[3].sung is None
    assert take.notes[4].start_s == pytest.approx(sung[3].start_s, abs=0.03)
    assert [b.sign.value for b in take.beats[12:16]] == ["silent"] * 4


def test_a_bar_begun_again_is_judged_at_its_last_time_and_that_is_said() -> None:
    wrong = replace(WRITTEN[4], midi=WRITTEN[4].midi + 2)
    sung = stretched([*WRITTEN[:4], wrong, *WRITTEN[4:]], [4.0, 4.0, 4.0, 4.0, 3.0, 4.0, 4.0, 4.0, 4.0])
    take = free(sung)
    assert signs(take) == ["held"] * 8
    assert take.notes[4].start_s == pytest.approx(sung[5].start_s, abs=0.03)


def test_two_bars_begun_again_are_told_with_the_bar() -> None:
    sung = stretched([*WRITTEN[:7], *WRITTEN[5:]], [3.0] * 10)
    take = free(sung)
    assert signs(take) == ["held"] * 8
    assert "Begun again at bar 6: the last time through is judged." in take.remarks


def test_of_two_bars_on_one_pitch_the_one_after_the_breath_was_begun_again() -> None:
    lines = [*LINES[:2], "F#3 A3 B3 C#4 C#4 F#3 G#3 A3", LINES[3]]
    score = quartet(*lines)
    written = as_written(score, TENOR)
    sung = stretched([*written[:5], *written[4:]], [3.0] * 9)
    sung = [*sung[:5], *(replace(s, start_s=s.start_s + 0.3, end_s=s.end_s + 0.3) for s in sung[5:])]
    take = judged(score, TENOR, frames(sung, 30), time="free")
    assert "Begun again at bar 5: the last time through is judged." in take.remarks
    assert take.notes[3].start_s == pytest.approx(sung[3].start_s, abs=0.03)


def test_another_piece_is_said_not_to_fit_and_nothing_of_it_is_judged() -> None:
    other = [replace(s, midi=m) for s, m in zip(WRITTEN, (53, 60, 50, 52, 62, 60, 53, 55), strict=True)]
    take = free(stretched(other, [3.5] * 8))
    assert any("does not fit the piece" in remark for remark in take.remarks)
    assert_nothing_is_judged(take)
    assert not any("does not fit" in remark for remark in free(stretched(WRITTEN, [3.5] * 8)).remarks)


def assert_nothing_is_judged(take: Take) -> None:
    assert signs(take) == ["unsure"] * 8
    assert {beat.sign.value for beat in take.beats} == {"unsure"}
    assert all(note.sung is None and note.cents is None and note.start_s is None for note in take.notes)
    assert (take.tempo_line, take.octave_shift, take.whole_take_cents, take.drift_cents) == ((), 0, None, None)
    assert "give the piece and the voice that were sung" in take_text(take, Look())


@pytest.mark.parametrize(("line", "voice", "octave"), [(0, "soprano", 0), (1, "alto", 12), (3, "bass", 0)])
def test_another_voices_line_is_named_and_not_judged_as_this_one(line: int, voice: str, octave: int) -> None:
    sung = [replace(s, midi=s.midi + octave) for s in as_written(SCORE, line)]
    take = free(stretched(sung, [4.0, 3.2, 4.4, 3.0, 3.6, 5.0, 3.5, 4.0]))
    assert take.remarks == (f"This was the {voice}'s line; --voice {voice} judges it.",)
    assert_nothing_is_judged(take)


def test_who_is_drawn_to_another_voice_for_half_of_the_line_is_judged_by_the_own() -> None:
    sung = [*WRITTEN[:4], *as_written(SCORE, 1)[4:]]
    take = free(stretched(sung, [3.5] * 8))
    assert signs(take)[:4] == ["held"] * 4
    assert not any("This was the" in remark for remark in take.remarks)


def test_the_right_piece_in_another_key_is_told_as_that_and_not_as_another_piece() -> None:
    score = quartet(
        "Bb4 A4 G4 A4 C5 Bb4 C5 D5 Eb5 D5 C5 Bb4",
        "G4 F4 Eb4 D4 Eb4 F4 A4 G4 A4 Bb4 G4 F4",
        "Eb3 C4 C4 Bb3 Bb3 C4 C4 Bb3 C4 D4 C4 Bb3",
        "Eb2 F2 C3 D3 Eb3 D3 C3 Bb2 F2 G2 Eb2 Bb2",
    )
    sung = stretched([replace(s, midi=s.midi - 1) for s in as_written(score, 1)], [1.4] * 12)
    take = judged(score, 1, frames(sung, sung[-1].end_s + 0.5), time="free")
    assert take.remarks == ("Sung a semitone lower than written: taken so, 12 of 12 notes are in tune.",)


def test_a_bar_begun_three_times_is_said_once() -> None:
    take = free(stretched([*WRITTEN[:4], *WRITTEN[:4], *WRITTEN], [3.5] * 16))
    assert signs(take) == ["held"] * 8
    assert take.remarks == ("Begun again at bar 1: the last time through is judged.",)


def test_a_question_in_the_report_ends_as_a_question() -> None:
    other = [replace(s, midi=m) for s, m in zip(WRITTEN, (53, 60, 50, 52, 62, 60, 53, 55), strict=True)]
    told = " ".join(take_text(free(stretched(other, [3.5] * 8)), Look()).split())
    assert "Is it the right piece and voice? The sound ends" in told
    assert "?." not in told


def test_nothing_sung_is_nothing_heard() -> None:
    take = free([], 20.0)
    assert (take.status, take.tempo_line) == ("nothing heard", ())


def test_an_octave_lower_all_through_is_told_once() -> None:
    sung = [replace(s, midi=s.midi - 12) for s in stretched(WRITTEN, [3.4] * 8)]
    take = free(sung)
    assert take.octave_shift == -1
    assert signs(take) == ["held"] * 8


def test_a_take_in_own_time_is_reported_with_its_tempo_and_in_json_with_a_tempo_line() -> None:
    take = free(stretched(WRITTEN, [4.0, 4.0, 4.0, 4.0, 4.0, 4.0, 6.0, 4.0]))
    told = take_text(take, Look(100, "none", "all", "plain"))
    assert "Tempo: about 60 quarters a minute; slower in bar 7 (40)" in told
    assert "in the singer's own time" in told
    assert "no late or early" in told
    table = to_json(take)
    assert table["settings"]["time"] == "free"
    assert table["tempo_line"][6] == {"bar": 7, "beat": 1.0, "time_s": pytest.approx(25.3, abs=0.03), "tempo_qpm": 40.0}


def test_two_recordings_are_each_judged_in_their_own_time() -> None:
    tenor = list(frames(stretched(WRITTEN, [4.0] * 8), 35))
    bass_written = as_written(SCORE, 3)
    bass = list(frames(stretched(bass_written, [3.0] * 8, 0.5), 35, line=1))
    from trainer.practice.settings import Settings
    from trainer.takes.judging import judge

    merged = sorted([*tenor, *bass], key=lambda frame: frame.centre_frame)
    done = judge(SCORE, [TENOR, 3], merged, settings=Settings(time="free"))
    assert [signs(take) for take in done.takes] == [["held"] * 8] * 2
    assert [round(take.tempo_line[0].quarters_per_minute) for take in done.takes] == [60, 80]


def test_the_same_frames_give_the_same_take() -> None:
    sung = stretched(WRITTEN, [4.0, 3.2, 4.4, 3.0, 3.6, 5.0, 3.5, 4.0])
    heard: list[PitchFrame] = list(frames(sung, 33))
    assert judged(SCORE, TENOR, heard, time="free") == judged(SCORE, TENOR, iter(heard), time="free")
