"""A score as MusicXML 4.0, partwise: every bar written out, ties at bar lines and where a length needs two values."""

from __future__ import annotations

import math
import re
from fractions import Fraction
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from trainer.errors import ScoreError
from trainer.formats._xml_head import FACT_PREFIX
from trainer.formats._xml_values import written_values
from trainer.score.model import Key, Line, Note, Score
from trainer.score.time import Bar

DOCTYPE = (
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">'
)
MOST_DIVISIONS = 16383
"""The largest that the standard advises, so that programs with 16-bit durations can read the file."""

_NOT_IN_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")

_CLEFS = ((64, ("G", "2", "")), (55, ("G", "2", "-1")), (0, ("F", "4", "")))
"""From the middle of a line's compass as a MIDI number: treble, treble an octave down, bass."""


def write(score: Score) -> bytes:
    """The bytes of *score*. Raises ScoreError where notation has no value for a length."""
    root = written(score)
    indent(root)
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{DOCTYPE}\n{tostring(root, encoding="unicode")}\n'.encode()


def written(score: Score) -> Element:
    """The document of *score*. Raises ScoreError as ``write`` does."""
    root = Element("score-partwise", version="4.0")
    _text(SubElement(root, "work"), "work-title", score.title)
    identification = SubElement(root, "identification")
    _text(SubElement(identification, "encoding"), "software", "heldline")
    if score.facts:
        miscellaneous = SubElement(identification, "miscellaneous")
        for name, value in score.facts:
            _text(miscellaneous, "miscellaneous-field", value).set("name", FACT_PREFIX + _legal(name))
    part_list = SubElement(root, "part-list")
    for number, line in enumerate(score.lines, start=1):
        _text(SubElement(part_list, "score-part", id=f"P{number}"), "part-name", line.name)
    divisions = _divisions(score)
    tempi = score.tempo.points
    for number, line in enumerate(score.lines, start=1):
        part = SubElement(root, "part", id=f"P{number}")
        try:
            _PartWriter(score, line, divisions, tempi).write(part)
        except ValueError as err:
            raise ScoreError(
                f"MusicXML cannot hold the {line.name}: {err}", score.title, "use plainer note values"
            ) from err
        tempi = ()  # the first part speaks for all
    return root


def _legal(text: str) -> str:
    return _NOT_IN_XML.sub("", text)


def _text(parent: Element, name: str, text: object) -> Element:
    element = SubElement(parent, name)
    element.text = _legal(str(text))
    return element


def _divisions(score: Score) -> int:
    times = [at for at, _ in (*score.meters, *score.keys, *score.tempo.points)] + [score.pickup_quarters]
    times += [meter.bar_quarters for _, meter in score.meters]
    times += [time for line in score.lines for note in line.notes for time in (note.onset_quarters, note.end_quarters)]
    divisions = math.lcm(*(time.denominator for time in times))
    if divisions > MOST_DIVISIONS:
        raise ScoreError(
            "MusicXML cannot hold so fine a mixture of note values", score.title, "use plainer note values"
        )
    return divisions


