"""A pretend singer: sound, and nothing but sound, from a list of what is sung when and at which pitch.

The voice is the project's own vowel model with what a person adds: breath before a vowel, a slide between notes, flutter, a little
roughness, vibrato or a scoop where asked. All of it is seeded. It makes one note after another, so the first sound is there at once.

Sources: flutter of 5 to 10 cents and jitter below 1 % in healthy steady voices, solo vibrato near 6 Hz (Prame 1994, JASA 96, from
memory); a whistle is nearly one partial (from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from audio.air import NOISE_FRAMES, breath_noise
from audio.block import Samples
from audio.instruments import LEVEL_DBFS
from audio.instruments.vowel import Vowel
from audio.units import A4_C100, A4_HZ, OCTAVE_C100, db_to_gain
from audio.wave_tables import Spectrum, WaveTables

Floats = NDArray[np.float64]

EH_MAN = Vowel((530.0, 1840.0, 2480.0, 3300.0))
"""As in *head*, Peterson & Barney (1952): a vowel that none of our accompanying voices has."""
EH_WOMAN = Vowel((610.0, 2330.0, 2990.0, 3900.0))
HUM = Vowel((250.0, 1000.0, 2200.0, 3000.0), extra_tilt_db=10.0)
"""Closed lips: the low resonance of the nose, the rest damped (Fant 1960, from memory)."""

MANNERS = ("sung", "hummed", "whistled", "cracked")

ATTACK_SECONDS = 0.03
RELEASE_SECONDS = 0.07
SLIDE_SECONDS = 0.05
PUFF_SECONDS = 0.05
SCOOP_SECONDS = 0.05
SEAM_SECONDS = 0.07
SEAM_DEPTH = 0.5
RESTRIKE_DEPTH = 0.92

PUFF_DB = -22.0
AIR_DB = -38.0
WHISTLE_AIR_DB = -24.0
HUM_DB = -6.0
CRACK_DB = -3.0


@dataclass(frozen=True, slots=True)
class Utterance:
    """One note as it is sung.

    Parameters
    ----------
    start_frame, end_frame : int
        From the vowel's beginning to the end of the voice.
    from_c100, to_c100 : float
        Pitch at its beginning and its end, between them a straight line.
    manner : str
        One of ``MANNERS``.
    scoop_cents : float
        How far off it is entered; what is left of it falls to a third every 50 ms.
    """

    start_frame: int
    end_frame: int
    from_c100: float
    to_c100: float
    manner: str = "sung"
    scoop_cents: float = 0.0

    def __post_init__(self) -> None:
        """A note has length and a manner."""
        if self.end_frame <= self.start_frame or self.manner not in MANNERS:
            raise ValueError(f"a note {self.manner} from frame {self.start_frame} to {self.end_frame} is not one")


@dataclass(frozen=True, slots=True)
class Throat:
    """Who sings.

    Parameters
    ----------
    vowel : Vowel
    level_dbfs : float
        Effective level of a steady sung note.
    vibrato_hz, vibrato_cents : float
        Rate, and half the swing; 0 cents for a straight tone.
    flutter_cents, jitter_cents : float
        Slow wandering (about 3 Hz) and quick roughness (about 100 Hz), as standard deviations.
    seed : int
    """

    vowel: Vowel = EH_MAN
    level_dbfs: float = -22.0
    vibrato_hz: float = 5.5
    vibrato_cents: float = 0.0
    flutter_cents: float = 3.0
    jitter_cents: float = 3.0
    seed: int = 1


def sing(utterances: Iterable[Utterance], throat: Throat, rate_hz: int) -> Iterator[tuple[int, Samples]]:
    """Sound of each note in time order: the frame at which it begins, a breath before the note, and float32 of shape (n,).

    Neighbouring pieces overlap where one note's breath falls into the note before; they are to be added up. A note that begins
    where the one before ends is joined to it.
    """
    voice = _Voice(throat, rate_hz)
    before: Utterance | None = None
    now: Utterance | None = None
    for number, after in enumerate(chain(utterances, (None,))):
        if now is not None:
            yield voice.note(number, now, _joined(before, now), _joined(now, after))
            before = now
        now = after


def _joined(first: Utterance | None, second: Utterance | None) -> Utterance | None:
    """Give *second* when it carries straight on from *first*, else None; used for both neighbours of a note."""
    if first is None or second is None or first.end_frame != second.start_frame:
        return None
    return second if "cracked" not in (first.manner, second.manner) else None


class _Voice:
    """Tables, noise and the running phase of one singer."""

    def __init__(self, throat: Throat, rate_hz: int) -> None:
        self._throat = throat
        self._rate_hz = rate_hz
        self._cycles = 0.0
        self._last_c100 = 0.0
        spectra: dict[str, Spectrum] = {
            "sung": throat.vowel.spectrum,
            "hummed": HUM.spectrum,
            "whistled": _whistle,
        }
        self._tables = {
            manner: WaveTables(spectrum, level_dbfs=LEVEL_DBFS, rate_hz=rate_hz) for manner, spectrum in spectra.items()
        }
        self._gain = db_to_gain(throat.level_dbfs - LEVEL_DBFS)

    def note(
        self, number: int, now: Utterance, carried_on: Utterance | None, next_on: Utterance | None
    ) -> tuple[int, Samples]:
        """One note with its puff of breath; *carried_on* is itself when joined to the one before, *next_on* the joined next."""
        count = now.end_frame - now.start_frame
        random = np.random.default_rng([self._throat.seed, number])
        c100 = self._pitch(now, count, carried_on is not None, next_on, random)
        shape = self._loudness(now, count, carried_on is not None, next_on, c100)
        self._last_c100 = now.to_c100
        puff = round(PUFF_SECONDS * self._rate_hz) if carried_on is None else 0
        sound = np.zeros(puff + count)
        sound[puff:] = self._voiced(now, c100) * shape
        if puff:
            swell = np.hanning(2 * puff)
            sound[: 2 * puff] += (self._noise(now.start_frame - puff, 2 * puff, PUFF_DB) * swell)[: len(sound)]
        return now.start_frame - puff, (sound * self._gain).astype(np.float32)

    def _voiced(self, now: Utterance, c100: Floats) -> Floats:
        if now.manner == "cracked":
            return self._noise(now.start_frame, len(c100), CRACK_DB)
        f0_hz = A4_HZ * 2.0 ** ((c100 - A4_C100) / OCTAVE_C100)
        cycles = self._cycles + np.cumsum(f0_hz) / self._rate_hz
        self._cycles = float(cycles[-1] % 1.0)
        air_db = WHISTLE_AIR_DB if now.manner == "whistled" else AIR_DB
        wave = self._tables[now.manner].wave(cycles, f0_hz) * (db_to_gain(HUM_DB) if now.manner == "hummed" else 1.0)
        voiced: Floats = wave + self._noise(now.start_frame, len(c100), air_db)
        return voiced

    def _pitch(
        self, now: Utterance, count: int, carried_on: bool, next_on: Utterance | None, random: np.random.Generator
    ) -> Floats:
        """Pitch of every frame in c100."""
        seconds = np.arange(count) / self._rate_hz
        throat = self._throat
        c100 = np.linspace(now.from_c100, now.to_c100, count)
        c100 += 100 * now.scoop_cents * np.exp(-seconds / SCOOP_SECONDS)
        c100 += 100 * throat.flutter_cents * _wander(random, count, self._rate_hz, 6.0)
        c100 += 100 * throat.jitter_cents * _wander(random, count, self._rate_hz, 200.0)
        # vibrato sets in over the first quarter of a second and keeps its own time from note to note
        swing = np.minimum(seconds / 0.25, 1.0) * np.sin(
            2 * np.pi * throat.vibrato_hz * (seconds + now.start_frame / self._rate_hz)
        )
        c100 += 100 * throat.vibrato_cents * swing
        half = min(round(SLIDE_SECONDS * self._rate_hz) // 2, count // 2)
        turn = (1 - np.sin(np.pi / 2 * np.arange(half) / max(half, 1))) / 2  # from a half to nothing
        if carried_on:
            c100[:half] += (self._last_c100 - now.from_c100) * turn
        if next_on is not None and half:
            c100[-half:] += (next_on.from_c100 - now.to_c100) * turn[::-1]
        return c100

    def _loudness(
        self, now: Utterance, count: int, carried_on: bool, next_on: Utterance | None, c100: Floats
    ) -> Floats:
        gain = np.ones(count)
        attack = min(round(ATTACK_SECONDS * self._rate_hz), count // 3)
        release = min(round(RELEASE_SECONDS * self._rate_hz), count // 3)
        half = min(round(SEAM_SECONDS * self._rate_hz) // 2, count // 2)
        dip = (1 + np.cos(np.pi * np.arange(half) / max(half, 1))) / 2
        if carried_on:
            gain[:half] *= 1 - _depth(self._last_c100, now.from_c100) * dip
        else:
            gain[:attack] *= (1 - np.cos(np.pi * np.arange(attack) / max(attack, 1))) / 2
        if next_on is not None and half:
            gain[-half:] *= 1 - _depth(now.to_c100, next_on.from_c100) * dip[::-1]
        elif release:
            gain[-release:] *= (1 + np.cos(np.pi * np.arange(1, release + 1) / release)) / 2
        return gain

    def _noise(self, from_frame: int, count: int, level_db: float) -> Floats:
        loop = breath_noise(self._throat.seed, LEVEL_DBFS + level_db)
        return loop[np.arange(from_frame, from_frame + count) % NOISE_FRAMES].astype(np.float64)


def _depth(from_c100: float, to_c100: float) -> float:
    """How much of the loudness a consonant takes away: nearly all before the same note again, so that it is heard anew."""
    return RESTRIKE_DEPTH if abs(to_c100 - from_c100) < 5_000 else SEAM_DEPTH


def _wander(random: np.random.Generator, count: int, rate_hz: int, points_a_second: float) -> Floats:
    """Random walk-about of standard deviation near 1: independent points, straight lines between them."""
    points = int(count / rate_hz * points_a_second) + 3
    places = np.arange(count) * (points_a_second / rate_hz)
    wandered: Floats = np.interp(places, np.arange(points), random.standard_normal(points)) * 1.2
    return wandered


def _whistle(f0_hz: float, harmonic_hz: Floats) -> NDArray[np.complex128]:
    number = np.round(harmonic_hz / f0_hz)
    return np.where(number == 1, 1.0, np.where(number == 2, 0.01, 0.0)).astype(np.complex128)


def laid_out(pieces: Iterable[tuple[int, Samples]], length_frames: int, block_frames: int) -> Iterator[Samples]:
    """Overlapping pieces in time order, added up into blocks from frame 0 to *length_frames*; each is given as soon as it is known."""
    waiting = np.zeros(0, dtype=np.float32)
    done = 0
    for start, sound in pieces:
        while start >= done + block_frames and done < length_frames:
            block, waiting = _cut(waiting, min(block_frames, length_frames - done))
            done += len(block)
            yield block
        cut = sound[max(0, done - start) :]
        place = max(start, done) - done
        if place + len(cut) > len(waiting):
            waiting = np.concatenate((waiting, np.zeros(place + len(cut) - len(waiting), dtype=np.float32)))
        waiting[place : place + len(cut)] += cut
    while done < length_frames:
        block, waiting = _cut(waiting, min(block_frames, length_frames - done))
        done += len(block)
        yield block


def _cut(waiting: Samples, count: int) -> tuple[Samples, Samples]:
    block = np.zeros(count, dtype=np.float32)
    have = waiting[:count]
    block[: len(have)] = have
    return block, waiting[count:]
