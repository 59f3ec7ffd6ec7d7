"""A consonant as loud as its vowel, from pitch lines written by hand: levels in dB at every 5 ms, every limit from both sides."""

from __future__ import annotations

from itertools import pairwise

import pytest

from audio.heard import PitchFrame
from trainer.judge.consonant import behind_consonant, behind_step
from trainer.judge.pitchline import PitchLine

HOP, MS = 120, 24
BEGINS_MS = 200
NOTE_C100 = 620_000


def line_of(
    *points: tuple[int, float], confidence: int = 950, consonant_c100: int = NOTE_C100, until_ms: int = 60
) -> PitchLine:
    """Levels along straight lines between points in ms from where the note begins; its first *until_ms* at a pitch of their own."""
    line = PitchLine()
    for k in range(160):
        at = 5 * k - BEGINS_MS
        level = points[-1][1]
        for (from_ms, from_db), (to_ms, to_db) in pairwise(points):
            if from_ms <= at < to_ms:
                level = from_db + (to_db - from_db) * (at - from_ms) / (to_ms - from_ms)
                break
        pitch = consonant_c100 if 0 <= at < until_ms else NOTE_C100
        line.append(PitchFrame(0, k * HOP, pitch, 3, at >= 0, confidence if at >= 0 else 30, round(level * 10)))
    return line


def vowel_ms(line: PitchLine) -> int | None:
    """Where the vowel begins, in ms from where the note does."""
    found = behind_consonant(line, BEGINS_MS * MS)
    return None if found is None else found // MS - BEGINS_MS


def up_ms(line: PitchLine) -> int | None:
    """Where the vowel comes up once more, in ms from where the note begins."""
    found = behind_step(line, BEGINS_MS * MS)
    return None if found is None else found // MS - BEGINS_MS


def closing(loud_db: float = -25.0, dip_db: float = -33.0, *, closes_ms: int = 60) -> list[tuple[int, float]]:
    """A consonant, 10 ms of a dip, and the vowel at -25 dB 15 ms later."""
    return [(-200, -60), (-5, -60), (0, loud_db), (closes_ms, loud_db), (closes_ms + 5, dip_db), (closes_ms + 15, dip_db),
            (closes_ms + 30, -25), (600, -25)]  # fmt: skip


def stepping(under_db: float = 5.0, *, at_ms: int = 60, rise_ms: int = 20) -> list[tuple[int, float]]:
    """A consonant so far under the vowel, which comes up in *rise_ms* from *at_ms* on."""
    low_db = -25 - under_db
    return [(-200, -60), (-5, -60), (0, low_db), (at_ms, low_db), (at_ms + rise_ms, -25), (600, -25)]


def test_a_consonant_as_loud_as_its_vowel_closes_with_a_dip() -> None:
    assert vowel_ms(line_of(*closing())) == pytest.approx(85, abs=8)


def test_of_two_dips_the_second_is_before_the_vowel() -> None:
    twice = [(-200, -60), (-5, -60), (0, -25), (40, -25), (45, -33), (55, -27), (65, -33), (80, -25), (600, -25)]
    assert vowel_ms(line_of(*twice)) == pytest.approx(75, abs=5)


@pytest.mark.parametrize(("dip_db", "closes"), [(-31.1, True), (-31.0, False)])
def test_a_dip_lies_six_decibels_under_the_vowel(dip_db: float, closes: bool) -> None:
    assert (vowel_ms(line_of(*closing(dip_db=dip_db))) is not None) == closes


@pytest.mark.parametrize(("loud_db", "closes"), [(-28.4, True), (-28.5, False)])
def test_a_dip_lies_three_decibels_under_the_consonant(loud_db: float, closes: bool) -> None:
    slow = [(-200, -60), (-5, -60), (0, loud_db), (60, loud_db), (65, -31.5), (70, -31.5), (150, -25), (600, -25)]
    assert (vowel_ms(line_of(*slow)) is not None) == closes


