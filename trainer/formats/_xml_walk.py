"""Walks the measures of MusicXML in written order: what stands where in each, for every part.

The first part that says something about meter, key, tempo or repeats speaks for all.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from trainer.errors import ScoreError
from trainer.formats import MOST_BARS
from trainer.formats._written import Document, Measure, Ticks, Unreadable, Written
from trainer.formats._xml_head import facts_of, part_names, title_of
from trainer.formats._xml_jumps import mark_jumps
from trainer.formats._xml_note import (
    duration,
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
MOST_SIGNS = 7


@dataclass(slots=True)
class _Part:
    """Running state of one part."""

    index: int
    name: str
    divisions: Fraction = Fraction(1)
    transpose: Interval = AS_WRITTEN
    meter: Meter | None = None
    grace_notes: int = 0
    cue_notes: int = 0
    notes: int = 0
    measures: int = 0


def document_of(root: Element, path: str) -> Document:
    """Every measure of a partwise or timewise score. Raises ScoreError."""
    names = part_names(root)
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
        part.measures = len(table[key])
        for index, (_, content) in enumerate(table[key]):
            try:
                _walk(part, measures[index], content)
            except Unreadable as err:
                raise ScoreError(
                    f"part {part.name or part.index + 1} holds what cannot be sung: {err}",
                    measures[index].where(path, index + 1),
                    "take it out in the program that made the file, and export again",
                ) from err
    return Document(
        title_of(root), tuple(part.name for part in parts), measures, _remarks(parts, measures), facts_of(root)
    )


def _remarks(parts: list[_Part], measures: tuple[Measure, ...]) -> tuple[str, ...]:
    """What had to be left out, and which parts end early."""
    counted = (
        (sum(part.grace_notes for part in parts), "grace notes"),
        (sum(part.cue_notes for part in parts), "cue notes"),
    )
    empty = [part.name or f"part {part.index + 1}" for part in parts if not part.notes]
    left_out = [f"{count} {kind} left out" for count, kind in counted if count]
    if empty and len(empty) < len(parts):
        left_out.append(f"{', '.join(empty)} left out: no notes in it")
    left_out += [
        f"{part.name or f'part {part.index + 1}'} has {part.measures} of {len(measures)} measures"
        for part in parts
        if part.notes and part.measures < len(measures)
    ]
    return tuple(left_out)


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
    at: Ticks = 0
    before: Ticks = 0
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
                notes.append(_note(element, part, onset, length))
            if not chord:
                before, at = at, at + length
        elif tag in ("backup", "forward"):
            step = duration(element.findtext("duration"), part.divisions)
            at = max(at - step, 0) if tag == "backup" else at + step
        elif tag == "attributes":
            _attributes(part, measure, element, at)
        elif tag in ("direction", "sound"):
            _tempo(measure, element, at)
            measure.mark = measure.mark or _mark(element)
            mark_jumps(measure, element, at)
        elif tag == "barline":
            _barline(measure, element)
        measure.filled = max(measure.filled, at)
    part.notes += len(notes)
    measure.notes[part.index] = notes


def _note(element: Element, part: _Part, at: Ticks, length: Ticks) -> Written:
    ties = [tie.get("type") for tie in element.findall("tie")]
    return Written(
        at,
        length,
        pitch_of(element, part.transpose),
        (element.findtext("staff") or "1").strip(),
        (element.findtext("voice") or "1").strip(),
        "stop" in ties,
        "start" in ties,
        any(
            mark.tag in ("breath-mark", "caesura")
            for marks in element.iterfind("notations/articulations")
            for mark in marks
        ),
        lyrics_of(element),
    )


def _attributes(part: _Part, measure: Measure, element: Element, at: Ticks) -> None:
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
    if time is not None:
        _meter(part, measure, meter_of(time), at)


def _meter(part: _Part, measure: Measure, meter: Meter | None, at: Ticks) -> None:
    if at > 0 and meter != part.meter:
        raise Unreadable("a change of meter inside a measure")
    part.meter = meter
    if measure.meter is None and at == 0:
        measure.meter = meter
        measure.unmetered = meter is None


def _key(element: Element, transpose: Interval) -> Key:
    """The signature as it sounds; one of more than seven signs as the same sounds with fewer."""
    octaves = transpose.diatonic // 7
    within = Interval(transpose.diatonic - 7 * octaves, transpose.semitones - 12 * octaves)
    moved = line_of_fifths(Pitch("C", 0, 4).transposed(within))
    fifths = whole(element.findtext("fifths"), "key signature")
    mode = (element.findtext("mode") or "").strip().lower()
    if abs(fifths) > 11:
        raise Unreadable("a key signature of more than eleven signs")
    sounding = (fifths + moved + MOST_SIGNS) % 12 - MOST_SIGNS if abs(fifths + moved) > MOST_SIGNS else fifths + moved
    return Key(sounding, "" if mode == "none" else mode)


def _tempo(measure: Measure, element: Element, at: Ticks) -> None:
    qpm = tempo_of(element)
    if qpm is not None:
        measure.tempi.setdefault(at, qpm)


def _mark(element: Element) -> str:
    """The rehearsal mark of a direction, "" for none; commas and blanks would part it from its bar."""
    return "".join((element.findtext("direction-type/rehearsal") or "").replace(",", "").split())


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
