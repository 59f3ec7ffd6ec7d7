"""What can be chosen while a session runs: how the voices stand, tempo, octave, bars. Frozen; each command gives the next choices."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.live.desk import Desk
from trainer.practice.beside import Beside
from trainer.practice.settings import Settings
from trainer.practice.take import Take
from trainer.score.change import cut
from trainer.score.model import Score

QUESTIONS = {
    "bars": "bars, such as 9-10 (empty for all): ",
    "tempo": "quarters a minute: ",
    "why": "bar and beat, such as 5.1: ",
    "remark": "bar and your own note on it, such as 6 lean on the F sharp: ",
    "desks": "how many desks, or their labels, such as wren,heron: ",
}
SLOWEST_QPM = Fraction(20)
AGREED_NOTES = 2
"""Notes held before an octave is believed, as for what is shown during a take."""

NEXT_OCTAVE = {0: -1, -1: 1, 1: 0}


@dataclass(frozen=True, slots=True)
class SungBy:
    """Who sings: a desk of a rehearsal, its whole section at once (no desk), or somebody for themselves (neither)."""

    rehearsal: str = ""
    desk: str = ""

    @property
    def together(self) -> bool:
        """Whether a whole section sings: of a crowd nobody is judged alone, so nothing of it is shown or kept."""
        return bool(self.rehearsal) and not self.desk


ONE = SungBy()


@dataclass(frozen=True, slots=True)
class Choices:
    """Everything that a singer may change between or in takes.

    Parameters
    ----------
    desk : Desk
    qpm : Fraction
        Quarters a minute at the first tempo mark.
    octaves : int
        Own octave against what is written.
    bars : (int, int) or None
        Only these of the whole piece.
    shown : str
        "beats" tells each beat as it ends, "end" the take once it is over, "none" only when asked.
    silent_bars : (int, int) or None
        Bars of the piece in which every voice falls silent.
    heard_first : str
        "yes" sounds the bars before they are sung.
    sung_by : SungBy
    """

    desk: Desk
    qpm: Fraction
    octaves: int = 0
    bars: tuple[int, int] | None = None
    shown: str = "beats"
    silent_bars: tuple[int, int] | None = None
    heard_first: str = ""
    sung_by: SungBy = ONE

    def beside(self, line_count: int) -> Beside:
        """What is around the singer in a take with these choices."""
        desk = self.desk
        heard = tuple(line for line in range(line_count) if line != desk.own and line not in desk.muted)
        sounding = heard if desk.sounding == "on" else ()
        turn = self.sung_by
        return Beside(sounding, desk.guide, desk.drone, self.shown, self.silent_bars, turn.rehearsal, turn.desk)

    def silent_bars_inside(self) -> tuple[int, int] | None:
        """The silent bars as the bars chosen count them, from 1 where the piece's first bars are left out."""
        if self.silent_bars is None or self.bars is None:
            return self.silent_bars
        before = max(0, self.bars[0] - 1)
        return self.silent_bars[0] - before, self.silent_bars[1] - before

    def with_desk_command(self, command: str, lines: int) -> Choices | None:
        """After a command that moves only faders; None for another."""
        match command:
            case "click":
                desk = self.desk.with_next_click()
            case "guide":
                desk = self.desk.with_next_guide()
            case "mute":
                desk = self.desk.with_next_muted(lines)
            case "only":
                desk = self.desk.with_own_alone(lines)
            case "without":
                desk = self.desk.with_all_others()
            case "everybody":
                desk = self.desk.with_everybody()
            case "neighbour":
                desk = self.desk.with_next_neighbour(lines)
            case "drone":
                desk = self.desk.with_next_drone()
            case _:
                return None
        return replace(self, desk=desk)

    def with_next_octave(self) -> Choices:
        """An octave lower, an octave higher, as written, and round."""
        return replace(self, octaves=NEXT_OCTAVE.get(self.octaves, 0))

    def in_octave_of(self, take: Take) -> Choices:
        """Where that take was sung throughout: first note and guide are given there from now on."""
        agreed = take.source == "sung" and take.result()["held"] >= AGREED_NOTES
        return replace(self, octaves=take.octave_shift) if agreed else self

    def quicker(self, factor: Fraction) -> Choices:
        """At another tempo."""
        return replace(self, qpm=max(SLOWEST_QPM, self.qpm * factor))

    def answered(self, question: str, words: str, whole: Score, settings: Settings) -> Choices:
        """After the answer to "bars" or "tempo". Raises ValueError, KeyError or SettingError for one that cannot be."""
        if question == "tempo":
            qpm = Fraction(words.strip())
            replace(settings, tempo_qpm=qpm)
            return replace(self, qpm=qpm)
        bars = bars_of(words) if words.strip() else None
        if bars is not None:
            cut(whole, *bars)
        return replace(self, bars=bars)


def bars_of(words: str) -> tuple[int, int]:
    """First and last bar of "9-10" or "9". Raises ValueError."""
    first, _, last = words.strip().partition("-")
    if not first.isdecimal() or not (last or first).isdecimal():
        raise ValueError(f"{words!r} is not a bar, or two with a dash between")
    return int(first), int(last or first)
