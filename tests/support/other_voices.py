"""Voices that are not grown-up singers at full voice, and rooms and lines that are not living rooms, for the planted takes.

Each takes a take as any singer would sing it and says who sings it instead and where. All figures are our own but for the formants
(``simulated_singer``) and: children's lines lie at their sounding pitch or an octave above a tenor's or a bass's; people whistle from about
500 Hz to 4 kHz (common practice, no source); a telephone passes 300 to 3400 Hz at 8000 samples a second (ITU-T G.712, from memory).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import slips
from planted_takes import Planted

HUMMED, WHISTLED, CHILD, FALSETTO, HALF_VOICE = "humming", "whistling", "a child", "falsetto", "half-voice"
CHAPEL, CHAPEL_HUM, TELEPHONE = "chapel 2.5 s", "chapel 2.5 s, mains hum", "telephone 8 kHz"
OTHERS = (HUMMED, WHISTLED, CHILD, FALSETTO, HALF_VOICE, CHAPEL, CHAPEL_HUM, TELEPHONE)
LOW_VOICES = ("tenor", "bass")
CHAPEL_ROOM = (2.5, 5.0)
"""RT60 in seconds, direct to reverberant sound in dB: a singer an arm's length from the microphone."""

LOWEST_WHISTLE_HZ, HIGHEST_MIDI = 500.0, 86


def as_other(planted: Planted, condition: str) -> Planted:
    """The same take sung by somebody else, or somewhere else."""
    throat = planted.throat
    match condition:
        case "humming":
            throat = replace(throat, sex="closed mouths", consonants=("m",), legato=0.2)
        case "whistling":
            throat = replace(
                throat, source="lips", vibrato_cents=min(throat.vibrato_cents, 25.0), consonants=("t", "d")
            )
            planted = _up(planted, 1, 2)
        case "a child":
            throat = replace(
                throat, sex="children", vibrato_cents=min(throat.vibrato_cents, 10.0), breathiness_db=-20.0
            )
            planted = _up(planted, 1, 1) if planted.voice in LOW_VOICES else planted
        case "falsetto":
            throat = replace(throat, pulse=(0.5, 0.45), tilt_hz=800.0, breathiness_db=-18.0)
            planted = _up(planted, 1, 1) if planted.voice == "bass" else planted
        case "half-voice":
            throat = replace(throat, pulse=(0.5, 0.35), tilt_hz=1500.0, breathiness_db=-16.0)
            planted = replace(planted, level_dbfs=planted.level_dbfs - 20)
        case "chapel 2.5 s" | "chapel 2.5 s, mains hum":
            planted = replace(planted, room=CHAPEL_ROOM)
    return replace(planted, throat=throat, condition=condition)


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
