"""The pretend takes: the sound holds what the script says, measured with Praat, and comes at once."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import islice, pairwise

import numpy as np
import parselmouth
import pytest

from audio.block import Block
from audio.units import RATE_HZ
from trainer.demo.perform import BLOCK_FRAMES, loudspeaker_blocks, sung_blocks
from trainer.demo.script import Change, SingerScript
from trainer.demo.takes import EXERCISE, TAKES, VOICE, take, usual_settings
from trainer.score.model import Score, find_voice

WRITTEN = [54, 57, 59, 61, 59, 54, 56, 57, 56, 54, 51]
STARTS_S = 1.0


def microphone(blocks: list[Block]) -> np.ndarray:
    return np.concatenate([block.channel("mic1") for block in blocks])


def midi_by_bar(sound: np.ndarray, rate_hz: int = RATE_HZ) -> list[float | None]:
    """Median pitch of each bar's middle by Praat, None where less than half of it is voiced."""
    pitch = parselmouth.Sound(sound.astype(float), rate_hz).to_pitch_ac(
        0.01, 60.0, 15, False, 0.03, 0.45, 0.01, 0.35, 0.14, 1_200.0
    )
    seconds, f0_hz = pitch.xs(), pitch.selected_array["frequency"]
    found: list[float | None] = []
    for bar in range(11):
        inside = f0_hz[(seconds > STARTS_S + 4 * bar + 0.3) & (seconds < STARTS_S + 4 * bar + 3.7)]
        voiced = inside[inside > 0]
        found.append(float(69 + 12 * np.log2(np.median(voiced) / 440)) if len(voiced) > len(inside) / 2 else None)
    return found


def off_cents(score: Score, name: str) -> list[float | None]:
    found = midi_by_bar(microphone(list(take(name).blocks(score, usual_settings()))))
    return [None if midi is None else 100 * (midi - w) for midi, w in zip(found, WRITTEN, strict=True)]


def near(found: list[float | None], expected: list[float | None], *, within: float = 4.0) -> bool:
    return all(
        (a is None) == (b is None) and (a is None or b is None or abs(a - b) < within)
        for a, b in zip(found, expected, strict=True)
    )


def test_the_alto_follower_sings_the_alto_in_two_bars(ferry_bell: Score) -> None:
    expected: list[float | None] = [0.0] * 11
    expected[8], expected[9] = 300.0, 700.0  # B3 over G#3, C#4 over F#3
    assert near(off_cents(ferry_bell, "wren"), expected)


def test_the_octave_singer_is_an_octave_up_throughout(ferry_bell: Score) -> None:
    assert near(off_cents(ferry_bell, "plover"), [1_200.0] * 11)


def test_the_sinking_singer_sinks_by_bars(ferry_bell: Score) -> None:
    expected: list[float | None] = [-8.0 * max(0.0, bar - 5 + 0.5) for bar in range(1, 12)]
    assert near(off_cents(ferry_bell, "heron"), expected)


def test_the_cracking_singer_has_no_pitch_in_one_bar_and_a_gap_in_another(ferry_bell: Score) -> None:
    expected: list[float | None] = [0.0] * 11
    expected[5] = None
    assert near(off_cents(ferry_bell, "dunlin"), expected)
    sound = microphone(list(take("dunlin").blocks(ferry_bell, usual_settings()))).astype(float)
    gap = sound[round(15.05 * RATE_HZ) : round(15.25 * RATE_HZ)]
    assert np.std(gap) < 0.05 * np.std(sound[14 * RATE_HZ : 15 * RATE_HZ - 2_400])


def test_the_whistler_is_two_octaves_up_from_bar_seven(ferry_bell: Score) -> None:
    assert near(off_cents(ferry_bell, "dunlin-whistling"), [0.0] * 5 + [None] + [2_400.0] * 5)


def test_the_low_third_is_planted_to_the_cent(ferry_bell: Score) -> None:
    assert near(off_cents(ferry_bell, "curlew"), [0.0] * 10 + [-22.0], within=3.0)


