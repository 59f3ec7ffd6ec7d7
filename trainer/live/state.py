"""One snapshot of a session, all that a screen or a printer of lines needs to know. Plain and frozen; made anew, never changed."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Protocol

from trainer.live.desk import Desk
from trainer.live.standing import Standing
from trainer.practice.take import BeatVerdict, Performance
from trainer.score.model import Score
from trainer.singable.weights import PAPER, Weights

if TYPE_CHECKING:
    from trainer.live.player import Player

PHASES = (
    "ready", "tuning note", "look-through", "listening", "count-in", "singing", "waiting", "pause", "judging", "done",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class State:
    """Where a session stands.

    Parameters
    ----------
    phase : str
        One of ``PHASES``.
    score, line_index
        What is sung.
    desk : Desk
    tempo_qpm : Fraction
    octaves : int
        The singer's own octave against what is written, as first note and guide are given.
    seconds_left : int or None
        Of the look-through.
    quarters : Fraction or None
        Music time now, negative while bars are counted.
    beats : tuple of BeatVerdict
        Those that are over, in order.
    notice : str
        A sentence to be read now, "" for none.
    warning : str
        What is wrong with the microphone at this moment, "" when nothing is.
    delay : str
        The round trip and who says so.
    level_dbfs : float
        Of the microphone.
    performance : Performance or None
        Once it is judged.
    asked : str
        What is being typed, with its question, "" when nothing is asked.
    help : str
        "shown" while the keys are listed, else "".
    why : (int, Fraction) or None
        The bar and beat whose numbers were asked for last.
    page : int
        How often the rest of what is longer than the screen was asked for.
    source : str
        "sung" or "keyed".
    down : tuple of int
        MIDI numbers of the keys that are down.
    weights : Weights
        By which likely slips are marked in the look-through.
    standing : Standing or None
        What a section sees from across the room; None for a singer at the machine.
    lines : tuple of int
        Who sings where several do, each at a microphone of their own; empty for one singer.
    beats_of : tuple of tuple of BeatVerdict
        The beats of each of these.
    gone : tuple of int
        Those of them whose microphone has vanished.
    """

    phase: str
    score: Score
    line_index: int
    desk: Desk
    tempo_qpm: Fraction
    octaves: int = 0
    seconds_left: int | None = None
    quarters: Fraction | None = None
    beats: tuple[BeatVerdict, ...] = ()
    notice: str = ""
    warning: str = ""
    delay: str = ""
    level_dbfs: float = -120.0
    performance: Performance | None = None
    asked: str = ""
    help: str = ""
    why: tuple[int, Fraction] | None = None
    page: int = 0
    source: str = "sung"
    down: tuple[int, ...] = ()
    weights: Weights = PAPER
    standing: Standing | None = None
    lines: tuple[int, ...] = ()
    beats_of: tuple[tuple[BeatVerdict, ...], ...] = ()
    gone: tuple[int, ...] = ()


def take_phase(player: Player, frame: int, still: str) -> str:
    """What a take is at at a played frame: "tuning note", "count-in", "singing", or *still* where music time waits."""
    quarters, begun = player.quarters(frame), player.begun
    if player.paused or player.stands_still(frame):
        return still
    if begun is not None and frame < begun.count_frame and player.desk.sounding == "on":
        return "tuning note"
    return "count-in" if quarters is None or quarters < 0 else "singing"


class Face(Protocol):
    """Whoever shows a session and hears its commands: a screen, lines of text, or a test."""

    def show(self, state: State) -> None:
        """Show it now, or as soon as it pleases; called some fifty times a second."""
        ...

    def commands(self) -> list[str]:
        """Names of the commands given since this was last asked, see ``COMMANDS``; words typed for a question come as "=words"."""
        ...


COMMANDS = {
    "go": "start, or stop and see what it came to",
    "pause": "pause, and go on",
    "again": "again from the start",
    "note": "own first note",
    "click": "click: on, counted in only, silent",
    "guide": "guide: full, entries, off",
    "mute": "mute one other voice after another",
    "bars": "which bars",
    "tempo": "tempo, quarters a minute",
    "octave": "own octave of the first note",
    "why": "the numbers behind one beat",
    "listen": "the worst bar as it was sung, the right one, both",
    "harder": "a rung up, or the next bars of a drill",
    "easier": "a rung down, or the bars before",
    "more": "the rest of what is longer than the screen",
    "only": "the own line and nothing else",
    "without": "all other voices, nothing of the own line",
    "everybody": "all voices and the own line",
    "neighbour": "one other voice louder after another",
    "drone": "a drone on the final",
    "help": "these keys",
    "quit": "leave",
}
