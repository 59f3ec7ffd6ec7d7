"""Notes that the signature does not have, and the degree that makes the mode."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.grading.declare import Crux, CruxKind
from trainer.grading.words import bar, bars, degree
from trainer.rules.mode import Mode
from trainer.rules.texture import Tone
from trainer.singable.part import Part

COLOURS = {
    "dorian": (6, "the dorian sixth", 20),
    "phrygian": (2, "the low second degree", 24),
    "lydian": (4, "the raised fourth degree", 24),
    "mixolydian": (7, "the low seventh degree", 20),
}
"""What tells a mode from major or minor (common practice, no source)."""


def _altered(part: Part) -> Iterator[Crux]:
    mode = part.mode
    if mode is None:
        return
    found = [tone for tone in part.line if mode.inflected(tone)]
    if not found:
        return
    letter = found[0].letter
    mine = [tone for tone in found if tone.letter == letter]
    where = [bar(part.texture, tone.on) for tone in mine]
    way = "raised" if mine[0].alter > mode.natural(letter) else "lowered"
    called = f"{way} {degree(mode.degree(mine[0]))}"
    natural = [tone for tone in part.line if tone.letter == letter and not mode.inflected(tone)]
    if where == [part.texture.bars[-1].number]:
        says = f"{called} at the close"
    elif natural and natural[-1].on < mine[0].on:
        says = f"{degree(mode.degree(mine[0]))} natural, then {way} in {bars(where)}"
    else:
        says = f"{called} in {bars(where)}"
    yield Crux("altered", says, (46 if natural else 36) + 2 * (len(found) - 1), len(found))


def _colour(part: Part) -> Iterator[Crux]:
    mode = part.mode
    if mode is None or mode.name not in COLOURS:
        return
    number, called, weight = COLOURS[mode.name]
    where = [bar(part.texture, tone.on) for tone in part.line if _is(mode, tone, number)]
    if where:
        yield Crux("colour", f"{called} in {bars(where)}", weight, len(where))


def _is(mode: Mode, tone: Tone, number: int) -> bool:
    return mode.degree(tone) == number and not mode.inflected(tone)


KINDS = (
    CruxKind("altered", ("raised note", "altered note", "raised notes"), _altered),
    CruxKind("colour", ("the mode's own degree", "degree of the mode"), _colour),
)
