"""The tracker's compiled steps beside its plain ones: the same last bit, step by step, whenever one takes the other's place."""

from __future__ import annotations

import numpy as np
import pytest
from scenes import scene

from audio import compiled
from audio.block import Block
from audio.heard import PitchFrame
from audio.pitch import nothing_besides
from audio.pitch._salience import BINS
from audio.pitch.comb import CombTracker
from audio.resample import Resampler

SEEDS = range(12)  # all kinds of scenes and rates, twice


@pytest.fixture
def twins():
    """Step by step its compiled body; every step itself is plain again."""
    found = {step: step.now for step in compiled.STEPS}
    assert all(step.plain is not twin for step, twin in found.items())
    compiled.plain()
    yield found
    for step, twin in found.items():
        step.now = twin


def hum_besides(centre_frames):
    """Something known to sound besides, which comes and goes."""
    return 10.0 ** (-7.0 + 3.0 * np.sin(1e-4 * centre_frames[:, None] + 0.1 * np.arange(BINS)))


def tracked(seed, before_each=lambda number: None):
    tracker = CombTracker(besides=hum_besides if seed % 3 == 0 else nothing_besides)
    heard = []
    for number, block in enumerate(scene(seed)):
        before_each(number)
        heard += tracker.feed(block)
    return heard + tracker.flush()


def copied(argument):
    return argument.copy() if isinstance(argument, np.ndarray) else argument


def both(step, twin):
    """A body that does as the plain one, and looks whether the compiled one does the same to everything that it was given."""

    def body(*arguments):
        others = [copied(argument) for argument in arguments]
        told = step.plain(*arguments)
        assert twin(*others) == told, step.name
        for place, (own, other) in enumerate(zip(arguments, others, strict=True)):
            if isinstance(own, np.ndarray):
                assert np.array_equal(own, other, equal_nan=own.dtype.kind == "f"), (step.name, place)
        return told

    return body


@pytest.mark.parametrize("seed", SEEDS)
def test_every_step_gives_the_same_bits_in_both_bodies(seed, twins, monkeypatch):
    for step, twin in twins.items():
        monkeypatch.setattr(step, "now", both(step, twin))
    assert any(isinstance(heard, PitchFrame) for heard in tracked(seed))


def test_the_change_may_come_at_any_moment_and_back(twins):
    rng = np.random.default_rng(3)
    for seed in SEEDS[::2]:
        plainly = tracked(seed)

        def change(number):
            for step, twin in twins.items():
                step.now = twin if rng.random() < 0.5 else step.plain

        assert tracked(seed, change) == plainly
        compiled.plain()


@pytest.mark.parametrize("kind", [np.float64, np.int16])
def test_whatever_numbers_a_block_holds_both_bodies_take_it(kind, twins):
    sound = (30_000 * np.sin(0.03 * np.arange(960))).astype(kind)[:, None]
    heard = []
    for step, twin in twins.items():
        step.now = twin
    heard.append(Resampler().feed(Block(sound, ("mic1",), 0, 48_000)))
    compiled.plain()
    heard.append(Resampler().feed(Block(sound, ("mic1",), 0, 48_000)))
    ((one,), (other,)) = heard
    assert np.array_equal(one.samples, other.samples)
