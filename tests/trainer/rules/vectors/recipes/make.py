"""Writes faults/*.txt anew, but for by-hand.txt, whose exercises are made by hand: run from this folder with tests/support on the path.

Takes some minutes; the tests only read the files.
"""

from __future__ import annotations

import sys
from collections import Counter
from dataclasses import replace
from importlib import import_module
from pathlib import Path

from fault_vectors import Vector, plain, read, written
from planting import Ground, disputed, harvest, piece
from second_checker import check

HERE = Path(__file__).parent
FAMILIES = ("lines", "motion", "verticals", "placing", "held", "florid", "closes", "sevenths")
COMPASS = {"soprano": (60, 77), "alto": (55, 72), "tenor": (48, 67), "bass": (40, 60)}
SPECIAL = {"fux-086a", "fux-076-florid", *(f"own-tied-{k}-florid" for k in range(1, 5))}
"""Figures whose licence a planted note would spoil."""
TRADE_NAMES = {2: ("soprano", "bass"), 3: ("soprano", "alto", "bass"), 4: ("soprano", "alto", "tenor", "bass")}


def grounds() -> list[Ground]:
    found = []
    for path in sorted(HERE.parent.glob("*.txt")):
        for v in read(path):
            ground = Ground(v.name, v.mode, v.species, tuple(plain(line) for line in v.lines))
            found.append(ground)
            named = Ground(v.name, v.mode, v.species, ground.lines, TRADE_NAMES[ground.parts])
            if all(
                COMPASS[name][0] <= spot.midi <= COMPASS[name][1]
                for name, line in zip(named.names, named.spots, strict=True)
                for spot in line
            ):
                found.append(named)
    return found + [retold(g) for g in found if "4" in g.species and not g.names]


def retold(ground: Ground) -> Ground:
    """The same lines, the tied voice called florid: halves and ties are among the florid values."""
    return replace(ground, name=f"{ground.name}-florid", species=tuple("5" if s == "4" else s for s in ground.species))


def lawful(grounds: list[Ground], rules: str) -> list[Ground]:
    return [
        g for g in grounds if g.name not in SPECIAL and not disputed(g, rules) and not check(piece(g, g.lines, rules))
    ]


def main(families: tuple[str, ...]) -> None:
    everything = grounds()
    usable = {rules: lawful(everything, rules) for rules in ("strict16", "conservatoire", "tonal")}
    for family in families:
        by_rule: dict[str, list[Vector]] = {}
        for recipe in import_module(family).RECIPES:
            same = sum(1 for other in import_module(family).RECIPES if other.rule == recipe.rule)
            for rules in recipe.sets:
                fit = [g for g in usable[rules] if bool(g.names) == (recipe.rule == "range-voice")]
                found = harvest(recipe, fit, rules, 4 if same == 1 else 3 if same == 2 else 2)
                print(recipe.rule, rules, len(found), Counter(v.parts for v in found), recipe.sentence, flush=True)
                by_rule.setdefault(recipe.rule, []).extend(found)
        for rule, vectors in by_rule.items():
            numbered(rule, vectors)


def numbered(rule: str, vectors: list[Vector]) -> None:
    """A file of one rule's vectors, each with a number after its ground."""
    folder = HERE.parent / "faults"
    folder.mkdir(exist_ok=True)
    text = "\n".join(written(v).replace(f"== {v.name}", f"== {v.name}/{k}", 1) for k, v in enumerate(vectors, start=1))
    (folder / f"{rule}.txt").write_text(text, encoding="utf-8")


def ornaments() -> None:
    """Writes ornaments/*.txt: lawful exercises, each showing one ornament or licence."""
    from ornaments import RECIPES
    from planting import decorated

    everything = grounds()
    everything = [g for g in everything if not g.names]
    folder = HERE.parent / "ornaments"
    folder.mkdir(exist_ok=True)
    usable = {
        rules: [
            g
            for g in everything
            if not check(piece(g, g.lines, rules)) and (rules == "strict16" or not disputed(g, rules))
        ]
        for rules in ("strict16", "conservatoire", "tonal")
    }
    by_kind: dict[str, list[Vector]] = {}
    for recipe in RECIPES:
        for rules in recipe.sets:
            found = decorated(recipe, usable[rules], rules, 6 if recipe.rule == "licence" else 2)
            print(recipe.rule, rules, len(found), Counter(v.parts for v in found), recipe.sentence, flush=True)
            by_kind.setdefault(recipe.rule.split()[0] if "suspension " in recipe.rule else recipe.rule, []).extend(
                found
            )
    for kind, vectors in by_kind.items():
        text = "\n".join(
            written(v).replace(f"== {v.name}", f"== {v.name}/{k}", 1) for k, v in enumerate(vectors, start=1)
        )
        (folder / f"{kind.replace(' ', '-')}.txt").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    asked = tuple(sys.argv[1:]) or (*FAMILIES, "ornaments")
    main(tuple(family for family in asked if family in FAMILIES))
    if "ornaments" in asked:
        ornaments()
