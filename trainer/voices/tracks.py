"""Practice tracks: one voice's part loud, alone, missing or in the other ear, all of a set equally loud.

The voices are sounded once and mixed for each track. A track is brought to ``LOUDNESS_LUFS`` whatever sounds in it, so that nobody
reaches for the volume between two of a set; where that would lift a peak over the limit of a mix the peak is bent, as everywhere.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from math import ceil

import numpy as np

from audio.block import Samples
from audio.errors import SettingError
from audio.loudness import loudness_lufs
from audio.render import FADE_IN_SECONDS, limited, pan_gains, risen
from audio.units import db_to_gain
from audio.whole_file import write_pieces
from trainer.practice.settings import Settings
from trainer.score.model import Score
from trainer.voices.hear import TAIL_SECONDS
from trainer.voices.sounding import Accompaniment, LeadIn, accompaniment

LOUDNESS_LUFS = -20.0
"""What AES TD1004 recommends at least for streams to phones, -16 to -20 (from memory); the softest of it, since people put it to
their ears."""

RATE_HZ = 44_100
LONGEST_SECONDS = 15 * 60
"""The voices of one set are held in memory: four of this length take about 650 MB."""


@dataclass(frozen=True, slots=True)
class Mix:
    """How a kind of track sounds: decibels of the own part and of each other one (None for not at all), and on which side."""

    own_db: float | None
    others_db: float | None
    own_pan: float = 0.0
    others_pan: float = 0.0


KINDS: dict[str, Mix] = {
    "loud": Mix(0.0, -9.0),
    "alone": Mix(0.0, None),
    "without": Mix(None, 0.0),
    "sides": Mix(0.0, 0.0, -1.0, 1.0),
}
"""Own part loud over the others, alone, missing, or in the left ear with the others in the right."""

SET_KINDS = ("loud", "alone", "without")


@dataclass(frozen=True, slots=True)
class Track:
    """One track to be written: whose part (a line index), which kind, and what a player shows."""

    line_index: int
    kind: str
    title: str
    album: str
    number: int = 1
    remark: str = ""

    def tags(self) -> Mapping[str, str]:
        """As soundfile names them."""
        told = {"title": self.title, "album": self.album, "artist": "heldline", "tracknumber": str(self.number)}
        return told | ({"comment": self.remark} if self.remark else {})


@dataclass(frozen=True, slots=True)
class WrittenTrack:
    """What was written: its length, where bar 1 beat 1 falls, and how loud it is."""

    length_s: float
    starts_at_s: float
    loudness_lufs: float


class Stems:
    """The voices of one score sounded once, ready to be mixed.

    Parameters
    ----------
    score : Score
    settings : Settings
        Tempo, A4 and the reference.
    key_chord, first_note, click : bool
        What is heard besides: the chord of the key, the own first note, a click on every beat.
    count_in_bars : int

    Raises
    ------
    SettingError
        For a piece longer than can be held.
    """

    def __init__(
        self, score: Score, settings: Settings, *, key_chord: bool, first_note: bool, click: bool, count_in_bars: int
    ) -> None:
        self.score, self._settings = score, settings
        self._key_chord, self._first_note, self._count_in = key_chord, first_note, count_in_bars
        self._click = "on" if click else "off"
        self._lead: tuple[int, Samples] = (-1, np.zeros(0, dtype=np.float32))
        self._all = self._sounding(tuple(range(len(score.lines))), 0)
        self.length_frames = max(self._all.end_frame, self._all.rendering.length_frames) + round(TAIL_SECONDS * RATE_HZ)
        if self.length_frames > LONGEST_SECONDS * RATE_HZ:
            raise SettingError(
                f"{score.title} lasts {self.length_frames / RATE_HZ / 60:.0f} minutes, longer than one track may",
                "--bars",
                f"make tracks of fewer bars, {LONGEST_SECONDS // 60} minutes at most",
            )

    def _sounding(self, which: tuple[int, ...], own: int) -> Accompaniment:
        lead = LeadIn(self._key_chord, own if self._first_note else None, 0, self._count_in)
        return accompaniment(self.score, self._settings, which=which, lead_in=lead, click=self._click, rate_hz=RATE_HZ)

    @property
    def bar_one_seconds(self) -> float:
        """Where bar 1 beat 1 falls; the same for every voice, since everybody's first note lasts equally long."""
        return self._all.bar_one_frame / RATE_HZ

    @cached_property
    def voices(self) -> Samples:
        """Every line by itself; float32, shape (length_frames, lines)."""
        table = self._all.rendering.stems(0, self.length_frames)[:, : len(self.score.lines)]
        missing = len(self.score.lines) - table.shape[1]
        return np.pad(table, ((0, 0), (0, missing))) if missing else np.ascontiguousarray(table)

    def lead(self, own: int) -> Samples:
        """Chord, first note and clicks for one voice; shape (length_frames,)."""
        if self._lead[0] != own:  # the tracks of one voice follow each other
            stems = self._sounding((), own).rendering.stems(0, self.length_frames)
            self._lead = own, np.asarray(stems.sum(axis=1), dtype=np.float32)
        return self._lead[1]

    def mix(self, own: int, kind: str) -> Samples:
        """One track before its loudness is set; shape (length_frames,) where both ears hear the same, else (length_frames, 2).

        Raises
        ------
        SettingError
            When nothing would sound: the only voice left out.
        """
        how, lead = KINDS[kind], self.lead(own)
        gains = np.array(
            [_gain(how.own_db if line == own else how.others_db) for line in range(len(self.score.lines))],
            dtype=np.float32,
        )
        if not np.any(gains):
            raise SettingError(f"{self.score.title} has one voice only", "--kind", "choose loud or alone")
        if how.own_pan == how.others_pan == 0.0:
            return np.asarray(self.voices @ gains + lead, dtype=np.float32)
        mine = self.voices[:, own] * gains[own]
        rest = self.voices @ np.where(np.arange(len(gains)) == own, np.float32(0), gains)
        sides = zip(pan_gains(how.own_pan), pan_gains(how.others_pan), strict=True)
        ears = [mine * np.float32(ours) + rest * np.float32(theirs) + lead for ours, theirs in sides]
        return np.stack(ears, axis=1)


