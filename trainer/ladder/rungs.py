"""The rungs: who sounds, how much of the own line, what is shown, who falls silent on the way.

The order is usual choral practice, no source: the own line with the guide, over a drone, against the lowest voice, against the one that
pulls most, against both, against all; then with less shown, and with bars in which everybody falls silent. Poor-pitch singers were
hindered by a correct accompaniment at once (Pfordresher and Brown 2007), so alone comes first; feedback at every beat helps now and
breeds dependence, so it fades (Park, Shea and Wright 2000, from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.score.model import Score

LEAST_BARS_TO_FALL_SILENT = 6


@dataclass(frozen=True, slots=True)
class Rung:
    """One rung.

    Parameters
    ----------
    name : str
        In words, as "against the alto".
    sounding : frozenset of int
        Lines that sound, the singer's own left out.
    guide : str
        "full", "entries" or "off".
    drone : str
        "on" or "off".
    shown : str
        "beats", "end" or "none".
    silent_bars : (int, int) or None
        First and last bar in which all voices fall silent.
    """

    name: str
    sounding: frozenset[int]
    guide: str = "off"
    drone: str = "off"
    shown: str = "beats"
    silent_bars: tuple[int, int] | None = None


def rungs(score: Score, line_index: int, pulls: Mapping[int, int]) -> tuple[Rung, ...]:
    """Every rung for one line, the lowest first.

    Parameters
    ----------
    score : Score
    line_index : int
        The singer's own line.
    pulls : mapping from line to int
        How often each voice pulled this singer, as far as it is known; else the nearest voice stands for the one that pulls.
    """
    names = score.voice_names()
    others = [line for line, one in enumerate(score.lines) if line != line_index and one.notes]
    found = [
        Rung("own line with the guide", frozenset(), guide="full"),
        Rung("own line over a drone", frozenset(), guide="entries", drone="on"),
    ]
    if not others:
        return (*found, Rung("own line alone", frozenset()))
    lowest, puller = others[-1], strongest(score, line_index, pulls)
    for sounding in _growing(others, lowest, puller):
        told = " and ".join(f"the {names[line]}" for line in sorted(sounding))
        found.append(Rung(f"against {'all' if len(sounding) == len(others) > 1 else told}", frozenset(sounding)))
    everybody = frozenset(others)
    found.append(Rung("against all, told at the end", everybody, shown="end"))
    silent = middle_bars(score)
    if silent is not None:
        found.append(Rung("against all, who fall silent and return", everybody, shown="end", silent_bars=silent))
    found.append(Rung("against all, told only when asked", everybody, shown="none"))
    return tuple(found)


def strongest(score: Score, line_index: int, pulls: Mapping[int, int]) -> int:
    """The voice that pulls most: by the log, else the one that lies nearest, of two the upper one."""
    others = [line for line, one in enumerate(score.lines) if line != line_index and one.notes]
    known = [line for line in others if pulls.get(line, 0) > 0]
    if known:
        return min(known, key=lambda line: (-pulls[line], line))
    own = _middle(score, line_index)
    return min(others, key=lambda line: (abs(_middle(score, line) - own), line))


def middle_bars(score: Score) -> tuple[int, int] | None:
    """Two bars in the middle of the piece, or one of a short one; None where there are too few to come back after them."""
    bars = [bar.number for bar in score.bars().bars if bar.number > 0]
    if len(bars) < LEAST_BARS_TO_FALL_SILENT:
        return None
    middle = len(bars) // 2
    return bars[middle - 1], bars[middle] if len(bars) >= 2 * LEAST_BARS_TO_FALL_SILENT - 2 else bars[middle - 1]


def _growing(others: list[int], lowest: int, puller: int) -> list[list[int]]:
    """The lowest voice, the one that pulls, both, all; each company once."""
    found: list[list[int]] = []
    for sounding in ([lowest], [puller], sorted({lowest, puller}), others):
        if sounding not in found:
            found.append(sounding)
    return found


def _middle(score: Score, line: int) -> float:
    notes = score.lines[line].notes
    length = sum(note.length_quarters for note in notes)
    return float(sum(note.pitch.midi * note.length_quarters for note in notes) / length) if length else 0.0
