"""When the notes of a sung line began and ended, judged from frames written by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import pytest
from heard_frames import Sung, as_written, frames, judged, quartet
from tenor_take import FOUR, TENOR, changed, signs, take_of

from trainer.practice.signs import Sign


def test_a_late_note_is_late_and_its_beat_too() -> None:
    take = take_of(changed(1, start_s=4.2))
    assert take.notes[1].sign is Sign.LATE
    assert take.notes[1].onset_error_ms == pytest.approx(200, abs=8)
    assert [b.sign.value for b in take.beats[4:8]] == ["late", "held", "held", "held"]


def test_a_note_entered_early_over_a_silence_is_early() -> None:
    sung = changed(1, start_s=3.8)
    sung[0] = replace(sung[0], end_s=3.7)
    assert take_of(sung).notes[1].sign is Sign.EARLY


def test_a_legato_note_entered_late_is_late_and_the_note_before_is_held() -> None:
    sung = changed(1, start_s=4.25)
    sung[0] = replace(sung[0], end_s=4.25)
    assert signs(take_of(sung))[:2] == ["held", "late"]


def test_timing_is_left_out_when_the_delay_is_unknown() -> None:
    note = take_of(changed(1, start_s=4.2), delay_known=False).notes[1]
    assert (note.sign, note.onset_error_ms) == (Sign.HELD, None)


def one_second_notes(ahead_s: float, *, left_s: float = 0.0) -> list[Sung]:
    """The line in notes of a second, all of it so much before its time, the last one left so much before its own end."""
    notes = [replace(note, start_s=note.start_s + 1 - ahead_s, end_s=note.end_s + 1 - ahead_s) for note in SECONDS]
    return [*notes[:-1], replace(notes[-1], end_s=notes[-1].end_s - left_s)]


SECONDS = as_written(quartet(*FOUR, quarters=1), TENOR)


@pytest.mark.parametrize("ahead_s", [0.0, 0.25, 0.35])
def test_where_nobody_knows_the_delay_a_line_that_seems_early_as_a_whole_is_not_left_early_by_that(
    ahead_s: float,
) -> None:
    unknown = {"quarters": 1, "end_s": 6.0, "delay_known": False, "starts_at_s": Fraction(1)}
    take = take_of(one_second_notes(ahead_s), **unknown)
    assert signs(take) == ["held"] * 4
    assert {beat.sign.value for beat in take.beats} == {"held"}
    assert signs(take_of(one_second_notes(ahead_s, left_s=0.3), **unknown))[3] == "left early"


def test_where_the_delay_is_known_an_end_long_before_its_time_is_left_early() -> None:
    take = take_of(one_second_notes(0.25), quarters=1, end_s=6.0, starts_at_s=Fraction(1))
    assert signs(take) == ["early", "early", "early", "early"]
    assert Sign.LEFT_EARLY in take.notes[3].signs


def test_a_note_left_long_before_its_end_is_left_early_and_later_beats_are_silent() -> None:
    take = take_of(changed(1, end_s=5.6))
    assert take.notes[1].sign is Sign.LEFT_EARLY
    assert [b.sign.value for b in take.beats[4:8]] == ["held", "left early", "silent", "silent"]


def test_the_next_note_come_early_is_its_own_slip_and_not_the_rests() -> None:
    lines = ("B4 F#4 G#4 A4", "B3 C#4 E4 F#4", "F#3 - B3 C#4", "B2 A2 G#2 F#2")
    sung = as_written(quartet(*lines), TENOR)
    sung[1] = replace(sung[1], start_s=7.3)
    take = take_of(sung, lines)
    assert [n.expected for n in take.notes] == ["F#3", "B3", "C#4"]
    assert take.notes[1].sign is Sign.EARLY


def test_repeated_notes_without_a_new_start_have_no_onset_error() -> None:
    lines = tuple("A3 A3 A3 A3" for _ in range(4))
    take = take_of([Sung(0, 16, 57)], lines)
    assert signs(take) == ["held"] * 4
    assert [n.onset_error_ms for n in take.notes[1:]] == [None] * 3
    assert not any(n.restruck for n in take.notes)
    gaps = take_of([Sung(4 * k + (0.2 if k == 2 else 0), 4 * k + 3.94, 57) for k in range(4)], lines)
    assert [n.restruck for n in gaps.notes] == [False, True, True, True]
    assert signs(gaps) == ["held", "held", "late", "held"]


def test_silence_in_front_moves_times_and_no_sign() -> None:
    plain = take_of(changed(1, midi=57.4))
    moved = take_of(
        [replace(s, start_s=s.start_s + 3, end_s=s.end_s + 3) for s in changed(1, midi=57.4)],
        end_s=19.5,
        starts_at_s=Fraction(3),
    )
    assert [n.signs for n in moved.notes] == [n.signs for n in plain.notes]
    assert [n.cents for n in moved.notes] == [n.cents for n in plain.notes]
    assert moved.notes[0].start_s == pytest.approx(plain.notes[0].start_s + 3)


def test_the_next_note_come_a_beat_and_more_early_into_a_rest_is_early() -> None:
    lines = ("B4 F#4 G#4 A4", "B3 C#4 E4 F#4", "F#3 - B3 C#4", "B2 A2 G#2 F#2")
    sung = as_written(quartet(*lines), TENOR)
    sung[1] = replace(sung[1], start_s=6.3)
    note = take_of(sung, lines).notes[1]
    assert note.sign is Sign.EARLY
    assert note.onset_error_ms == pytest.approx(-1700, abs=8)


def test_a_slide_at_the_end_of_a_note_is_not_the_next_one_come_early() -> None:
    sung = as_written(quartet(*FOUR), TENOR)
    sung[0] = replace(sung[0], end_s=3.88)
    sung.insert(1, Sung(3.88, 3.985, 55.4))
    assert signs(take_of(sung)) == ["held"] * 4


def test_late_outranks_the_breath_that_every_detached_note_ends_with() -> None:
    sung = [replace(s, end_s=s.end_s - 0.2) for s in as_written(quartet(*FOUR), TENOR)]
    sung[2] = replace(sung[2], start_s=8.33)
    take = take_of(sung)
    assert take.notes[2].sign is Sign.LATE
    assert take.notes[2].onset_error_ms == round(1000 * (take.notes[2].start_s - 8))


def test_after_a_written_rest_a_late_entry_is_late_though_rest_and_delay_together_are_no_longer_than_a_breath() -> None:
    for bars, sign in ((("F#3 - B3 C#4"), "late"), (("F#3 ~ B3 C#4"), "held")):
        lines = ("B4 F#4 G#4 A4", "B3 C#4 E4 F#4", bars, "B2 A2 G#2 F#2")
        sung = as_written(quartet(*lines, quarters=1), TENOR, qpm=150)
        sung[0] = replace(sung[0], end_s=0.38)
        sung[1] = replace(sung[1], start_s=0.95)
        take = take_of(sung, lines, quarters=1, end_s=2.5, tempo_qpm=Fraction(150))
        assert take.notes[1].onset_error_ms == pytest.approx(150, abs=8)
        assert take.notes[1].sign.value == sign


def test_a_take_at_another_tempo_says_that_it_does_not_fit() -> None:
    slow = as_written(quartet(*FOUR), TENOR, qpm=48)
    assert "--time free" in take_of(slow, end_s=21).remarks[-1]


def test_what_leaks_from_headphones_after_a_note_let_go_is_silence() -> None:
    sung = changed(1, end_s=5.6)
    alto, soprano = 61.0, 66.0  # bar 2 of the others, 20 dB under the singer
    leak = [Sung(5.6, 6.8, soprano, level_db10=-450), Sung(6.8, 7.98, alto, level_db10=-450)]
    take = take_of([*sung[:2], *leak, *sung[2:]])
    assert signs(take) == ["held", "left early", "held", "held"]
    assert [b.sign.value for b in take.beats[4:8]] == ["held", "left early", "silent", "silent"]


def test_a_note_that_swells_from_nothing_begins_where_its_sound_does() -> None:
    heard = []
    for frame in frames(as_written(quartet(*FOUR), TENOR), 16.5):
        into_s = (frame.centre_frame - 4 * 24_000) / 24_000
        swell = round(200 * math.log10(max(into_s, 0.005) / 0.3)) if 0 <= into_s < 0.3 else 0  # linear in amplitude
        heard.append(replace(frame, level_db10=frame.level_db10 + swell) if frame.voiced else frame)
    note = judged(quartet(*FOUR), TENOR, heard).notes[1]
    assert (note.sign, abs(note.onset_error_ms) <= 80) == (Sign.HELD, True)


def test_a_voiced_consonant_before_the_beat_is_no_early_entry() -> None:
    sung = changed(1, start_s=3.9)
    sung[0] = replace(sung[0], end_s=3.9)
    heard = []
    for frame in frames(sung, 16.5):
        consonant = 3.9 * 24_000 <= frame.centre_frame < 4.0 * 24_000
        heard.append(replace(frame, level_db10=-330) if consonant and frame.voiced else frame)
    note = judged(quartet(*FOUR), TENOR, heard).notes[1]
    assert (note.sign, abs(note.onset_error_ms) <= 15) == (Sign.HELD, True)


SHORT = ("B4 F#4 G#4 A4", "B3 C#4 E4 F#4", "F#3 A3 A3 C#4", "B2 D3 E3 F#2")


def test_the_consonant_of_the_same_note_again_is_not_this_one_begun_late() -> None:
    sung = as_written(quartet(*SHORT, quarters=1), TENOR, qpm=96)
    again = replace(sung[2], start_s=sung[2].start_s - 0.1)
    take = take_of([sung[0], again, sung[3]], SHORT, end_s=4, quarters=1, tempo_qpm=Fraction(96))
    assert take.notes[1].sign is Sign.SILENT


def test_a_note_that_the_tracker_hears_an_octave_up_at_first_began_where_that_sound_began() -> None:
    sung = as_written(quartet(*FOUR), TENOR)
    before, note = replace(sung[0], end_s=3.8), sung[1]
    first, rest = replace(note, start_s=3.85, end_s=3.95, midi=note.midi + 12), replace(note, start_s=3.95)
    take = take_of([before, first, rest, *sung[2:]])
    assert take.notes[1].sign is Sign.EARLY


REPEATED = ("B4 F#4 G#4 A4", "B3 C#4 E4 F#4", "F#3 A3 A3 C#4", "B2 A2 G#2 F#2")


def repeated(*sung: Sung) -> list[Sung]:
    """F#3, what is given, and C#4: a line with one pitch twice in its middle."""
    return [Sung(0, 3.98, 54), *sung, Sung(12, 16, 61)]


