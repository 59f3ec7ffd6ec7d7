"""A session as lines: nothing is redrawn, label first, one line a bar once it is over. For screen readers, logs and pipes."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from fractions import Fraction

from trainer.live.standing import Standing
from trainer.live.state import State
from trainer.practice.signs import COUNTED_AS_HELD, Sign
from trainer.practice.take import BeatVerdict
from trainer.reports.called import beat_called
from trainer.reports.wording import bar_words, beat_words, begun, cents_words
from trainer.score.moved import moved_words
from trainer.score.naming import Names, counted_from, lettered
from trainer.ui.reading import banner_words, reading_lines
from trainer.ui.section_keys import ALL_KEYS
from trainer.ui.typed_lines import TypedLines


class Lines:
    """A ``Face`` that prints.

    Parameters
    ----------
    say : callable
        Prints one line at once.
    names : Names
        How notes are called.
    typed : TypedLines or None
        Where commands come from; none by default.
    """

    def __init__(self, say: Callable[[str], None], names: Names, typed: TypedLines | None = None) -> None:
        self._say, self._names, self._typed = say, names, typed
        self._phase = ""
        self._told_beats = 0
        self._head: list[str] = []
        self._notices = {"Notice": "", "Microphone": ""}
        self._standing: Standing | None = None
        self._asked = self._help = ""

    def commands(self) -> list[str]:
        """As ``Face.commands``."""
        return [] if self._typed is None else self._typed.commands()

    def show(self, state: State) -> None:
        """Whatever is new since the last time."""
        if state.phase != self._phase:
            self._phase = state.phase
            if state.phase == "tuning note" and _head(state, self._names) != self._head:
                self._head = _head(state, self._names)
                for line in self._head:
                    self._say(line)
            for line in _phase_lines(state, self._names):
                self._say(line)
        if state.standing is not None and state.phase in ("ready", "done") and state.standing != self._standing:
            self._standing = state.standing
            self._say(f"Now: {' '.join(state.standing.large)}")
            for line in state.standing.small:
                self._say(line)
        if self._typed is not None:
            self._typed.asking = bool(state.asked)
        if state.asked and state.asked != self._asked:
            self._say(f"Question: {state.asked.strip()}")
        self._asked = state.asked
        if state.help and not self._help:
            for key, says in ALL_KEYS:
                self._say(f"{key}: {says}")
        self._help = state.help
        if len(state.beats) < self._told_beats:
            self._told_beats = 0
        for line in self._bars_over(state):
            self._say(line)
        for label, notice in (("Notice", state.notice), ("Microphone", state.warning)):
            if notice != self._notices[label]:
                self._notices[label] = notice
                if notice:
                    self._say(f"{label}: {notice}")

    def _bars_over(self, state: State) -> Iterable[str]:
        """One line for each bar all of whose beats are over."""
        new = state.beats[self._told_beats :]
        while new:
            bar = [beat for beat in new if beat.bar == new[0].bar]
            if len(bar) < beats_in(state, new[0].bar) and len(bar) == len(new):
                return
            self._told_beats += len(bar)
            new = new[len(bar) :]
            yield bar_line([beat_called(beat, self._names) for beat in bar])


def beats_in(state: State, bar: int) -> int:
    """How many beats that bar has."""
    bars = state.score.bars()
    found = next(one for one in bars.bars if one.number == bar)
    return -(-found.length_quarters // found.meter.beat_quarters)


def bar_line(beats: list[BeatVerdict]) -> str:
    """One bar, label first: ``Bar 5: held``, or beat by beat where something is to be said."""
    label = begun(bar_words(beats[0]))
    signs = {beat.sign for beat in beats}
    if signs <= COUNTED_AS_HELD | {Sign.REST}:
        return f"{label}: {'rest' if signs == {Sign.REST} else 'held'}"
    if len({beat_says(beat) for beat in beats}) == 1:
        return f"{label}: {beat_says(beats[0])}"
    return f"{label}: " + "; ".join(f"beat {beat_words(beat.beat)} {beat_says(beat)}" for beat in beats)


def beat_says(beat: BeatVerdict) -> str:
    """A beat in words, as in "pulled to soprano" or "flat, 40 cents flat"."""
    match beat.sign:
        case Sign.PULLED:
            return f"pulled to {beat.pulled_to}" if beat.pulled_to else "pulled"
        case Sign.OFF | Sign.OCTAVE:
            return f"{beat.sign.value}, {beat.sung} heard" if beat.sung else beat.sign.value
        case Sign.SHARP | Sign.FLAT if beat.cents is not None:
            return cents_words(beat.cents)
        case _:
            return beat.sign.value


def _head(state: State, names: Names) -> list[str]:
    voice = state.score.voice_names()[state.line_index]
    told = [f"{state.score.title}: {voice}, {whole(state.tempo_qpm)} quarters a minute", banner_words(state.score)]
    told += [f"Key: {words}" for words in (moved_words(state.score, names),) if words]
    return [line for line in (*told, f"Delay: {state.delay}" if state.delay else "") if line]


def _phase_lines(state: State, names: Names) -> list[str]:
    match state.phase:
        case "tuning note":
            return [f"First: the key chord, then your own first note, {first_note(state, names)}"]
        case "look-through":
            counted = counted_from(state.score, names)
            return [
                f"Look through: {state.seconds_left or 0} seconds{f'; {counted}' if counted else ''}",
                *reading_lines(state.score, state.line_index, names, state.weights),
            ]
        case "listening":
            return ["Listen"]
        case "count-in":
            return ["Now: the count"]
        case "singing":
            return ["Sing" if state.source == "sung" else "Play"]
        case "waiting":
            return [waiting_words(state)]
        case "pause":
            return ["Pause"]
        case _:
            return []


def waiting_words(state: State) -> str:
    """Where everybody waits for the singer."""
    place = state.score.bars().place(state.quarters or Fraction(0))
    return f"waits for you, {bar_words(place)} beat {int(place.beat)}"


def first_note(state: State, names: Names) -> str:
    """Name of the own first note in the singer's own octave, "" for a line without notes."""
    notes = state.score.lines[state.line_index].notes
    if not notes:
        return ""
    pitch = notes[0].pitch
    return lettered(replace(pitch, octave=pitch.octave + state.octaves), names)


def whole(quarters: Fraction) -> str:
    """A number of quarters without needless decimals."""
    return str(quarters.numerator) if quarters.denominator == 1 else f"{float(quarters):.3g}"
