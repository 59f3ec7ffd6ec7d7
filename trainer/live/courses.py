"""What a session does from take to take when somebody else decides: a loop of bars, a ladder. Decisions come from drill and ladder."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Protocol

from trainer.drill.rounds import Drill
from trainer.ladder.cause import NOTHING, cause
from trainer.ladder.climb import Climb
from trainer.ladder.company import cost, cost_words
from trainer.ladder.fallen_silent import returned_words
from trainer.ladder.rungs import Rung
from trainer.live.choices import Choices
from trainer.live.standing import Standing
from trainer.practice.clean import mark
from trainer.practice.take import Performance, Take
from trainer.reports.tuned import worst_chord
from trainer.reports.wording import begun
from trainer.score.model import Score
from trainer.score.naming import Names
from trainer.score.time import Bars

AGAIN, ASK = "again", "ask"
WAYS = {"harder": 1, "easier": -1}


@dataclass(frozen=True, slots=True)
class Turn:
    """What comes next: the choices for it, what is said, and whether it begins by itself ("again") or is waited for ("ask").

    ``standing`` is what a section sees of it; ``asks`` one of ``choices.QUESTIONS`` that has to be answered first.
    """

    choices: Choices
    says: str
    then: str
    standing: Standing | None = None
    asks: str = ""


class Course(Protocol):
    """Whoever decides from take to take."""

    def begin(self, choices: Choices) -> Turn:
        """Before the first take."""
        ...

    def after(self, performance: Performance, choices: Choices) -> Turn:
        """After a take."""
        ...

    def asked(self, command: str, choices: Choices) -> Turn | None:
        """What follows from a command given between takes; None where the course has nothing to do with it."""
        ...

    def told(self, question: str, words: str, choices: Choices) -> Turn | None:
        """What follows from the answer to a question; None where the course has nothing to do with it."""
        ...

    def leaves(self, command: str) -> bool:
        """Whether a command given in a take ends it, with nothing judged or kept, and is followed then."""
        ...


class Steps:
    """A course that can be jumped along: harder and easier."""

    def asked(self, command: str, choices: Choices) -> Turn | None:
        """As ``Course.asked``."""
        return self.jump(WAYS[command], choices) if command in WAYS else None

    def told(self, question: str, words: str, choices: Choices) -> Turn | None:
        """As ``Course.told``: nothing but the usual follows."""
        return None

    def leaves(self, command: str) -> bool:
        """As ``Course.leaves``: none does."""
        return False

    def jump(self, way: int, choices: Choices) -> Turn:
        """It is wanted harder (1) or easier (-1), as far as there is any."""
        raise NotImplementedError


class DrillCourse(Steps):
    """Round and round some bars.

    Parameters
    ----------
    drill : Drill
    written_qpm : Fraction
        The tempo of which the drill's are parts.
    bars : Bars
        Of the whole score, by which the drill's are called.
    lost_to : mapping from voice name to how a voice is asked for alone
        What is proposed to somebody who is pulled.
    """

    def __init__(
        self, drill: Drill, written_qpm: Fraction, bars: Bars, proposals: Mapping[str, str] | None = None
    ) -> None:
        self.drill = drill
        self._qpm, self._bars = written_qpm, bars
        self._proposals = dict(proposals or {})

    def begin(self, choices: Choices) -> Turn:
        """The first stage's bars and tempo."""
        return self._turn(choices, "", AGAIN)

    def after(self, performance: Performance, choices: Choices) -> Turn:
        """Next bars, slower, faster, done, or another way."""
        before, take = self.drill, performance.takes[0]
        now = self.drill = before.after(mark(take))
        if now.state == "held":
            return self._turn(choices, "Three clean takes running: now sing it in its place.", ASK)
        if now.state == "nobody":
            return self._turn(choices, "Nobody is heard: heldline soundcheck looks at the microphone.", ASK)
        if now.state == "another way":
            return self._turn(choices, f"Five takes with the same trouble: {self._another_way(take)}.", ASK)
        says = ""
        if now.tempo < before.tempo:
            says = f"Slower: {self._tempo(choices)} quarters a minute."
        elif now.tempo > before.tempo:
            says = f"Back up: {self._tempo(choices)} quarters a minute."
        elif now.at > before.at:
            says = f"Now from {self._bars.named(now.bars[0])}."
        return self._turn(choices, says, AGAIN if take.status != "incomplete" else ASK)

    def jump(self, way: int, choices: Choices) -> Turn:
        """The next stage, or the one before."""
        at = min(max(self.drill.at + way, 0), len(self.drill.stages) - 1)
        self.drill = replace(self.drill, at=at, clean=0, poor=0, state="going")
        return self._turn(choices, f"{begun(self._bars.named_span(*self.drill.bars))}.", ASK)

    def _turn(self, choices: Choices, says: str, then: str) -> Turn:
        bars = self.drill.bars
        qpm = self._qpm * self.drill.tempo if self.drill.steps == "slower" else choices.qpm
        return Turn(replace(choices, bars=bars, qpm=qpm), says, then)

    def _tempo(self, choices: Choices) -> int:
        return round(self._turn(choices, "", ASK).choices.qpm)

    def _another_way(self, take: Take) -> str:
        found = cause([], [take])
        if found.to is not None and found.to in self._proposals:
            return f"you go to the {found.to}; try {self._proposals[found.to]}"
        if self.drill.steps == "kept":
            return f"try {round(self._qpm * Fraction(4, 5))} quarters a minute, or your line alone"
        return "hear your line alone and hum it, or take it from the last bar backwards"


