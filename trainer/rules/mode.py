"""Mode and final of a score: what the file says, else what its signature and its last bass note show.

The church modes' leading degree and signatures are common practice, no source; that Phrygian closes with its own semitone from above
and raises nothing is Rockstro 1883 (Strict Counterpoint).
"""

from __future__ import annotations

from collections import Counter
from typing import NamedTuple

from trainer.rules.texture import Texture, Tone
from trainer.score.model import Score, find_voice
from trainer.score.modes import MODE_FIFTHS, signature_fifths, split_mode
from trainer.score.pitch import STEPS, Pitch, line_of_fifths

MINOR_LIKE = frozenset({"minor", "aeolian", "dorian", "phrygian", "locrian"})


class Mode(NamedTuple):
    """Final as letter (0 for C) and alteration, the mode's word, its signature in fifths, and whether the file says so."""

    letter: int
    alter: int
    name: str
    fifths: int
    said: bool

    @property
    def final(self) -> str:
        """The final's name, such as F#."""
        return STEPS[self.letter] + ("#" * self.alter if self.alter > 0 else "b" * -self.alter)

    def natural(self, letter: int) -> int:
        """Alteration of a letter by the signature."""
        return (self.fifths - (line_of_fifths(Pitch(STEPS[letter], 0, 4)) + 1) + 6) // 7

    def degree(self, tone: Tone) -> int:
        """1 for the final's letter, 7 for the letter below it."""
        return (tone.letter - self.letter) % 7 + 1

    def is_final(self, tone: Tone) -> bool:
        """Whether the tone is the final in some octave."""
        return (tone.letter, tone.alter) == (self.letter, self.alter)

    def is_leading(self, tone: Tone) -> bool:
        """Whether the tone lies a semitone under the final, by letter a second."""
        return self.degree(tone) == 7 and (tone.midi + 1) % 12 == self.final_class

    @property
    def final_class(self) -> int:
        """Pitch class of the final, 0 for C."""
        return Pitch(STEPS[self.letter], self.alter, 4).midi % 12

    def inflected(self, tone: Tone) -> bool:
        """Whether the tone's sign is not the signature's."""
        return tone.alter != self.natural(tone.letter)


def find_mode(score: Score, texture: Texture) -> Mode | None:
    """The mode; None for music without notes."""
    try:
        final, name = split_mode(score.fact("mode"))
    except ValueError:
        return _shown_mode(score, texture)
    pitch = Pitch.parse(f"{final}4")
    return Mode(STEPS.index(pitch.step), pitch.alter, name, signature_fifths(final, name), True)


def _shown_mode(score: Score, texture: Texture) -> Mode | None:
    # a bass that leaves the last chord early does not give the final to another voice
    attacked = [one for one in texture.slices if any(one.struck(voice) for voice in range(texture.parts))]
    last = _cantus_end(score, texture) or (attacked[-1].bass if attacked else None)
    if last is None:
        return None
    fifths = score.keys[-1][1].fifths if score.keys else _commonest_signature(texture)
    said = score.keys[-1][1].mode if score.keys else ""
    place = fifths - line_of_fifths(Pitch(STEPS[last.letter], last.alter, 4))
    if said in ("major", "minor") and MODE_FIFTHS[said] == place:
        return Mode(last.letter, last.alter, said, fifths, False)
    names = {value: name for name, value in MODE_FIFTHS.items() if name not in ("major", "minor")}
    return Mode(last.letter, last.alter, names.get(place, "major" if place > 0 else "minor"), fifths, False)


def _cantus_end(score: Score, texture: Texture) -> Tone | None:
    """The last note of the voice that the file calls the cantus: a cantus ends on the final."""
    if not score.fact("cantus"):
        return None
    try:
        line = texture.lines[find_voice(score, score.fact("cantus"))]
    except KeyError:
        return None
    return line[-1] if line else None


def _commonest_signature(texture: Texture) -> int:
    """The signature under which most notes need no sign; of several the one nearest to none."""
    letters = Counter((tone.letter, tone.alter) for line in texture.lines for tone in line)

    def needed(fifths: int) -> tuple[int, int]:
        natural = Mode(0, 0, "", fifths, False).natural
        return sum(count for (letter, alter), count in letters.items() if alter != natural(letter)), abs(fifths)

    return min(range(-7, 8), key=needed)