def test_a_repeated_note_is_not_early_because_the_one_before_came_back_after_a_breath() -> None:
    back = repeated(Sung(4, 7.2, 57), Sung(7.65, 7.97, 57), Sung(8, 11.98, 57))
    heard = [replace(f, voiced=True, level_db10=-400) if f.centre_frame in CLOSED else f for f in frames(back, 16.5)]
    note = judged(quartet(*REPEATED), TENOR, heard).notes[2]
    assert note.sign is Sign.HELD
    assert note.onset_error_ms == pytest.approx(0, abs=40)


CLOSED = range(round(7.97 * 24_000), 8 * 24_000)
"""A consonant between two notes: softer, and not so long that the first one ends."""


def test_a_repeated_note_entered_early_after_a_breath_is_early() -> None:
    assert take_of(repeated(Sung(4, 7.2, 57), Sung(7.65, 11.98, 57)), REPEATED).notes[2].sign is Sign.EARLY


def test_a_repeated_note_is_not_early_because_the_tone_before_it_was_hard_to_hear_for_a_moment() -> None:
    on = repeated(Sung(4, 11.98, 57))
    heard = [replace(f, voiced=not 7.6 <= f.centre_frame / 24_000 < 7.75) if f.voiced else f for f in frames(on, 16.5)]
    note = judged(quartet(*REPEATED), TENOR, heard).notes[2]
    assert (note.sign, note.onset_error_ms) == (Sign.HELD, None)


def test_a_repeated_note_behind_a_wrong_one_begins_where_the_pitch_moves_and_not_in_a_soft_moment_before() -> None:
    wrong = repeated(Sung(4, 8, 56), Sung(8, 11.98, 57))
    heard = [replace(f, level_db10=-330) if f.centre_frame in SOFT else f for f in frames(wrong, 16.5)]
    assert judged(quartet(*REPEATED), TENOR, heard).notes[2].sign is Sign.HELD


SOFT = range(round(7.75 * 24_000), round(7.78 * 24_000))
"""The room's beats in the wrong note."""


@pytest.mark.parametrize(("harmonic", "sign"), [(3, "held"), (5, "held"), (6, "held"), (3.5, "late")])
def test_a_first_note_of_which_a_harmonic_was_heard_at_first_is_not_late(harmonic: float, sign: str) -> None:
    sung = as_written(quartet(*FOUR), TENOR, shift_s=1)
    sung[0] = replace(sung[0], start_s=1.16)
    sung.insert(0, Sung(1, 1.16, 54 + 12 * math.log2(harmonic)))
    assert signs(take_of(sung, end_s=17.5, starts_at_s=Fraction(1)))[0] == sign
