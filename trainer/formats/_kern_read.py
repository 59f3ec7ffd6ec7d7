"""Reads Humdrum kern line by line into measures. Every complaint names the line and its spine.

Conventions: the time of a line is where the first of the notes that sound comes to its end; a token that stands in a line begins there.
"""

from __future__ import annotations

from trainer.errors import ScoreError
from trainer.formats import MOST_BARS
from trainer.formats._assembled import score_of
from trainer.formats._kern_order import Sections
from trainer.formats._kern_spines import Path, Spine, moved, moves_paths
from trainer.formats._kern_token import Token, token_of
from trainer.formats._kern_words import (
    CODES,
    bar_line,
    is_unmetered,
    key_of,
    meter_of,
    signature_of,
    syllable,
    tempo_of,
)
from trainer.formats._text import decoded_old
from trainer.formats._written import LONGEST_MEASURE, Document, Measure, Ticks, Unreadable, Written
from trainer.score.model import Key, Score
from trainer.score.time import Meter

_UNEVEN = "the note values of the spines do not add up"
_AGAIN = "look at that line in a text editor, or export the file again"


def read(content: bytes, path: str) -> Score:
    """The score in kern. Raises ScoreError only."""
    reader = _Reader()
    number = 0
    for number, line in enumerate(decoded_old(content, path).splitlines(), start=1):
        try:
            reader.take(line, number)
        except Unreadable as err:
            shown = line.expandtabs(4)
            raise ScoreError(str(err), f"{path}, line {number}:  {shown[:100]}", _AGAIN) from err
    if not reader.spines:
        raise ScoreError("the file holds no spine of notes (**kern)", path, "give a file in Humdrum kern")
    if reader.paths:
        raise ScoreError(
            "the file ends before its spines do (no *- in any line), so a part of it is missing",
            f"{path}, line {number}",
            "fetch or export the file again",
        )
    return score_of(reader.document(path), path)


