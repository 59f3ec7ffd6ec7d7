"""Where a note begins, from pitch lines written by hand: levels in dB at every 5 ms, pitches in MIDI numbers.

The shapes are those of simulated singers with l, m, d, t and s, in rooms and in noise (tests/bench/verdicts); the beat is the vowel's
onset (Sundberg & Bauer-Huppmann 2007).
"""

from __future__ import annotations

import pytest

from audio.heard import PitchFrame
from trainer.judge.onset import onset, vowel
from trainer.judge.phonation import segments
from trainer.judge.pitchline import PitchLine
from trainer.judge.span import Span

HOP = 120
MS = 24
DUE_MS = 1_000


def ramp(from_db: float, to_db: float, ms: int) -> list[float]:
    """Levels from one value towards another."""
    hops = ms // 5
    return [from_db + (to_db - from_db) * k / hops for k in range(hops)]


def flat(db: float, ms: int) -> list[float]:
    return [db] * (ms // 5)


def line_of(*stretches: tuple[float, list[float], bool]) -> PitchLine:
    """Stretches of (MIDI number, levels, voiced), one after the other from 0."""
    line, k = PitchLine(), 0
    for midi, levels, voiced in stretches:
        for level in levels:
            line.append(
                PitchFrame(0, k * HOP, round(midi * 10_000), 3, voiced, 950 if voiced else 30, round(level * 10))
            )
            k += 1
    return line


def begun_ms(
    line: PitchLine, *, before: float | None, midi: float, shift_ms: int = DUE_MS, floor_db10: int = -700
) -> int | None:
    """The onset of a second's note of that pitch, due at one second, in ms from where it is due."""
    due, end = shift_ms * MS, (shift_ms + 1_000) * MS
    span = Span(due, end, True, True, ((due, end, round(midi * 10_000)),), due - 500 * MS, end + 500 * MS,
                None if before is None else round(before * 10_000))  # fmt: skip
    steady = segments(line, 0, len(line) * HOP)
    lead = next(s for s in steady if abs(s.level_c100 - midi * 10_000) < 6_000 and s.end_frame > due)
    found, _ = onset(line, span, lead, lead.level_c100, floor_db10=floor_db10)
    return None if found is None else round((found - due) / MS)


def test_a_soft_consonant_that_the_window_blurs_is_not_the_vowel() -> None:
    # the first frame still holds the loud note before; then m, flat and 6 dB under its vowel, which comes up in 40 ms
    line = line_of(
        (60, flat(-20, 1_080), True),
        (64, [-26.0, *flat(-30, 60), *ramp(-30, -24, 40), *flat(-24, 800)], True),
    )
    assert begun_ms(line, before=60, midi=64) == pytest.approx(165, abs=20)


def test_a_consonant_nearly_as_loud_as_its_vowel_closes_with_a_dip() -> None:
    line = line_of(
        (60, flat(-23, 950), True),
        (60, flat(-44, 60), False),
        (62, ramp(-32, -28, 10) + flat(-28, 40) + flat(-34, 20) + ramp(-34, -25, 20) + flat(-25, 800), True),
    )
    assert begun_ms(line, before=60, midi=62) == pytest.approx(90, abs=15)


def test_two_notes_that_overlap_and_beat_begin_where_the_pitch_moves() -> None:
    # the note before dies away while the new one sounds already: the level falls, lies low and comes back, and nothing stays on the way
    line = line_of(
        (60, flat(-28, 1_010), True),
        (62, ramp(-30.2, -35, 25) + flat(-35.5, 40) + ramp(-35, -28, 80) + flat(-28, 800), True),
    )
    assert begun_ms(line, before=60, midi=62) == pytest.approx(10, abs=15)


def test_a_stretch_that_begins_in_what_is_left_of_the_note_before_begins_where_its_vowel_rises() -> None:
    # its first frame is the note before, which has a plateau as it dies away; the vowel rises 65 ms later
    line = line_of(
        (60, flat(-24, 900), True),
        (62, [-27.6, -29.0, -30.1, *flat(-34, 20), *ramp(-34, -38, 20), *ramp(-38, -24, 50), *flat(-24, 800)], True),
    )
    assert begun_ms(line, before=60, midi=62) == pytest.approx(-45, abs=10)


def test_a_choirs_first_burst_is_its_onset_though_it_dips_afterwards() -> None:
    line = line_of(
        (60, flat(-27, 990), True),
        (62, ramp(-26, -18, 30) + flat(-18, 30) + flat(-30, 20) + ramp(-30, -21, 20) + flat(-23, 800), True),
    )
    assert begun_ms(line, before=60, midi=62) == pytest.approx(0, abs=40)


def test_a_swell_begins_with_its_sound() -> None:
    line = line_of((60, flat(-60, 1_000), False), (62, ramp(-45, -25, 250) + flat(-25, 600), True))
    assert begun_ms(line, before=None, midi=62) == pytest.approx(0, abs=75)


def test_a_soft_note_under_the_tail_of_a_loud_one_has_no_onset() -> None:
    # the softer the tail, the less of the sound is the tail's: the note is in it already
    for in_it, seen in ((True, False), (False, True)):
        tail = line_of((60, flat(-20, 990) + ramp(-20, -41, 200), True), (62, flat(-40, 900), True))
        if in_it:
            tail.confidences[214:238] = [800 - 25 * k for k in range(24)]
        assert (begun_ms(tail, before=60, midi=62) is not None) == seen


@pytest.mark.parametrize(("before", "known"), [(60, True), (50, False), (42.98, False), (62, False)])
def test_a_room_that_leaves_nothing_over_hides_no_note_but_one_whose_harmonics_are_all_its_own(
    before: float, known: bool
) -> None:
    # the room answers 6 dB under the voice and half as clear, then so clear that the new note cannot be in it
    line = line_of((before, flat(-20, 990) + flat(-26, 190), True), (62, flat(-26, 900), True))
    line.confidences[198:236] = [650] * 38
    line.confidences[222:232] = [760] * 10
    assert begun_ms(line, before=before, midi=62) is None
    line.confidences[222:232] = [770] * 10
    assert (begun_ms(line, before=before, midi=62) is not None) == known


def test_a_note_begun_late_because_the_one_before_was_held_on_is_late() -> None:
    held_on = line_of((60, flat(-20, 1_190), True), (62, flat(-23, 900), True))
    assert begun_ms(held_on, before=60, midi=62) == pytest.approx(190, abs=10)


def test_a_note_as_soft_as_the_noise_has_no_onset_and_one_well_above_it_has() -> None:
    for level, seen in ((-30.0, False), (-22.0, True)):
        line = line_of((60, flat(-22, 900), True), (55, flat(-31, 290), False), (62, flat(level, 900), True))
        begun = begun_ms(line, before=60, midi=62)
        assert (begun is not None) == seen


def test_a_start_that_noise_hides_is_late_where_the_note_before_was_still_clear_beyond_the_limit() -> None:
    for held_until, late in ((1_085, True), (1_065, False)):
        line = line_of(
            (60, flat(-20, held_until), True), (55, flat(-24, 1_125 - held_until), False), (62, flat(-22, 900), True)
        )
        assert begun_ms(line, before=60, midi=62) == (pytest.approx(125, abs=10) if late else None)


def test_a_start_over_which_another_voice_is_heard_is_not_known() -> None:
    for between, seen in (
        (44, False),
        (60, True),
    ):  # a played voice that was not taken away, or the note before held on
        line = line_of((60, flat(-20, 950), True), (between, flat(-22, 190), True), (62, flat(-22, 900), True))
        assert (begun_ms(line, before=60, midi=62) is not None) == seen


def test_a_note_that_comes_out_of_the_room_of_the_one_before_has_no_onset() -> None:
    # the room answers 6 dB under the voice, flat because the new and softer note is already in it, and half as clear but for a moment
    for clear, seen in ((450, False), (950, True)):
        line = line_of((60, flat(-20, 990), True), (60, flat(-26, 190), True), (62, flat(-26, 900), True))
        line.confidences[198:236] = [clear] * 38
        line.confidences[220:223] = [900] * 3
        assert (begun_ms(line, before=60, midi=62) is not None) == seen


def test_a_short_note_of_the_same_pitch_before_is_not_taken_for_this_one() -> None:
    # 300 ms of the same note just before, begun after silence, and only a dip between the two
    line = line_of(
        (62, flat(-60, 690), False),
        (62, flat(-25, 290) + ramp(-25, -38, 20) + ramp(-38, -25, 20) + flat(-25, 900), True),
    )
    span_from = DUE_MS * MS
    span = Span(span_from, span_from + 24_000, True, True, ((span_from, span_from + 24_000, 620_000),),
                span_from - 150 * MS, span_from + 36_000, 620_000)  # fmt: skip
    lead = segments(line, 0, len(line) * HOP)[0]
    found, restruck = onset(line, span, lead, 620_000, floor_db10=-700)
    assert restruck
    assert found is not None
    assert abs(found - span_from) < 40 * MS


def test_a_level_that_falls_once_in_the_course_of_a_note_does_not_move_its_vowel() -> None:
    line = line_of((62, flat(-60, 500), False), (62, flat(-25, 140) + flat(-32, 30) + flat(-25, 700), True))
    assert vowel(line, 500 * MS) == 500 * MS


def test_steady_noise_without_a_tone_in_it_hides_no_note_and_a_louder_burst_does() -> None:
    line = line_of((60, flat(-20, 900), True), (55, flat(-31, 290), False), (62, flat(-30, 900), True))
    assert begun_ms(line, before=60, midi=62, floor_db10=-320) == pytest.approx(190, abs=10)
    assert begun_ms(line, before=60, midi=62, floor_db10=-350) is None
    line.confidences[180:238] = [200] * 58
    assert begun_ms(line, before=60, midi=62, floor_db10=-320) is None


def test_a_tail_that_has_sunk_far_under_the_note_hides_nothing() -> None:
    for sunk, seen in ((60, True), (10, False)):
        line = line_of((60, flat(-20, 990) + flat(-26, 190 - sunk) + flat(-40, sunk), True), (62, flat(-26, 900), True))
        line.confidences[198:236] = [450] * 38
        assert (begun_ms(line, before=60, midi=62) is not None) == seen


def test_a_repeated_note_that_steps_up_from_a_softer_one_begins_at_the_step_and_a_swell_is_no_step() -> None:
    for over_ms, begun in ((35, 155), (200, None)):
        line = line_of((60, flat(-32, 1_150) + ramp(-32, -26, over_ms) + flat(-26, 900), True))
        assert begun_ms(line, before=60, midi=60) == (None if begun is None else pytest.approx(begun, abs=20))
