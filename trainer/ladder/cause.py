"""Why a line is not held, in one word and a sentence, from takes alone and in company.

The order is that of the cures: who does not know the notes needs no company; who sinks, sinks alone too; who is lost comes back; who is
pulled knows the notes and needs that voice. Limits are our own.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from trainer.practice.clean import OUT_OF_TUNE, WRONG, is_clean
from trainer.practice.signs import Sign
from trainer.practice.take import NoteVerdict, Take
from trainer.score.pitch import Pitch
from trainer.score.time import bar_named

NOTHING, PULLED, SINKING, LOST, NOTES = "nothing", "pulled", "sinking", "lost", "notes"
SINKS_CENTS = 30
"""From so far down, first note to last, flats are a sinking and not faults of their own."""

WIDE_LEAP_SEMITONES = 5
MOST = (2, 3)


@dataclass(frozen=True, slots=True)
class Cause:
    """One cause; *to* is the voice that pulls, *bar* names where the line is lost most often, None where neither is known."""

    kind: str
    to: str | None = None
    bar: str | None = None

    def says(self) -> str:
        """A sentence without its full stop."""
        match self.kind:
            case "pulled":
                return f"you know the notes, and the {self.to} takes them from you"
            case "sinking":
                return "you sink, and the flats come from that"
            case "lost":
                return f"you lose the line at the leap in {self.bar} and come back"
            case "notes":
                return "the notes are not known yet: hear the line and hum it"
        return "nothing stands in the way"


def cause(alone: Sequence[Take], company: Sequence[Take]) -> Cause:
    """What stands in the way of a line, from its latest takes; takes in which nothing was heard are left out."""
    own = [take for take in alone if take.status != "nothing heard"]
    others = [take for take in company if take.status != "nothing heard"]
    every = [*own, *others]
    if all(5 * sum(map(is_clean, takes)) >= 4 * len(takes) for takes in (own, others) if takes):
        return Cause(NOTHING)
    if _mostly(every, _sinks):
        return Cause(SINKING)
    wrong_alone = [note for take in own for note in _faults(take)]
    wrong = [note for take in others for note in _faults(take)]
    pulled = Counter(note.pulled_to for note in wrong if note.sign is Sign.PULLED and note.pulled_to)
    # pulled is told of notes that are right alone: what is wrong without any voice is nobody's pull
    if pulled and len(wrong_alone) * len(others) * 2 < len(wrong) * max(1, len(own)):
        return Cause(PULLED, to=pulled.most_common(1)[0][0])
    leaps = Counter(bar for take in every for bar in _lost_at_leaps(take))
    faults = sum(len(_faults(take)) for take in every)
    after_leaps = sum(_after_leaps(take) for take in every)
    if leaps and after_leaps * MOST[1] >= faults * MOST[0]:
        return Cause(LOST, bar=leaps.most_common(1)[0][0])
    return Cause(NOTES)


def _mostly(takes: Sequence[Take], is_so: Callable[[Take], bool]) -> bool:
    return 2 * sum(is_so(take) for take in takes) > len(takes)


def _sinks(take: Take) -> bool:
    """Whether the take sank and hardly anything else was wrong with it."""
    if take.drift_cents is None or take.drift_cents > -SINKS_CENTS:
        return False
    faults = [note for note in take.notes if note.sign in OUT_OF_TUNE or note.sign in WRONG]
    low = [note for note in faults if note.cents is not None and -200 < note.cents < 0]
    return bool(faults) and len(low) * 10 >= len(faults) * 8


def _faults(take: Take) -> list[NoteVerdict]:
    return [note for note in take.notes if note.expected is not None and note.sign in WRONG]


def _runs(take: Take) -> list[list[NoteVerdict]]:
    """Stretches of wrong notes."""
    runs: list[list[NoteVerdict]] = [[]]
    for note in take.notes:
        if note.expected is None or note.sign is Sign.UNSURE:
            continue
        if note.sign in WRONG:
            runs[-1].append(note)
        elif runs[-1]:
            runs.append([])
    return [run for run in runs if run]


def _leapt_into(take: Take, note: NoteVerdict) -> bool:
    written = [one for one in take.notes if one.expected is not None]
    k = written.index(note)
    if not k:
        return False
    before, here = (Pitch.parse(str(one.expected)).midi for one in (written[k - 1], note))
    return abs(here - before) >= WIDE_LEAP_SEMITONES


def _lost_at_leaps(take: Take) -> list[str]:
    return [bar_named(run[0].bar, run[0].printed_bar) for run in _runs(take) if _leapt_into(take, run[0])]


def _after_leaps(take: Take) -> int:
    return sum(len(run) for run in _runs(take) if _leapt_into(take, run[0]))
