"""A second opinion on counterpoint: slow, plain, and written without sight of the first.

``check(piece)`` gives every forbidden thing in an exercise for two to four voices, by the rules of J. J. Fux (Gradus ad Parnassum,
1725), W. S. Rockstro (Strict Counterpoint, in Grove's Dictionary, 1883), L. Cherubini (1835), J. F. Bridge (c. 1878) and
F. J. Lehmann (Simple Counterpoint). It imports nothing from the program: notes come as plain tuples of onset, length and name.
What is only to be avoided is left out.
"""

from __future__ import annotations

from second_checker import chords, dissonances, florid, lines, perfects, places, sevenths, suspensions
from second_checker.piece import Finding, Piece

FAMILIES = (lines, perfects, suspensions, dissonances, sevenths, places, chords, florid)


def check(piece: Piece) -> list[Finding]:
    """Every forbidden finding, in the order of the music."""
    found = {finding for family in FAMILIES for finding in family.find(piece)}
    return sorted(found, key=lambda f: (f.bar, f.beat, f.rule, f.voices))


__all__ = ["Finding", "Piece", "check"]
