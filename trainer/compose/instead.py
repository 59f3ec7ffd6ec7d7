"""Where nothing was found: what was asked for, what stood in the way, and the wishes nearest to it."""

from __future__ import annotations

from dataclasses import replace

from trainer.compose.beam import Spent
from trainer.compose.wish import Wish


def in_the_way(spent: Spent) -> str:
    """Which rules every exercise that came to its end broke: those that clash with the rest of the set."""
    if not spent.refused:
        return ""
    always = [rule for rule, times in sorted(spent.broken.items()) if times == spent.refused]
    named = " and ".join(always[:2]) if always else spent.broken.most_common(1)[0][0]
    return f": {spent.refused} came to an end, {'all' if always else 'most'} of them break {named}"


def said(wish: Wish) -> str:
    """A wish in a line."""
    species = wish.species if isinstance(wish.species, str) else " ".join(wish.species)
    return f"{wish.parts} parts, species {species}, cantus in the {wish.cantus_voice}, {wish.mode} {wish.final}".strip()


def wishes_like(wish: Wish) -> list[tuple[str, Wish]]:
    """The same with one part given up, in the order in which it is tried, each with words for it."""
    others = [(f"from seed {wish.seed + 1}", replace(wish, seed=wish.seed + 1))]
    if wish.compasses:
        others.append(("within the usual compasses", replace(wish, compasses=())))
    if wish.final and not isinstance(wish.melody, tuple):
        others.append((f"on another final than {wish.final}", replace(wish, final="")))
    if wish.melody:
        others.append(("with a new cantus", replace(wish, melody="")))
    free = [voice for voice in wish.voices if voice not in (wish.cantus_voice, wish.line_voice)]
    others += [(f"with the cantus in the {voice}", replace(wish, cantus_voice=voice)) for voice in free[:1]]
    if wish.rules != "conservatoire":
        others.append(("under conservatoire", replace(wish, rules="conservatoire")))
    if wish.species not in ("1", "combined") and isinstance(wish.species, str):
        others.append(("in the first species", replace(wish, species="1")))
    return others