class _PartWriter:
    """Writes one line, bar by bar."""

    def __init__(self, score: Score, line: Line, divisions: int, tempi: tuple[tuple[Fraction, Fraction], ...]) -> None:
        self._bars = score.bars().bars
        self._keys = score.keys
        self._line = line
        self._divisions = divisions
        self._tempi = tempi
        self._next = 0

    def write(self, part: Element) -> None:
        before: Bar | None = None
        for bar in self._bars:
            measure = SubElement(part, "measure", number=_legal(bar.printed))
            if bar.length_quarters < bar.meter.bar_quarters:
                measure.set("implicit", "yes")
            self._start(measure, bar, before)
            self._notes(measure, bar)
            self._marks_inside(measure, bar)
            before = bar

    def _start(self, measure: Element, bar: Bar, before: Bar | None) -> None:
        attributes = Element("attributes")
        if before is None:
            _text(attributes, "divisions", self._divisions)
        for at, key in self._keys:
            if at == bar.onset_quarters:
                attributes.append(_key(key))
        if before is None or bar.meter != before.meter:
            time = SubElement(attributes, "time")
            _text(time, "beats", bar.meter.beats)
            _text(time, "beat-type", bar.meter.unit)
        if before is None:
            attributes.append(_clef(self._line))
        if len(attributes):
            measure.append(attributes)
        for at, qpm in self._tempi:
            if at == bar.onset_quarters:
                measure.append(_tempo(qpm))

    def _marks_inside(self, measure: Element, bar: Bar) -> None:
        """Changes within the bar, each reached by going back to the bar's start and forward again."""
        start, end = bar.onset_quarters, bar.onset_quarters + bar.length_quarters
        inside: list[tuple[Fraction, Element]] = []
        for at, key in self._keys:
            if start < at < end:
                attributes = Element("attributes")
                attributes.append(_key(key))
                inside.append((at, attributes))
        inside += [(at, _tempo(qpm)) for at, qpm in self._tempi if start < at < end]
        for at, element in inside:
            self._step(measure, "backup", end - at)
            measure.append(element)
            self._step(measure, "forward", end - at)

    def _step(self, measure: Element, way: str, quarters: Fraction) -> None:
        _text(SubElement(measure, way), "duration", self._units(quarters))

    def _units(self, quarters: Fraction) -> int:
        return int(quarters * self._divisions)

    def _notes(self, measure: Element, bar: Bar) -> None:
        start, end = bar.onset_quarters, bar.onset_quarters + bar.length_quarters
        notes = self._line.notes
        while self._next < len(notes) and notes[self._next].end_quarters <= start:
            self._next += 1
        at = start
        for note in notes[self._next :]:
            if note.onset_quarters >= end:
                break
            self._rest(measure, at, max(note.onset_quarters, start), bar)
            self._sung(measure, note, max(note.onset_quarters, start), min(note.end_quarters, end))
            at = min(note.end_quarters, end)
        self._rest(measure, at, end, bar)

    def _rest(self, measure: Element, start: Fraction, end: Fraction, bar: Bar) -> None:
        if end - start == bar.length_quarters:
            element = SubElement(measure, "note")
            SubElement(element, "rest", measure="yes")
            _text(element, "duration", self._units(end - start))
            _text(element, "voice", 1)
            return
        for value in written_values(end - start):
            element = SubElement(measure, "note")
            SubElement(element, "rest")
            _text(element, "duration", self._units(value.quarters))
            _text(element, "voice", 1)
            _value(element, value.name, value.dots, value.tuplet)

    def _sung(self, measure: Element, note: Note, start: Fraction, end: Fraction) -> None:
        at = start
        for value in written_values(end - start):
            stop, go_on = at > note.onset_quarters, at + value.quarters < note.end_quarters
            ways = [way for way, holds in (("stop", stop), ("start", go_on)) if holds]
            element = SubElement(measure, "note")
            pitch = SubElement(element, "pitch")
            _text(pitch, "step", note.pitch.step)
            if note.pitch.alter:
                _text(pitch, "alter", note.pitch.alter)
            _text(pitch, "octave", note.pitch.octave)
            _text(element, "duration", self._units(value.quarters))
            for way in ways:
                SubElement(element, "tie", type=way)
            _text(element, "voice", 1)
            _value(element, value.name, value.dots, value.tuplet)
            notations = Element("notations")
            for way in ways:
                SubElement(notations, "tied", type=way)
            if note.breath_after and not go_on:
                SubElement(SubElement(notations, "articulations"), "breath-mark")
            if len(notations):
                element.append(notations)
            if note.lyric and not stop:
                lyric = SubElement(element, "lyric", number="1")
                _text(lyric, "syllabic", "begin" if note.lyric.endswith("-") else "single")
                _text(lyric, "text", note.lyric.removesuffix("-"))
            at += value.quarters


def _value(element: Element, name: str, dots: int, tuplet: tuple[int, int]) -> None:
    _text(element, "type", name)
    for _ in range(dots):
        SubElement(element, "dot")
    actual, normal = tuplet
    if actual != normal:
        change = SubElement(element, "time-modification")
        _text(change, "actual-notes", actual)
        _text(change, "normal-notes", normal)


def _key(key: Key) -> Element:
    element = Element("key")
    _text(element, "fifths", key.fifths)
    if key.mode:
        _text(element, "mode", key.mode)
    return element


def _clef(line: Line) -> Element:
    element = Element("clef")
    heights = [note.pitch.midi for note in line.notes] or [64]
    middle = (min(heights) + max(heights)) / 2
    sign, staff_line, octave = next(clef for lowest, clef in _CLEFS if middle >= lowest)
    _text(element, "sign", sign)
    _text(element, "line", staff_line)
    if octave:
        _text(element, "clef-octave-change", octave)
    return element


def _tempo(qpm: Fraction) -> Element:
    exact = f"{float(qpm):.6f}".rstrip("0").rstrip(".")
    direction = Element("direction", placement="above")
    metronome = SubElement(SubElement(direction, "direction-type"), "metronome")
    _text(metronome, "beat-unit", "quarter")
    _text(metronome, "per-minute", exact)
    SubElement(direction, "sound", tempo=exact)
    return direction
