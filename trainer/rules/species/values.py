"""Whether a voice keeps to the values of its species, and quarters leap from light to heavy."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.rules.declare import Fault, Rule, Settings
from trainer.rules.piece import Piece
from trainer.rules.texture import HALF, STRONG, BarTicks, Texture, Tone, joined

_KEPT: dict[str, set[tuple[int, ...]]] = {
    "1": {(0,)},
    "cantus": {(0,), ()},
    "2": {(0, 4)},
    "3": {(0, 2, 4, 6)},
    "4": {(4,), (0, 4)},
}
_KEPT_TRIPLE: dict[str, set[tuple[int, ...]]] = {
    "1": {(0,)},
    "cantus": {(0,), ()},
    "2": {(0, 2, 4)},
    "3": {(0, 1, 2, 3, 4, 5)},
    "4": {(2,), (4,), (2, 4), (0, 2), (0, 4), (0, 2, 4)},
}


def _other_values(piece: Piece, settings: Settings) -> Iterator[Fault]:
    texture = piece.texture
    for voice, kind in enumerate(piece.species):
        if kind not in _KEPT:
            continue
        # the first bar may begin with a rest and the last two slow down
        for bar in texture.bars[1:-2]:
            inside = [tone for tone in texture.lines[voice] if bar.on <= tone.on < bar.end]
            kept = _KEPT_TRIPLE if bar.triple else _KEPT
            if inside and _places(texture, bar, inside) not in kept[kind]:
                yield Fault(
                    bar.on, bar.on, tuple(inside), f"the values are not those of its species ({kind})", whose=(voice,)
                )


def _places(texture: Texture, bar: BarTicks, inside: list[Tone]) -> tuple[int, ...]:
    return tuple(
        2 * (tone.on - bar.on) // bar.grid if 2 * (tone.on - bar.on) % bar.grid == 0 else -1 for tone in inside
    )


def _accented_leap(piece: Piece, settings: Settings) -> Iterator[Fault]:
    texture = piece.texture
    for voice, kind in enumerate(piece.species):
        if kind not in ("3", "5"):
            continue
        for tone in texture.lines[voice]:
            after = texture.after(tone)
            if after is None or not joined(tone, after) or after.dia - tone.dia < 2:
                continue
            quarters = tone.length == after.length == texture.bar_at(tone.on).grid
            if quarters and texture.weight(tone.on) in (STRONG, HALF):
                says = f"{tone.name} to {after.name} leaps up from an accented quarter"
                yield Fault(tone.on, after.on, (tone, after), says)


RULES = (
    Rule(
        id="species-values",
        sentence="A voice keeps to the note values of its species between its first bar and its last two.",
        advice="write the bar in the values of the species, or call the line florid",
        source="Fux 1725",
        find=_other_values,
        species=frozenset({"1", "2", "3", "4"}),
        bad=(
            "species: 2; cantus: bass; sing: soprano :: . A4 | B G | A B A G | F A | B C# | D // D4 | E4 | A4 | D4 | E4 | D4",
        ),
        good=(
            "species: 2; cantus: bass; sing: soprano :: . A4 | B G | A C5 | F4 A | B C# | D // D4 | E4 | A4 | D4 | E4 | D4",
        ),
    ),
    Rule(
        id="accented-leap",
        sentence="Among quarters a leap up starts from an unaccented one.",
        advice="leap up from the second or fourth quarter",
        source="Jeppesen 1931, from memory",
        find=_accented_leap,
        species=frozenset({"3", "5"}),
        bad=("species: 3; cantus: bass; sing: soprano :: D4 F E D | F // D4 | D4",),
        good=("species: 3; cantus: bass; sing: soprano :: D4 C F E | D // D4 | F4",),
    ),
)
