"""Several singers in lines: nothing is redrawn, one line a bar once it is over for all of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from trainer.live.state import State
from trainer.practice.signs import COUNTED_AS_HELD, Sign
from trainer.practice.take import BeatVerdict
from trainer.reports.called import beat_called
from trainer.reports.wording import begun
from trainer.score.naming import Names
from trainer.score.time import bar_named
from trainer.ui.lines import beat_says, whole
from trainer.ui.parts import FIRST_CHORD, first_notes, voices
from trainer.ui.reading import banner_words

WORDS = {"count-in": "Now: the count", "singing": "Sing", "pause": "Pause"}


class PartsLines:
    """A ``Face`` that prints.

    Parameters
    ----------
    say : callable
        Prints one line at once.
    names : Names
        How notes are called.
    """

    def __init__(self, say: Callable[[str], None], names: Names) -> None:
        self._say, self._names = say, names
        self._phase = ""
        self._told_bars = 0
        self._notices = {"Notice": "", "Microphone": ""}

    def commands(self) -> list[str]:
        """As ``Face.commands``: none."""
        return []

    def show(self, state: State) -> None:
        """Whatever is new since the last time."""
        if state.phase != self._phase:
            if not self._phase:
                head = f"{state.score.title}: {voices(state)}, {whole(state.tempo_qpm)} quarters a minute"
                told = [
                    head,
                    banner_words(state.score),
                    f"Delay: {state.delay}",
                    FIRST_CHORD,
                    *first_notes(state, self._names),
                ]
                for line in filter(None, told):
                    self._say(line)
            self._phase = state.phase
            if state.phase in WORDS:
                self._say(WORDS[state.phase])
        if not state.beats:
            self._told_bars = 0
        for line in parts_lines(state, self._told_bars, self._names):
            self._told_bars += 1
            self._say(line)
        for label, notice in (("Notice", state.notice), ("Microphone", state.warning)):
            if notice != self._notices[label]:
                self._notices[label] = notice
                if notice:
                    self._say(f"{label}: {notice}")


def parts_lines(state: State, told_bars: int, called: Names) -> list[str]:
    """One line for each further bar that is over for everybody, each voice in words."""
    found = []
    names, gone = state.score.voice_names(), state.gone
    for bar in state.score.bars().bars[told_bars:]:
        count = -(-bar.length_quarters // bar.meter.beat_quarters)
        here = [[beat for beat in beats if beat.bar == bar.number] for beats in state.beats_of]
        if not here or any(
            len(beats) < count for line, beats in zip(state.lines, here, strict=True) if line not in gone
        ):
            break
        words = [f"{names[line]} {_bar_says(beats, called)}" for line, beats in zip(state.lines, here, strict=True)]
        found.append(f"{begun(bar_named(bar.number, bar.printed))}: {'; '.join(words)}")
    return found


def _bar_says(heard: Sequence[BeatVerdict], called: Names) -> str:
    beats = [beat_called(beat, called) for beat in heard]
    if not beats:
        return "nothing heard"
    told = list(dict.fromkeys(beat_says(beat) for beat in beats if beat.sign not in (*COUNTED_AS_HELD, Sign.REST)))
    if told:
        return ", ".join(told)
    return "rests" if all(beat.sign is Sign.REST for beat in beats) else "held"
