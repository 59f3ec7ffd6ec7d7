"""Every kind of exercise that can be asked for: parts, species, cantus voice, mode; rules and the moving voice go round."""

from __future__ import annotations

from itertools import product

from trainer.compose import Wish
from trainer.score.model import VOICES_BY_PARTS

MODES = ("dorian", "phrygian", "lydian", "mixolydian", "aeolian", "ionian", "minor", "major")
RULES = ("strict16", "conservatoire", "tonal")
SPECIES = ("1", "2", "3", "4", "5", "combined")

CELLS = tuple(
    (parts, species, cantus, mode)
    for parts in (2, 3, 4)
    for species, cantus, mode in product(SPECIES, VOICES_BY_PARTS[parts], MODES)
    if not (parts == 2 and species == "combined")
)
"""416 of them."""


def wish_of(cell: tuple[int, str, str, str], seed: int) -> Wish:
    """A wish of a cell; the seed chooses the rule set, the moving voice and the music."""
    parts, species, cantus, mode = cell
    others = [voice for voice in VOICES_BY_PARTS[parts] if voice != cantus]
    return Wish(
        parts=parts,
        species=species,
        cantus_voice=cantus,
        line_voice=others[seed // 3 % len(others)],
        mode=mode,
        rules=RULES[seed % 3],
        seed=seed,
    )
