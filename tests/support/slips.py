"""What a singer does with a written line, as events with exact times and pitches, and the slips that can be planted in it.

An event list says what is sung; who sings it (``simulated_singer``, ``espeak_singer``, ``sampled_singer``) is another matter, so one
planted fault is heard from every kind of singer.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from fractions import Fraction

from written_music import Piece


@dataclass(frozen=True, slots=True)
class SungNote:
    """One note as it is sung.

    Parameters
    ----------
    index : int
        Which written note of the line it stands for, from 0.
    start_s, end_s : float
        Vowel onset and end of voice, seconds in the recording.
    midi : float
        Pitch; hundredths are cents.
    scoop_cents : float
        How far off it is entered (negative is from below); slid out within 150 ms.
    gain_db : float
        Loudness against the singer's usual one.
    """

    index: int
    start_s: float
    end_s: float
    midi: float
    scoop_cents: float = 0.0
    gain_db: float = 0.0


Performance = tuple[SungNote, ...]


def as_written(piece: Piece, voice: str, *, qpm: float | None = None, starts_at_s: float = 0.5) -> Performance:
    """The line sung exactly."""
    second = 60.0 / (qpm or piece.qpm)
    return tuple(
        SungNote(
            k,
            starts_at_s + float(note.onset_quarters) * second,
            starts_at_s + float(note.end_quarters) * second,
            float(note.midi),
        )
        for k, note in enumerate(piece.notes(voice))
    )


def detuned(sung: Performance, index: int, cents: float) -> Performance:
    """One note off by *cents*."""
    return _changed(sung, index, midi=_of(sung, index).midi + cents / 100)


def at_pitch(sung: Performance, index: int, midi: float) -> Performance:
    """One note sung at another pitch."""
    return _changed(sung, index, midi=midi)


def late(sung: Performance, index: int, ms: float) -> Performance:
    """One note begun late, after silence: the note before ends in time."""
    return _changed(sung, index, start_s=_of(sung, index).start_s + ms / 1000)


def late_legato(sung: Performance, index: int, ms: float) -> Performance:
    """One note begun late because the note before was held on."""
    return held_on(late(sung, index, ms), index - 1, ms)


def held_on(sung: Performance, index: int, ms: float) -> Performance:
    """One note that ends late."""
    return _changed(sung, index, end_s=_of(sung, index).end_s + ms / 1000)


def early(sung: Performance, index: int, ms: float) -> Performance:
    """One note begun early, cutting the note before."""
    shifted = _changed(sung, index, start_s=_of(sung, index).start_s - ms / 1000)
    return tuple(
        replace(note, end_s=min(note.end_s, _of(shifted, index).start_s)) if note.index == index - 1 else note
        for note in shifted
    )


def left_early(sung: Performance, index: int, ms: float) -> Performance:
    """One note let go early."""
    return held_on(sung, index, -ms)


def missing(sung: Performance, index: int) -> Performance:
    """One note not sung at all."""
    return tuple(note for note in sung if note.index != index)


def breath(sung: Performance, index: int, *, after_s: float, ms: float) -> Performance:
    """A gap of *ms* inside one note, *after_s* from its start; it comes back on its own pitch."""
    note = _of(sung, index)
    first = replace(note, end_s=note.start_s + after_s)
    again = replace(note, start_s=first.end_s + ms / 1000, scoop_cents=0.0)
    return tuple(part for each in sung for part in ((first, again) if each.index == index else (each,)))


def scooped(sung: Performance, index: int, cents: float) -> Performance:
    """One note slid into."""
    return _changed(sung, index, scoop_cents=cents)


def pulled(sung: Performance, indexes: tuple[int, ...], piece: Piece, voice: str, other: str) -> Performance:
    """These notes sung at the pitch that *other* has at their onset, in the singer's own octave."""
    notes = piece.notes(voice)
    for index in indexes:
        theirs = piece.sounding(other, notes[index].onset_quarters)
        if theirs is None:
            raise ValueError(f"{other} rests at note {index}")
        own = notes[index].midi
        octaves = round((own - theirs.midi) / 12)
        sung = at_pitch(sung, index, theirs.midi + 12 * octaves)
    return sung


def sinking(sung: Performance, *, cents_a_bar: float, bar_s: float, from_s: float) -> Performance:
    """Every note from *from_s* on lower by *cents_a_bar* for each bar since, the first such note by one bar's worth."""
    return tuple(
        replace(note, midi=note.midi - cents_a_bar / 100 * (math.floor((note.start_s - from_s) / bar_s + 1e-6) + 1))
        if note.start_s >= from_s - 1e-6
        else note
        for note in sung
    )


def in_octave(sung: Performance, octaves: int) -> Performance:
    """The whole line in another octave."""
    return tuple(replace(note, midi=note.midi + 12 * octaves) for note in sung)


def third_off(piece: Piece, voice: str, index: int) -> float:
    """A pitch a third from the written note that is nobody's note then and not the singer's neighbour's, octaves folded."""
    notes = piece.notes(voice)
    note = notes[index]
    taken = {n.midi % 12 for n in notes[max(index - 1, 0) : index + 2]}
    for other in piece.voices:
        taken |= {
            n.midi % 12
            for n in piece.notes(other)
            if n.onset_quarters < note.end_quarters and n.end_quarters > note.onset_quarters
        }
    for step in (-3, 3, 4, -4):
        if (note.midi + step) % 12 not in taken:
            return float(note.midi + step)
    raise ValueError(f"every third around note {index} is somebody's note")


def length_s(sung: Performance, *, tail_s: float = 1.0) -> float:
    """How long a recording must be to hold it."""
    return max((note.end_s for note in sung), default=0.0) + tail_s


def whole_s(piece: Piece, *, qpm: float | None = None, starts_at_s: float = 0.5, tail_s: float = 1.0) -> float:
    """How long a recording of the whole piece is, sung or not."""
    return starts_at_s + float(piece.end_quarters) * 60.0 / (qpm or piece.qpm) + tail_s


def bar_of(piece: Piece, voice: str, index: int) -> tuple[int, float]:
    """Bar and beat at which a written note of a line stands, beats of the lower figure from 1."""
    onset = piece.notes(voice)[index].onset_quarters
    bar = onset // piece.bar_quarters
    return int(bar) + 1, float(1 + (onset - bar * piece.bar_quarters) * Fraction(piece.unit, 4))


def _of(sung: Performance, index: int) -> SungNote:
    return next(note for note in sung if note.index == index)


def _changed(sung: Performance, index: int, **what: float) -> Performance:
    if not any(note.index == index for note in sung):
        raise ValueError(f"note {index} is not sung")
    return tuple(replace(note, **what) if note.index == index else note for note in sung)  # type: ignore[arg-type]
