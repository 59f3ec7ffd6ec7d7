"""Where a singer is likely to slip, foretold from the score before anybody sings: danger spots with a few words each.

A spot is one note. Its weight gathers what draws the singer off it (another voice's pull, a second beside it), what makes it hard to
reach (a leap, an entry, a note just shared that parts again) and what makes it hard to keep. Weights are compared within one line only:
the heaviest fifth of its notes is *marked*. Thirds to tune are told and weigh little, since they are a matter of cents.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.rules.intervals import MAJOR_THIRD, MINOR_THIRD, simple
from trainer.rules.piece import FREE, Piece
from trainer.rules.texture import Tone
from trainer.score.model import Score
from trainer.score.time import ordinal
from trainer.singable.declare import HALF, ONE, TWO
from trainer.singable.kinds.entries import entries
from trainer.singable.kinds.leaps import KINDS as LEAPS
from trainer.singable.kinds.relations import KINDS as RELATIONS
from trainer.singable.kinds.rubbing import rubs
from trainer.singable.part import Part
from trainer.singable.pulls import Pull, pulls
from trainer.singable.weights import PAPER, Weights

MARKED_SHARE = 5
"""One note in so many is marked."""

LEAP_LETTERS = 3
TUNED_FROM_SECONDS = Fraction(3, 2)
RUB_SEMITONE, RUB_TONE, PARTING, LEAP = Fraction(1), Fraction(1, 2), Fraction(10), Fraction(2)
PARTING_LATE = ONE
PARTED = Fraction(10)
"""The note after the one on which two voices part: who went along is still away."""

TUNING, NOTHING = Fraction(1, 4), Fraction(0)
SIZES = {
    1: "a semitone",
    2: "a tone",
    3: "a minor third",
    4: "a major third",
    5: "a fourth",
    6: "a tritone",
}
SHORTER = {"above": Fraction(7, 2), "below": ONE, "beyond": HALF}
"""Another voice's note, in whatever octave, lies nearer to the note just sung than the written one: the voice next above, next below,
any other."""

CARRIED = {"above": Fraction(3), "below": ONE, "beyond": HALF}
"""Who has been drawn off is not back at once: what is left of it on the next note."""

PULL = Fraction(1, 4)
"""What a pull of a near note weighs here, beside all others."""


@dataclass(frozen=True, slots=True)
class Danger:
    """One thing to look out for: its kind, a few words for the look-through, its weight."""

    kind: str
    words: str
    weight: Fraction


@dataclass(frozen=True, slots=True)
class Spot:
    """One note with what threatens it, the heaviest first."""

    index: int
    onset_quarters: Fraction
    dangers: tuple[Danger, ...]
    marked: bool = False

    @property
    def weight(self) -> Fraction:
        """All of it together."""
        return sum((danger.weight for danger in self.dangers), Fraction(0))


def danger_spots(score: Score, line_index: int, weights: Weights = PAPER) -> tuple[Spot, ...]:
    """Every note of a line in order, the heaviest fifth (one at least, if anything weighs) marked."""
    return spots_of(Part(Piece(score, FREE), line_index), weights)


def spots_of(part: Part, weights: Weights = PAPER) -> tuple[Spot, ...]:
    """As :func:`danger_spots`, for a part already made ready."""
    dangers: dict[Tone, list[Danger]] = {tone: [] for tone in part.line}
    times = dict(weights.dangers)
    for look in LOOKS:
        for tone, danger in look(part):
            dangers[tone].append(replace(danger, weight=danger.weight * times.get(danger.kind, 1)))
    found = [
        Spot(
            tone.place,
            Fraction(tone.on, part.texture.ticks),
            tuple(sorted(mine, key=lambda one: (-one.weight, one.kind, one.words))),
        )
        for tone, mine in dangers.items()
    ]
    heavy = sorted((spot for spot in found if spot.weight > TUNING), key=lambda spot: (-spot.weight, spot.index))
    marked = {spot.index for spot in heavy[: max(1, len(found) // MARKED_SHARE)]}
    return tuple(replace(spot, marked=spot.index in marked) for spot in found)


def _leaps(part: Part) -> Iterator[tuple[Tone, Danger]]:
    points: dict[Tone, Fraction] = {}
    for kind in LEAPS:
        for found in kind.find(part):
            points[found.tone] = points.get(found.tone, NOTHING) + found.points
    for before, tone in part.steps():
        if abs(tone.dia - before.dia) >= LEAP_LETTERS:
            yield tone, Danger("leap", leap_words(before, tone), LEAP + points.get(tone, NOTHING) / 2)


def leap_words(before: Tone, tone: Tone) -> str:
    """The way and the size of a leap, as in "up a 5th"."""
    number = abs(tone.dia - before.dia) + 1
    size = "an octave" if number == 8 else f"{'an' if number == 11 else 'a'} {ordinal(number)}"
    return f"{'up' if tone.midi > before.midi else 'down'} {size}"


def _entries(part: Part) -> Iterator[tuple[Tone, Danger]]:
    for tone, giver in entries(part):
        if giver is None:
            kept = "your own last note" if tone.place else "the first note, which was given"
            yield tone, Danger("entry", f"find it from {kept}", TWO)
        else:
            yield tone, Danger("cue", f"take it from the {part.name(giver)}", NOTHING)


def _kinds(part: Part) -> Iterator[tuple[Tone, Danger]]:
    """What the kinds of difficulty say of altered notes."""
    for kind in RELATIONS:
        for found in kind.find(part):
            yield found.tone, Danger(kind.id, found.says, found.points)


def _rubs(part: Part) -> Iterator[tuple[Tone, Danger]]:
    for tone in part.line:
        found = min(rubs(part, tone), key=lambda one: (one[2] not in (1, 11), one[0].on), default=None)
        if found is not None:
            _, other, apart = found
            size, weight = ("a semitone", RUB_SEMITONE) if apart in (1, 11) else ("a tone", RUB_TONE)
            yield tone, Danger("rub", f"rubs {size} against the {part.name(other.voice)}", weight)


def _pulls(part: Part) -> Iterator[tuple[Tone, Danger]]:
    """The voice that pulls most, those that are the shorter way, and what is left of these on the note after."""
    followed: list[Pull] = []
    for tone in part.line:
        found = pulls(part, tone)
        for last in followed:
            if _goes_elsewhere(part, tone, last.voice):
                side = _side(part, last.voice)
                yield tone, Danger(f"carried {side}", _back(part, last.voice), CARRIED[side])
        followed = [one for one in found if one.shorter]
        if found:
            side = "above" if found[0].semitones > 0 else "below"
            words = f"the {_whose(part, found[0])} pulls ({SIZES[abs(found[0].semitones)]} {side})"
            yield tone, Danger("pull", words, found[0].weight * PULL)
        for one in followed:
            side = _side(part, one.voice)
            yield tone, Danger(f"shorter {side}", f"the {_whose(part, one)} is nearer to your last note", SHORTER[side])


def _side(part: Part, voice: int) -> str:
    """Where a voice is written: next "above", next "below", or "beyond"."""
    return {-1: "above", 1: "below"}.get(voice - part.voice, "beyond")


def _whose(part: Part, pull: Pull) -> str:
    return f"{part.name(pull.voice)}'s {_letter(pull.tone)}"


def _back(part: Part, voice: int) -> str:
    return f"the way back from the {part.name(voice)}'s line"


def _letter(tone: Tone) -> str:
    """Its name without the octave, since a voice pulls in any."""
    return tone.name.rstrip("-0123456789")


def _shared(part: Part) -> Iterator[tuple[Tone, Danger]]:
    """Notes that are another voice's too, and how the two part: a note begun together binds more than one that a voice came to."""
    begun: list[int] = []
    met: list[int] = []
    away: list[int] = []
    for tone in part.line:
        same = _unisons(part, tone, tone.on)
        if same:
            yield (
                tone,
                Danger("shared", f"same note as {' and '.join(f'the {part.name(voice)}' for voice in same)}", NOTHING),
            )
        parted = [voice for voice in begun if _goes_elsewhere(part, tone, voice)]
        later = [voice for voice in met if _goes_elsewhere(part, tone, voice)]
        if parted:
            yield tone, Danger("parting", f"you part from the {part.name(parted[0])}", PARTING)
        elif later:
            yield tone, Danger("parting late", f"you part from the {part.name(later[0])}", PARTING_LATE)
        if away and not parted and _goes_elsewhere(part, tone, away[0]):
            yield tone, Danger("parted", _back(part, away[0]), PARTED)
        begun, away = same, parted
        met = [voice for voice in _unisons(part, tone, tone.end - 1) if voice not in same]


def _goes_elsewhere(part: Part, tone: Tone, voice: int) -> bool:
    """Whether a voice sounds another note, in whatever octave, as a tone of the line begins."""
    theirs = part.texture.tone_at(voice, tone.on)
    return theirs is not None and (theirs.midi - tone.midi) % 12 != 0


def _unisons(part: Part, tone: Tone, at: int) -> list[int]:
    """Other voices that sound the very same pitch at a moment."""
    there = {voice: part.texture.tone_at(voice, at) for voice in part.others}
    return [voice for voice, one in there.items() if one is not None and one.midi == tone.midi]


def _thirds(part: Part) -> Iterator[tuple[Tone, Danger]]:
    for tone in part.line:
        bass = part.texture.bass_at(tone.on)
        if bass is None or bass is tone or part.seconds(tone.on, tone.end) < TUNED_FROM_SECONDS:
            continue
        if simple(bass, tone) in (MAJOR_THIRD, MINOR_THIRD):
            yield tone, Danger("third", f"a third to tune with the {part.name(bass.voice)}", TUNING)


LOOKS = (_leaps, _entries, _kinds, _rubs, _pulls, _shared, _thirds)
