"""The cast: every kind of singer that the end-to-end tests hear, under one face."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import espeak_singer
import numpy as np
import sampled_singer
import simulated_singer
from numpy.typing import NDArray
from slips import Performance, SungNote

Sound = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Singer:
    """A name, the voice of the score that is sung, and how.

    ``sing(performance, seconds)`` gives samples; ``true_within_cents`` is how exactly the pitch asked for comes out, ``vowel_late_s(note)``
    how long after its start the vowel of a note is there.
    """

    name: str
    voice: str
    rate_hz: int
    true_within_cents: int
    sing: Callable[[Performance, float], Sound]
    vowel_late_s: Callable[[SungNote], float] = lambda _: 0.0


def simulated(name: str, voice: str, *, seed: int, throat: simulated_singer.Throat) -> Singer:
    return Singer(
        name,
        voice,
        48_000,
        8,
        lambda sung, seconds: simulated_singer.sing(sung, seed=seed, seconds=seconds, throat=throat).samples,
    )


def spoken(name: str, voice: str, *, vibrato_cents: float = 0.0) -> Singer:
    return Singer(
        name,
        voice,
        espeak_singer.RATE_HZ,
        4,
        lambda sung, seconds: espeak_singer.sing(sung, voice=voice, seconds=seconds, vibrato_cents=vibrato_cents),
    )


def sampled(name: str, voice: str, *, program: int = 53) -> Singer:
    return Singer(
        name,
        voice,
        sampled_singer.RATE_HZ,
        10,
        lambda sung, seconds: sampled_singer.sing(sung, program=program, seconds=seconds),
        lambda note: sampled_singer.vowel_late_s(note, program=program),
    )


CAST = (
    simulated(
        "simulated soprano, vibrato of 70",
        "soprano",
        seed=11,
        throat=simulated_singer.Throat("women", vibrato_cents=70, vibrato_hz=6.0),
    ),
    simulated("simulated alto, straight", "alto", seed=12, throat=simulated_singer.Throat("women", vibrato_cents=8)),
    simulated("simulated tenor, breathy", "tenor", seed=13, throat=simulated_singer.Throat("men", breathiness_db=-18)),
    simulated(
        "simulated bass, choir vibrato", "bass", seed=14, throat=simulated_singer.Throat("men", vibrato_cents=30)
    ),
    spoken("espeak soprano, vibrato of 50", "soprano", vibrato_cents=50),
    spoken("espeak alto", "alto"),
    spoken("espeak tenor", "tenor"),
    spoken("espeak bass", "bass"),
    sampled("sampled alto", "alto"),
    sampled("sampled tenor", "tenor"),
)