def _gain(db: float | None) -> float:
    return 0.0 if db is None else db_to_gain(db)


def write_track(stems: Stems, track: Track, path: str | os.PathLike[str]) -> WrittenTrack:
    """Mix one track, bring it to its loudness, and write it to a .wav or .flac file with its tags.

    Raises
    ------
    SettingError
        For another ending, or when nothing would sound.
    SoundFileError
        When the file cannot be written; nothing half-written is left.
    """
    mixed = stems.mix(track.line_index, track.kind)
    _fade_in(mixed)
    mixed, loud = _levelled(mixed)
    table = np.stack([mixed, mixed], axis=1) if mixed.ndim == 1 else mixed
    frames = write_pieces(path, [table], RATE_HZ, channel_count=2, tags=track.tags())
    return WrittenTrack(frames / RATE_HZ, stems.bar_one_seconds, loud)


def _fade_in(mixed: Samples) -> None:
    """The first sound comes up softly, in place: the mix is nobody else's yet."""
    first = int(np.argmax(np.any(mixed.reshape(len(mixed), -1) != 0, axis=1)))
    end = min(len(mixed), first + ceil(FADE_IN_SECONDS * RATE_HZ))
    rise = risen(first, end, first, RATE_HZ)
    mixed[first:end] *= rise if mixed.ndim == 1 else rise[:, None]


def _levelled(mixed: Samples) -> tuple[Samples, float]:
    """The mix at its loudness, and the loudness it came to: bent peaks cost a little, which is given back once."""
    gain_db = LOUDNESS_LUFS - loudness_lufs(mixed, RATE_HZ)
    scaled = mixed * np.float32(db_to_gain(gain_db))
    bent = limited(scaled)
    if bent is scaled:
        return scaled, LOUDNESS_LUFS
    gain_db += LOUDNESS_LUFS - loudness_lufs(bent, RATE_HZ)
    bent = limited(mixed * np.float32(db_to_gain(gain_db)))
    return bent, loudness_lufs(bent, RATE_HZ)
