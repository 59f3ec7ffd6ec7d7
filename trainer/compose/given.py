"""A cantus that somebody brings along: read, and looked over before anything is set to it."""

from __future__ import annotations

from fractions import Fraction

from trainer.compose.cantus import Cantus
from trainer.compose.wish import LONGEST, SHORTEST, Wish, WishError
from trainer.rules.checking import check
from trainer.rules.ruleset import RuleSet
from trainer.score.model import Line, Note, Score
from trainer.score.pitch import Pitch

NAME = "given"
BAR_QUARTERS = 4

OF_MELODY = (
    "leap-size", "sixth-leap", "seventh-ninth-leap", "augmented-leap", "diminished-leap", "chromatic-step", "tritone-outline",
    "two-leaps-same-way", "leap-recovery", "range-tenth", "minor-6-7", "accidentals",
)  # fmt: skip
"""The rules that a melody can break by itself."""


def given(wish: Wish, rules: RuleSet) -> Cantus:
    """The wish's own pitches as a cantus. Raises WishError for faults in it, every one named."""
    pitches = []
    for number, word in enumerate(wish.melody, start=1):
        try:
            pitches.append(Pitch.parse(word))
        except ValueError as err:
            raise WishError(
                f"{word!r} is not a pitch", f"--melody, note {number}", "write letter, sign and octave, as in Bb3"
            ) from err
    if not SHORTEST <= len(pitches) <= LONGEST:
        raise WishError(
            f"a cantus of {len(pitches)} notes cannot be set",
            "--melody",
            f"give {SHORTEST} to {LONGEST} notes, one a bar",
        )
    last = pitches[-1]
    final = f"{last.step}{last.accidental}"
    _refuse_ends(wish, pitches, final)
    faults = _faults(pitches, final, wish.mode, rules)
    if faults:
        raise WishError("the cantus has faults of its own", "--melody", "; ".join(faults))
    return Cantus(NAME, wish.mode, final, tuple(pitches))


def from_score(score: Score) -> tuple[str, ...]:
    """The pitches of a score with one line, or of the line that it calls its cantus. Raises WishError."""
    from trainer.score.model import find_voice

    try:
        line = score.lines[find_voice(score, score.fact("cantus"))] if score.fact("cantus") else score.lines[0]
    except KeyError:
        line = score.lines[0]
    if len(score.lines) > 1 and not score.fact("cantus"):
        raise WishError(
            f"{score.title or 'the file'} has {len(score.lines)} voices and does not say which is the cantus",
            "--melody",
            "give a file with one voice, or write  cantus: NAME  into it",
        )
    return tuple(str(note.pitch) for note in line.notes)


def _refuse_ends(wish: Wish, pitches: list[Pitch], final: str) -> None:
    first, before, last = pitches[0], pitches[-2], pitches[-1]
    if (first.step, first.alter) != (last.step, last.alter):
        raise WishError(
            f"the cantus begins on {first} and ends on {last}",
            "--melody",
            "let it begin and end on the final of its mode",
        )
    if abs(before.diatonic - last.diatonic) != 1:
        raise WishError(
            f"the cantus leaps from {before} to its last note {last}",
            "--melody",
            f"let it come to {final} by step, best from above",
        )


def _faults(pitches: list[Pitch], final: str, mode: str, rules: RuleSet) -> list[str]:
    notes = tuple(
        Note(Fraction(BAR_QUARTERS * index), Fraction(BAR_QUARTERS), pitch) for index, pitch in enumerate(pitches)
    )
    score = Score("cantus", (Line("cantus", notes),), facts=(("mode", f"{final} {mode}"),))
    report = check(score, rules.only(*OF_MELODY), {0: "1"})
    return [f"bar {one.bar}: {one.says}" for one in report.findings if one.strictness == "forbidden"]
