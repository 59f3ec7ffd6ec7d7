"""What of two voices at once is not judged: two stretches at least, what lies between, and nothing that a played voice had."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from written_music import FERRY_BELL, write_musicxml

from audio.heard import Gap
from audio.second_voice import SecondVoice
from audio.units import RATE_HZ
from trainer.formats import read_path
from trainer.practice.settings import Settings
from trainer.score.model import Score
from trainer.takes import two_voices
from trainer.takes.two_voices import TWO_VOICES, bars_of, two_voices_in

TENOR = 2
BEATEN = Settings(tempo_qpm=Fraction(240), alone=True)
"""A bar a second. Bar 1: B4 over B3, F#3, B2; bar 2: F#4 over C#4, A3, A2."""


@pytest.fixture(scope="module")
def ferry(tmp_path_factory: pytest.TempPathFactory) -> Score:
    return read_path(write_musicxml(FERRY_BELL, tmp_path_factory.mktemp("score") / "ferry.musicxml"))


def voice(from_s: float, to_s: float, own: int, other: int) -> SecondVoice:
    return SecondVoice(round(from_s * RATE_HZ), round(to_s * RATE_HZ), own * 10_000, other * 10_000)


def told(ferry: Score, monkeypatch: pytest.MonkeyPatch, *voices: SecondVoice, settings: Settings = BEATEN) -> list[Gap]:
    monkeypatch.setattr(two_voices, "second_voices", lambda samples, frames: list(voices))
    return two_voices_in(ferry, TENOR, np.zeros(0, dtype=np.float32), [], settings=settings)


def seconds(gaps: list[Gap]) -> list[tuple[float, float]]:
    return [(gap.from_frame / RATE_HZ, gap.to_frame / RATE_HZ) for gap in gaps]


def test_one_stretch_is_not_enough_and_two_take_what_is_between(ferry: Score, monkeypatch: pytest.MonkeyPatch) -> None:
    first, second, far = voice(0.2, 0.6, 54, 62), voice(1.2, 1.8, 57, 64), voice(6.1, 6.5, 56, 64)
    assert told(ferry, monkeypatch, first) == []
    gaps = told(ferry, monkeypatch, first, second, far)
    assert seconds(gaps) == [(0.2, 0.6), (0.6, 1.2), (1.2, 1.8), (6.1, 6.5)]
    assert {gap.why for gap in gaps} == {TWO_VOICES}


def test_a_voice_that_sounded_is_not_a_singer(ferry: Score, monkeypatch: pytest.MonkeyPatch) -> None:
    beside = Settings(tempo_qpm=Fraction(240))
    alto_of_bar_1_in_any_octave, neither = voice(0.2, 0.6, 54, 47), voice(0.2, 0.6, 54, 62)
    followed_instead = voice(0.2, 0.6, 47, 54)
    later = voice(1.2, 1.8, 57, 64)
    assert told(ferry, monkeypatch, alto_of_bar_1_in_any_octave, later, settings=beside) == []
    assert told(ferry, monkeypatch, followed_instead, later, settings=beside) == []
    assert len(told(ferry, monkeypatch, neither, later, settings=beside)) == 3
    assert len(told(ferry, monkeypatch, alto_of_bar_1_in_any_octave, later)) == 3  # nothing sounded beside


def test_in_free_time_nobody_knows_what_sounded_when(ferry: Score, monkeypatch: pytest.MonkeyPatch) -> None:
    both = voice(0.2, 0.6, 54, 62), voice(1.2, 1.8, 57, 64)
    assert told(ferry, monkeypatch, *both, settings=Settings(time="free")) == []
    assert len(told(ferry, monkeypatch, *both, settings=Settings(time="free", alone=True))) == 3


def test_the_bars_are_those_of_the_stretches(ferry: Score) -> None:
    gaps = ((1.2, 1.9, TWO_VOICES), (2.5, 3.2, TWO_VOICES), (7.1, 7.2, "lost"))
    assert bars_of(gaps, ferry, BEATEN) == (2, 3, 4)
    assert bars_of((), ferry, BEATEN) == ()
