"""Beats as they are shown while a line is sung: when, and never more than is known."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from heard_frames import Sung, as_written, frames, quartet

from audio.heard import Anchor, Heard
from trainer.practice.event import BeatOver
from trainer.practice.settings import Settings
from trainer.practice.signs import Sign
from trainer.score.model import Score
from trainer.takes.judging import judge

FOUR = quartet("B4 F#4 G#4 A4", "B3 C#4 E4 F#4", "F#3 A3 B3 C#4", "B2 A2 G#2 F#2")
TENOR = 2
SECOND = 24_000


def shown(score: Score, heard: list[Heard], anchors: tuple[Anchor, ...] = (), **settings: object) -> list[BeatOver]:
    """Every beat as it was told."""
    told: list[BeatOver] = []
    judge(score, [TENOR], heard, settings=Settings(**settings), anchors=anchors, listen=told.append)  # type: ignore[arg-type]
    return told


def words(told: list[BeatOver]) -> list[str]:
    return [one.verdict.sign.value for one in told]


def test_a_beat_is_told_at_the_first_frame_150_ms_after_its_end() -> None:
    told = shown(FOUR, list(frames(as_written(FOUR, TENOR), 16.5)))
    assert words(told) == ["held"] * 16
    assert [one.at_frame for one in told] == [SECOND * (k + 1) + 3_600 for k in range(16)]


def test_beats_that_are_open_when_the_sound_ends_are_told_then_and_what_was_not_heard_is_unsure() -> None:
    told = shown(FOUR, list(frames(as_written(FOUR, TENOR), 9.0)))
    assert words(told) == ["held"] * 9 + ["unsure"] * 7
    assert {one.at_frame for one in told[8:]} == {9 * SECOND - 120}


def test_what_is_sung_in_a_rest_before_the_first_note_is_shown_and_the_take_goes_on() -> None:
    rests = quartet("B4 F#4 G#4 A4", "B3 C#4 E4 F#4", "- A3 B3 C#4", "B2 A2 G#2 F#2")
    sung = [Sung(0.0, 2.9, 52.0), *as_written(rests, TENOR)]
    # bar 2's A3 is the bass's note too, and nothing was surely sung before it
    assert words(shown(rests, list(frames(sung, 16.5)))) == ["off"] * 3 + ["rest"] + ["unsure"] * 4 + ["held"] * 8


def test_before_anything_was_surely_sung_another_voices_note_is_not_shown_as_the_singers() -> None:
    sung = as_written(FOUR, TENOR)
    alto = replace(sung[0], midi=59.0)  # B3, as the alto and the soprano have it
    heard = list(frames([alto, *sung[1:]], 16.5))
    assert words(shown(FOUR, heard)) == ["unsure"] * 8 + ["held"] * 8  # bar 2's A3 is the bass's too
    assert words(shown(FOUR, heard, alone=True))[0] == "off"
    later = [
        sung[0],
        replace(sung[1], midi=61.0),
        *sung[2:],
    ]  # after a bar that was surely sung it is the singer's slip
    assert words(shown(FOUR, list(frames(later, 16.5))))[4:5] == ["off"]


def test_an_octave_is_shown_when_two_beats_agree_on_it() -> None:
    low = [replace(one, midi=one.midi - 12) for one in as_written(FOUR, TENOR)]
    heard = list(frames(low, 16.5))
    assert words(shown(FOUR, heard)) == ["unsure"] + ["held"] * 15
    assert words(shown(FOUR, heard, octave="strict")) == [
        "unsure", *["octave"] * 3, *["unsure"] * 4, *["octave"] * 8  # the bass sounds bar 2's A an octave lower itself
    ]  # fmt: skip


def test_while_the_music_waits_no_beat_is_told() -> None:
    wait, on = Anchor(8 * SECOND, Fraction(8), Fraction(0)), Anchor(11 * SECOND, Fraction(8), Fraction(60))
    sung = as_written(FOUR, TENOR)
    moved = [*sung[:2], *(replace(one, start_s=one.start_s + 3, end_s=one.end_s + 3) for one in sung[2:])]
    heard: list[Heard] = list(frames(moved, 19.5))
    heard[8 * 200 : 8 * 200] = [wait, on]
    told = shown(FOUR, heard, (Anchor(0, Fraction(0), Fraction(60)),))
    assert words(told) == ["held"] * 16
    assert [one.at_frame for one in told[7:9]] == [8 * SECOND + 3_600, 12 * SECOND + 3_600]
    assert {one.verdict.sign for one in told} == {Sign.HELD}
