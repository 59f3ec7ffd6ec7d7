"""Standard MIDI Files down to events in absolute time: keys down and up, tempi, meters, signatures, names.

Shared by the score reader and by whoever reads keyed takes. Decoding of events (running status, system exclusive, meta) is
mido's; the chunks are walked here, since the standard lets a reader skip kinds of chunk that it does not know and mido does not.

Conventions: ticks are the file's own; seconds are exact Fractions from the start of the file, through every tempo change of every
track. At one tick, keys go up before others go down.

Source: Standard MIDI Files 1.0 (MIDI Manufacturers Association, RP-001): chunks, division, tempo in microseconds a quarter.
"""

from __future__ import annotations

import io
import re
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from trainer.errors import ScoreError
from trainer.score.modes import signature_fifths

LARGEST_BYTES = 1_000_000
"""Half a million notes; decoding takes about two seconds, which is as long as anyone should wait for a mistake."""

USUAL_TEMPO_US = 500_000
"""Microseconds a quarter where a file gives no tempo (the standard's own default, 120 quarters a minute)."""

# A variable-length number has at most four bytes, but mido reads on for ever and in quadratic time; no text or system exclusive
# message of a score has this many bytes above 127 in a row.
_ENDLESS_NUMBER = re.compile(rb"[\x80-\xff]{4096}")

_FRAME_RATES = {24: Fraction(24), 25: Fraction(25), 29: Fraction(30000, 1001), 30: Fraction(30)}
_AGAIN = "write the MIDI file again from the program that made it"


@dataclass(frozen=True, slots=True)
class KeyEvent:
    """A key going down (velocity 1 to 127) or up (velocity 0), at a time in ticks and exact seconds."""

    ticks: int
    seconds: Fraction
    track: int
    channel: int
    midi: int
    velocity: int


@dataclass(frozen=True, slots=True)
class Track:
    """What one track says of itself: its name and its (ticks, syllable) lyrics."""

    name: str
    lyrics: tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True)
class MidiContent:
    """A whole file.

    Parameters
    ----------
    kind : int
        0, 1 or 2: one track, several together, several one after another.
    ticks_a_quarter : int
        0 in a file whose time is in frames of film (SMPTE).
    events : tuple of KeyEvent
        In time order.
    tempi : tuple of (ticks, microseconds a quarter)
        As written; empty when the file gives none.
    meters : tuple of (ticks, upper, lower figure)
    signatures : tuple of (ticks, fifths, "major" or "minor")
    tracks : tuple of Track
    end_ticks : int
        The last event of any kind.
    """

    kind: int
    ticks_a_quarter: int
    events: tuple[KeyEvent, ...]
    tempi: tuple[tuple[int, int], ...]
    meters: tuple[tuple[int, int, int], ...]
    signatures: tuple[tuple[int, int, str], ...]
    tracks: tuple[Track, ...]
    end_ticks: int


def key_events(content: bytes, path: str) -> Iterator[KeyEvent]:
    """Every key going down or up in the file, in time order. Raises ScoreError."""
    yield from read_smf(content, path).events


def read_smf(content: bytes, path: str) -> MidiContent:
    """The file's events in absolute time.

    Raises
    ------
    ScoreError
        For bytes that are no MIDI file, a broken one, or one too large.
    """
    if len(content) > LARGEST_BYTES and content[:4] in (b"MThd", b"RIFF") and content[8:12] != b"WAVE":
        raise ScoreError(
            f"the MIDI file is larger than {LARGEST_BYTES // 1000} kB, too large for an exercise",
            path,
            "save only the voices of the exercise",
        )
    kind, division, bodies = _chunks(content, path)
    tracks = [_decoded(body, path, number) for number, body in enumerate(bodies, start=1)]
    return _gathered(kind, division, tracks, path)


def _chunks(content: bytes, path: str) -> tuple[int, int, list[bytes]]:
    """Kind, division and the bytes of each track; fewer tracks than the header counts are a file cut short."""
    at = content.find(b"MThd") if content.startswith(b"RIFF") and content[8:12] == b"RMID" else 0
    if at < 0 or content[at : at + 4] != b"MThd" or len(content) < at + 14:
        raise ScoreError("the file is not a Standard MIDI File", path, _AGAIN)
    length, kind, count, division = struct.unpack(">LHHh", content[at + 4 : at + 14])
    if length < 6 or kind > 2:
        raise ScoreError("the MIDI file's header is broken", path, _AGAIN)
    at += 8 + length
    bodies: list[bytes] = []
    while at + 8 <= len(content):
        name, size = content[at : at + 4], struct.unpack(">L", content[at + 4 : at + 8])[0]
        body = content[at + 8 : at + 8 + size]
        if name == b"MTrk":
            if len(body) < size:
                raise ScoreError(f"the MIDI file ends inside its track {len(bodies) + 1}", path, _AGAIN)
            bodies.append(body)
        at += 8 + size
    if not bodies:
        raise ScoreError("the MIDI file has no track", path, _AGAIN)
    if len(bodies) < count:
        raise ScoreError(f"the MIDI file ends after {len(bodies)} of its {count} tracks", path, _AGAIN)
    return kind, division, bodies


