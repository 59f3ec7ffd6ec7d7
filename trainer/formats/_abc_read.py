"""Reads an ABC tune line by line into measures. Every complaint names the line.

Conventions: fields of the header hold for every voice; in the tune they hold for the voice in which they stand.
"""

from __future__ import annotations

import re
from fractions import Fraction

from trainer.errors import ScoreError
from trainer.formats import MOST_BARS
from trainer.formats._abc_fields import (
    Signature,
    meter_of,
    properties_of,
    shift_of,
    signature_of,
    tempo_of,
    unit_of,
    usual_unit,
)
from trainer.formats._abc_music import take_line
from trainer.formats._abc_voice import Voice
from trainer.formats._abc_words import part_order, set_words
from trainer.formats._assembled import score_of
from trainer.formats._order import sung_order
from trainer.formats._text import bars_words, decoded_old
from trainer.formats._written import Document, Measure, Unreadable
from trainer.score.model import Key, Score
from trainer.score.time import Meter

MOST_VOICES = 64
"""Many of them may be silent; how many may sing is asked later."""

_AGAIN = "look at that line; the abc music standard 2.1 says what may stand there"
_FIELD = re.compile(r"([A-Za-z+]):(?![|:])(.*)\Z")
_HOLDS = re.compile(r"(?:I:|%%)\s*propagate-accidentals\s*[: ]\s*(not|octave|pitch)\b")


def read(content: bytes, path: str) -> Score:
    """The score in an ABC tune. Raises ScoreError only."""
    tune = _Tune()
    for number, line in enumerate(decoded_old(content, path).splitlines(), start=1):
        try:
            tune.take(line, number)
        except Unreadable as err:
            raise ScoreError(str(err), f"{path}, line {number}:  {line.strip()[:100]}", _AGAIN) from err
    return score_of(tune.document(path), path)


