"""What must be true of every case of the nets, said anew from what a report prints and from nothing in the judge's own code."""

from __future__ import annotations

import itertools

from nets import SEED, Chance
from nets.figures import a_row
from nets.keys import a_line_of_keys
from nets.lines import a_listening, a_melody
from nets.notes import a_note, some_suspects

from trainer.judge.figure import Figure
from trainer.judge.listening import Listening
from trainer.judge.phonation import segments
from trainer.judge.reading import read
from trainer.practice.signs import Sign

TUNING = {Sign.SHARP, Sign.FLAT, Sign.OFF, Sign.OCTAVE}
OCTAVE, HALF_OCTAVE = 120_000, 60_000
MS = 24


def chances(count: int) -> list[Chance]:
    return [Chance(1000 * SEED + number) for number in range(count)]


def test_a_tuning_word_and_its_cents_say_the_same() -> None:
    seen: set[Sign] = set()
    for chance in chances(4_000):
        heard, span, frame = a_note(chance)
        reading = read(heard, span, frame)
        words = reading.signs & TUNING
        assert len(words) <= 1
        seen |= reading.signs
        if reading.signs & {Sign.SILENT, Sign.UNSURE}:
            assert len(reading.signs) == 1
            assert (reading.pitch_c100, reading.cents_c100, reading.onset_error) == (None, None, None)
            continue
        assert reading.deviation_c100 is not None
        if reading.cents_c100 is None:
            assert not words  # too short for cents: no word about them
            continue
        assert reading.uncertainty_c100 is not None
        sure = abs(reading.cents_c100) - reading.uncertainty_c100  # the least that it can be
        octaves = (reading.deviation_c100 + HALF_OCTAVE) // OCTAVE
        assert (words == {Sign.OFF}) == (sure > 7_000)
        assert (words == {Sign.OCTAVE}) == (octaves != 0 and sure <= 7_000)
        if not octaves and sure <= 7_000:
            word = Sign.SHARP if reading.cents_c100 > 0 else Sign.FLAT
            assert words == ({word} if sure > frame.tolerance_c100 else set())
    assert seen == set(Sign) - {Sign.HELD, Sign.REST, Sign.PULLED}


def test_late_and_early_are_told_only_where_the_time_is_known_and_by_the_milliseconds_beside_them() -> None:
    for chance in chances(4_000):
        heard, span, frame = a_note(chance)
        reading = read(heard, span, frame)
        limit = frame.on_time_frames + 20 * MS
        assert (Sign.LATE in reading.signs) == (reading.onset_error is not None and reading.onset_error > limit)
        assert (Sign.EARLY in reading.signs) == (reading.onset_error is not None and reading.onset_error < -limit)
        if not frame.timed or not span.own_start:
            assert reading.onset_error is None


def test_whoever_is_pulled_is_off_and_sings_a_note_of_that_voice() -> None:
    pulled = 0
    for chance in chances(1_500):
        voices, theirs = some_suspects(chance)  # type: ignore[misc]
        for voice, near in zip(voices, theirs, strict=True):
            pulled += voice is not None
            assert voice is None or voice in {neighbour.voice for neighbour in near}
    assert pulled > 100


def test_each_key_is_meant_for_one_note_and_in_order() -> None:
    for chance in chances(800):
        answer = a_line_of_keys(chance)
        keys = [key for key in answer if key is not None]  # type: ignore[attr-defined]
        assert keys == sorted(set(keys))


def test_segments_follow_each_other_and_hold_frames_of_one_pitch() -> None:
    for chance in chances(500):
        writer = a_melody(chance)
        found = segments(writer.line, writer.line.centres[0], writer.at)
        assert all(before.end <= after.first for before, after in itertools.pairwise(found))
        for one in found:
            assert one.first <= one.kept[0] <= one.kept[-1] < one.end
            assert all(
                writer.line.voiced[k] and abs(writer.line.pitches[k] - one.level_c100) <= 30_000 for k in one.kept
            )


def test_what_is_heard_of_a_note_lies_inside_it() -> None:
    for chance in chances(700):
        heard, overlaps, _ = a_listening(chance)  # type: ignore[misc]
        assert isinstance(heard, Listening)
        assert heard.steady_frames <= heard.sung_frames <= sum(overlaps)
        assert not set(map(id, heard.body)) & set(map(id, heard.strays))


def test_a_figure_lies_between_the_lowest_and_the_highest_frame() -> None:
    for chance in chances(700):
        made, middle = a_row(chance)  # type: ignore[misc]
        if made is not None:
            assert isinstance(made, Figure)
            assert abs(made.deviation_c100 - middle) <= 20_000
            assert made.uncertainty_c100 >= 200
            assert (made.vibrato_period_frames == 0) == (made.vibrato_extent_c100 == 0)
