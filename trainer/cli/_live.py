"""What ``sing`` needs of a microphone and a loudspeaker: what is asked for, the open link, the face, and how it all ends."""

from __future__ import annotations

import argparse
import contextlib
import signal
import sys
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from types import FrameType
from typing import TYPE_CHECKING, Any

from trainer.cli import _link, _options, _turns, _which
from trainer.cli._door import INTERRUPTED, NOT_READ
from trainer.cli._parser import UsageError

if TYPE_CHECKING:
    from audio.devices import SoundLink
    from trainer.live.courses import Course
    from trainer.live.delay import Delay
    from trainer.live.performers import Performer
    from trainer.live.player import Player
    from trainer.live.session import Session
    from trainer.live.state import Face
    from trainer.live.wish import Came, Wish
    from trainer.places import Places
    from trainer.practice.settings import Settings
    from trainer.score.model import Score
    from trainer.score.naming import Names
    from trainer.singable.weights import Weights

HUNG_UP = 129
STOPPED = {"yes": INTERRUPTED, "unread": NOT_READ}
"""The exit status of a session that did not come to its own end."""


def sing_live(args: argparse.Namespace, shaped: Callable[[Wish], Wish] = lambda wish: wish) -> int:
    """One session at the microphone; 0, 5 when nothing was heard, 130 when it was stopped.

    *shaped* makes of what is asked for what a drill or a ladder wants.
    """
    from trainer.cli._compass import offered
    from trainer.cli._history import sung_without_rest
    from trainer.cli._octave import as_last_sung, remember
    from trainer.cli._take import kept
    from trainer.places import places

    wish = offered(args, as_last_sung(args, shaped(wish_of(args))))
    wish = replace(wish, sung_before_seconds=sung_without_rest())
    with _link.opened(args, wish) as link:
        wish = _turns.advised(wish, _link.device_memory().measured(_link.pair_of(link)))
        came = run_session(args, sung_session(link, wish, places() if kept(args) else None))
    remember(args, wish, came)
    return ended(args, wish, came)


def sung_session(link: SoundLink, wish: Wish, places: Places | None) -> Callable[[Face], Session]:
    """What makes a singer's session on an open link once its face is there; *places* is where takes are kept, None for nowhere."""
    from trainer.live.performers.one_singer import OneSinger

    return session_of(link, wish, _link.delay_of(link), places, OneSinger(link, _link.own_sound_of(link)))


def session_of(
    link: SoundLink,
    wish: Wish,
    delay: Delay,
    places: Places | None,
    performer: Performer,
    ticks: Callable[[Player], None] = lambda _: None,
) -> Callable[[Face], Session]:
    """The same for any performer."""
    from trainer.cli._take import tell
    from trainer.live.session import Session
    from trainer.takes.quicker import in_a_session

    def begun(face: Face) -> Session:
        if performer.source == "sung":
            in_a_session()
        return Session(
            link, wish, delay, face, wait=time.sleep, places=places, tell=tell, performer=performer, ticks=ticks
        )

    return begun


def wish_of(args: argparse.Namespace) -> Wish:
    """What is asked for. Raises UsageError for what cannot be."""
    from trainer.cli._banner import with_banner
    from trainer.live.choices import bars_of
    from trainer.live.desk import Desk
    from trainer.live.wish import Wish
    from trainer.score.change import cut

    settings = _options.settings_from(args)
    if args.lead == "singer":
        settings = replace(settings, time="free")
    score = with_banner(_which.music(args))
    line = _options.voice_index(score, _voice(args, score.fact("sing")))
    if not score.lines[line].notes:
        raise UsageError("this voice has no notes to sing", "--voice", "choose another")
    count_in = 1 if args.count_in is None else args.count_in
    if not 0 <= count_in <= 8:
        raise UsageError(f"{count_in} bars of count-in are not possible", "--count-in", "give 0 to 8")
    look = 30 if args.look_through is None else args.look_through
    if not 0 <= look <= 600:
        raise UsageError(f"{look} seconds of look-through are not possible", "--look-through", "give 0 to 600")
    octaves = args.own_octave or 0
    if not -2 <= octaves <= 2:
        raise UsageError(f"a voice {octaves} octaves away is not possible", "--own-octave", "give -2 to 2")
    bars = None
    if args.bars is not None:
        try:
            bars = bars_of(args.bars)
            bars = (max(bars[0] - args.loop, score.bars().bars[0].number), bars[1])
            cut(score, *bars)
        except (KeyError, ValueError) as err:
            raise UsageError(f"there are no bars {args.bars}", "--bars", f"the piece has {_bars_there(score)}") from err
    desk = Desk(
        line,
        guide=args.guide or "off",
        click=args.click or "off",
        ear=args.ear or "both",
        louder=None if args.stand is None else _options.voice_index(score, args.stand, "--stand"),
        muted=frozenset(_options.voice_index(score, name, "--mute") for name in args.mute.split(","))
        if args.mute
        else frozenset(),
        sounding="silent" if args.silent else "on",
    )
    rounds, sound = "asked" if drawn(args) else "one", "kept" if args.keep_sound else ""
    course = _loop(score, bars, settings) if args.loop else None
    weights = kept_weights()
    wish = Wish(
        score, line, settings, desk, octaves, look, count_in, bars, rounds, sound, course=course, weights=weights,
        shown=args.show or "beats",
    )  # fmt: skip
    return wish if getattr(args, "turns", None) is None else _turns.asked(args, wish)


