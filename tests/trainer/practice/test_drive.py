"""What the loop from heard to verdicts carries from the first day."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from heard_frames import Sung, as_written, frames, judged, quartet

from audio.block import Block
from audio.heard import Anchor, Heard, KeyNote
from audio.pitch import DEFAULT_TRACKER, TRACKERS
from trainer.judge.drive import drive
from trainer.practice.event import BeatOver
from trainer.practice.plan import make_plan
from trainer.practice.settings import Settings
from trainer.practice.signs import Sign
from trainer.practice.timemap import TimeMap, fixed_time
from trainer.takes.judging import judge

FOUR = quartet("B4 F#4 G#4 A4", "B3 C#4 E4 F#4", "F#3 A3 B3 C#4", "B2 A2 G#2 F#2")


def test_two_lines_at_once_are_judged_each_against_its_own_plan() -> None:
    alto = as_written(FOUR, 1)
    alto[2] = replace(alto[2], midi=alto[2].midi - 0.4)
    mixed = sorted(
        [*frames(alto, 16.5, line=0), *frames(as_written(FOUR, 2), 16.5, line=1)],
        key=lambda f: (f.centre_frame, f.line),
    )
    first, second = judge(FOUR, [1, 2], mixed, settings=Settings()).takes
    assert (first.voice, second.voice) == ("alto", "tenor")
    assert [n.sign.value for n in first.notes] == ["held", "held", "flat", "held"]
    assert [n.sign.value for n in second.notes] == ["held"] * 4


def test_a_played_channel_travels_with_the_microphone_and_is_not_taken_for_the_singer() -> None:
    TRACKERS.load("audio.pitch")
    rate = 24_000
    at = np.arange(rate) / rate
    tone = sum(np.sin(2 * np.pi * 220 * k * at) / k for k in range(1, 8)) * 0.1
    played = Block(np.stack([np.zeros(rate), tone], axis=1).astype(np.float32), ("mic1", "played1"), 0, rate)
    tracker = TRACKERS[DEFAULT_TRACKER](line=0, channel="mic1")
    assert not any(f.voiced for f in [*tracker.feed(played), *tracker.flush()])
    sung = Block(np.stack([tone, np.zeros(rate)], axis=1).astype(np.float32), ("mic1", "played1"), 0, rate)
    tracker.reset()
    voiced = [f for f in [*tracker.feed(sung), *tracker.flush()] if f.voiced]
    assert len(voiced) > 150


def test_two_tempo_anchors_move_the_second_half_of_the_line() -> None:
    half = [Anchor(0, Fraction(0), Fraction(60)), Anchor(8 * 24_000, Fraction(8), Fraction(120))]
    sung = [Sung(0, 3.98, 54), Sung(4, 7.98, 57), Sung(8, 9.98, 59), Sung(10, 11.98, 61)]
    plan = make_plan(FOUR, (2,), Settings())
    take = drive(plan, [half[1], *frames(sung, 12.5)], time=TimeMap(half[:1])).takes[0]
    assert [n.sign.value for n in take.notes] == ["held"] * 4
    assert [n.start_s for n in take.notes] == pytest.approx([0, 4, 8, 10], abs=0.05)
    one_tempo = judged(FOUR, 2, frames(sung, 12.5))
    assert [n.sign for n in one_tempo.notes] != [n.sign for n in take.notes]


def test_a_key_struck_again_with_no_gap_is_two_notes() -> None:
    score = quartet("C5 C5 B4 C5", "C3 C3 G2 C3", quarters=1)
    second = 24_000
    keys = [KeyNote(0, k * second, (k + 1) * second, midi) for k, midi in enumerate((72, 72, 71, 72))]
    take = judge(score, [0], keys, settings=Settings(), sources=["keyed"]).takes[0]
    assert [n.sign.value for n in take.notes] == ["held"] * 4
    assert [n.restruck for n in take.notes] == [False, True, False, False]
    assert take.source == "keyed"
    one_long = [KeyNote(0, 0, 2 * second, 72), *keys[2:]]
    take = judge(score, [0], one_long, settings=Settings(), sources=["keyed"]).takes[0]
    assert [n.sign.value for n in take.notes] == ["held", "silent", "held", "held"]


def test_beats_are_told_as_they_end_and_agree_with_the_take() -> None:
    sung = as_written(FOUR, 2)
    sung[1] = replace(sung[1], midi=sung[1].midi + 3)
    told: list[BeatOver] = []
    plan = make_plan(FOUR, (2,), Settings())
    time = fixed_time(plan.tempo, first_full_quarters=Fraction(0), starts_at_s=Fraction(0))
    take = drive(plan, frames(sung, 16.5), time=time, listen=told.append).takes[0]
    assert [(t.verdict.bar, t.verdict.beat) for t in told] == [(b.bar, b.beat) for b in take.beats]
    assert [t.verdict.sign for t in told] == [b.sign for b in take.beats]
    for over in told[:-1]:
        ends_at = 24_000 * ((over.verdict.bar - 1) * 4 + over.verdict.beat)
        assert 0 <= over.at_frame - ends_at <= 0.25 * 24_000


def test_a_displaced_first_beat_is_unsure_until_the_octave_is_settled() -> None:
    sung = [replace(s, midi=s.midi - 12) for s in as_written(FOUR, 2)]
    told: list[BeatOver] = []
    plan = make_plan(FOUR, (2,), Settings())
    time = fixed_time(plan.tempo, first_full_quarters=Fraction(0), starts_at_s=Fraction(0))
    take = drive(plan, frames(sung, 16.5), time=time, listen=told.append).takes[0]
    assert [t.verdict.sign for t in told[:3]] == [Sign.UNSURE, Sign.HELD, Sign.HELD]
    assert [b.sign for b in take.beats] == [Sign.HELD] * 16


def test_listening_changes_no_verdict() -> None:
    sung = as_written(FOUR, 2)
    plan = make_plan(FOUR, (2,), Settings())
    time = fixed_time(plan.tempo, first_full_quarters=Fraction(0), starts_at_s=Fraction(0))
    silent = drive(plan, frames(sung, 16.5), time=time)
    watched = drive(plan, frames(sung, 16.5), time=time, listen=lambda _: None)
    assert silent == watched


def test_an_hour_of_recording_after_a_short_piece_is_not_listened_to() -> None:
    plan = make_plan(FOUR, (2,), Settings())
    time = fixed_time(plan.tempo, first_full_quarters=Fraction(0), starts_at_s=Fraction(0))
    asked_for = 0

    def hour() -> Iterator[Heard]:
        nonlocal asked_for
        for frame in frames(as_written(FOUR, 2), 3600):
            asked_for += 1
            yield frame

    take = drive(plan, hour(), time=time).takes[0]
    assert [n.sign.value for n in take.notes] == ["held"] * 4
    assert asked_for < 30 * 200
