"""Bleed between microphones, on tones whose every part is known."""

from __future__ import annotations

import numpy as np
import pytest

from audio.bleed import Bleed
from audio.block import Block
from audio.heard import Gap, PitchFrame
from audio.several import SeveralSingers

RATE_HZ = 24_000
CHANNELS = ("mic1", "mic2", "mic3")


def tone(f0_hz: float, seconds: float = 3.0, *, gain_db: float = 0.0, seed: int = 0) -> np.ndarray:
    """Twelve harmonics falling by 6 dB an octave, with a vibrato, at -26 dBFS or so."""
    t = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    phase = 2 * np.pi * f0_hz * (t + 0.002 * np.sin(2 * np.pi * 5.3 * t + seed) / (2 * np.pi))
    whole = sum(np.sin(k * phase + seed * k) / k for k in range(1, 13))
    return 0.05 * 10 ** (gain_db / 20) * np.asarray(whole)


def heard(own: list[np.ndarray], bleed_db: float = 18.0, *, late: int = 100) -> np.ndarray:
    """Microphones, one a column: each singer's own, the others softer and later, and a little noise."""
    frames = len(own[0])
    rng = np.random.default_rng(5)
    table = np.stack(own, axis=1) + rng.standard_normal((frames, len(own))) * 1e-4
    for k, sound in enumerate(own):
        for m in range(len(own)):
            if m != k:
                table[late:, m] += sound[:-late] * 10 ** (-bleed_db / 20)
    return table


def blocks(table: np.ndarray, size: int = 1_000) -> list[Block]:
    names = CHANNELS[: table.shape[1]]
    return [Block(table[a : a + size].astype(np.float32), names, a, RATE_HZ) for a in range(0, len(table), size)]


def cleaned(stage: Bleed, table: np.ndarray, size: int = 1_000) -> np.ndarray:
    given = [one for block in blocks(table, size) for one in stage.feed(block)] + stage.flush()
    assert [one.start_frame for one in given] == [0, *np.cumsum([len(one.samples) for one in given])[:-1]]
    return np.concatenate([one.samples for one in given])


def level_db(sound: np.ndarray) -> float:
    return float(10 * np.log10(np.mean(np.square(sound[RATE_HZ:])) + 1e-20))


SILENT = np.zeros(3 * RATE_HZ)


@pytest.mark.parametrize("bleed_db", [15.0, 20.0, 25.0])
def test_what_is_only_bleed_goes_and_what_is_sung_stays(bleed_db: float) -> None:
    own = [tone(220.0), tone(277.2, seed=1), SILENT]
    table = heard(own, bleed_db)
    left = cleaned(Bleed(CHANNELS), table)
    assert left.shape == table.shape
    assert level_db(left[:, 2]) < level_db(table[:, 2]) - 15
    for k in range(2):
        assert abs(level_db(left[:, k]) - level_db(own[k])) < 0.5


def test_two_who_sing_the_same_note_equally_loud_are_both_kept() -> None:
    own = [tone(220.0), tone(220.3, seed=1), tone(330.0, seed=2)]
    left = cleaned(Bleed(CHANNELS), heard(own))
    for k in range(2):
        assert level_db(left[:, k]) > level_db(own[k]) - 2.0


def test_the_cutting_into_blocks_changes_nothing() -> None:
    table = heard([tone(220.0), tone(277.2, seed=1)])
    whole = cleaned(Bleed(CHANNELS[:2]), table, 1_000)
    for size in (64, 2_047, 50_000):
        assert np.array_equal(cleaned(Bleed(CHANNELS[:2]), table, size), whole)


def records(table: np.ndarray) -> list[PitchFrame | Gap]:
    singers = SeveralSingers(CHANNELS[: table.shape[1]])
    found = [record for block in blocks(table) for record in singers.feed(block)]
    return found + singers.flush()


def test_nobody_is_heard_in_bleed_and_everybody_who_sings_is() -> None:
    found = records(heard([tone(220.0), tone(277.2, seed=1), SILENT], 16.0))
    voiced = [sum(r.voiced for r in found if isinstance(r, PitchFrame) and r.line == k) for k in range(3)]
    frames = sum(isinstance(r, PitchFrame) and r.line == 0 for r in found)
    assert min(voiced[:2]) > 0.9 * frames
    assert voiced[2] == 0
    settled = [r for r in found if isinstance(r, PitchFrame) and r.line == 2 and r.centre_frame > RATE_HZ // 2]
    silent = sum(r.level_db10 <= -900 for r in settled)
    assert silent > 0.9 * len(settled)  # silence, so that the judge says silent and not unsure


def test_a_low_voice_far_softer_than_its_neighbours_is_known_by_its_own_harmonics() -> None:
    found = records(heard([tone(261.6), tone(349.2, seed=1), tone(87.3, gain_db=-9.0, seed=2)], 15.0))
    bass = [r for r in found if isinstance(r, PitchFrame) and r.line == 2 and r.centre_frame > RATE_HZ]
    assert sum(r.voiced and abs(r.f0_c100 - 411_200) < 3_000 for r in bass) > 0.8 * len(bass)


def test_lost_sound_is_told_once_and_the_frames_go_on_in_place() -> None:
    table = heard([tone(220.0), tone(277.2, seed=1)])
    singers = SeveralSingers(CHANNELS[:2])
    found = []
    for block in blocks(table):
        if not 30_000 <= block.start_frame < 34_000:
            found += singers.feed(block)
    found += singers.flush()
    gaps = [record for record in found if isinstance(record, Gap)]
    assert len(gaps) == 1
    assert abs(gaps[0].from_frame - 30_000) < 300
    assert abs(gaps[0].to_frame - 34_000) < 300
    for line in range(2):
        centres = [r.centre_frame for r in found if isinstance(r, PitchFrame) and r.line == line]
        assert centres == sorted(centres)
        assert centres[-1] > len(table) - 2_000


def test_how_near_the_neighbours_are_is_said() -> None:
    singers = SeveralSingers(CHANNELS[:2])
    for block in blocks(heard([tone(220.0), tone(277.2, seed=1)], 20.0)):
        singers.feed(block)
    for said in singers.said():
        assert "neighbour is" in said
        told = int(said.split(" dB")[0].split()[-1])
        assert 16 <= told <= 22
    apart = SeveralSingers(CHANNELS[:2])
    for block in blocks(heard([tone(220.0), tone(277.2, seed=1)], 60.0)):
        apart.feed(block)
    assert {*apart.said()} == {"The nearest neighbour is at least 20 dB softer than the singer in this microphone."}
    near = SeveralSingers(CHANNELS[:2])
    for block in blocks(heard([tone(220.0), tone(277.2, seed=1)], 10.0)):
        near.feed(block)
    assert all("nearer" in said for said in near.said())