def _decoded(body: bytes, path: str, number: int) -> list[tuple[int, Any]]:
    """(ticks, message) of one track."""
    import mido  # not needed to start, list or sing a shipped drill

    if _ENDLESS_NUMBER.search(body):
        raise ScoreError(f"track {number} of the MIDI file is broken: a number in it does not end", path, _AGAIN)
    header = struct.pack(">4sLHHH", b"MThd", 6, 0, 1, 480)
    alone = header + struct.pack(">4sL", b"MTrk", len(body)) + body
    try:
        track = mido.MidiFile(file=io.BytesIO(alone), charset="latin1").tracks[0]
    except Exception as err:
        # broken bytes leave mido as OSError, EOFError, ValueError, KeyError, IndexError and its own kinds alike
        raise ScoreError(
            f"track {number} of the MIDI file is broken: {err or 'it ends too early'}", path, _AGAIN
        ) from err
    found, at = [], 0
    for message in track:
        at += int(message.time)
        found.append((at, message))
    return found


def _gathered(kind: int, division: int, tracks: list[list[tuple[int, Any]]], path: str) -> MidiContent:
    everything = [(ticks, message) for track in tracks for ticks, message in track]
    tempi = _in_order((ticks, message.tempo) for ticks, message in everything if message.type == "set_tempo")
    if any(tempo == 0 for _, tempo in tempi):
        raise ScoreError("the MIDI file has a tempo of no duration", path, _AGAIN)
    seconds = _Seconds(division, tempi, path)
    keys = [
        (ticks, message.velocity if message.type == "note_on" else 0, number, message)
        for number, track in enumerate(tracks)
        for ticks, message in track
        if message.type in ("note_on", "note_off")
    ]
    # stable: within a tick, releases first and otherwise the order of the file
    keys.sort(key=lambda key: (key[0], key[1] > 0))
    return MidiContent(
        kind=kind,
        ticks_a_quarter=max(division, 0),
        events=tuple(
            KeyEvent(ticks, seconds.at(ticks), number, message.channel, message.note, velocity)
            for ticks, velocity, number, message in keys
        ),
        tempi=tempi,
        meters=tuple(
            (ticks, m.numerator, m.denominator) for ticks, m in _sorted(everything) if m.type == "time_signature"
        ),
        signatures=tuple((ticks, *_signature(m.key)) for ticks, m in _sorted(everything) if m.type == "key_signature"),
        tracks=tuple(_track(track) for track in tracks),
        end_ticks=max((ticks for ticks, _ in everything), default=0),
    )


class _Seconds:
    """Ticks to seconds for ticks that never go back."""

    def __init__(self, division: int, tempi: tuple[tuple[int, int], ...], path: str) -> None:
        self._marks = list(tempi)
        self._from_ticks, self._from_seconds = 0, Fraction(0)
        if division > 0:
            self._tick = Fraction(USUAL_TEMPO_US, 1_000_000 * division)
            self._division = division
        else:
            rate, ticks_a_frame = -(division >> 8), division & 0xFF
            if rate not in _FRAME_RATES or not ticks_a_frame:
                raise ScoreError("the MIDI file's division of time is broken", path, _AGAIN)
            self._tick = 1 / (_FRAME_RATES[rate] * ticks_a_frame)
            self._marks = []  # film time does not follow the tempo

    def at(self, ticks: int) -> Fraction:
        while self._marks and self._marks[0][0] <= ticks:
            mark, tempo = self._marks.pop(0)
            self._from_seconds += (mark - self._from_ticks) * self._tick
            self._from_ticks, self._tick = mark, Fraction(tempo, 1_000_000 * self._division)
        return self._from_seconds + (ticks - self._from_ticks) * self._tick


def _sorted(everything: list[tuple[int, Any]]) -> list[tuple[int, Any]]:
    return sorted(everything, key=lambda pair: pair[0])


def _in_order(marks: Iterator[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
    """Sorted by ticks; of several at one tick the last written holds."""
    return tuple(sorted(dict(sorted(marks, key=lambda mark: mark[0])).items()))


def _signature(name: str) -> tuple[int, str]:
    """Fifths and mode of mido's name of a key, such as "F#m"."""
    mode = "minor" if name.endswith("m") else "major"
    return signature_fifths(name.removesuffix("m"), mode), mode


def _track(track: list[tuple[int, Any]]) -> Track:
    names = [message.name for _, message in track if message.type == "track_name"]
    lyrics = tuple((ticks, _utf8(message.text)) for ticks, message in track if message.type == "lyrics")
    return Track(_utf8(names[0]).strip() if names else "", lyrics)


def _utf8(text: str) -> str:
    """The standard leaves the encoding of text open; UTF-8 where it is that, else Latin-1 as mido read it."""
    try:
        return text.encode("latin1").decode("utf-8")
    except UnicodeDecodeError:
        return text
