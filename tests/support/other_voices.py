"""Voices that are not grown-up singers at full voice, and rooms and lines that are not living rooms, for the planted takes.

Each takes a take as any singer would sing it and says who sings it instead and where. All figures are our own but for the formants
(``simulated_singer``) and: children's lines lie at their sounding pitch or an octave above a tenor's or a bass's; people whistle from about
500 Hz to 4 kHz (common practice, no source); a telephone passes 300 to 3400 Hz at 8000 samples a second (ITU-T G.712, from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import slips
from planted_takes import Planted
from simulated_singer import Throat

HUMMED, WHISTLED, CHILD, FALSETTO, HALF_VOICE = "humming", "whistling", "a child", "falsetto", "half-voice"
CHAPEL, CHAPEL_HUM, TELEPHONE = "chapel 2.5 s", "chapel 2.5 s, mains hum", "telephone 8 kHz"
OTHERS = (HUMMED, WHISTLED, CHILD, FALSETTO, HALF_VOICE, CHAPEL, CHAPEL_HUM, TELEPHONE)
CHAPEL_ROOM = (2.5, 5.0)
"""RT60 in seconds, direct to reverberant sound in dB: a singer an arm's length from the microphone."""

LOWEST_WHISTLE_HZ, HIGHEST_MIDI = 500.0, 96


THROATS: dict[str, Callable[[Throat], Throat]] = {
    HUMMED: lambda t: replace(t, sex="closed mouths", consonants=("m",), legato=0.2),
    WHISTLED: lambda t: replace(t, source="lips", vibrato_cents=min(t.vibrato_cents, 25.0), consonants=("t", "d")),
    CHILD: lambda t: replace(t, sex="children", vibrato_cents=min(t.vibrato_cents, 10.0), breathiness_db=-20.0),
    FALSETTO: lambda t: replace(t, pulse=(0.5, 0.45), tilt_hz=800.0, breathiness_db=-24.0),
    HALF_VOICE: lambda t: replace(t, pulse=(0.5, 0.35), tilt_hz=1500.0, breathiness_db=-20.0),
}
"""What becomes of a singer's throat."""


def as_other(planted: Planted, condition: str) -> Planted:
    """The same take sung by somebody else, or somewhere else."""
    if condition == WHISTLED:
        planted = _up(planted, 1, 2)
    elif (condition == CHILD and planted.voice in ("tenor", "bass")) or (
        condition == FALSETTO and planted.voice == "bass"
    ):
        planted = _up(planted, 1, 1)
    elif condition == HALF_VOICE:
        planted = replace(planted, level_dbfs=planted.level_dbfs - 20)
    elif condition in (CHAPEL, CHAPEL_HUM):
        planted = replace(planted, room=CHAPEL_ROOM)
    return replace(planted, throat=THROATS.get(condition, lambda t: t)(planted.throat), condition=condition)


def _up(planted: Planted, least: int, most: int) -> Planted:
    """Higher by whole octaves, where its lowest note and its highest allow."""
    sung = _as_written(planted)
    lowest, highest = min(n.midi for n in sung), max(n.midi for n in sung)
    for octaves in range(least, most + 1):
        high_enough = 440 * 2 ** ((lowest + 12 * octaves - 69) / 12) >= LOWEST_WHISTLE_HZ or octaves == most
        if high_enough or highest + 12 * (octaves + 1) > HIGHEST_MIDI:
            break
    return replace(planted, performance=slips.in_octave(sung, octaves))


def _as_written(planted: Planted) -> slips.Performance:
    """The take without its own shift of octaves."""
    written = planted.piece.notes(planted.voice)
    away = np.median([note.midi - written[note.index].midi for note in planted.performance])
    return slips.in_octave(planted.performance, -round(float(away) / 12))
