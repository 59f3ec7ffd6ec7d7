"""Parallels of a four-part chorale of the music21 package, by our rules and by music21's VoiceLeadingQuartet, place by place.

Both read the same file in place, each with its own reader; nothing of it is copied or kept. Ours are the findings of a check with the
species free: parallel-fifth, parallel-octave, parallel-unison, antiparallel-fifth, antiparallel-octave. Theirs are the answers of
``parallelFifth``, ``parallelOctave``, ``parallelUnison`` and ``contraryMotion`` for every two voices at every moment where both move
(onsets of either voice, ties merged). A place where the two differ is of one of the kinds below, which follow from what the library
documents and does (music21 10, read by its behaviour), or it is unexplained.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations, pairwise
from pathlib import Path
from typing import Any

from written_music import midi_of

RULES = {
    "parallel-fifth": ("similar", 5),
    "parallel-octave": ("similar", 8),
    "parallel-unison": ("similar", 8),
    "antiparallel-fifth": ("contrary", 5),
    "antiparallel-octave": ("contrary", 8),
}
CHORALES = 365
"""Files of the corpus (music21 9.3 to 10.5) whose parts are the four voices."""

KINDS = {
    "repeat": "we sing a written repeat, they read the page once: the join from its end to its beginning",
    "octave and unison": "the same way between octave and unison: theirs answers no, since the intervals differ",
    "crossed": "voices crossed at one of the two moments: theirs takes intervals without direction",
}


@dataclass(frozen=True, slots=True)
class Place:
    """Where a pair goes to: printed bar, quarters into it, upper and lower voice from 0, motion and interval (5 or 8)."""

    bar: str
    into_quarters: Fraction
    upper: int
    lower: int
    motion: str
    interval: int


def chorales() -> list[Path]:
    """Files of the corpus that may be such chorales."""
    from music21 import corpus

    return sorted(path for path in corpus.getComposer("bach") if path.suffix in (".mxl", ".xml"))


def is_satb(names: list[str]) -> bool:
    """Whether the parts are the four voices by name."""
    return [name.strip().lower() for name in names] == ["soprano", "alto", "tenor", "bass"]


def ours(score: Any, report: Any) -> tuple[dict[Place, Any], set[Place]]:
    """Our findings by their printed places, and those of them that stand at a join that only a repeat makes."""
    bars = score.bars().bars
    by_number = {bar.number: index for index, bar in enumerate(bars)}
    found: dict[Place, Any] = {}
    joins: set[Place] = set()
    for one in report.findings:
        if one.rule not in RULES or one.case.startswith("diminished"):
            continue
        bar = bars[by_number[one.to_bar]]
        into = quarters(score, one.to_bar, one.to_beat) - bar.onset_quarters
        place = Place(bar.printed, into, *one.voices, *RULES[one.rule])
        found[place] = one
        if is_join(bars, by_number[one.bar], by_number[one.to_bar]):
            joins.add(place)
    return found, joins


def quarters(score: Any, number: int, beat: Fraction) -> Fraction:
    """Onset of a bar's beat: the inverse of what ``Bars.place`` tells."""
    bar = next(bar for bar in score.bars().bars if bar.number == number)
    into = (beat - 1) * bar.meter.beat_quarters
    # a pickup's beats count up to the bar line
    short = bar.meter.bar_quarters - bar.length_quarters if number == 0 else Fraction(0)
    return bar.onset_quarters + into - short


def is_join(bars: Any, before: int, after: int) -> bool:
    """Whether two bars sung one after the other are not neighbours on the page."""
    page = list(dict.fromkeys(bar.printed for bar in bars))
    return any(
        page.index(second.printed) not in (page.index(first.printed), page.index(first.printed) + 1)
        for first, second in pairwise(bars[before : after + 1])
    )


