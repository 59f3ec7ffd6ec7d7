"""Which chord a set of tones makes: root, inversion, quality, members, and its figures over the bass.

Conventions: chords are stacks of thirds by letter, so a bare third or fifth stands on its lower note, a bare sixth on its upper one (a
first inversion without its third). Figures are those of thoroughbass, octaves reduced, an 8 or 3 or 5 that goes without saying left
out (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from trainer.rules.texture import Tone

_TRIADS = {(4, 7): "major", (3, 7): "minor", (3, 6): "diminished", (4, 8): "augmented"}
_SEVENTHS = {
    (4, 7, 10): "dominant seventh",
    (4, 7, 11): "major seventh",
    (3, 7, 10): "minor seventh",
    (3, 6, 10): "half-diminished seventh",
    (3, 6, 9): "diminished seventh",
    (3, 7, 11): "minor major seventh",
}


class Chord(NamedTuple):
    """A stack of thirds.

    ``root`` is a letter; ``members`` say by letter what it is (1, 3, 5, 7); ``inversion`` 0 to 3 by the member in the bass;
    ``quality`` a triad's or seventh chord's word, "incomplete" when thirds are missing that would decide it, "other" when the
    thirds are none of the usual.
    """

    root: int
    members: dict[int, int]
    inversion: int
    quality: str
    figures: str

    @property
    def seventh(self) -> int | None:
        """The letter of the chordal seventh, None in a triad."""
        return next((letter for letter, member in self.members.items() if member == 7), None)

    @property
    def complete(self) -> bool:
        """Whether root, third and fifth are there."""
        return {1, 3, 5} <= set(self.members.values())


def chord_of(tones: Sequence[Tone], bass: Tone) -> Chord | None:
    """The chord that *tones* over *bass* make; None when their letters are no stack of thirds."""
    letters = {tone.letter for tone in tones} | {bass.letter}
    # at most one letter can be the root: two stacks of thirds never hold each other's roots
    members = next((found for root in letters if (found := _stack(root, letters)) is not None), None)
    if members is None:
        return None
    root = next(letter for letter, member in members.items() if member == 1)
    inversion = (1, 3, 5, 7).index(members[bass.letter])
    return Chord(root, members, inversion, _quality(members, [*tones, bass]), figures(tones, bass))


def _stack(root: int, letters: Iterable[int]) -> dict[int, int] | None:
    members = {letter: (letter - root) % 7 + 1 for letter in letters}
    return members if set(members.values()) <= {1, 3, 5, 7} else None


def _quality(members: dict[int, int], tones: Sequence[Tone]) -> str:
    by_member = {members[tone.letter]: tone.midi for tone in tones if tone.letter in members}
    root = by_member[1]
    above = {member: (midi - root) % 12 for member, midi in by_member.items()}
    if 7 in above:
        return _SEVENTHS.get((above.get(3, 0), above.get(5, 7), above[7]), "incomplete" if 3 not in above else "other")
    if 3 not in above:
        return "incomplete"
    if 5 not in above:
        return {4: "major", 3: "minor"}.get(above[3], "other")
    return _TRIADS.get((above[3], above[5]), "other")


def figures(tones: Sequence[Tone], bass: Tone) -> str:
    """Thoroughbass figures, highest first: "" for a 5/3, "6" for a 6/3, "6/5", "4/3", "7", and so on as they stand."""
    over = {(tone.dia - bass.dia) % 7 + 1 for tone in tones if tone.dia != bass.dia}
    over.discard(1)
    if {2, 3} <= over:  # beside a third it is a ninth, beside a fourth a second
        over = over - {2} | {9}
    if over <= {3, 5}:
        return ""
    if over <= {3, 6}:
        return "6"
    shown = over - {3, 5} if over <= {3, 5, 7, 9} and over & {7, 9} else over
    if shown == {3, 5, 6}:
        shown = {5, 6}
    elif shown == {3, 4, 6}:
        shown = {3, 4}
    elif shown == {2, 4, 6}:
        shown = {2, 4}
    return "/".join(str(number) for number in sorted(shown, reverse=True))