@pytest.mark.parametrize(("loud_db", "sounds"), [(-32.0, True), (-32.1, False)])
def test_what_lies_more_than_seven_decibels_under_the_vowel_is_no_consonant_as_loud_as_it(
    loud_db: float, sounds: bool
) -> None:
    assert (vowel_ms(line_of(*closing(loud_db, -36))) is not None) == sounds


def test_behind_a_dip_the_vowel_is_there_from_four_decibels_under_it_on() -> None:
    line = line_of(*closing())
    at = (80 + BEGINS_MS) // 5
    line.levels[at : at + 3] = [-291, -290, -289]
    assert vowel_ms(line) == 85


@pytest.mark.parametrize(("loud_db", "consonant"), [(-24.0, True), (-23.9, False)])
def test_what_is_more_than_a_decibel_louder_than_what_follows_is_the_vowels_first_burst(
    loud_db: float, consonant: bool
) -> None:
    assert (vowel_ms(line_of(*closing(loud_db, -33))) is not None) == consonant


@pytest.mark.parametrize(("closes_ms", "consonant"), [(80, True), (95, False)])
def test_no_consonant_lasts_longer_than_ninety_milliseconds(closes_ms: int, consonant: bool) -> None:
    assert (vowel_ms(line_of(*closing(closes_ms=closes_ms), until_ms=0)) is not None) == consonant


@pytest.mark.parametrize(("away_c100", "consonant"), [(3_000, True), (-3_000, True), (3_001, False), (-3_001, False)])
def test_a_consonant_has_its_notes_pitch(away_c100: int, consonant: bool) -> None:
    assert (vowel_ms(line_of(*closing(), consonant_c100=NOTE_C100 + away_c100)) is not None) == consonant


def test_a_note_before_that_only_dies_away_is_no_consonant() -> None:
    falling = [(-200, -18), (0, -24), (30, -30), (45, -33), (60, -25), (600, -25)]
    assert vowel_ms(line_of(*falling)) is None
    staying = [(-200, -18), (0, -24), (25, -24), (45, -33), (60, -25), (600, -25)]
    assert vowel_ms(line_of(*staying)) == pytest.approx(58, abs=8)


def falling(tenths: list[int], *, before_db10: int = -230) -> PitchLine:
    """A line that closes with a dip, but for its first levels, and for what sounds before it."""
    line, first = line_of(*closing()), BEGINS_MS // 5
    line.levels[:first] = [before_db10] * first
    line.levels[first : first + 13] = tenths
    return line


STEADILY = [-240, -243, -247, -250, -253, -257, -260, -263, -267, -270, -273, -277, -280]


def test_what_falls_by_a_decibel_in_fifteen_milliseconds_stays_nowhere() -> None:
    assert vowel_ms(falling(STEADILY)) is None
    slower = [*STEADILY[:5], *(level + 1 for level in STEADILY[5:])]
    assert vowel_ms(falling(slower)) is not None


@pytest.mark.parametrize(("before_db10", "begins"), [(-260, False), (-261, True)])
def test_what_rises_by_two_decibels_is_not_what_is_left_of_the_note_before(before_db10: int, begins: bool) -> None:
    assert (vowel_ms(falling(STEADILY, before_db10=before_db10)) is not None) == begins


@pytest.mark.parametrize(("confidence", "seen"), [(700, True), (699, False)])
def test_a_dip_that_noise_fills_shows_in_the_tone_of_a_note_that_stands_clear_of_it(
    confidence: int, seen: bool
) -> None:
    # the level dips by 4 dB only, since there the noise is left; of the tone there is a fifth
    line = line_of(*closing(-25, -29), confidence=confidence)
    for k in range(len(line)):
        if 60 <= 5 * k - BEGINS_MS <= 80:
            line.confidences[k] = 200
    assert (vowel_ms(line) is not None) == seen


