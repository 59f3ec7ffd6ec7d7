"""Where a cantus is put: on which final and in which octave, so that its voice and the others can sing."""

from __future__ import annotations

import random
from typing import NamedTuple

from trainer.compose.cantus import Cantus
from trainer.compose.wish import Wish, WishError, compass
from trainer.score.modes import signature_fifths
from trainer.score.pitch import Interval, Pitch

FINALS = ("D", "E", "F", "G", "A", "C", "B", "Bb", "Eb", "F#", "C#", "Ab", "G#")
MOST_SIGNS = 4
"""Sharps or flats beyond which no final is chosen unasked."""

_A_SIGN = 2
"""What a sharp or flat weighs beside half semitones away from where a voice is at ease: a final that reads plainly is chosen."""

_DOWN, _UP = 2, 6
"""Semitones by which the voices of two parts lean towards each other, since they stay within a tenth: the bass more than the soprano."""


class Setting(NamedTuple):
    """A final and the cantus' pitches on it; ``away`` is how far (semitones) its middle lies from where its voice is at ease."""

    final: str
    pitches: tuple[Pitch, ...]
    away: int


def settings(wish: Wish, cantus: Cantus) -> list[Setting]:
    """Every place in which the cantus lies within its voice, the most comfortable first. Raises WishError when there is none."""
    finals = (wish.final,) if wish.final else FINALS
    found = []
    low, high = compass(wish, wish.cantus_voice)
    ease = 2 * ((low + high) // 2) + (low + high) % 2
    if wish.parts == 2:
        ease += -2 * _DOWN if wish.cantus_voice == "soprano" else 2 * _UP
    for final in finals:
        signs = abs(signature_fifths(final, wish.mode))
        if signs > MOST_SIGNS and not wish.final:
            continue
        for octave in range(1, 7):
            pitches = _on(cantus, final, octave)
            if pitches is None:
                continue
            heights = [pitch.midi for pitch in pitches]
            if low <= min(heights) and max(heights) <= high:
                found.append(Setting(final, pitches, abs(min(heights) + max(heights) - ease) + _A_SIGN * signs))
    if not found:
        raise _no_place(wish, cantus)
    return sorted(found, key=lambda one: (one.away, one.final))


def chosen(wish: Wish, cantus: Cantus, rng: random.Random) -> Setting:
    """One of the comfortable places, by chance."""
    found = settings(wish, cantus)
    near = [one for one in found if one.away <= found[0].away + 5]
    return near[int(rng.random() * len(near))]


def _on(cantus: Cantus, final: str, octave: int) -> tuple[Pitch, ...] | None:
    home = Pitch.parse(f"{final}{octave}")
    last = cantus.pitches[-1]
    interval = Interval(home.diatonic - last.diatonic, home.midi - last.midi)
    try:
        return tuple(pitch.transposed(interval) for pitch in cantus.pitches)
    except ValueError:
        return None


def _no_place(wish: Wish, cantus: Cantus) -> WishError:
    from dataclasses import replace

    low, high = compass(wish, wish.cantus_voice)
    heights = [pitch.midi for pitch in cantus.pitches]
    if max(heights) - min(heights) > high - low:
        return WishError(
            f"the cantus spans {max(heights) - min(heights)} semitones, the {wish.cantus_voice}'s compass {high - low}",
            "--cantus, --compass",
            "take a narrower cantus, or widen the compass",
        )
    near = settings(replace(wish, final=""), cantus) if wish.final else []
    nearest = f"the nearest final that lies well for it is {near[0].final}" if near else "take another cantus"
    return WishError(
        f"on the final {wish.final} this cantus lies outside the {wish.cantus_voice}'s compass",
        "--final, --cantus",
        nearest,
    )
