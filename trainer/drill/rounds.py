"""Round after round of some bars: slower after two poor takes, back up after a clean one, done after three clean at the written tempo.

A fault is not to be learnt by repeating it: after five takes without a clean one another way is proposed, and the bars begin one bar
before, since the way into a note is where it is lost (common practice, no source). Practice that is right most of the time is what is
kept (Duke, Simmons and Cash 2009). The numbers are our own.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

CLEAN_DONE, CLEAN_ON = 3, 1
POOR_SLOWER, POOR_ENOUGH = 2, 5
SLOWER = Fraction(4, 5)
SLOWEST = Fraction(1, 2)

Bars = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Drill:
    """Where a drill stands.

    Parameters
    ----------
    stages : tuple of (int, int)
        Bars of each stage, the run-up bar included; the last one is what is practised.
    at : int
        The present stage.
    tempo : Fraction
        Of the written one.
    steps : str
        "slower" takes the tempo down and up by itself, "kept" leaves it alone.
    clean, poor : int
        Takes running.
    state : str
        "going", "held" after the last stage, "another way", or "nobody" where nothing is heard.
    """

    stages: tuple[Bars, ...]
    at: int = 0
    tempo: Fraction = Fraction(1)
    steps: str = "slower"
    clean: int = 0
    poor: int = 0
    state: str = "going"

    @property
    def bars(self) -> Bars:
        """The bars of the present stage."""
        return self.stages[self.at]

    def after(self, mark: str) -> Drill:
        """After a take; one that was broken off tells nothing."""
        match mark:
            case "unfinished":
                return replace(self, state="going")
            case "nothing":
                nobody = self.poor + 1 >= POOR_ENOUGH
                return replace(
                    self, clean=0, poor=0 if nobody else self.poor + 1, state="nobody" if nobody else "going"
                )
            case "clean":
                return self._after_clean()
        return self._after_poor()

    def _after_clean(self) -> Drill:
        if self.steps == "slower" and self.tempo < 1:
            return replace(self, tempo=min(Fraction(1), self.tempo / SLOWER), clean=0, poor=0, state="going")
        clean = self.clean + 1
        last = self.at + 1 == len(self.stages)
        if clean < (CLEAN_DONE if last else CLEAN_ON):
            return replace(self, clean=clean, poor=0, state="going")
        if last:
            return replace(self, clean=0, poor=0, state="held")
        return replace(self, at=self.at + 1, clean=0, poor=0, state="going")

    def _after_poor(self) -> Drill:
        poor = self.poor + 1
        if poor >= POOR_ENOUGH:
            return replace(self, clean=0, poor=0, state="another way")
        slower = self.steps == "slower" and poor % POOR_SLOWER == 0 and self.tempo * SLOWER >= SLOWEST
        return replace(self, tempo=self.tempo * SLOWER if slower else self.tempo, clean=0, poor=poor, state="going")


def stages(first: int, last: int, *, earliest: int, order: str) -> tuple[Bars, ...]:
    """The stages of a drill.

    Parameters
    ----------
    first, last : int
        Bars to be practised.
    earliest : int
        First bar of the piece: no run-up bar comes before it.
    order : str
        "forward" takes all at once; "last first" the last bar, then the one before it too, and so on.
    """
    begins = [first] if order == "forward" else list(range(last, first - 1, -1))
    return tuple((max(begin - 1, earliest), last) for begin in begins)
