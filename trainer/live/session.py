"""A session: first pitch, look-through, count-in, take, report, again. Who performs, devices, screen and waiting are handed in.

Time is the link's frames alone; *wait* only lets the machine rest between two looks.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

from trainer.errors import DeviceError
from trainer.live.again import Replay
from trainer.live.answers import CANCELLED, answer
from trainer.live.choices import QUESTIONS, Choices
from trainer.live.courses import AGAIN, Turn
from trainer.live.delay import Delay
from trainer.live.in_take import in_take
from trainer.live.keep import Discarded, run_take
from trainer.live.keytake import KeyTake
from trainer.live.look_through import look_through
from trainer.live.performers import Performer
from trainer.live.performers.one_singer import OneSinger
from trainer.live.player import Player
from trainer.live.prepared import prepared
from trainer.live.rest import Rest
from trainer.live.state import Face, State, take_phase
from trainer.live.take import LiveTake, laid
from trainer.live.turns import hear_first
from trainer.live.wish import Came, Leave, Wish, delay_words
from trainer.places import Places
from trainer.practice.beside import UNKNOWN, Beside
from trainer.practice.event import BeatOver
from trainer.practice.take import Performance
from trainer.takes.telling import Tell, once

if TYPE_CHECKING:
    from audio.devices import SoundLink

FASTER = Fraction(10, 9)


class Session:
    """Runs on one open link.

    Parameters
    ----------
    link : SoundLink
    wish : Wish
    delay : Delay
    face : Face
    wait : callable
        Of seconds: lets time pass.
    places : Places or None
        Where takes are kept; None keeps none.
    tell : callable
        Told of what goes wrong on the way.
    performer : Performer or None
        Who performs; None for one singer at the link's first microphone.
    ticks : callable
        Called at every look with the player: a synth that sounds the voices hangs here.
    """

    def __init__(
        self,
        link: SoundLink,
        wish: Wish,
        delay: Delay,
        face: Face,
        *,
        wait: Callable[[float], None],
        places: Places | None,
        tell: Tell,
        performer: Performer | None = None,
        ticks: Callable[[Player], None] = lambda _: None,
    ) -> None:
        self._performer, self._ticks = performer or OneSinger(link), ticks
        self._parts = self._performer.parts
        self._link, self._wish, self._delay, self._face = link, wish, delay, face
        self._wait, self._places, self._tell = wait, places, once(tell)
        qpm = wish.settings.tempo_qpm or wish.score.tempo.points[0][1]
        self._choices = Choices(wish.desk, qpm, wish.octaves, wish.bars, wish.shown)
        self._said, standing = wish.notice, None
        if wish.course is not None:
            turn = wish.course.begin(self._choices)
            self._choices, self._said = turn.choices, " ".join(told for told in (wish.notice, turn.says) if told)
            standing = turn.standing
        self._came = Came()
        self._rest_from = Rest(link.rate_hz, wish.sung_before_seconds)
        self._question = self._leaving = self._pending = ""
        self._take_now: LiveTake | KeyTake | None = None
        self._replay = Replay()
        self._interrupted = False
        self._prepare()
        self._state = State(
            "ready", self._score, wish.line_index, wish.desk, qpm, delay=delay_words(delay, self._performer.source)
        )
        self._state = replace(self._state, notice=self._said, weights=wish.weights, standing=standing)
        self._state = self._unjudged(self._state)

    def interrupt(self) -> None:
        """Ctrl-C: end the take that runs with what was sung, or leave."""
        self._interrupted = True

    def leave(self) -> None:
        """Nobody looks on any more: end the take that runs with what was sung, and leave."""
        self._interrupted, self._leaving, self._came.interrupted = True, "yes", "unread"

    def run(self) -> Came:
        """Everything, to the end. Raises DeviceError when the device vanishes before anything was sung."""
        try:
            self._player.write(self._link)
            self._look_through()
            while True:
                if self._afterwards(self._take()) == "over":
                    break
        except Leave:
            pass
        self._came.octaves = self._choices.octaves
        return self._came

    # ---- one thing after another

    def _prepare(self) -> None:
        self._score, self._settings, self._player = prepared(self._wish, self._choices, self._link.rate_hz)

    def _look_through(self) -> None:
        """First pitch, then time to read; any start command ends it. With no time to read the take gives the pitch alone."""
        if self._wish.look_through_seconds is None:
            self._wait_for_go("ready")
        if not self._wish.look_through_seconds:
            return
        look_through(
            self._link, self._wish.look_through_seconds, self._look, self._give_pitch, lambda: self._player.hush()
        )

    def _give_pitch(self) -> int:
        """Several singers hear their chord before the count, one hears it with the own first note before reading too."""
        silent = self._parts or self._choices.desk.sounding == "silent"
        return 0 if silent else self._player.give_pitch()

    def _look(self, phase: str, **more: object) -> str:
        """One look around outside a take: sound ahead, microphone, commands, screen, a moment's rest; "go" when asked to start."""
        if not self._link.alive:
            raise DeviceError(self._link.trouble, "the sound device", "plug it in again and start anew")
        if self._interrupted:
            self._came.interrupted = self._came.interrupted or "yes"
            raise Leave
        asked = ""
        for command in self._commands():
            asked = self._command(command) or asked
        self._player.write(self._link)
        self._performer.pass_by(self._link.read(), self._player)
        self._rest(phase, **more)
        return asked

    def _rest(self, phase: str, **more: object) -> None:
        """Show how it stands, let whoever hangs on do their part, and give the machine a moment."""
        self._ticks(self._player)
        self._show(phase, **more)
        self._wait(self._performer.look_seconds)

    def _commands(self) -> Iterator[str]:
        return (command for command in self._face.commands() if not self._performer.settles(command))

    def _take(self) -> Performance | None:
        """A take to its end; None where a command of the course ended it unjudged."""
        while True:
            try:
                return self._one_take()
            except Discarded:
                self._begin_anew()
                if self._pending:
                    return None

    def _one_take(self) -> Performance:
        if self._choices.heard_first:
            hear_first(self._player, self._link, self._choices.desk, self._wish.count_in_bars, self._look)
        chord = "chord alone" if self._parts else "chord"
        pitch = chord if self._choices.desk.sounding == "on" else "none"
        begun = self._player.begin(count_in_bars=self._wish.count_in_bars, pitch=pitch)
        where = laid(begun, self._player, self._delay, self._settings)
        take = self._performer.take(self._player, where, lambda: self._during(take), self._wish.keep_sound)
        if self._choices.sung_by.desk and isinstance(take, LiveTake):
            take.watch_for_two()
        self._take_now = take
        self._state = replace(self._unjudged(self._state), why=None, page=0, notice=self._said)
        self._said = ""
        performance, end = run_take(
            take,
            where,
            self._score,
            self._parts or (self._wish.line_index,),
            places=None if self._choices.sung_by.together else self._places,
            tell=self._tell,
            listen=self._heard,
            beside=self._beside,
            remember=self._replay.remember,
        )
        performance = self._performer.over(take, performance)
        if take.source == "sung":
            self._rest_from.sung(take.end_frame - begun.music_frame)
        trouble = self._link.trouble if not self._link.alive else self._performer.trouble
        if trouble:
            unheard = self._choices.sung_by.rehearsal and performance.nobody_heard
            so_far = "nothing was heard in this turn" if unheard else "the take so far is judged and kept"
            self._state = replace(self._state, notice=f"{trouble}; {so_far}")
        if not self._parts:
            self._choices = self._choices.in_octave_of(performance.takes[0])
        self._state = replace(self._state, performance=performance if self._choices.shown != "none" else None)
        self._show("done")  # the verdict is out before anything can go wrong with the store
        number = end()
        if not self._choices.sung_by.together:
            self._came.performances.append(performance)
            self._came.numbers.append(number)
        if self._interrupted and self._wish.rounds == "one":
            self._came.interrupted = self._came.interrupted or "yes"
        self._player.hush()
        return performance

    def _beside(self) -> Beside:
        """What is around the singer; of several nobody's company is the loudspeaker's alone."""
        return UNKNOWN if self._parts else self._choices.beside(len(self._score.lines))

    def _during(self, take: LiveTake | KeyTake) -> None:
        """Between two reads of a take."""
        if self._interrupted:
            take.stop()
            return
        for command in self._commands():
            self._command_in_take(command, take)
        now = self._link.write_until()
        phase = take_phase(self._player, now, take.still_phase)
        self._rest(phase, quarters=self._player.quarters(now))

    def _heard(self, event: BeatOver) -> None:
        stopped = self._take_now is not None and self._take_now.stopped
        if stopped or self._choices.shown != "beats":
            return  # what was not sung any more is no beat that went by
        told = event.verdict
        beats_of = tuple(
            (*beats, told) if line == event.line else beats for line, beats in enumerate(self._state.beats_of)
        )
        self._state = replace(self._state, beats=(*self._state.beats, told), beats_of=beats_of)

    def _unjudged(self, state: State) -> State:
        return replace(state, beats=(), beats_of=((),) * len(self._parts), performance=None)

    def _afterwards(self, performance: Performance | None) -> str:
        """After a take: on by itself where a course says so, "over" where nobody is asked, else wait for what is asked."""
        if performance is None:
            command, self._pending = self._pending, ""
            self._show("done")
            return self._wait_for_go() if self._command(command) != "go" else ""
        course, stopped, self._interrupted = self._wish.course, self._interrupted, False
        if self._leaving or not self._link.alive or self._performer.trouble:
            raise Leave
        if course is not None and not stopped and self._take_turn(course.after(performance, self._choices)) == AGAIN:
            self._said = self._rest_from.beside(self._said)
            return ""
        if self._wish.rounds == "one":
            return "over"
        self._state = replace(self._state, notice=self._rest_from.beside(self._state.notice))
        return self._wait_for_go()

    def _wait_for_go(self, phase: str = "done") -> str:
        while self._look(phase) != "go":
            pass
        self._begin_anew()
        return ""

    def _take_turn(self, turn: Turn) -> str:
        """Choose what a course says, and say what it says; "again" or "ask"."""
        self._choices, self._said, self._question = turn.choices, turn.says, turn.asks
        asked = QUESTIONS.get(turn.asks, "")
        self._state = replace(self._state, notice=turn.says, standing=turn.standing, asked=asked, help="")
        self._begin_anew()
        self._show(self._state.phase)
        return turn.then

    def _begin_anew(self) -> None:  # a player for what is chosen now, in step with the link
        self._prepare()
        self._replay.over()
        self._player.write(self._link)

    # ---- commands

    def _command(self, command: str) -> str:
        """Outside a take; "go" when a take is to begin."""
        if command.startswith("="):
            self._answer(command[1:])
            return ""
        turn = None if self._wish.course is None else self._wish.course.asked(command, self._choices)
        if turn is not None:
            return "go" if self._take_turn(turn) == AGAIN else ""
        if command in ("go", "again"):
            return "go"
        if command == "quit":
            raise Leave
        if command == "note":
            self._player.give_first_note()
        elif command == "more" and not self._state.help and self._state.performance is None and self._came.performances:
            self._state = replace(self._state, performance=self._came.performances[-1])
        elif command == "listen" and self._state.performance is not None:
            said = self._replay.asked(self._player, self._state.performance, self._choices.desk)
            self._state = replace(self._state, notice=said)
        elif command in QUESTIONS and (command != "why" or self._state.performance is not None):
            self._question = command
            self._state = replace(self._state, asked=QUESTIONS[command])
        elif command == "octave":
            self._choices = self._choices.with_next_octave()
            self._begin_anew()
            self._player.give_first_note()
        else:
            self._at_any_time(command)
        return ""

    def _command_in_take(self, command: str, take: LiveTake | KeyTake) -> None:
        if self._wish.course is not None and self._wish.course.leaves(command) and not self._player.paused:
            self._pending = "stop" if command == "go" else command
            raise Discarded
        command = in_take(command, take, self._player, self._link)
        if command == "quit":
            self._leaving = "yes"
        elif command in ("tempo", "slower", "faster"):
            self._choices = self._choices.quicker(FASTER if command == "faster" else 1 / FASTER)
            self._player.change_tempo(self._choices.qpm)
        elif command:
            self._at_any_time(command)

    def _at_any_time(self, command: str) -> None:
        moved = self._choices.with_desk_command(command, len(self._score.lines))
        if moved is not None:
            self._choices = moved
            self._player.stand(moved.desk)
        elif command == "help":
            self._state = replace(self._state, help="" if self._state.help else "shown", page=0)
        elif command == "more":
            self._state = replace(self._state, page=self._state.page + 1)

    def _answer(self, words: str) -> None:
        question, self._question = self._question, ""
        course = self._wish.course
        turn = None if course is None or words == CANCELLED else course.told(question, words, self._choices)
        if turn is not None:
            self._take_turn(turn)
            return
        told = answer(
            question,
            words,
            self._choices,
            whole=self._wish.score,
            settings=self._settings,
            performance=self._state.performance,
        )
        self._state = replace(self._state, asked="", notice=told.notice)
        if question == "why":
            self._state = replace(self._state, why=told.why, page=0)
        if told.choices is not None:
            self._choices = told.choices
            self._begin_anew()
            if question == "bars":
                self._state = self._unjudged(self._state)

    def _show(self, phase: str, **more: object) -> None:
        self._state = replace(
            self._state,
            phase=phase,
            score=self._score,
            desk=self._choices.desk,
            tempo_qpm=self._choices.qpm,
            octaves=self._choices.octaves,
            **{"seconds_left": None, "quarters": None, **self._performer.shown(), **more},  # type: ignore[arg-type]
        )
        self._face.show(self._state)