@pytest.mark.parametrize(("closes_ms", "seen"), [(70, True), (80, False)])
def test_in_noise_a_dip_is_looked_for_in_the_first_eighty_milliseconds(closes_ms: int, seen: bool) -> None:
    line = line_of(*closing(-25, -29, closes_ms=closes_ms))
    for k in range(len(line)):
        if closes_ms <= 5 * k - BEGINS_MS <= closes_ms + 20:
            line.confidences[k] = 200
    assert (vowel_ms(line) is not None) == seen


@pytest.mark.parametrize(("under_db", "steps"), [(2.7, True), (2.6, False), (7.0, True)])
def test_a_vowel_that_comes_up_by_2_7_decibels_once_more_stands_behind_a_consonant(
    under_db: float, steps: bool
) -> None:
    assert up_ms(line_of(*stepping(under_db))) == (60 if steps else None)


@pytest.mark.parametrize(("at_ms", "steps"), [(35, True), (25, False), (90, True), (95, False)])
def test_it_comes_up_as_long_after_the_beginning_as_consonants_last(at_ms: int, steps: bool) -> None:
    assert (up_ms(line_of(*stepping(at_ms=at_ms))) is not None) == steps


@pytest.mark.parametrize(("rise_ms", "steps"), [(40, True), (60, False)])
def test_a_swell_is_no_step(rise_ms: int, steps: bool) -> None:
    assert (up_ms(line_of(*stepping(rise_ms=rise_ms))) is not None) == steps


@pytest.mark.parametrize(("back_db10", "stays"), [(-273, True), (-274, False)])
def test_what_has_come_up_stays_up(back_db10: int, stays: bool) -> None:
    line = line_of(*stepping())
    line.levels[(110 + BEGINS_MS) // 5] = back_db10
    assert (up_ms(line) is not None) == stays


def test_behind_a_dip_that_is_no_closing_the_vowel_comes_up_as_well() -> None:
    shallow = [(-200, -60), (-5, -60), (0, -25), (50, -25), (55, -29), (70, -29), (80, -25), (600, -25)]
    assert vowel_ms(line_of(*shallow)) is None
    assert up_ms(line_of(*shallow)) == 60


@pytest.mark.parametrize(("loud_db", "consonant"), [(-24.0, True), (-23.9, False)])
def test_a_first_burst_louder_than_the_vowel_is_no_consonant_either(loud_db: float, consonant: bool) -> None:
    bursting = [(-200, -60), (-5, -60), (0, loud_db), (40, loud_db), (45, -29), (60, -29), (80, -25), (600, -25)]
    assert (up_ms(line_of(*bursting)) is not None) == consonant


@pytest.mark.parametrize(("from_c100", "foot_c100", "consonant"), [
    (-1_000, -500, False), (1_000, 500, False), (-999, -500, True), (-1_000, 100, True), (-1_000, -1_100, True)
])  # fmt: skip
def test_a_pitch_that_slides_one_way_is_no_consonant(from_c100: int, foot_c100: int, consonant: bool) -> None:
    line = line_of(*stepping())
    begin = BEGINS_MS // 5
    line.pitches[begin : begin + 7] = [NOTE_C100 + from_c100] * 7
    line.pitches[begin + 7 : begin + 14] = [NOTE_C100 + foot_c100] * 7
    assert (up_ms(line) is not None) == consonant


@pytest.mark.parametrize(("confidence", "seen"), [(700, True), (699, False)])
def test_in_noise_the_tone_comes_up_where_the_level_stays(confidence: int, seen: bool) -> None:
    line = line_of((-200, -60), (-5, -60), (0, -25), (600, -25), confidence=confidence)
    assert up_ms(line) is None
    first = BEGINS_MS // 5
    line.confidences[first : first + 13] = [350] * 13
    assert (up_ms(line) is not None) == seen


@pytest.mark.parametrize("frames", [40, 48, 58, 61, 64])
def test_where_the_sound_ends_before_the_vowel_is_over_nothing_is_told(frames: int) -> None:
    line = line_of(*stepping(at_ms=85))
    for columns in (line.centres, line.levels, line.pitches, line.voiced, line.confidences):
        del columns[frames:]
    assert vowel_ms(line) is None
    assert up_ms(line) is None
