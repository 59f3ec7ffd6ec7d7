"""The voices of a score, written to a file to be heard elsewhere."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from audio.block import Samples
from audio.errors import SettingError
from audio.whole_file import write_pieces
from trainer.practice.settings import Settings
from trainer.score.model import Score
from trainer.voices.sounding import LeadIn, accompaniment
from trainer.voices.tones import Balance

TAIL_SECONDS = 0.5
"""Silence after the last note, so that a player does not cut its release."""


@dataclass(frozen=True, slots=True)
class Written:
    """A file of voices: its length, and the moment at which bar 1 beat 1 falls, as ``--starts-at`` wants it."""

    length_s: float
    starts_at_s: float


def hear_to_file(
    score: Score,
    which: tuple[int, ...],
    path: str | os.PathLike[str],
    *,
    settings: Settings | None = None,
    lead_in: LeadIn | None = None,
    click: str = "off",
    balance: Mapping[int, Balance] | None = None,
    rate_hz: int = 48_000,
) -> Written:
    """Write the chosen lines to a .wav or .flac file in stereo.

    Parameters
    ----------
    score : Score
    which : tuple of int
        Line indexes that sound, at least one.
    path : path
    settings : Settings or None
        Tempo, A4 and the reference; None for the usual ones.
    lead_in : LeadIn or None
    click : str
        "off" or "on".
    balance : mapping from line index to Balance, or None
    rate_hz : int
        44100 or 48000.

    Raises
    ------
    SettingError
        When no line is to sound, or for a rate, word or file ending that is not offered.
    SoundFileError
        When the file cannot be written; nothing half-written is left.
    """
    pieces, bar_one_frame = hear_pieces(
        score, which, settings=settings, lead_in=lead_in, click=click, balance=balance, rate_hz=rate_hz
    )
    frames = write_pieces(path, pieces, rate_hz, channel_count=2)
    return Written(frames / rate_hz, bar_one_frame / rate_hz)


def hear_pieces(
    score: Score,
    which: tuple[int, ...],
    *,
    settings: Settings | None = None,
    lead_in: LeadIn | None = None,
    click: str = "off",
    balance: Mapping[int, Balance] | None = None,
    rate_hz: int = 48_000,
) -> tuple[Iterator[Samples], int]:
    """The same as tables of shape (n, 2), one after another, and the frame at which bar 1 beat 1 falls. Raises SettingError."""
    if not which:
        raise SettingError("no voice is left to be heard", "--only, --without", "leave at least one")
    sound = accompaniment(
        score,
        settings or Settings(),
        which=which,
        lead_in=lead_in,
        click=click,
        balance=balance,
        rate_hz=rate_hz,
    )
    length = max(sound.end_frame, sound.rendering.length_frames) + round(TAIL_SECONDS * rate_hz)
    return sound.rendering.pieces(length), sound.bar_one_frame