class _Reader:
    """Everything that is known up to the present line."""

    def __init__(self) -> None:
        self.paths: list[Path] = []
        self.spines: list[Spine] = []
        self._measures: list[Measure] = []
        self._measure = Measure()
        self._by_spine: list[dict[int, list[Written]]] = []
        self._notes: dict[int, list[Written]] = {}
        self._start: Ticks = 0
        self._clock: Ticks = 0
        self._meter: Meter | None = None
        self._key = Key(0)
        self._sections = Sections()
        self._titles: dict[str, str] = {}
        self._grace_notes = 0

    def take(self, line: str, number: int) -> None:
        """Read one line. Raises Unreadable."""
        if not line.strip():
            return
        if line.startswith("!"):
            self._record(line)
            return
        tokens = line.split("\t")
        if line.startswith("**") and not self.paths:
            self._begin(tokens)
            return
        if len(tokens) != len(self.paths):
            raise Unreadable(f"the line has {len(tokens)} columns, and there are {len(self.paths)} spines")
        if tokens[0].startswith("="):
            self._bar(tokens[0], number)
        elif tokens[0].startswith("*"):
            self._interpret(tokens)
        else:
            self._sound(tokens, number)

    def document(self, path: str) -> Document:
        """What was read. Raises ScoreError."""
        self._close_measure()
        parts = list(reversed(self.spines))
        for measure, notes in zip(self._measures, self._by_spine, strict=True):
            measure.notes = [notes.get(id(spine), []) for spine in parts]
        title = ", ".join(self._titles[key] for key in ("OPR", "OTL") if key in self._titles)
        remarks = [f"{self._grace_notes} grace notes left out"] if self._grace_notes else []
        empty = [spine.name or spine.code or "a spine" for spine in parts if not spine.notes]
        if empty and len(empty) < len(parts):
            remarks.append(f"{', '.join(empty)} left out: no notes in it")
        return Document(
            title,
            tuple(spine.name or CODES.get(spine.code, spine.code) for spine in parts),
            tuple(self._measures),
            tuple(remarks),
            order=self._sections.order(self._measures, path),
        )

    def _record(self, line: str) -> None:
        if line.startswith("!!!"):
            key, colon, value = line[3:].partition(":")
            if colon and value.strip():
                self._titles.setdefault(key.partition("@")[0].strip(), " ".join(value.split()))

    def _begin(self, tokens: list[str]) -> None:
        if self.spines:
            raise Unreadable("a second piece begins here; a file holds one")
        if not all(token.startswith("**") for token in tokens):
            raise Unreadable("not every spine says what it holds (**kern)")
        self.paths = [Path(Spine(token)) for token in tokens]
        self.spines = [path.spine for path in self.paths if path.is_kern]

    def _interpret(self, tokens: list[str]) -> None:
        if moves_paths(tokens):
            self.paths = moved(self.paths, tokens)
            for column, path in enumerate(self.paths):
                if path.is_kern and path.spine not in self.spines:
                    left = [other.spine for other in self.paths[:column] if other.is_kern]
                    at = max((index for index, spine in enumerate(self.spines) if spine in left), default=-1)
                    self.spines.insert(at + 1, path.spine)
            return
        for path, said in zip(self.paths, tokens, strict=True):
            if path.is_kern and said != "*":
                self._interpret_one(path.spine, said)

    def _interpret_one(self, spine: Spine, token: str) -> None:
        at = self._clock - self._start
        meter, signature, key, qpm = meter_of(token), signature_of(token), key_of(token), tempo_of(token)
        if meter is not None:
            self._meter = meter
        elif is_unmetered(token):
            self._measure.unmetered = True
        elif signature is not None:
            self._key = Key(signature, self._key.mode)
            self._measure.keys.setdefault(at, self._key)
        elif key is not None:
            mode, fifths = key
            known = self._measure.keys.get(at)
            self._key = Key(known.fifths if known else fifths, mode)
            self._measure.keys[at] = self._key
        elif qpm is not None:
            self._measure.tempi.setdefault(at, qpm)
        elif token.startswith('*I"'):
            spine.name = spine.name or " ".join(token[3:].split())
        elif token.startswith("*I:"):
            spine.name = spine.name or " ".join(token[3:].strip("[] ").split()).lower()
        elif token.startswith("*I") and token[2:3].islower():
            spine.code = spine.code or token[2:]
        elif token.startswith("*>"):
            if at > 0 and not self._sections.is_list(token):
                self._close_measure()
            self._sections.take(token, len(self._measures))

    def _bar(self, token: str, number: int) -> None:
        line = bar_line(token)
        self._close_measure()
        if line.repeat_ends and self._measures:
            self._measures[-1].repeat_times = 2
        self._measure.repeat_from |= line.repeat_begins
        self._measure.printed = line.printed or self._measure.printed
        self._measure.line = number

    def _close_measure(self) -> None:
        """Put the present measure away, if anything sounds in it, and begin the next."""
        filled = self._clock - self._start
        if filled <= 0:
            return
        self._measure.filled = filled
        self._measures.append(self._measure)
        self._by_spine.append(self._notes)
        if len(self._measures) > MOST_BARS:
            raise Unreadable(f"there are more than {MOST_BARS} measures")
        self._measure, self._notes, self._start = Measure(), {}, self._clock

    def _sound(self, tokens: list[str], number: int) -> None:
        begun: dict[int, list[Token]] = {}
        for column, (path, text) in enumerate(zip(self.paths, tokens, strict=True)):
            if path.is_kern and text != ".":
                notes = self._chord(text, column)
                if notes:
                    begun[column] = notes
        if not begun:
            return  # grace notes, or signs of another spine between two notes
        if self._meter is not None:
            if self._clock != self._start:
                raise Unreadable("the meter changes inside a measure")
            self._measure.meter, self._meter = self._meter, None
        self._measure.line = self._measure.line or number
        now = self._clock
        for column, path in enumerate(self.paths):
            if column in begun:
                if path.end > now:
                    raise Unreadable(f"spine {column + 1} begins a note while its last one still sounds: {_UNEVEN}")
                self._begin_note(path, begun[column], self._lyrics(column, tokens), number)
            elif path.is_kern and path.end <= now and not path.fresh:
                raise Unreadable(f"spine {column + 1} has nothing here, and its last note has ended: {_UNEVEN}")
        self._clock = min(path.end for path in self.paths if path.is_kern and path.end > now)
        if self._clock - self._start > LONGEST_MEASURE:
            raise Unreadable("the measure is longer than any meter: bar lines (=) are missing")

    def _chord(self, text: str, column: int) -> list[Token]:
        """The notes of one token that take time."""
        found: list[Token] = []
        for part in text.split(" "):
            if not part:
                continue
            try:
                token = token_of(part)
            except Unreadable as err:
                raise Unreadable(f"spine {column + 1}: {err}") from err
            if token.grace:
                self._grace_notes += 1
            elif token.length is None and not found:
                raise Unreadable(f"spine {column + 1}: {part[:20]!r} has no note value")
            else:
                found.append(token)
        return found

    def _begin_note(self, path: Path, chord: list[Token], lyrics: tuple[tuple[str, str], ...], number: int) -> None:
        length = chord[0].length or 0
        written = self._notes.setdefault(id(path.spine), [])
        at, voice = self._clock - self._start, str(path.voice)
        for token in chord:
            if token.pitch is None:
                continue
            path.spine.notes += 1
            note = Written(at, length if token.length is None else token.length, token.pitch, voice=voice, line=number)
            note.tie_from_before, note.tie_on, note.breath = token.tie_from_before, token.tie_on, token.breath
            note.lyrics = lyrics
            written.append(note)
        path.end, path.fresh = self._clock + length, False

    def _lyrics(self, column: int, tokens: list[str]) -> tuple[tuple[str, str], ...]:
        """The syllables in the text spines to the right of a column, up to the next notes."""
        found: list[tuple[str, str]] = []
        for path, token in zip(self.paths[column + 1 :], tokens[column + 1 :], strict=True):
            if path.is_kern:
                break
            if path.spine.kind in ("**text", "**silbe", "**lyrics") and syllable(token):
                found.append((str(len(found) + 1), syllable(token)))
        return tuple(found)
