"""What each voice is, from its rhythm, when the file does not say: cantus, species 1 to 5, or free.

Conventions: the bar's grid is a quarter of an even bar and a third of a triple one. The first bar (which may begin with a rest) and
the last two (which may slow down) never decide. The six melodies are those of Fux 1725, by their steps.
"""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

from trainer.rules.mode import Mode
from trainer.rules.texture import Texture, Tone

KNOWN_MELODIES = {
    (2, -1, -1, 3, -1, 2, -1, -1, -1, -1): "Fux, D",
    (-2, 1, -1, -2, 7, -1, -2, 1, -1): "Fux, E",
    (1, 1, -2, -2, 1, 1, 4, -2, -2, 1, -1): "Fux, F",
    (3, -1, -2, 3, 2, -1, -3, 5, -2, -2, 1, -2, -1, -1): "Fux, G",
    (2, -1, 2, -1, 2, 1, -1, -1, -1, -1, -1): "Fux, A",
    (2, 1, 1, -2, 3, -1, -2, 1, -1, -1): "Fux, C",
}


def shown_species(texture: Texture, mode: Mode | None, asked: str = "") -> dict[int, str]:
    """Species by voice; "free" for all when no voice goes in whole bars throughout, or one goes in values that no species has.

    With *asked* the moving voices are said to be of that species.
    """
    kinds = {voice: kind_of(texture, line) for voice, line in enumerate(texture.lines)}
    whole = [voice for voice, kind in kinds.items() if kind == "1"]
    if asked and not whole:
        return dict.fromkeys(kinds, asked)
    if asked:
        kinds = {voice: "1" if kind == "1" else asked for voice, kind in kinds.items()}
    if not whole or "free" in kinds.values():
        return dict.fromkeys(kinds, "free")
    cantus = max(whole, key=lambda voice: _likeness(texture.lines[voice], mode))
    return {voice: "cantus" if voice == cantus else kind for voice, kind in kinds.items()}


def kind_of(texture: Texture, line: tuple[Tone, ...]) -> str:
    """The species of one line by its rhythm, "free" for values that no species has."""
    if not line:
        return "free"
    whole = all(
        (bar := texture.bar_at(tone.on)) and tone.on == bar.on and tone.end in (bar.end, texture.end) for tone in line
    )
    if whole:
        return "1"
    count = len(texture.bars)
    inside = range(1, count - 2) if count > 3 else range(max(1, count - 1))
    patterns = Counter(_pattern(texture, line, number) for number in inside)
    inner = sum(patterns.values())
    if any(kind == "free" for kind in patterns):
        return "free"
    if patterns["1"] * 3 >= inner * 2:
        return "1"  # a bar or two broken up is a licence, no species
    for kind in ("2", "3"):
        if patterns[kind] == inner:
            return kind
    ties = patterns["4"]
    if ties * 2 > inner and ties + patterns["2"] + patterns["1"] == inner:
        return "4"
    if patterns["2"] and ties + patterns["2"] + patterns["1"] == inner:
        return "4" if ties >= patterns["2"] else "2"
    return "5"


def _pattern(texture: Texture, line: tuple[Tone, ...], number: int) -> str:
    """The species that one bar's onsets belong to."""
    bar = texture.bars[number]
    inside = [tone for tone in line if bar.on <= tone.on < bar.end]
    steps = [(tone.on - bar.on) * 2 / bar.grid for tone in inside]
    if any(place != int(place) for place in steps):
        return "free"
    places = tuple(int(place) for place in steps)
    usual = {(0,): "1", (0, 2, 4): "2"} if bar.triple else {(0,): "1", (0, 4): "2", (0, 2, 4, 6): "3", (4,): "4"}
    if bar.triple and places in ((0, 1, 2, 3, 4, 5),):
        return "3"
    if bar.triple and places in ((2,), (4,), (2, 4)):
        return "4"
    return usual.get(places, "5")


def _likeness(line: tuple[Tone, ...], mode: Mode | None) -> tuple[int, int, int, int]:
    """How much a line of whole notes is like a cantus: a known melody, from final to final by step from above, and mostly by step."""
    steps = tuple(after.dia - before.dia for before, after in pairwise(line))
    ends = 0
    if mode is not None:
        ends = mode.is_final(line[0]) + 2 * mode.is_final(line[-1])
    closes = int(bool(steps) and steps[-1] == -1)
    return (
        int(steps in KNOWN_MELODIES),
        ends + 2 * closes,
        -sum(step == 0 for step in steps),
        sum(abs(step) == 1 for step in steps),
    )