def kept_weights() -> Weights:
    """What the takes kept here say of how hard things are; paper where that was never asked for."""
    from trainer.log.weights import read_weights
    from trainer.places import places

    return read_weights(places().weights)


def _loop(score: Score, bars: tuple[int, int] | None, settings: Settings) -> Course:
    """Round and round *bars*, or everything, at one tempo."""
    from trainer.drill.rounds import Drill
    from trainer.live.courses import DrillCourse

    there = score.bars()
    stage = bars or (there.bars[0].number, there.bars[-1].number)
    return DrillCourse(Drill((stage,), steps="kept"), settings.tempo_qpm or score.tempo.points[0][1], there)


def _bars_there(score: Any) -> str:
    bars = score.bars().bars
    return f"bars {bars[0].number} to {bars[-1].number}"


def _voice(args: argparse.Namespace, usual: str) -> str:
    if args.voice is not None:
        return str(args.voice)
    if usual:
        return usual
    raise UsageError(
        "--voice is missing", f"heldline {args.command}", "name the voice that you sing, as in --voice tenor"
    )


def drawn(args: argparse.Namespace) -> bool:
    """Whether a screen is drawn: on a terminal that can, unless plain lines or JSON are asked for."""
    from trainer.cli._take import look

    on_a_terminal = sys.platform != "win32" and sys.stdout.isatty() and sys.stdin.isatty()
    return not args.json and on_a_terminal and look(args).form == "drawn"


def run_session(
    args: argparse.Namespace,
    make: Callable[[Face], Session],
    *,
    keys: Mapping[str, str] | None = None,
    in_lines: Callable[[Callable[[str], None], Names], Face] | None = None,
) -> Came:
    """A session under the face that fits where it is shown; Ctrl-C ends its take, a second one leaves.

    With *keys* of its own it is led by them where no screen is drawn too, typed in lines. *in_lines* makes the face there, of what
    prints a line.
    """
    from trainer.cli._take import look
    from trainer.ui.keys import BY_KEY
    from trainer.ui.lines import Lines
    from trainer.ui.typed_lines import TypedLines, stdin_as_it_comes

    names = _options.names_from(args)

    def say(line: str) -> None:
        try:
            print(line, flush=True)
        except BrokenPipeError:  # the door says so once the take is kept
            session.leave()

    if not drawn(args):
        said = _nowhere if args.json or args.quiet else say
        typed = None if keys is None else TypedLines(stdin_as_it_comes, keys)
        session = make(Lines(said, names, typed) if in_lines is None else in_lines(said, names))
        with interrupts(session.interrupt):
            return session.run()
    from trainer.ui.screen import Screen
    from trainer.ui.terminal import HungUp, Terminal

    try:
        with Terminal().open() as terminal:
            session = make(Screen(terminal, look(args), names, keys=keys or BY_KEY))
            with interrupts(session.interrupt):
                return session.run()
    except HungUp:
        raise SystemExit(HUNG_UP) from None  # nobody is there to be told; the take waits for the next start


def _nowhere(_: str) -> None:
    pass


@contextlib.contextmanager
def interrupts(interrupt: Callable[[], None]) -> Iterator[None]:
    """The first Ctrl-C is told, the next one within the same take or pause raises KeyboardInterrupt."""
    told = [0.0]

    def arrived(_: int, __: FrameType | None) -> None:
        now = time.monotonic()
        if now - told[0] < 5.0:
            raise KeyboardInterrupt
        told[0] = now
        interrupt()

    before = signal.signal(signal.SIGINT, arrived)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def ended(args: argparse.Namespace, wish: Wish, came: Came) -> int:
    """Print what the session came to; the exit status."""
    from trainer.cli._take import NOTHING_HEARD, show, tell_kept

    status = 0
    if came.performances:
        try:
            if getattr(args, "show", None) == "none" and not args.json:
                status = NOTHING_HEARD if came.performances[-1].takes[0].status == "nothing heard" else 0
            else:
                status = show(args, _turns.to_show(wish, came), wish.score)
            sys.stdout.flush()
        finally:
            tell_kept(args, came.numbers[-1] if came.numbers else None)
    return STOPPED.get(came.interrupted, status)