class TuneCourse(Steps):
    """The same chords again, with the one that most wants it named after each take.

    Parameters
    ----------
    chords : Score
    names : Names
        How notes are called.
    """

    def __init__(self, chords: Score, names: Names) -> None:
        self._chords, self._names = chords, names

    def begin(self, choices: Choices) -> Turn:
        """As it stands."""
        return Turn(choices, "First the others, for a bar; then your note, as long as they sound.", ASK)

    def after(self, performance: Performance, choices: Choices) -> Turn:
        """Which chord to listen to next time."""
        worst = worst_chord(performance.takes[0], self._chords, self._names)
        return Turn(choices, f"{worst[:1].upper()}{worst[1:]}." if worst else "", ASK)

    def jump(self, way: int, choices: Choices) -> Turn:
        """There is nothing harder or easier."""
        del way
        return Turn(choices, "", ASK)


class LadderCourse(Steps):
    """From rung to rung.

    Parameters
    ----------
    rungs : tuple of Rung
    line_count : int
    climb : Climb or None
        Where to begin; None is the lowest rung.
    """

    def __init__(self, rungs: tuple[Rung, ...], line_count: int, climb: Climb | None = None) -> None:
        self.rungs = rungs
        self.climb = climb or Climb(len(rungs))
        self._lines = frozenset(range(line_count))
        self._alone: list[Take] = []
        self._company: list[Take] = []

    @property
    def rung(self) -> Rung:
        """The present one."""
        return self.rungs[self.climb.at]

    def begin(self, choices: Choices) -> Turn:
        """The rung to begin on."""
        return Turn(self._stood(choices), self._where(), ASK)

    def after(self, performance: Performance, choices: Choices) -> Turn:
        """Up, back, once more, or enough; with what company costs, once both are known."""
        take, rung = performance.takes[0], self.rung
        (self._company if rung.sounding else self._alone).append(take)
        before = self.climb
        now = self.climb = before.after(mark(take))
        told = [returned_words(take, rung.silent_bars) if rung.silent_bars else ""]
        if now.state == "top":
            told.append("Two clean takes on the highest rung: you hold this line. It comes back tomorrow.")
        elif now.state == "enough":
            told += [self._compared(), "Five takes here are enough for today: sleep on it, or go down a rung."]
        elif now.at > before.at:
            told.append(f"Two clean takes. {self._where()}")
        elif now.at < before.at:
            told += [self._compared(), f"Two poor takes. Back: {self._where()}"]
        else:
            told.append(self._compared())
        return Turn(self._stood(choices), " ".join(one for one in told if one), ASK)

    def jump(self, way: int, choices: Choices) -> Turn:
        """A rung up or down, whenever it is wanted."""
        self.climb = self.climb.jumped(way)
        return Turn(self._stood(choices), self._where(), ASK)

    def _stood(self, choices: Choices) -> Choices:
        rung = self.rung
        muted = self._lines - rung.sounding - {choices.desk.own}
        desk = replace(choices.desk, guide=rung.guide, drone=rung.drone, muted=muted)
        return replace(choices, desk=desk, shown=rung.shown, silent_bars=rung.silent_bars)

    def _where(self) -> str:
        return f"Rung {self.climb.at + 1} of {len(self.rungs)}: {self.rung.name}."

    def _compared(self) -> str:
        if not self._company:
            return ""
        found = cause(self._alone[-2:], self._company[-2:])
        told = cost_words(cost(self._alone[-1], self._company[-1])) if self._alone else ""
        words = told if "costs" in told else "" if found.kind == NOTHING else found.says()
        return f"{words[:1].upper()}{words[1:]}." if words else ""
