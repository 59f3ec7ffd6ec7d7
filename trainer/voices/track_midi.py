"""A practice track as a Standard MIDI File: the score's own file with volumes, sides and a count-in put in.

General MIDI 1 (MIDI Manufacturers Association, RP-003): program 53 is the choir, channel 10 the drums, controllers 7 and 10 volume and
side; keys 76 and 77 of the drums are the two wood blocks.
"""

from __future__ import annotations

import io
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from audio.errors import SettingError
from trainer.formats import midi
from trainer.score.model import Line, Note, Score
from trainer.score.time import TempoMap
from trainer.voices.tracks import KINDS, Track

CHOIR_PROGRAM, DRUM_CHANNEL = 52, 9  # counted from 0 in the file
FIRST_BEAT_KEY, OTHER_BEAT_KEY, CLICK_VELOCITY = 76, 77, 80
OWN_VOLUME, SOFT_VOLUME = 112, 48
VOLUME, SIDE = 7, 10


@dataclass(frozen=True, slots=True)
class MidiTrack:
    """A track's bytes, and the second at which its bar 1 beat 1 falls."""

    content: bytes
    length_s: float
    starts_at_s: float


def track_to_midi(score: Score, track: Track, *, count_in_bars: int, first_note: Fraction, click: str) -> MidiTrack:
    """One track as a file's bytes.

    Parameters
    ----------
    score : Score
        At the tempo that is wanted.
    track : Track
    count_in_bars : int
    first_note : Fraction
        Quarters for which the own first note sounds before the count, 0 for not at all.
    click : str
        "off" or "on": whether the beats of the music click too.

    Raises
    ------
    ScoreError
        Where the format cannot hold the score.
    SettingError
        When nothing would sound.
    """
    import mido

    how, own = KINDS[track.kind], track.line_index
    bar = score.meters[0][1].bar_quarters
    missing = bar - score.pickup_quarters if score.pickup_quarters else Fraction(0)
    counted = count_in_bars * bar + missing
    lead = -(-first_note // bar) * bar + counted
    later = _later(score, lead)
    lines, sides = [], []
    for index, line in enumerate(later.lines):
        stand = (how.own_db, how.own_pan) if index == own else (how.others_db, how.others_pan)
        notes = (_given(score.lines[own], first_note) if index == own else ()) + (
            line.notes if stand[0] is not None else ()
        )
        if notes:
            lines.append(Line(score.voice_names()[index], notes))
            sides.append((OWN_VOLUME if index == own or not how.others_db else SOFT_VOLUME, stand[1]))
    if not any(line.name != score.voice_names()[own] for line in lines) and how.own_db is None:
        raise SettingError(f"{score.title} has one voice only", "--kind", "choose loud or alone")
    file = mido.MidiFile(file=io.BytesIO(midi.write(replace(later, title=track.title, lines=tuple(lines)))))
    for voice, (volume, pan) in zip(file.tracks[1:], sides, strict=True):
        _headed(voice, volume, pan)
    file.tracks.append(_clicks(later, lead, counted, file.ticks_per_beat, click))
    out = io.BytesIO()
    file.save(file=out)
    tempo = later.tempo
    return MidiTrack(
        out.getvalue(), float(tempo.seconds(later.end_quarters)), float(tempo.seconds(lead + score.pickup_quarters))
    )


def _later(score: Score, lead: Fraction) -> Score:
    """The score with empty time in front of it; a pickup is then part of the bar before bar 1."""
    return replace(
        score,
        lines=tuple(
            Line(one.name, tuple(replace(note, onset_quarters=note.onset_quarters + lead) for note in one.notes))
            for one in score.lines
        ),
        meters=((Fraction(0), score.meters[0][1]), *((at + lead, meter) for at, meter in score.meters[1:])),
        keys=tuple((at + lead if at else at, key) for at, key in score.keys),
        tempo=TempoMap(tuple((at + lead if at else at, qpm) for at, qpm in score.tempo.points)),
        pickup_quarters=Fraction(0),
        printed_bars=(),
    )


def _given(line: Line, length: Fraction) -> tuple[Note, ...]:
    if not line.notes or not length:
        return ()
    return (Note(Fraction(0), length, line.notes[0].pitch),)


def _headed(track: Any, volume: int, pan: float) -> None:
    """Program, volume and side put at the beginning of a voice's track."""
    from mido import Message

    channel = next((message.channel for message in track if message.type == "note_on"), 0)
    side = round(64 + 63 * pan) if pan > 0 else round(64 + 64 * pan)
    track[1:1] = [
        Message("program_change", channel=channel, program=CHOIR_PROGRAM),
        Message("control_change", channel=channel, control=VOLUME, value=volume),
        Message("control_change", channel=channel, control=SIDE, value=side),
    ]


def _clicks(score: Score, lead: Fraction, counted: Fraction, ticks: int, click: str) -> Any:
    """A track of wood blocks: the counted beats, and the music's where asked."""
    from mido import Message, MetaMessage, MidiTrack

    bars = score.bars()
    beats = [at for at, _ in bars.beats() if lead - counted <= at and (click == "on" or at < lead)]
    track, at = MidiTrack([MetaMessage("track_name", name="count")]), 0
    length = ticks // 8
    for beat in beats:
        key = FIRST_BEAT_KEY if bars.place(beat).beat == 1 else OTHER_BEAT_KEY
        on = int(beat * ticks)
        track.append(Message("note_on", channel=DRUM_CHANNEL, note=key, velocity=CLICK_VELOCITY, time=on - at))
        track.append(Message("note_off", channel=DRUM_CHANNEL, note=key, velocity=0, time=length))
        at = on + length
    return track
