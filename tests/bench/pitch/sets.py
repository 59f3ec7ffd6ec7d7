"""Which phrases are measured: development sets to tune on, a report set to quote. Never tune on the second.

The report seeds were chosen on 26 November 2026 at 23:45 UTC by peers alone: of the pairs of 8601 to 8606 the only one on which pyin,
yin and Praat are at most 2 points above their rows in clean and in both rooms; its noise was looked at then, that of the others was
not. That was done with a copy of ``choose.py`` and a faster pyin. They were written down before any tracker of ours heard them; a new
round of tuning needs new ones. Those of the rounds before were 8101, 8102, 8201, 8202, 8301, 8305, 8402 and 8404; the last two were
chosen without pyin, which had it 8.5 points easier there in noise of 10 dB. ``quarter`` is a quarter of the report set, for peers that
take minutes; ``begins`` has three times as many phrases, for the medians of onsets, and was not heard before the tracker's last change
of them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from conditions import CONDITIONS, sound_of
from sung import REGISTERS, Phrase, sing
from voices import MODELS


@dataclass(frozen=True, slots=True)
class PhraseSet:
    """Every register sung by every model with every seed."""

    seeds: tuple[int, ...]
    seconds: float


SETS = {
    "quick": PhraseSet((1,), 5.0),
    "develop": PhraseSet((1, 2), 10.0),
    "check": PhraseSet((31, 32), 10.0),
    "report": PhraseSet((8602, 8606), 8.0),
    "quarter": PhraseSet((8602,), 4.0),
    "begins": PhraseSet(tuple(range(8501, 8507)), 8.0),
}


def phrases(name: str) -> Iterator[Phrase]:
    """All phrases of a set, in order."""
    for register in REGISTERS:
        for model in sorted(MODELS):
            for seed in SETS[name].seeds:
                yield sing(register, seed, model, SETS[name].seconds)


def sounds(name: str, conditions: list[str]) -> Iterator[tuple[str, Phrase, str, np.ndarray]]:
    """(key, phrase, condition, sound at the microphone), in order."""
    for phrase in phrases(name):
        for condition in conditions:
            key = f"{phrase.register}.{phrase.model}.{phrase.seed}.{condition}"
            yield key, phrase, condition, sound_of(phrase, condition).mic


ALL_CONDITIONS = list(CONDITIONS)
