"""What would mend a finding: the smallest changes of one note after which it is gone and nothing new is wrong.

Each change is tried by checking the whole score again with the same rules. The cantus is never changed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.rules.checking import Report, check
from trainer.rules.finding import Finding
from trainer.rules.mode import Mode
from trainer.rules.piece import CANTUS, Piece
from trainer.rules.ruleset import RuleSet
from trainer.rules.texture import Tone
from trainer.score.model import Score
from trainer.score.pitch import STEPS, Pitch

FARTHEST = 7
"""Letters by which a note may be moved: an octave."""


@dataclass(frozen=True, slots=True)
class Mend:
    """One note to change: its voice from 0, its place, what it is and what it might be."""

    voice: int
    bar: int
    beat: Fraction
    before: str
    after: str


def mends(piece: Piece, rule_set: RuleSet, report: Report, finding: Finding, most: int = 3) -> tuple[Mend, ...]:
    """At most *most* changes, the smallest first; none when no single note does it."""
    species = dict(enumerate(piece.species))
    old = [one for one in report.findings if one.strictness != "style" and one is not finding]
    found: list[Mend] = []
    for tone, pitch in _changes(piece, finding):
        score = with_note(piece.score, tone, pitch)
        if not nothing_new(old, check(score, rule_set, species)):
            continue
        place = piece.texture.score_bars.place(Fraction(tone.on, piece.texture.ticks))
        found.append(Mend(tone.voice, place.bar, place.beat, tone.name, str(pitch)))
        if len(found) == most:
            break
    return tuple(found)


def nothing_new(old: Sequence[Finding], report: Report) -> bool:
    """Whether nothing graver than style is left that was not there before, be it shorter or longer than it was."""
    return all(any(_same(one, before) for before in old) for one in report.findings if one.strictness != "style")


def _same(one: Finding, other: Finding) -> bool:
    told = (one.rule, one.strictness, one.voices) == (other.rule, other.strictness, other.voices)
    return told and one.at_tick <= other.to_tick and other.at_tick <= one.to_tick


def _changes(piece: Piece, finding: Finding) -> Iterator[tuple[Tone, Pitch]]:
    """Every note that takes part, moved to every note of the mode within an octave, the nearest first."""
    tones = [
        tone
        for voice in finding.voices
        if piece.species[voice] != CANTUS
        for tone in piece.texture.lines[voice]
        if tone.on <= finding.to_tick and tone.end > finding.at_tick
    ]
    tried = [(tone, pitch) for tone in tones for pitch in pitches_for(piece, tone)]
    yield from sorted(tried, key=lambda one: (_distance(*one), one[0].voice, one[0].on, one[1].midi))


def _distance(tone: Tone, pitch: Pitch) -> tuple[int, int]:
    return abs(pitch.diatonic - tone.dia), abs(pitch.midi - tone.midi)


def pitches_for(piece: Piece, tone: Tone) -> Iterator[Pitch]:
    """Every other note of the mode within an octave of a tone, with the signs that the score itself uses."""
    mode = piece.mode
    for letters in range(-FARTHEST, FARTHEST + 1):
        octave, letter = divmod(tone.dia + letters, 7)
        alters = {mode.natural(letter)} if mode is not None else {0}
        if mode is not None and letter == (mode.letter - 1) % 7:
            alters.add(_leading_alter(mode))
        # a sign that the score itself uses on that letter may be used again
        alters |= {one.alter for line in piece.texture.lines for one in line if one.letter == letter}
        for alter in sorted(alters):
            if (letters, alter) != (0, tone.alter) and -2 <= alter <= 2:
                yield Pitch(STEPS[letter], alter, octave)


def _leading_alter(mode: Mode) -> int:
    """What makes the letter below the final a semitone below it."""
    letter = (mode.letter - 1) % 7
    natural = Pitch(STEPS[letter], mode.natural(letter), 4).midi
    return mode.natural(letter) + (mode.final_class - 1 - natural) % 12


def with_note(score: Score, tone: Tone, pitch: Pitch) -> Score:
    """*score* with the pitch of one note changed."""
    line = score.lines[tone.voice]
    notes = tuple(replace(note, pitch=pitch) if place == tone.place else note for place, note in enumerate(line.notes))
    lines = tuple(replace(line, notes=notes) if voice == tone.voice else one for voice, one in enumerate(score.lines))
    return replace(score, lines=lines)
