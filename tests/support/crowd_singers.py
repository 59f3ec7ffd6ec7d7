"""Several simulated singers on one line at one microphone, each with an offset of their own; what is true of them is known.

Made of ``simulated_singer``, which shares no code with the program.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from simulated_singer import Throat, sing
from slips import Performance


@dataclass(frozen=True, slots=True, eq=False)
class SungTogether:
    """The sound, and for each note the mean and the standard deviation of the singers' pitches, in cents against what is written."""

    samples: NDArray[np.float64]
    rate_hz: int
    centres: dict[int, float]
    spreads: dict[int, float]


def together(
    written: Performance,
    *,
    singers: int,
    spread_cents: float,
    seed: int,
    seconds: float,
    centre_cents: float = 0.0,
    scatter_cents: float = 4.0,
    vibrato_cents: float = 0.0,
    entries_ms: float = 20.0,
    an_octave_up: int = 0,
    rate_hz: int = 24_000,
) -> SungTogether:
    """*singers* on one line, their own offsets drawn with that spread about the centre; the last ones an octave higher."""
    rng = np.random.default_rng(seed)
    offsets = rng.normal(centre_cents, spread_cents, singers)
    whole = np.zeros(int(seconds * rate_hz))
    true: list[dict[int, float]] = []
    for k, offset in enumerate(offsets):
        up = 12.0 if k >= singers - an_octave_up else 0.0
        late_s = abs(float(rng.normal(0, entries_ms / 1000)))
        sung = tuple(
            replace(
                note, start_s=note.start_s + late_s, midi=note.midi + up + (offset + rng.normal(0, scatter_cents)) / 100
            )
            for note in written
        )
        throat = Throat(
            sex="men" if k % 2 else "women",
            vibrato_cents=vibrato_cents,
            vibrato_hz=float(rng.uniform(5, 6.2)),
            legato=1.0,
        )
        take = sing(sung, seed=1000 * seed + k, seconds=seconds, throat=throat, rate_hz=rate_hz, level_dbfs=-28.0)
        whole += take.samples
        true.append({i: 100 * (midi - up) for i, midi in take.true_midi.items()})
    written_c = {note.index: 100 * note.midi for note in written}
    cents = {i: np.array([one[i] - written_c[i] for one in true]) for i in written_c}
    return SungTogether(
        whole, rate_hz, {i: float(c.mean()) for i, c in cents.items()}, {i: float(c.std()) for i, c in cents.items()}
    )
