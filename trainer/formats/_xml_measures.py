"""Walks the measures of MusicXML in written order: what stands where in each, for every part.

Conventions: places are quarters from the start of the measure. The first part that says something about meter, key, tempo or
repeats speaks for all.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING

from trainer.errors import ScoreError
from trainer.formats import MOST_BARS
from trainer.formats._xml_note import (
    Unreadable,
    Written,
    length_of,
    lyrics_of,
    meter_of,
    number,
    pitch_of,
    tempo_of,
    transpose_of,
    whole,
)
from trainer.score.model import Key
from trainer.score.pitch import Interval, Pitch, line_of_fifths
from trainer.score.time import Meter

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

AS_WRITTEN = Interval(0, 0)

_GOING = ("dacapo", "dalsegno", "tocoda", "fine")


@dataclass(slots=True)
class Measure:
    """One written measure of all parts."""

    printed: str
    implicit: bool
    meter: Meter | None = None
    keys: dict[Fraction, Key] = field(default_factory=dict)
    tempi: dict[Fraction, Fraction] = field(default_factory=dict)
    filled: Fraction = Fraction(0)
    repeat_from: bool = False
    repeat_times: int = 0
    ending_starts: tuple[int, ...] = ()
    ending_stops: bool = False
    notes: list[list[Written]] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Document:
    """Part names, the measures in written order, and what had to be left out."""

    part_names: tuple[str, ...]
    measures: tuple[Measure, ...]
    grace_notes: int
    cue_notes: int


@dataclass(slots=True)
class _Part:
    """Running state of one part."""

    index: int
    name: str
    divisions: Fraction = Fraction(1)
    transpose: Interval = AS_WRITTEN
    grace_notes: int = 0
    cue_notes: int = 0


def document_of(root: Element, path: str) -> Document:
    """Every measure of a partwise or timewise score. Raises ScoreError."""
    names = {
        part.get("id", ""): " ".join((part.findtext("part-name") or "").split()) for part in root.iter("score-part")
    }
    order, table = _by_part(root)
    if not order:
        raise ScoreError("the MusicXML file has no part", path, "export it again with at least one voice")
    count = max(len(table[part]) for part in order)
    if count > MOST_BARS:
        raise ScoreError(f"the MusicXML file has more than {MOST_BARS} measures", path, "cut it to the exercise")
    first = table[max(order, key=lambda part: len(table[part]))]
    measures = tuple(
        Measure(" ".join(measure.get("number", "").split()), measure.get("implicit") == "yes") for measure, _ in first
    )
    parts = [_Part(index, names.get(part, "")) for index, part in enumerate(order)]
    for part, key in zip(parts, order, strict=True):
        for index, (_, content) in enumerate(table[key]):
            try:
                _walk(part, measures[index], content)
            except Unreadable as err:
                raise ScoreError(
                    f"heldline cannot sing {err} in part {part.name or part.index + 1!r}",
                    f"{path}, measure {measures[index].printed or index + 1}",
                    "take it out in the program that made the file, and export again",
                ) from err
    return Document(
        tuple(part.name for part in parts),
        measures,
        sum(part.grace_notes for part in parts),
        sum(part.cue_notes for part in parts),
    )


def _by_part(root: Element) -> tuple[list[str], dict[str, list[tuple[Element, Element]]]]:
    """Part ids in order, and for each its (measure, content); the content holds the notes."""
    table: dict[str, list[tuple[Element, Element]]] = {}
    if root.tag == "score-partwise":
        for number_, part in enumerate(root.findall("part")):
            key = part.get("id") or str(number_)
            table.setdefault(key, []).extend((measure, measure) for measure in part.findall("measure"))
    else:
        for measure in root.findall("measure"):
            for number_, part in enumerate(measure.findall("part")):
                table.setdefault(part.get("id") or str(number_), []).append((measure, part))
    return [key for key, measures in table.items() if measures], table


def _walk(part: _Part, measure: Measure, content: Element) -> None:
    at = Fraction(0)
    before = Fraction(0)
    notes: list[Written] = []
    measure.notes.extend([] for _ in range(part.index + 1 - len(measure.notes)))
    for element in content:
        tag = element.tag
        if tag == "note":
            if element.find("grace") is not None:
                part.grace_notes += 1
                continue
            length = length_of(element, part.divisions)
            chord = element.find("chord") is not None
            onset = before if chord else at
            if element.find("cue") is not None:
                part.cue_notes += 1
            elif element.find("rest") is None and length > 0:
                notes.append(_note(element, part, onset, length, chord=chord))
            if not chord:
                before, at = at, at + length
        elif tag in ("backup", "forward"):
            step = number(element.findtext("duration"), "duration") / part.divisions
            at = max(at - step, Fraction(0)) if tag == "backup" else at + step
        elif tag == "attributes":
            _attributes(part, measure, element, at)
        elif tag in ("direction", "sound"):
            _direction(measure, element, at)
        elif tag == "barline":
            _barline(measure, element)
        measure.filled = max(measure.filled, at)
    measure.notes[part.index] = notes


def _note(element: Element, part: _Part, at: Fraction, length: Fraction, *, chord: bool) -> Written:
    ties = {tie.get("type") for tie in element.findall("tie")}
    return Written(
        at=at,
        length=length,
        pitch=pitch_of(element, part.transpose),
        staff=(element.findtext("staff") or "1").strip(),
        voice=(element.findtext("voice") or "1").strip(),
        with_before=chord,
        tie_from_before="stop" in ties,
        tie_on="start" in ties,
        breath=any(mark.tag in ("breath-mark", "caesura") for marks in element.iter("articulations") for mark in marks),
        lyrics=lyrics_of(element),
    )


def _attributes(part: _Part, measure: Measure, element: Element, at: Fraction) -> None:
    divisions = element.findtext("divisions")
    if divisions is not None:
        part.divisions = number(divisions, "number of divisions")
        if part.divisions <= 0:
            raise Unreadable("a measure without divisions")
    if element.find("measure-style/measure-repeat") is not None or element.find("measure-style/slash") is not None:
        raise Unreadable("a measure whose notes are not written out (a repeat or slash sign)")
    transpose = element.find("transpose")
    if transpose is not None:
        part.transpose = transpose_of(transpose)
    key = element.find("key")
    if key is not None and key.findtext("fifths") is not None and at not in measure.keys:
        measure.keys[at] = _key(key, part.transpose)
    time = element.find("time")
    if time is not None and measure.meter is None and at == 0:
        measure.meter = meter_of(time)


def _key(element: Element, transpose: Interval) -> Key:
    """The signature as it sounds."""
    moved = line_of_fifths(Pitch("C", 0, 4).transposed(Interval(transpose.diatonic % 7, transpose.semitones % 12)))
    fifths = whole(element.findtext("fifths"), "key signature")
    mode = (element.findtext("mode") or "").strip().lower()
    if abs(fifths) > 11:
        raise Unreadable("a key signature of more than eleven signs")
    return Key(fifths + moved, "" if mode == "none" else mode)


def _direction(measure: Measure, element: Element, at: Fraction) -> None:
    qpm = tempo_of(element)
    if qpm is not None:
        measure.tempi.setdefault(at, qpm)
    for sound in [element] if element.tag == "sound" else element.findall("sound"):
        going = [name for name in _GOING if sound.get(name)]
        if going:
            raise Unreadable(f"a jump ({going[0]})")


def _barline(measure: Measure, element: Element) -> None:
    repeat = element.find("repeat")
    if repeat is not None:
        if element.get("location") == "middle":
            raise Unreadable("a repeat sign inside a measure")
        if repeat.get("direction") == "forward":
            measure.repeat_from = True
        else:
            measure.repeat_times = max(2, whole(repeat.get("times") or "2", "number of times"))
    ending = element.find("ending")
    if ending is not None:
        if ending.get("type") == "start":
            measure.ending_starts = tuple(_ending_numbers(ending.get("number") or "1"))
        else:
            measure.ending_stops = True


def _ending_numbers(text: str) -> Iterator[int]:
    for word in text.replace(",", " ").split():
        yield whole(word.rstrip("."), "ending")
