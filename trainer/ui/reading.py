"""The look-through: each own note as it is called, leaps and clashes flagged. Pure; standard library only."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.judge.clash import clashes
from trainer.practice.plan import make_plan
from trainer.practice.settings import Settings
from trainer.score.model import Score
from trainer.score.naming import Names, called
from trainer.score.pitch import Pitch

LEAP_SEMITONES = 5  # a fourth and more; a third is hardly felt as a leap (common practice, no source)


def banner_words(score: Score) -> str:
    """The first words of what is said of a score that is not correct, or that nobody checked; "" for a correct one."""
    return score.fact("banner").partition(";")[0]


@dataclass(frozen=True, slots=True)
class Step:
    """One own note as it is read.

    Parameters
    ----------
    bar : int
    beat : Fraction
    called : str
    length_beats : Fraction
    leap : str
        "" or its size with the way it goes, such as "up a 5th".
    clash : str
        "" or the figure against the bass, such as "7-6".
    shares : tuple of str
        Voices that have the very same note at its onset.
    breath_after : bool
    """

    bar: int
    beat: Fraction
    called: str
    length_beats: Fraction
    leap: str = ""
    clash: str = ""
    shares: tuple[str, ...] = ()
    breath_after: bool = False


def steps(score: Score, line_index: int, names: Names) -> list[Step]:
    """Every own note in order."""
    plan = make_plan(score, (line_index,), Settings())
    line = plan.lines[0]
    found: list[Step] = []
    figures = {clash.target: clash.figure for clash in clashes(score, plan.bars, line_index, line.targets)}
    before: Pitch | None = None
    for target in line.targets:
        if target.pitch is None:
            before = None
            continue
        pitch = target.pitch
        shares = tuple(
            c.voice
            for c in target.company
            if c.pitch.midi == pitch.midi and c.onset_quarters <= target.onset_quarters < c.end_quarters
        )
        found.append(
            Step(
                target.place.bar,
                target.place.beat,
                called(score, pitch, names),
                target.length_beats,
                "" if before is None else leap_words(before, pitch),
                figures.get(target.index, ""),
                shares,
                target.breath_after,
            )
        )
        before = pitch
    return found


def reading_lines(score: Score, line_index: int, names: Names) -> list[str]:
    """The line for a reader of lines: one line a bar, label first."""
    by_bar: dict[int, list[str]] = {}
    for step in steps(score, line_index, names):
        by_bar.setdefault(step.bar, []).append(", ".join([step.called, *flags(step)]))
    return [f"Bar {bar}: {'; '.join(told)}" for bar, told in by_bar.items()]


def flags(step: Step) -> list[str]:
    """What is to be seen before it is sung."""
    told = [step.leap] if step.leap else []
    if step.clash:
        told.append(f"clash {step.clash}")
    if step.shares:
        told.append(f"same note as {' and '.join(step.shares)}")
    if step.breath_after:
        told.append("breath after")
    return told


def leap_words(before: Pitch, pitch: Pitch) -> str:
    """Way and size of a leap of a fourth or more, "" for less."""
    if abs(pitch.midi - before.midi) < LEAP_SEMITONES:
        return ""
    size = abs(pitch.diatonic - before.diatonic) + 1
    ordinal = "octave" if size == 8 else f"{size}{'nd' if size % 10 == 2 else 'rd' if size % 10 == 3 else 'th'}"
    article = "an" if size in (8, 11) else "a"
    return f"{'up' if pitch.midi > before.midi else 'down'} {article} {ordinal}"
