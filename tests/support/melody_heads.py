"""Headers of exercises in which one upper voice is looked at alone, over a bass that stays."""

from __future__ import annotations

from rule_cases import told

ONE = "species: 1; mode: D dorian; cantus: bass; sing: soprano ::"
TWO = "species: 2; mode: D dorian; cantus: bass; sing: soprano ::"
THREE = "species: 3; mode: D dorian; cantus: bass; sing: soprano ::"
FIVE = "species: 5; mode: D dorian; cantus: bass; sing: soprano ::"
BASS = "D3 | D | D | D | D | D | D | D | D | D | D | D"


def upper(rule: str, line: str, head: str = ONE, **parameters: object) -> list[str]:
    """What is found in the upper voice over a bass that stays."""
    bars = line.count("|") + 1
    found = told(rule, f"{head} {line} // {' | '.join(BASS.split(' | ')[:bars])}", **parameters)
    return [one.removesuffix(" 1").replace(" 1 ", " ") for one in found if " 1" in one]
