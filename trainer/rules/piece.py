"""What the rules look at: the texture, and what the score is (species of each voice, cantus, mode)."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from trainer.rules.chord import Chord, chord_of
from trainer.rules.dissonance import Dissonance, find_dissonances
from trainer.rules.law import Breach, breach
from trainer.rules.mode import Mode, find_mode
from trainer.rules.showing import kind_of, shown_species
from trainer.rules.suspension import Suspension
from trainer.rules.texture import BarTicks, Slice, Texture
from trainer.score.model import Score, find_voice

CANTUS = "cantus"
FREE = "free"
MOST_PARTS = 4
"""The old books teach the species in two, three and four parts; more are free unless somebody says what they are."""

SPECIES = frozenset({"1", "2", "3", "4", "5"})


class Piece:
    """A score made ready for rules. Everything dear is made once, when first asked for.

    Attributes
    ----------
    texture : Texture
    mode : Mode or None
        None only for music without notes.
    species : tuple of str
        By voice: "1" to "5", "cantus", or "free" for all.
    """

    def __init__(self, score: Score, species: Mapping[int, str] | str | None = None) -> None:
        """*species* says what each voice is, by its number from 0; or "free", or what the moving voices are; None finds out."""
        self.score = score
        self.texture = Texture(score)
        self.mode: Mode | None = find_mode(score, self.texture)
        found = _species(score, self.texture, self.mode, species)
        self.species = tuple(found.get(voice, FREE) for voice in range(self.texture.parts))

    @property
    def cantus(self) -> int | None:
        """The voice that has the cantus, None when none is known."""
        return self.species.index(CANTUS) if CANTUS in self.species else None

    @cached_property
    def dissonances(self) -> tuple[Dissonance, ...]:
        """Every dissonance, classified."""
        return find_dissonances(self.texture)

    @cached_property
    def suspensions(self) -> tuple[Suspension, ...]:
        """Every dissonant tie."""
        return tuple(one.suspension for one in self.dissonances if one.suspension is not None)

    @cached_property
    def breaches(self) -> tuple[tuple[Dissonance, Breach], ...]:
        """Every dissonance that breaks a rule, with the rule and its case."""
        judged = [(one, breach(self, one)) for one in self.dissonances]
        return tuple((one, broken) for one, broken in judged if broken is not None)

    @cached_property
    def last_chord(self) -> Slice | None:
        """The last moment at which a voice is struck, None in music without notes."""
        texture = self.texture
        attacked = [one for one in texture.slices if any(one.struck(voice) for voice in range(texture.parts))]
        return attacked[-1] if attacked else None

    def is_moving(self, voice: int) -> bool:
        """Whether the voice is of the second to fifth species."""
        return self.species[voice] in ("2", "3", "4", "5")

    @cached_property
    def penultimate(self) -> BarTicks | None:
        """The last bar but one, None when there is only one."""
        return self.texture.bars[-2] if len(self.texture.bars) > 1 else None

    def chord(self, at: Slice) -> Chord | None:
        """The chord of everything that sounds in a slice, None when it is no stack of thirds."""
        return chord_of(at.sounding, at.bass) if at.bass is not None else None

    @property
    def parts(self) -> int:
        """How many voices."""
        return self.texture.parts

    def outer(self, upper: int, lower: int) -> bool:
        """Whether the two are the top voice and the lowest."""
        return (upper, lower) == (0, self.texture.parts - 1)


def _species(
    score: Score, texture: Texture, mode: Mode | None, asked: Mapping[int, str] | str | None
) -> Mapping[int, str]:
    if isinstance(asked, Mapping):
        return asked
    if asked == FREE or (asked is None and texture.parts > MOST_PARTS):
        return dict.fromkeys(range(texture.parts), FREE)
    said = said_species(score, texture)
    if asked is None or asked == "combined":
        return said or shown_species(texture, mode)
    if said:
        return {voice: kind if kind in (CANTUS, "1") else asked for voice, kind in said.items()}
    return shown_species(texture, mode, asked)


def said_species(score: Score, texture: Texture) -> dict[int, str]:
    """What the file's headers say: the cantus, and the species of the moving line (the voice to sing when none is named).

    The species of the others is that of their rhythm.

    A species header with a word for every voice, top first, says all at once.
    """
    words = score.fact("species").split()
    if len(words) == texture.parts > 1 and set(words) <= SPECIES | {CANTUS, FREE}:
        return dict(enumerate(words))
    if not score.fact("cantus"):
        return {}
    try:
        cantus = find_voice(score, score.fact("cantus"))
    except KeyError:
        return {}
    shown = {voice: kind_of(texture, line) for voice, line in enumerate(texture.lines)}
    said = {voice: "1" if kind == FREE else kind for voice, kind in shown.items()} | {cantus: CANTUS}
    if score.fact("species") not in SPECIES:
        return said
    try:
        moving = find_voice(score, score.fact("line") or score.fact("sing") or "none")
    except KeyError:
        return said
    return said if moving == cantus else said | {moving: score.fact("species")}
