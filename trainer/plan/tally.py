"""How many exercises are written, correct, sung and keyed, by species, parts and mode, against a custom of fifteen to twenty of each.

An exercise is counted once, whatever its versions. A line is sung when a whole take of it was clean in full company without the guide,
and an exercise when all its lines are; keyed likewise. Fifteen to twenty of each species is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from trainer.log.history import LineTaken, Version
from trainer.log.outcome import CHORDS, Music
from trainer.plan.returns import counts
from trainer.score.sameness import shared_bars

CUSTOM = (15, 20)
OWN, LIBRARY = "own", "library"


@dataclass(frozen=True, slots=True)
class Written:
    """One exercise that there is, sung or not.

    Parameters
    ----------
    music : Music
    correct : str
        "yes", "no", or "" where nobody asked.
    origin : str
        "own" or "library".
    exercise : int or None
        In the history; None when it was never sung.
    """

    music: Music
    correct: str
    origin: str
    exercise: int | None = None


@dataclass(frozen=True, slots=True)
class LineTally:
    """One line of one exercise: whether it is sung, and keyed, clean."""

    line: int
    voice: str
    sung: str
    keyed: str


@dataclass(frozen=True, slots=True)
class ExerciseTally:
    """One exercise with what became of its lines; *lines* has those that were ever tried."""

    written: Written
    lines: tuple[LineTally, ...]

    def lines_done(self, source: str) -> int:
        """How many of its lines are clean, "sung" or "keyed"."""
        return sum((one.sung if source == "sung" else one.keyed) == "clean" for one in self.lines)

    def done(self, source: str) -> str:
        """Whether all its lines are: "clean", else ""."""
        return "clean" if self.lines_done(source) >= self.written.music.parts else ""


@dataclass(frozen=True, slots=True)
class Cell:
    """Exercises of one kind: how many there are, are correct (None where none was checked), sung and keyed in all voices, and lines.

    *voices* has a row a voice that was ever held or keyed clean: its name, and in how many exercises it is sung, and keyed.
    """

    origin: str
    species: str
    parts: int
    mode: str
    written: int
    correct: int | None
    sung: int
    keyed: int
    lines: int
    lines_sung: int
    lines_keyed: int
    voices: tuple[tuple[str, int, int], ...] = ()


def exercise_tallies(written: Iterable[Written], taken: Sequence[LineTaken]) -> list[ExerciseTally]:
    """Every exercise with its lines."""
    marks: dict[int, dict[int, dict[str, str]]] = {}
    voices: dict[tuple[int, int], str] = {}
    for one in taken:
        mine = marks.setdefault(one.exercise, {}).setdefault(one.line, {})
        voices[one.exercise, one.line] = one.voice
        if counts(one) and one.mark == "clean":
            mine[one.source] = "clean"
    found = []
    for one_written in written:
        number = one_written.exercise
        lines = marks.get(number, {}) if number is not None else {}
        found.append(
            ExerciseTally(
                one_written,
                tuple(
                    LineTally(line, voices[number, line], told.get("sung", ""), told.get("keyed", ""))
                    for line, told in sorted(lines.items())
                    if number is not None
                ),
            )
        )
    return found


def sung_exercises(
    versions: Sequence[Version], titles: frozenset[str], shipped_bars: frozenset[str] = frozenset()
) -> list[Written]:
    """The exercises of the history, each by its latest version that is a whole; *titles* are those of the library, in small letters.

    What the library ships is correct (its tests check every exercise): so is one of which each bar is among *shipped_bars*, named by
    their music. Of an edited one nobody has asked.
    """
    latest: dict[int, Version] = {}
    for version in versions:
        before = latest.get(version.exercise)
        if version.music.species != CHORDS and (before is None or not _inside(before, version)):
            latest[version.exercise] = version
    library = {version.exercise for version in versions if version.music.title.lower() in titles}
    return [
        Written(
            version.music,
            "yes" if number in library and shipped_bars.issuperset(bar.digest for bar in version.bars) else "",
            LIBRARY if number in library else OWN,
            number,
        )
        for number, version in sorted(latest.items())
    ]


def _inside(whole: Version, other: Version) -> bool:
    """Whether the other is only some bars of the whole, as they were drilled."""
    return len(other.bars) < len(whole.bars) and shared_bars(whole.bars, other.bars) == len(other.bars)


def cells(tallies: Iterable[ExerciseTally]) -> list[Cell]:
    """One cell a kind, own work first, by species, parts and mode; kinds of which there is nothing are left out."""
    by_kind: dict[tuple[str, str, int, str], list[ExerciseTally]] = {}
    for one in tallies:
        music = one.written.music
        by_kind.setdefault((one.written.origin, music.species, music.parts, music.mode), []).append(one)
    return [
        _cell(kind, mine) for kind, mine in sorted(by_kind.items(), key=lambda item: (item[0][0] != OWN, item[0][1:]))
    ]


def _cell(kind: tuple[str, str, int, str], mine: Sequence[ExerciseTally]) -> Cell:
    origin, species, parts, mode = kind
    return Cell(
        origin,
        species,
        parts,
        mode,
        written=len(mine),
        correct=sum(one.written.correct == "yes" for one in mine) if any(one.written.correct for one in mine) else None,
        sung=sum(one.done("sung") == "clean" for one in mine),
        keyed=sum(one.done("keyed") == "clean" for one in mine),
        lines=parts * len(mine),
        lines_sung=sum(one.lines_done("sung") for one in mine),
        lines_keyed=sum(one.lines_done("keyed") for one in mine),
        voices=_by_voice(mine),
    )


def _by_voice(mine: Sequence[ExerciseTally]) -> tuple[tuple[str, int, int], ...]:
    """Voices from the top with how often each is sung, and keyed."""
    found: dict[tuple[int, str], list[int]] = {}
    for one in (line for exercise in mine for line in exercise.lines):
        counts_of = found.setdefault((one.line, one.voice), [0, 0])
        counts_of[0] += one.sung == "clean"
        counts_of[1] += one.keyed == "clean"
    return tuple((voice, sung, keyed) for (_, voice), (sung, keyed) in sorted(found.items()) if sung or keyed)
