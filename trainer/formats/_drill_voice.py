"""Turns the bars of one voice of a drill text into notes."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from trainer.errors import ScoreError
from trainer.formats._drill_lines import Typed
from trainer.formats._drill_meant import note_meant
from trainer.formats._drill_words import BREATH, HOLD, NOTE, REMARK, REST, nearest_octave
from trainer.formats._shares import share_counts
from trainer.score.model import Note, Origin
from trainer.score.pitch import STEPS, Pitch
from trainer.score.time import Bar, Bars

_SIGNS = {"": 0, "#": 1, "##": 2, "b": -1, "bb": -2}


def bar_texts(line: Typed) -> list[str]:
    """The text between the bar lines of one typed line, its remark taken off."""
    body = re.split(rf"\s{REMARK}", line.text, maxsplit=1)[0].rstrip().rstrip("|")
    return body.split("|")[1:]


def voice_notes(name: str, lines: list[Typed], bars: Bars) -> tuple[Note, ...]:
    """The notes of the voice *name*, ties merged. Raises ScoreError.

    Parameters
    ----------
    lines : list of Typed
        Its lines in the order of the file.
    bars : Bars
        At least as many as the lines hold.
    """
    voice = _Voice(name)
    laid = iter(bars.bars)
    for line in lines:
        word = len(line.text.split("|")[0].split())
        for text in bar_texts(line):
            words = text.split()
            voice.take_bar(next(laid), words, line, word)
            word += len(words)
    return tuple(voice.notes)


class _Voice:
    """Gathers notes; remembers the octave and whether the last word can be held."""

    def __init__(self, name: str) -> None:
        self._name = name
        self._before: int | None = None
        self._sounding = False
        self.notes: list[Note] = []

    def take_bar(self, bar: Bar, words: list[str], line: Typed, words_before: int) -> None:
        """Add one bar; *words_before* counts the words of the line in front of it."""
        counts = share_counts(bar)
        if len(words) not in counts:
            raise self._uneven(bar, words, line, counts)
        share = bar.length_quarters / len(words)
        for index, word in enumerate(words):
            pieces = word.split(",")
            for piece, text in enumerate(pieces):
                self._take(
                    text,
                    bar.onset_quarters + index * share + piece * share / len(pieces),
                    share / len(pieces),
                    line,
                    words_before + index + 1,
                )

    def _uneven(self, bar: Bar, words: list[str], line: Typed, counts: tuple[int, ...]) -> ScoreError:
        length = f"{float(bar.length_quarters):g}"
        if not words:
            return line.wrong(
                f"bar {bar.number} of the {self._name} is empty: 0 of {length} quarters",
                f"write {REST} for a bar of rest, {HOLD} to hold the note before",
            )
        there = "1 word" if len(words) == 1 else f"{len(words)} words"
        return line.wrong(
            f"bar {bar.number} of the {self._name} holds {there}, which cannot share its {length} quarters ({bar.meter}) evenly",
            f"write {_either(counts)} words; {HOLD} holds a note for a share more, a comma puts two in one share",
        )

    def _take(self, text: str, onset: Fraction, length: Fraction, line: Typed, word: int) -> None:
        bare = text.removesuffix(BREATH)
        breath = bare != text
        if bare == REST and not breath:
            self._sounding = False
        elif bare == HOLD:
            if not self._sounding:
                raise line.wrong(
                    f"{HOLD} has no note to hold", f"write a note before it, or {REST} for a rest", word=word
                )
            held = self.notes[-1]
            self.notes[-1] = replace(held, length_quarters=held.length_quarters + length, breath_after=breath)
        else:
            pitch = self._pitch(bare, line, word)
            origin = Origin(line.origin.path, line.origin.line, word)
            self.notes.append(Note(onset, length, pitch, breath_after=breath, origin=origin))
            self._sounding = True

    def _pitch(self, text: str, line: Typed, word: int) -> Pitch:
        match = NOTE.match(text.replace("♯", "#").replace("♭", "b"))
        if match is None:
            raise line.wrong(
                f"note {text!r} is not a pitch",
                f"{_guess(text)}use letters A to G, then # or b, then an octave where needed, as in Bb3; "
                f"{REST} is a rest, {HOLD} holds",
                word=word,
            )
        letter, sign, octave = match.groups()
        step = letter.upper()
        if octave is None and self._before is None:
            raise line.wrong(
                f"the first note of the {self._name} has no octave",
                f"write it as in {text}4 (C4 is middle C); later notes take the nearest",
                word=word,
            )
        near = nearest_octave(STEPS.index(step), self._before or 0)
        pitch = Pitch(step, _SIGNS[sign or ""], near if octave is None else int(octave))
        if not 0 <= pitch.midi <= 127:
            raise line.wrong(
                f"{pitch} lies outside what can be sounded", f"{_guess(text)}use octaves 0 to 8", word=word
            )
        self._before = pitch.diatonic
        return pitch


def _guess(text: str) -> str:
    meant = note_meant(text)
    return f"did you mean {meant}?  " if meant else ""


def _either(counts: tuple[int, ...]) -> str:
    return f"{', '.join(map(str, counts[:-1]))} or {counts[-1]}" if len(counts) > 1 else str(counts[0])


def syllables(lines: list[Typed]) -> Iterator[tuple[str, Typed]]:
    """Each word of a ``words:`` header as it is sung, with its line. A rest sign alone is no syllable."""
    for line in lines:
        for word in line.text.split():
            yield ("" if word == REST else re.sub(r"\\(.)|_", lambda m: m[1] or " ", word)), line