class _Tune:
    """Everything that is known up to the present line."""

    def __init__(self) -> None:
        self.tunes = 0
        self._in_header, self._ended = True, False
        self._titles: list[str] = []
        self._meter: Meter | None = None
        self._meter_said = False
        self._unit: Fraction | None = None
        self._signature: Signature | None = None
        self._signs_hold = "pitch"
        self._tempo = ""
        self._order: list[str] = []
        self._starts: dict[str, int] = {}
        self._voices: dict[str, Voice] = {}
        self._voice: Voice | None = None
        self._goes_on = False
        self._line = 0

    def take(self, line: str, number: int) -> None:
        """Read one line. Raises Unreadable."""
        self._line = number
        held = _HOLDS.match(line)
        if held:
            self._signs_hold = held[1]
            for voice in self._voices.values():
                voice.signs_hold = held[1]
        text = re.sub(r"(?<!\\)%.*", "", line).strip()
        if not text:
            # an empty line ends the tune (2.2.1); one that holds only a remark does not
            self._ended |= not line.strip() and not self._in_header
            return
        match = _FIELD.match(text)
        if match and match[1] == "X":
            self._begin_tune()
        elif self._ended:
            return
        elif match:
            self._field(match[1], match[2].strip())
        elif self._in_header:
            if self.tunes:
                raise Unreadable("the tune's header does not end with its key (K:) before music begins")
        else:
            self._music(text, number)

    def document(self, path: str) -> Document:
        """What was read. Raises ScoreError."""
        if self.tunes != 1 or self._signature is None:
            what = (
                f"the ABC file holds {self.tunes} tunes" if self.tunes > 1 else "the file holds no ABC tune (X: to K:)"
            )
            raise ScoreError(what, path, "save the one tune that you want in a file of its own")
        for voice in self._voices.values():
            self._closed(voice, path)
        sounding = [voice for voice in self._voices.values() if any(m.notes[0] for m in voice.measures)]
        if not sounding:
            raise ScoreError("the ABC file has no notes", path, "write at least one voice behind the K: field")
        measures = _merged(sounding, path)
        silent = [voice.name or voice.label for voice in self._voices.values() if voice not in sounding]
        grace = sum(voice.grace_notes for voice in sounding)
        remarks = [f"{grace} grace notes left out"] if grace else []
        remarks += [f"{', '.join(silent)} left out: no notes in it"] if silent else []
        single = len(sounding) == 1
        names = tuple(voice.name or ("" if single else voice.label) for voice in sounding)
        return Document(
            ", ".join(self._titles[:1]), names, measures, tuple(remarks), order=self._played(measures, path)
        )

    def _closed(self, voice: Voice, path: str) -> None:
        """The last bar need not end with a line."""
        try:
            voice.close()
        except Unreadable as err:
            raise ScoreError(str(err), f"{path}, line {self._line}", _AGAIN) from err

    def _begin_tune(self) -> None:
        self.tunes += 1
        if self.tunes > 1:
            self._ended = True  # only counted

    def _field(self, name: str, value: str) -> None:
        if name == "w" and self._voice is not None:
            set_words(self._voice, value)
        elif self._in_header:
            self._header(name, value)
        elif name == "V":
            self._change_voice(value)
        elif name in "KLMQPI":
            self._inline(name, value)

    def _header(self, name: str, value: str) -> None:
        if name == "T":
            self._titles.append(" ".join(value.split()))
        elif name == "M":
            self._meter, self._meter_said = meter_of(value), True
        elif name == "L":
            self._unit = unit_of(value)
        elif name == "Q":
            tempo_of(value, Fraction(1, 8))  # the unit may come later; a slip is told here
            self._tempo = value
        elif name == "P":
            self._order = part_order(value)
        elif name == "V":
            self._change_voice(value)
        elif name == "K":
            self._signature = signature_of(value, None)
            self._in_header = False
            for voice in self._voices.values():
                self._settle(voice)

    def _change_voice(self, value: str) -> Voice:
        """The voice that a ``V:`` names, made where it is new (7.1)."""
        words = value.split(None, 1)
        if not words:
            raise Unreadable("V: names no voice")
        label = words[0]
        voice = self._voices.get(label)
        if voice is None:
            if len(self._voices) == MOST_VOICES:
                raise Unreadable(f"the tune has more than {MOST_VOICES} voices")
            voice = Voice(label, Fraction(1, 8), None, Signature({}, Key(0), {}), self._signs_hold)
            self._voices[label] = voice
            if not self._in_header:
                self._settle(voice)
        staff, _ = properties_of(words[1] if len(words) > 1 else "")
        voice.name = " ".join(staff.get("name", staff.get("nm", voice.name)).replace("\\n", " ").split())
        shift = shift_of(staff)
        if shift is not None:
            voice.shift = shift
        if not self._in_header:
            self._voice = voice
        return voice

    def _settle(self, voice: Voice) -> None:
        """Give a voice what the header says."""
        signature = self._signature
        if signature is None:
            return
        voice.unit = self._unit if self._unit is not None else usual_unit(self._meter)
        if self._meter_said:
            voice.set_meter(self._meter)
        shift = shift_of(signature.staff)
        if shift is not None and not voice.shift.semitones:
            voice.shift = shift
        voice.set_key(signature)
        qpm = tempo_of(self._tempo, voice.unit)
        if qpm is not None:
            voice.measure.tempi[0] = qpm

    def _present(self) -> Voice:
        return self._voice or self._change_voice("1")

    def _inline(self, name: str, value: str) -> Voice:
        """A field in the tune, alone in its line or in brackets."""
        value = value.strip()
        if name == "V":
            voice = self._change_voice(value)
            voice.line_notes, voice.verse = [], 0
            return voice
        voice = self._present()
        if name == "K":
            signature = signature_of(value, voice.signature)
            shift = shift_of(signature.staff)
            if shift is not None:
                voice.shift = shift
            voice.set_key(signature)
        elif name == "L":
            voice.unit = unit_of(value)
        elif name == "M":
            voice.set_meter(meter_of(value))
        elif name == "Q":
            qpm = tempo_of(value, voice.unit)
            if qpm is not None:
                voice.measure.tempi[voice.at] = qpm
        elif name == "P":
            if voice.at:
                raise Unreadable("a part (P:) begins inside a bar")
            self._starts.setdefault(value, len(voice.measures))
        return voice

    def _music(self, text: str, number: int) -> None:
        voice = self._present()
        if not self._goes_on:
            voice.line_notes, voice.verse = [], 0
        self._goes_on = text.endswith("\\")
        take_line(voice, text, number, self._inline)

    def _played(self, measures: tuple[Measure, ...], path: str) -> tuple[tuple[int, int], ...] | None:
        """The order of the parts where header and tune name them; each with its own repeats."""
        if not self._order or not self._starts:
            return None
        starts = sorted(set(self._starts.values()))
        ends = dict(zip(starts, [*starts[1:], len(measures)], strict=True))
        found = [] if starts[0] == 0 else sung_order(measures[: starts[0]], path)
        for label in self._order:
            if label not in self._starts:
                raise ScoreError(f"P: plays a part {label!r} that the tune does not have", path, _AGAIN)
            first = self._starts[label]
            found += [(index + first, time) for index, time in sung_order(measures[first : ends[first]], path)]
            if len(found) > MOST_BARS:
                raise ScoreError(f"with its parts the tune has more than {MOST_BARS} bars", path, "play fewer parts")
        return tuple(found)


def _merged(voices: list[Voice], path: str) -> tuple[Measure, ...]:
    """The measures of all voices as one row; bars must be as long, and as many, in each. Raises ScoreError."""
    first = voices[0]
    for voice in voices[1:]:
        own_name, other_name = voice.name or voice.label, first.name or first.label
        if len(voice.measures) != len(first.measures):
            raise ScoreError(
                f"the voice {own_name} has {bars_words(len(voice.measures))}, {other_name} has {len(first.measures)}",
                path,
                "write as many bars in every voice; z is a rest",
            )
        for number, (own, other) in enumerate(zip(voice.measures, first.measures, strict=True), start=1):
            if own.filled != other.filled:
                raise ScoreError(
                    f"bar {number} of the voice {own_name} is not as long as that of {other_name}",
                    own.where(path, number),
                    "make their note lengths add up alike",
                )
    found = []
    for row in zip(*(voice.measures for voice in voices), strict=True):
        whole = row[0]
        for measure in row[1:]:
            whole.meter = whole.meter or measure.meter
            whole.unmetered |= measure.unmetered
            whole.keys = measure.keys | whole.keys
            whole.tempi = measure.tempi | whole.tempi
            whole.repeat_from |= measure.repeat_from
            whole.repeat_times = max(whole.repeat_times, measure.repeat_times)
            whole.ending_starts = whole.ending_starts or measure.ending_starts
            whole.ending_stops |= measure.ending_stops
            whole.segno |= measure.segno
            whole.coda |= measure.coda
            whole.to_coda |= measure.to_coda
            whole.fine |= measure.fine
            whole.jump = whole.jump or measure.jump
            whole.leaves_at = max(whole.leaves_at, measure.leaves_at)
            whole.notes += measure.notes
        found.append(whole)
    return tuple(found)
