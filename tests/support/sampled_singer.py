"""A choir that nobody here wrote: General MIDI programs 52 to 54 of a Debian sound font, played by fluidsynth.

Programs as General MIDI Level 1 numbers them from 0: 52 choir "aah", 53 voice "ooh", 54 synthetic voice. Measured with Praat on
Ferry Bell's four lines: 53 is true to 1.3 cents and speaks 30 to 100 ms after its key; 52 is a crowd, up to 40 cents low and 300 ms
late, so it is no single singer with a known truth. A note of 53 begins with a soft stretch some 6 dB under its vowel, as long as the
sample is played slowly; where its vowel begins is therefore measured (``vowel_late_s``).
"""

from __future__ import annotations

import subprocess
import tempfile
from pathlib import Path

import mido
import numpy as np
import soundfile
from numpy.typing import NDArray
from slips import Performance, SungNote

Sound = NDArray[np.float64]
SOUND_FONT = Path("/usr/share/sounds/sf2/FluidR3_GM.sf2")
RATE_HZ = 44_100
TICKS_A_SECOND = 960
SPEAKS_AFTER_S = 0.05
"""The samples swell: keys are struck so much ahead that the voice is there on the beat."""

FADED_S, FADES_S, FADE_STEPS = -0.015, 0.03, 15
"""The samples ring on for a quarter of a second; one throat sings one note, so they are gone so much about the note's end, when the
next one, struck ahead, stands 12 dB under its full sound."""

BEND_A_CENT = 8192 / 200
"""The wheel's default range is two semitones each way (General MIDI Level 1)."""


def sing(performance: Performance, *, program: int, seconds: float, level: float = 1.0) -> Sound:
    """The performance as mono samples at 44.1 kHz, *seconds* long; reverberation and chorus of the player off."""
    with tempfile.TemporaryDirectory() as folder:
        midi, wav = Path(folder) / "line.mid", Path(folder) / "line.wav"
        _write_midi(performance, midi, program)
        subprocess.run(
            [
                *("fluidsynth", "-ni", "-q", "-R", "0", "-C", "0", "-g", "0.8", "-r", str(RATE_HZ)),
                *("-T", "wav", "-O", "s16", "-F", str(wav), str(SOUND_FONT), str(midi)),
            ],
            check=True,
            capture_output=True,
        )
        table, rate_hz = soundfile.read(wav, always_2d=True)
    if rate_hz != RATE_HZ:
        raise RuntimeError(f"fluidsynth wrote {rate_hz} Hz")
    mono = table.mean(axis=1)[: int(seconds * RATE_HZ)] * level
    return np.pad(mono, (0, int(seconds * RATE_HZ) - len(mono)))


def vowel_late_s(note: SungNote, *, program: int) -> float:
    """How long after its start a note's full sound is there: within 3 dB, in stretches of 10 ms, of what it is from 0.1 to 0.3 s on."""
    alone = sing((note,), program=program, seconds=note.start_s + 0.4)
    width = RATE_HZ // 100
    power = np.convolve(np.square(alone), np.ones(width) / width, "same")
    begin = round(note.start_s * RATE_HZ)
    full = float(np.median(power[begin + RATE_HZ // 10 : begin + 3 * RATE_HZ // 10]))
    earliest = begin - round(2 * SPEAKS_AFTER_S * RATE_HZ)
    return float(earliest + np.argmax(power[earliest:] >= full / 2) - begin) / RATE_HZ


def _write_midi(performance: Performance, place: Path, program: int) -> None:
    """One note a channel in turn, so that neither a bend nor a fade touches another note."""
    events: list[tuple[float, int, mido.Message]] = []
    for k, note in enumerate(performance):
        channel = k % 4
        key = round(note.midi)
        bend = round((note.midi - key) * 100 * BEND_A_CENT)
        events.append((note.start_s - 0.01, 0, mido.Message("pitchwheel", channel=channel, pitch=bend)))
        events.append((note.start_s, 2, mido.Message("note_on", channel=channel, note=key, velocity=90)))
        events.append((note.end_s, 1, mido.Message("note_off", channel=channel, note=key)))
        events += _fade(channel, note)
    track = mido.MidiTrack(
        mido.Message("program_change", channel=channel, program=program, time=0) for channel in range(4)
    )
    at = 0
    # a player ahead of the beat, and off ahead of it too: the samples die away slowly
    for seconds, _, message in sorted(events, key=lambda event: event[:2]):
        ticks = round(max(seconds - SPEAKS_AFTER_S, 0.0) * TICKS_A_SECOND)
        track.append(message.copy(time=ticks - at))
        at = ticks
    # 480 ticks a quarter at 120 quarters a minute are 960 a second
    mido.MidiFile(ticks_per_beat=480, tracks=[track]).save(place)


def _fade(channel: int, note: SungNote) -> list[tuple[float, int, mido.Message]]:
    """The expression pedal full as the note is struck and off at its end: it is heard at once, so it is not moved ahead as keys are."""
    pedal = [(note.start_s - 0.01, 127)]
    for step in range(1, FADE_STEPS + 1):
        at_s = note.end_s + SPEAKS_AFTER_S + FADED_S + FADES_S * (step / FADE_STEPS - 1)
        pedal.append((at_s, round(127 * (1 - step / FADE_STEPS))))
    return [
        (at_s, 0, mido.Message("control_change", channel=channel, control=11, value=value)) for at_s, value in pedal
    ]