@pytest.mark.parametrize("cents", [-60.0, -5.0, 30.0])
def test_changing_a_planted_cent_changes_the_sound_by_that_cent(ferry_bell: Score, cents: float) -> None:
    steady = replace(take("wren").script.throat, flutter_cents=0.0, jitter_cents=0.0)  # type: ignore[union-attr]
    script = SingerScript(throat=steady, changes=((2, Change(cents=cents)),))
    sound = microphone(list(islice(sung_blocks(ferry_bell, 2, script, usual_settings()), 13 * RATE_HZ // BLOCK_FRAMES)))
    found = midi_by_bar(sound)[2]
    assert found is not None
    assert abs(100 * (found - 59) - cents) < 0.5


def test_a_singer_asked_for_pure_tuning_sings_the_pure_third(ferry_bell: Score) -> None:
    settings = replace(usual_settings(), against="pure")
    found = midi_by_bar(microphone(list(sung_blocks(ferry_bell, 2, SingerScript(), settings))))[10]
    assert found is not None
    assert abs(100 * (found - 51) - -13.7) < 3.0  # five to four above B2 (Zarlino 1558)


def test_nobody_is_our_own_voices_late_soft_and_from_a_room(ferry_bell: Score) -> None:
    blocks = list(take("nobody").blocks(ferry_bell, usual_settings()))
    mic = microphone(blocks).astype(float)
    played = np.concatenate([block.channel("played1") for block in blocks]).astype(float)
    piece = slice(2 * RATE_HZ, 6 * RATE_HZ)
    spectrum = np.fft.rfft(mic[piece]) * np.conj(np.fft.rfft(played[piece]))
    lag = int(np.argmax(np.fft.irfft(spectrum / (np.abs(spectrum) + 1e-3))[: RATE_HZ // 10]))
    assert abs(lag - 0.6 / 343 * RATE_HZ) <= 2
    assert -25 < 20 * np.log10(np.std(mic[piece]) / np.std(played[piece])) < -8
    assert np.std(mic[: RATE_HZ // 2]) < 0.05 * np.std(mic[piece])  # before the music only the room


def test_the_tenor_is_not_among_the_loudspeakers_voices(ferry_bell: Score) -> None:
    def played(which: tuple[int, ...]) -> np.ndarray:
        blocks = islice(loudspeaker_blocks(ferry_bell, which, usual_settings()), 40)
        return np.concatenate([block.channel("played1") for block in blocks])

    nobody = np.concatenate(
        [block.channel("played1") for block in islice(take("nobody").blocks(ferry_bell, usual_settings()), 40)]
    )
    assert np.array_equal(nobody, played((0, 1, 3)))
    assert not np.array_equal(nobody, played((0, 1, 2, 3)))


@pytest.mark.parametrize("name", [one.name for one in TAKES])
def test_blocks_follow_each_other_and_cover_the_music(ferry_bell: Score, name: str) -> None:
    blocks = list(take(name).blocks(ferry_bell, usual_settings()))
    assert blocks[0].start_frame == 0
    assert all(a.end_frame == b.start_frame for a, b in pairwise(blocks))
    assert blocks[-1].end_frame == (1 + 44 + 1) * RATE_HZ
    assert all(block.rate_hz == RATE_HZ for block in blocks)
    assert max(np.abs(block.samples).max() for block in blocks) < 0.9


@pytest.mark.parametrize("name", [one.name for one in TAKES])
def test_a_take_is_the_same_every_time(ferry_bell: Score, name: str) -> None:
    first, second = (list(islice(take(name).blocks(ferry_bell, usual_settings()), 40)) for _ in range(2))
    assert np.array_equal(microphone(first), microphone(second))


def test_every_take_has_a_name_of_its_own_and_an_unknown_one_is_told() -> None:
    assert len({one.name for one in TAKES}) == len(TAKES)
    with pytest.raises(KeyError, match="wren"):
        take("nightingale")


def test_the_exercise_of_the_takes_is_in_the_library(ferry_bell: Score) -> None:
    from trainer.library import resolve

    shipped = resolve(EXERCISE)
    assert shipped.digest() == ferry_bell.digest()
    assert find_voice(shipped, VOICE) == 2


@pytest.mark.parametrize("rate_hz", [44_100, 48_000])
def test_a_take_can_be_sung_at_a_microphones_rate(ferry_bell: Score, rate_hz: int) -> None:
    blocks = list(
        islice(
            sung_blocks(ferry_bell, 2, SingerScript(), usual_settings(), rate_hz=rate_hz), 13 * rate_hz // BLOCK_FRAMES
        )
    )
    found = midi_by_bar(microphone(blocks), rate_hz)[:2]
    assert all(midi is not None and abs(midi - w) < 0.05 for midi, w in zip(found, WRITTEN, strict=False))


def test_another_tempo_and_a_pickup_are_followed(ferry_bell: Score) -> None:
    quick = replace(usual_settings(), tempo_qpm=Fraction(120))
    blocks = list(sung_blocks(ferry_bell, 2, SingerScript(), quick))
    assert blocks[-1].end_frame == (1 + 22 + 1) * RATE_HZ
