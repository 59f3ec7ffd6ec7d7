"""Pretend takes to be shown and tested: who sings, what she does wrong, in data. All people and music are invented.

The music is the tenor of *Ferry Bell at Low Water*: four voices in B dorian, eleven bars of one note each, in unison with the alto
in bar 8, a raised third at the end. Bar n is note n - 1.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from audio.block import Block
from audio.singer import EH_WOMAN, Throat
from trainer.demo.perform import loudspeaker_blocks, sung_blocks
from trainer.demo.script import Change, SingerScript
from trainer.practice.settings import Settings
from trainer.score.model import Score, find_voice

EXERCISE = "Ferry Bell at Low Water"
VOICE = "tenor"
STARTS_AT_S = Fraction(1)
PURE_LOW = -22.0


@dataclass(frozen=True, slots=True)
class PretendTake:
    """One take.

    Parameters
    ----------
    name : str
        As typed.
    says : str
        What to expect, one sentence for people.
    script : SingerScript or None
        None when nobody sings and only the loudspeaker is heard.
    """

    name: str
    says: str
    script: SingerScript | None

    def blocks(self, score: Score, settings: Settings) -> Iterator[Block]:
        """The take's sound over *score*, which is ``EXERCISE`` or has as many bars; see ``usual_settings``."""
        line = find_voice(score, VOICE)
        if self.script is None:
            others = tuple(index for index in range(len(score.lines)) if index != line)
            return loudspeaker_blocks(score, others, settings)
        return sung_blocks(score, line, self.script, settings)


def usual_settings() -> Settings:
    """Equal temperament at the usual tolerance, the music beginning after a second of room."""
    return Settings(starts_at_s=STARTS_AT_S)


def _bars(first: int, last: int, change: Change) -> tuple[tuple[int, Change], ...]:
    return tuple((bar - 1, change) for bar in range(first, last + 1))


def _man(seed: int, vibrato_cents: float = 0.0) -> Throat:
    return Throat(vibrato_cents=vibrato_cents, seed=seed)


_ALTO = 1
_DUNLIN = ((3, Change(breath_at=Fraction(1, 2), breath_ms=350.0)), (5, Change(manner="cracked")))

TAKES = (
    PretendTake(
        "wren",
        "Wren holds eight bars, slips on to the alto's notes in bars 9 and 10, and is back in bar 11.",
        SingerScript(_man(11), _bars(9, 10, Change(as_line=_ALTO))),
    ),
    PretendTake(
        "plover",
        "Plover sings the tenor an octave up and holds every note.",
        SingerScript(Throat(vowel=EH_WOMAN, vibrato_cents=25.0, seed=12), octaves=1),
    ),
    PretendTake(
        "heron",
        "Heron is in tune with himself and sinks eight cents a bar from bar 5 on.",
        SingerScript(_man(13), sinks_cents_a_bar=8.0, sinks_from_bar=5),
    ),
    PretendTake(
        "dunlin",
        "Dunlin takes a breath in bar 4, cracks in bar 6 and hums from bar 7 on.",
        SingerScript(_man(14), (*_DUNLIN, *_bars(7, 11, Change(manner="hummed")))),
    ),
    PretendTake(
        "dunlin-whistling",
        "The same, but from bar 7 on whistled two octaves up: right only where the octave is free.",
        SingerScript(_man(14), (*_DUNLIN, *_bars(7, 11, Change(manner="whistled", octaves=2)))),
    ),
    PretendTake(
        "nobody",
        "Nobody sings; the microphone hears only our own three voices from the loudspeaker.",
        None,
    ),
    PretendTake(
        "curlew",
        "Curlew's last note lies 22 cents below the keyboard's: nearly where the pure third is.",
        SingerScript(_man(16), ((10, Change(cents=PURE_LOW)),)),
    ),
)
"""In the order in which they are shown; the first is the usual one."""


def take(name: str) -> PretendTake:
    """The take called *name*. Raises KeyError with the names that there are."""
    for candidate in TAKES:
        if candidate.name == name.strip().lower():
            return candidate
    raise KeyError(", ".join(candidate.name for candidate in TAKES))
