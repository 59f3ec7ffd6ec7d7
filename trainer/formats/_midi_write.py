"""A score as a Standard MIDI File of kind 1."""

from __future__ import annotations

import io
import math
from fractions import Fraction
from typing import Any

from trainer.errors import ScoreError
from trainer.score.model import Line, Score
from trainer.score.modes import MODE_FIFTHS, final_of
from trainer.score.time import Meter

TICKS_A_QUARTER = 480
MOST_TICKS_A_QUARTER = 0x7FFF
VELOCITY = 80
LONGEST_TEMPO_US = 0xFFFFFF

# channel 10 is for drums
_CHANNELS = (*range(9), *range(10, 16))


def write(score: Score) -> bytes:
    """The bytes of *score*. Raises ScoreError for times or signatures that the format cannot hold."""
    import mido  # not needed to start, list or sing a shipped drill

    ticks = _ticks_a_quarter(score)
    file = mido.MidiFile(type=1, ticks_per_beat=ticks, charset="utf-8")
    file.tracks.append(_track(_conductor(score, ticks)))
    for number, line in enumerate(score.lines):
        file.tracks.append(_track(_voice(line, _CHANNELS[number % len(_CHANNELS)], ticks)))
    out = io.BytesIO()
    file.save(file=out)
    return out.getvalue()


def _track(messages: list[tuple[int, int, Any]]) -> Any:
    """Mido's track from (ticks, rank at that tick, message)."""
    import mido

    track, at = mido.MidiTrack(), 0
    for ticks, _, message in sorted(messages, key=lambda entry: entry[:2]):
        track.append(message.copy(time=ticks - at))
        at = ticks
    return track


def _conductor(score: Score, ticks: int) -> list[tuple[int, int, Any]]:
    from mido import MetaMessage

    messages: list[tuple[int, int, Any]] = [(0, 0, MetaMessage("track_name", name=score.title))]
    for at, qpm in score.tempo.points:
        tempo = round(60_000_000 / qpm)
        if not 1 <= tempo <= LONGEST_TEMPO_US:
            raise ScoreError(
                f"MIDI cannot hold a tempo of {float(qpm):g}", score.title, "choose 4 quarters a minute or more"
            )
        messages.append((int(at * ticks), 1, MetaMessage("set_tempo", tempo=tempo)))
    for at, meter in _meters(score):
        message = MetaMessage("time_signature", numerator=meter.beats, denominator=meter.unit)
        messages.append((int(at * ticks), 2, message))
    for at, key in score.keys:
        if abs(key.fifths) > 7:
            raise ScoreError("MIDI cannot hold a signature of more than 7 signs", score.title, "transpose the score")
        minor = MODE_FIFTHS.get(key.mode, 0) <= MODE_FIFTHS["dorian"]
        name = final_of(key.fifths, "minor") + "m" if minor else final_of(key.fifths, "major")
        messages.append((int(at * ticks), 3, MetaMessage("key_signature", key=name)))
    return messages


def _meters(score: Score) -> list[tuple[Fraction, Meter]]:
    """The meters, a pickup as a bar of its own length in front."""
    if not score.pickup_quarters:
        return list(score.meters)
    count = score.pickup_quarters * 8  # thirty-seconds, the smallest figure that a meter may have
    if count.denominator != 1 or count > 64:
        raise ScoreError("MIDI cannot hold a pickup of that length", score.title, "make it a whole number of beats")
    unit = 32
    while count % 2 == 0 and unit > 4:
        count, unit = count / 2, unit // 2
    later = [(at, meter) for at, meter in score.meters[1:] if at > score.pickup_quarters]
    held = [meter for at, meter in score.meters if at <= score.pickup_quarters][-1]
    return [(Fraction(0), Meter(int(count), unit)), (score.pickup_quarters, held), *later]


def _voice(line: Line, channel: int, ticks: int) -> list[tuple[int, int, Any]]:
    from mido import Message, MetaMessage

    messages: list[tuple[int, int, Any]] = [(0, 0, MetaMessage("track_name", name=line.name))]
    for note in line.notes:
        on, off = int(note.onset_quarters * ticks), int(note.end_quarters * ticks)
        midi = note.pitch.midi
        if not 0 <= midi <= 127:
            raise ScoreError(f"MIDI cannot hold {note.pitch}", line.name, "transpose the score")
        messages.append((off, 1, Message("note_off", channel=channel, note=midi, velocity=0)))
        if note.lyric:
            messages.append((on, 2, MetaMessage("lyrics", text=note.lyric)))
        messages.append((on, 3, Message("note_on", channel=channel, note=midi, velocity=VELOCITY)))
    return messages


def _ticks_a_quarter(score: Score) -> int:
    """480, or the least multiple that holds every time of the score exactly."""
    times = [at for at, _ in (*score.meters, *score.keys, *score.tempo.points)] + [score.pickup_quarters]
    times += [time for line in score.lines for note in line.notes for time in (note.onset_quarters, note.end_quarters)]
    ticks = math.lcm(TICKS_A_QUARTER, *(time.denominator for time in times))
    if ticks > MOST_TICKS_A_QUARTER:
        ticks = math.lcm(*(time.denominator for time in times))
    if ticks > MOST_TICKS_A_QUARTER:
        raise ScoreError("MIDI cannot hold so fine a mixture of note values", score.title, "use plainer note values")
    return ticks
