"""A session of several singers, one to a part, each at a microphone of their own: chord, look-through, count, take, report, again.

The same player, take and judge as for one singer; time is the link's frames alone.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from trainer.errors import DeviceError
from trainer.live.delay import Delay
from trainer.live.desk import Desk
from trainer.live.keep import Discarded, once, run_take
from trainer.live.player import Player
from trainer.live.rest import Rest
from trainer.live.state import Face, State, take_phase
from trainer.live.stems import Stems
from trainer.live.take import LiveTake, laid
from trainer.live.watch import MicrophoneWatch
from trainer.live.wish import Came, Leave, delay_words
from trainer.places import Places
from trainer.practice.beside import UNKNOWN, Beside
from trainer.practice.event import BeatOver
from trainer.practice.settings import Settings
from trainer.practice.take import Performance
from trainer.score.model import Score
from trainer.takes.keeping import Tell

if TYPE_CHECKING:
    from audio.block import Block
    from audio.devices import SoundLink

LOOK_SECONDS = 0.02


@dataclass(frozen=True, slots=True)
class PartsWish:
    """What the session is to be.

    Parameters
    ----------
    score : Score
        The bars that are sung.
    lines : tuple of int
        Who sings.
    channels : tuple of str
        Their microphones, in the same order.
    settings : Settings
    desk : Desk
        No sung line sounds from it.
    look_through_seconds, count_in_bars : int
    rounds : str
        "one", or "asked": after a take it is waited for what comes next.
    keep_sound : str
        "kept" or "".
    """

    score: Score
    lines: tuple[int, ...]
    channels: tuple[str, ...]
    settings: Settings
    desk: Desk
    look_through_seconds: int = 30
    count_in_bars: int = 1
    rounds: str = "one"
    keep_sound: str = ""


class PartsSession:
    """Runs on one open link.

    Parameters
    ----------
    link : SoundLink
    wish : PartsWish
    delay : Delay
    face : Face
    wait : callable
        Of seconds: lets time pass.
    places : Places or None
        Where takes are kept; None keeps none.
    tell : callable
        Told of what goes wrong on the way.
    """

    def __init__(
        self,
        link: SoundLink,
        wish: PartsWish,
        delay: Delay,
        face: Face,
        *,
        wait: Callable[[float], None],
        places: Places | None,
        tell: Tell,
    ) -> None:
        self._link, self._wish, self._delay, self._face = link, wish, delay, face
        self._wait, self._places, self._tell = wait, places, once(tell)
        self._watches = [MicrophoneWatch(channel) for channel in wish.channels]
        self._names = [wish.score.voice_names()[line] for line in wish.lines]
        qpm = wish.settings.tempo_qpm or wish.score.tempo.points[0][1]
        self._settings = replace(wish.settings, tempo_qpm=qpm)
        self._desk = wish.desk
        self._came, self._rest_from = Came(), Rest(link.rate_hz)
        self._take_now: LiveTake | None = None
        self._interrupted, self._leaving = False, ""
        self._state = State("ready", wish.score, wish.lines[0], wish.desk, qpm, delay=delay_words(delay, None))
        self._state = replace(self._state, lines=wish.lines, beats_of=((),) * len(wish.lines))
        self._prepare()

    def interrupt(self) -> None:
        """Ctrl-C: end the take that runs with what was sung, or leave."""
        self._interrupted = True

    def run(self) -> Came:
        """Everything, to the end. Raises DeviceError when the device vanishes before anything was sung."""
        try:
            self._player.write(self._link)
            self._look_through()
            while self._afterwards(self._take()) != "over":
                self._prepare()
                self._player.write(self._link)
        except Leave:
            pass
        return self._came

    def _prepare(self) -> None:
        stems = Stems(self._wish.score, self._wish.lines[0], self._settings, 0, self._link.rate_hz)
        self._player = Player(stems, self._desk)

    def _look_through(self) -> None:
        """Time to read; any start command ends it."""
        end = self._link.write_until() + self._wish.look_through_seconds * self._link.rate_hz
        while (left := end - self._link.write_until()) > 0:
            if self._look("look-through", seconds_left=-(-left // self._link.rate_hz)) == "go":
                return

    def _look(self, phase: str, **more: int | None) -> str:
        """One look around outside a take; "go" when asked to start."""
        if not self._link.alive:
            raise DeviceError(self._link.trouble, "the sound device", "plug it in again and start anew")
        if self._interrupted:
            self._came.interrupted = "yes"
            raise Leave
        asked = ""
        for command in self._face.commands():
            if command == "quit":
                raise Leave
            asked = "go" if command in ("go", "again") else asked
            self._at_any_time(command)
        self._player.write(self._link)
        self._seen(self._link.read())
        self._rest(phase, **more)
        return asked

    def _take(self) -> Performance:
        while True:
            try:
                return self._one_take()
            except Discarded:
                self._prepare()
                self._player.write(self._link)

    def _one_take(self) -> Performance:
        pitch = "chord alone" if self._desk.sounding == "on" else "none"
        begun = self._player.begin(count_in_bars=self._wish.count_in_bars, pitch=pitch)
        where = laid(begun, self._player, self._delay, self._settings)
        take = LiveTake(self._link, self._player, where, self._during, self._seen, channels=self._wish.channels)
        take.hearing.keeping = self._wish.keep_sound == "kept"
        self._take_now = take
        self._state = replace(
            self._state, beats=(), beats_of=((),) * len(self._wish.lines), performance=None, page=0, notice=""
        )
        performance, end = run_take(
            take,
            where,
            self._wish.score,
            self._wish.lines,
            places=self._places,
            tell=self._tell,
            listen=self._heard,
            beside=self._beside,
        )
        performance = performance.saying(take.hearing.said())
        self._rest_from.sung(take.end_frame - begun.music_frame)
        self._came.performances.append(performance)
        if not self._link.alive:
            self._state = replace(self._state, notice=f"{self._link.trouble}; the take so far is judged and kept")
        self._state = replace(self._state, performance=performance)
        self._show("done")  # the verdict is out before anything can go wrong with the store
        self._came.numbers.append(end())
        if self._interrupted and self._wish.rounds == "one":
            self._came.interrupted = "yes"
        self._player.hush()
        return performance

    def _beside(self) -> Beside:
        """What sounded is kept with a take of one singer; of several nobody's company is the loudspeaker's."""
        return UNKNOWN

    def _during(self) -> None:
        """Between two reads of a take."""
        take = self._take_now
        if take is None:
            return
        if self._interrupted:
            take.stop()
            return
        for command in self._face.commands():
            self._command_in_take(command, take)
        now = self._link.write_until()
        self._rest(take_phase(self._player, now, "pause"), quarters=self._player.quarters(now))

    def _command_in_take(self, command: str, take: LiveTake) -> None:
        counting = (self._player.quarters(self._link.write_until()) or Fraction(0)) < 0
        if command == "go" and self._player.paused:
            take.resume()
        elif command == "again" or (command == "go" and counting):
            raise Discarded
        elif command == "go":
            take.stop()
        elif command == "pause":
            (take.resume if self._player.paused else take.pause)()
        elif command == "quit":
            take.stop()
            self._leaving = "yes"
        else:
            self._at_any_time(command)

    def _at_any_time(self, command: str) -> None:
        if command == "click":
            self._desk = self._desk.with_next_click()
            self._player.stand(self._desk)
        elif command == "help":
            self._state = replace(self._state, help="" if self._state.help else "shown")
        elif command == "more":
            self._state = replace(self._state, page=self._state.page + 1)

    def _heard(self, event: BeatOver) -> None:
        if self._take_now is not None and self._take_now.stopped:
            return  # what was not sung any more is no beat that went by
        told = tuple(
            (*beats, event.verdict) if line == event.line else beats for line, beats in enumerate(self._state.beats_of)
        )
        self._state = replace(self._state, beats=(*self._state.beats, event.verdict), beats_of=told)

    def _afterwards(self, performance: Performance) -> str:
        """Wait for what is asked after a take; "over" where nobody is."""
        self._interrupted = False
        if self._leaving or not self._link.alive:
            raise Leave
        if self._wish.rounds == "one":
            return "over"
        self._state = replace(self._state, notice=self._rest_from.beside(self._state.notice))
        while self._look("done") != "go":
            pass
        return ""

    def _seen(self, blocks: list[Block]) -> None:
        for watch in self._watches:
            watch.feed(blocks)

    def _rest(self, phase: str, **more: object) -> None:
        self._show(phase, **more)
        self._wait(LOOK_SECONDS)

    def _show(self, phase: str, **more: object) -> None:
        wrong = [
            f"{name}: {watch.notice}" for name, watch in zip(self._names, self._watches, strict=True) if watch.notice
        ]
        loudest = max(watch.level_dbfs for watch in self._watches)
        self._state = replace(
            self._state,
            phase=phase,
            desk=self._desk,
            level_dbfs=loudest,
            warning=" ".join(wrong[:1]),
            seconds_left=None,
            quarters=None,
        )
        if more:
            self._state = replace(self._state, **more)  # type: ignore[arg-type]
        self._face.show(self._state)
