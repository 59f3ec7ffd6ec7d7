"""The canceller's compiled steps beside its plain ones: the same last bit, step by step, whenever one takes the other's place."""

from __future__ import annotations

import numpy as np
import pytest
from loudspeaker_room import Setup, level_db, soft_noise, tone, voices
from quick_steps import on_quick_steps

from audio import compiled
from audio.block import Block
from audio.canceller._foretold import in_tone
from audio.canceller.path import EchoPath
from audio.canceller.stage import Canceller
from audio.units import RATE_HZ

STEPS = {"foretold", "stepped", "taught", "late", "heard", "low", "known"}
TAPS = 28 * 256
MOVED, AS_LEARNT = Setup(seed=21).moved(-9), Setup(seed=22, ppm=80.0)


@pytest.fixture
def twins():
    """Of each of the canceller's steps its compiled body; every step itself is plain again."""
    with on_quick_steps() as done:
        assert done
        found = {step: step.now for step in compiled.STEPS if step.package == "audio.canceller.compiled"}
    assert {step.name for step in found} == STEPS
    assert all(step.now is step.plain is not twin for step, twin in found.items())
    yield found
    compiled.plain()


def table(room):
    """Microphone and loudspeaker, shape (n, 2): a second of three voices alone, two with somebody who sings as loud."""
    played = voices(3, RATE_HZ, seed=3) * 10 ** (-24 / 20)
    echo = room.at_microphone(played)
    sung = tone(311.13, 2, RATE_HZ, seed=4, vibrato_cents=15) * 10 ** (level_db(echo) / 20)
    heard = echo + soft_noise(len(echo), RATE_HZ, seed=5, dbfs=-64.0)
    heard[-len(sung) :] += sung
    return np.stack([heard, played], axis=1).astype(np.float32)


def told(room, before_each=lambda number: None):
    """All that a canceller gives and knows, as lists and numbers."""
    response = np.zeros(TAPS)
    whole = Setup(seed=room.seed).response()
    delay = int(np.abs(whole).argmax()) - 12
    response[: min(TAPS, len(whole) - delay)] = whole[delay : delay + TAPS]
    canceller = Canceller(path=EchoPath(response.astype(np.float32), delay, 0.0, -25.0))
    sounds, known = table(room), []
    for number, begin in enumerate(range(0, len(sounds), 512)):
        before_each(number)
        block = Block(sounds[begin : begin + 512].copy(), ("mic1", "played1"), begin, RATE_HZ)
        known += [clean.samples.tolist() for clean in canceller.feed(block)]
        expected = canceller.foretold.at(begin - 1_024)
        if expected is not None:
            known += [expected.power.tolist(), expected.under.tolist(), in_tone(expected.power, 311.13)]
        left = canceller.leftover
        known.append((left.share, left.measured, left.moved, left.free.tolist(), canceller.drift_ppm))
    return known


def both(step, twin, ran):
    """A body that does as the plain one, and looks whether the compiled one does the same to everything that it was given."""

    def body(*arguments):
        others = [argument.copy() if isinstance(argument, np.ndarray) else argument for argument in arguments]
        answer = step.plain(*arguments)
        assert twin(*others) == answer, step.name
        for place, (own, other) in enumerate(zip(arguments, others, strict=True)):
            assert np.array_equal(own, other), (step.name, place)
        ran.add((step.name, answer if isinstance(answer, bool | None) else np.isfinite(answer)))
        return answer

    return body


def test_every_step_gives_the_same_bits_in_both_bodies(twins, monkeypatch):
    ran = set()
    for step, twin in twins.items():
        monkeypatch.setattr(step, "now", both(step, twin, ran))
    for room in (MOVED, AS_LEARNT):
        told(room)
    assert {name for name, _ in ran} == STEPS
    assert {("late", True), ("low", True), ("heard", True), ("heard", False), ("stepped", True)} <= ran


def test_the_change_may_come_at_any_moment_and_back(twins):
    rng = np.random.default_rng(3)

    def change(number):
        for step, twin in twins.items():
            step.now = twin if rng.random() < 0.5 else step.plain

    plainly = told(MOVED)
    assert told(MOVED, change) == plainly
