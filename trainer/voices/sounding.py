"""Everything that sounds in one hearing or one take: lead-in, voices and clicks on one axis of frames."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from audio.errors import SettingError
from audio.render import Rendering, Tone
from trainer.practice.settings import Settings
from trainer.practice.sinking import references_under
from trainer.score.model import Score
from trainer.voices.lead_in import (
    CHORD_SECONDS,
    FIRST_NOTE_SECONDS,
    PAUSE_SECONDS,
    chord_tones,
    click_tones,
    counted_beats,
    first_note_tones,
)
from trainer.voices.tones import Balance, frame_at, tones

RATES_HZ = (44_100, 48_000)


@dataclass(frozen=True, slots=True)
class LeadIn:
    """What comes before the music, in this order: chord, first note, counted bars. Nothing by default.

    Parameters
    ----------
    key_chord : bool
    first_note_of : int or None
        Index of the line whose first note is given.
    first_note_octaves : int
        Octaves above what is written: the singer's own octave.
    count_in_bars : int
        0 to 8.
    """

    key_chord: bool = False
    first_note_of: int | None = None
    first_note_octaves: int = 0
    count_in_bars: int = 0

    def __post_init__(self) -> None:
        """Refuse a count that nobody wants. Raises SettingError."""
        if not 0 <= self.count_in_bars <= 8:
            raise SettingError(f"{self.count_in_bars} bars cannot be counted in", "--count-in", "count 0 to 8 bars")


@dataclass(frozen=True, slots=True)
class Accompaniment:
    """Tones ready to be rendered, and where the music lies among them.

    Parameters
    ----------
    rendering : Rendering
        Channel k is line k; then the click; then chord and first note.
    music_frame : int
        Frame of quarter 0, a pickup's first note.
    bar_one_frame : int
        Frame of bar 1 beat 1: what ``--starts-at`` asks for, in frames.
    end_frame : int
    """

    rendering: Rendering
    music_frame: int
    bar_one_frame: int
    end_frame: int
    tones: tuple[Tone, ...] = field(repr=False)


def accompaniment(
    score: Score,
    settings: Settings,
    *,
    which: tuple[int, ...],
    lead_in: LeadIn | None = None,
    click: str = "off",
    balance: Mapping[int, Balance] | None = None,
    rate_hz: int = 48_000,
    seed: int = 0,
) -> Accompaniment:
    """The chosen voices with their lead-in.

    Parameters
    ----------
    score : Score
    settings : Settings
        Tempo, A4 and the reference: the voices sound what the singer is judged by.
    which : tuple of int
        Line indexes that sound.
    click : str
        "off" or "on": whether the beats of the music itself click. Counted bars always do.
    balance : mapping from line index to Balance, or None
    rate_hz : int
        44100 or 48000.

    Raises
    ------
    SettingError
        For another rate or a word that is not one of these.
    """
    if rate_hz not in RATES_HZ:
        raise SettingError(f"voices are not sounded at {rate_hz} Hz", "--rate", "choose 44100 or 48000")
    if click not in ("on", "off"):
        raise SettingError(f"{click!r} is neither on nor off", "--click", "choose one of them")
    lead = lead_in or LeadIn()
    tempo = score.tempo if settings.tempo_qpm is None else score.tempo.scaled_to(settings.tempo_qpm)
    sounded = references_under(score, settings)
    clicks_on, pitched_on = len(score.lines), len(score.lines) + 1

    found: list[Tone] = []
    seconds = Fraction(0)
    if lead.key_chord:
        found += chord_tones(
            score, sounded, a4_offset_c100=settings.a4_offset_c100, rate_hz=rate_hz, channel=pitched_on
        )
        seconds += CHORD_SECONDS + PAUSE_SECONDS
    if lead.first_note_of is not None:
        found += first_note_tones(
            sounded,
            lead.first_note_of,
            octaves=lead.first_note_octaves,
            start_frame=round(seconds * rate_hz),
            rate_hz=rate_hz,
            channel=pitched_on,
        )
        seconds += FIRST_NOTE_SECONDS + PAUSE_SECONDS
    counted = counted_beats(score, lead.count_in_bars)
    if counted:
        seconds -= tempo.seconds(counted[0][0])
    music_frame = round(seconds * rate_hz)
    at = frame_at(tempo, rate_hz=rate_hz, zero_frame=music_frame)
    bars = score.bars()
    beats = counted + (bars.beats() if click == "on" else [])
    found += click_tones(score, at, beats, rate_hz=rate_hz, channel=clicks_on)
    found += tones(score, sounded, at, which=which, balance=balance)
    return Accompaniment(
        Rendering(found, rate_hz=rate_hz, seed=seed),
        music_frame,
        at(bars.first_full_quarters),
        at(bars.end_quarters),
        tuple(found),
    )
