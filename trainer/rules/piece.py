"""What the rules look at: the texture, and what the score is (species of each voice, cantus, mode)."""

from __future__ import annotations

from collections.abc import Mapping

from trainer.rules.texture import Texture
from trainer.score.model import Score, find_voice

CANTUS = "cantus"
FREE = "free"


class Piece:
    """A score made ready for rules. Everything dear is made once, when first asked for.

    Attributes
    ----------
    texture : Texture
    species : tuple of str
        By voice: "1" to "5", "cantus", or "free" for all.
    """

    def __init__(self, score: Score, species: Mapping[int, str]) -> None:
        """*species* says what each voice is, by its number from 0."""
        self.score = score
        self.texture = Texture(score)
        self.species = tuple(species.get(voice, FREE) for voice in range(self.texture.parts))

    @property
    def cantus(self) -> int | None:
        """The voice that has the cantus, None when none is known."""
        return self.species.index(CANTUS) if CANTUS in self.species else None

    @property
    def parts(self) -> int:
        """How many voices."""
        return self.texture.parts

    def outer(self, upper: int, lower: int) -> bool:
        """Whether the two are the top voice and the lowest."""
        return (upper, lower) == (0, self.texture.parts - 1)


def said_species(score: Score) -> dict[int, str]:
    """What the file's headers say: the cantus, and the species of the voice to sing; whole-note voices are of the first."""
    try:
        cantus = find_voice(score, score.fact("cantus"))
    except KeyError:
        return {}
    said = dict.fromkeys(range(len(score.lines)), "1")
    said[cantus] = CANTUS
    try:
        moving = find_voice(score, score.fact("sing"))
    except KeyError:
        return said
    if moving != cantus and score.fact("species"):
        said[moving] = score.fact("species")
    return said