def theirs(parts: Any) -> Iterator[tuple[Place, bool]]:
    """Their answers place by place, and whether the voices are crossed at either moment."""
    from music21.voiceLeading import VoiceLeadingQuartet

    lines = [list(part.stripTies().flatten().notes) for part in parts]
    measures = [(one.offset, f"{one.number}{one.numberSuffix or ''}") for one in parts[0].getElementsByClass("Measure")]
    for upper, lower in combinations(range(4), 2):
        for at, (a, b), (c, d) in both_move(lines[upper], lines[lower]):
            quartet = VoiceLeadingQuartet(a, b, c, d)
            octave = quartet.parallelOctave() or quartet.parallelUnison()
            interval = 5 if quartet.parallelFifth() else 8 if octave else 0
            if interval:
                start, printed = max((one for one in measures if one[0] <= at), key=lambda one: one[0])
                motion = "contrary" if quartet.contraryMotion() else "similar"
                crossed = a.pitch.ps < c.pitch.ps or b.pitch.ps < d.pitch.ps
                yield Place(printed, Fraction(at) - Fraction(start), upper, lower, motion, interval), crossed


def both_move(upper: list[Any], lower: list[Any]) -> Iterator[tuple[Any, tuple[Any, Any], tuple[Any, Any]]]:
    """Every moment at which both voices go to another pitch, with the notes of the slice before and of this."""
    onsets = sorted({note.offset for note in (*upper, *lower)})
    above, below = sounding(upper, onsets), sounding(lower, onsets)
    for index in range(1, len(onsets)):
        a, b, c, d = above[index - 1], above[index], below[index - 1], below[index]
        if None in (a, b, c, d) or a is b or c is d:
            continue
        if a.pitch.ps != b.pitch.ps and c.pitch.ps != d.pitch.ps:
            yield onsets[index], (a, b), (c, d)


def sounding(line: list[Any], onsets: list[Any]) -> list[Any]:
    """The note of a line at each onset, None in a rest."""
    found, place = [], 0
    for onset in onsets:
        while place < len(line) and line[place].offset + line[place].duration.quarterLength <= onset:
            place += 1
        found.append(line[place] if place < len(line) and line[place].offset <= onset else None)
    return found


def kind_of(place: Place, found: dict[Place, Any], joins: set[Place], crossed: bool) -> str:
    """Which kind of difference a place is, "" for none of them."""
    if place in joins:
        return "repeat"
    one = found.get(place)
    if one is not None:
        a, c, b, d = (midi_of(name) for name in one.notes)
        if a < c or b < d:
            return "crossed"
        if one.rule == "parallel-octave" and (a == c) != (b == d):
            return "octave and unison"
    return "crossed" if crossed else ""


@dataclass(frozen=True, slots=True)
class Compared:
    """One chorale: what both found, the differences by kind, processor seconds to read and check, and to read with music21."""

    ours: Counter[tuple[str, int]]
    sung: Counter[tuple[str, int]]
    theirs: Counter[tuple[str, int]]
    kinds: Counter[str]
    unexplained: tuple[Place, ...]
    own_s: float
    music21_s: float


def compare(path: Path) -> Compared | None:
    """None for a file that is no chorale for the four voices."""
    from music21 import converter

    from trainer.errors import ScoreError
    from trainer.formats import read_path
    from trainer.rules.checking import check
    from trainer.rules.ruleset import shipped

    began = time.process_time()
    try:
        score = read_path(path)
    except ScoreError:  # more than eight voices
        return None
    if not is_satb([line.name for line in score.lines]):
        return None
    report = check(score, shipped("conservatoire"), "free")
    own_s = time.process_time() - began
    began = time.process_time()
    parts = converter.parse(path, storePickle=False).parts
    music21_s = time.process_time() - began
    mine, joins = ours(score, report)
    answers = dict(theirs(parts))
    kinds = {
        place: kind_of(place, mine, joins, answers.get(place, False)) for place in set(mine) ^ set(answers) | joins
    }
    return Compared(
        Counter((place.motion, place.interval) for place in set(mine) - joins),
        Counter(RULES[one.rule] for one in report.findings if one.rule in RULES),
        Counter((place.motion, place.interval) for place in answers),
        Counter(kinds.values()),
        tuple(place for place, kind in kinds.items() if not kind),
        own_s,
        music21_s,
    )
