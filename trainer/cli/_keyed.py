"""What ``key`` needs of a keyboard, or of the number row, and of whatever can sound the other voices."""

from __future__ import annotations

import argparse
import contextlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from trainer.cli import _link, _live
from trainer.cli._parser import Parser, UsageError
from trainer.errors import DeviceError, HeldlineError

if TYPE_CHECKING:
    from audio.devices import SoundLink
    from audio.devices.keys_link import KeysLink
    from trainer.live.hand import Hand, LinkClock
    from trainer.live.player import Player
    from trainer.live.wish import Wish

LOW_LATENCY_SECONDS = 0.008
"""Asked of the driver so that a key is heard within 20 ms."""


def add_keys(parser: Parser) -> None:
    """Options of a take on the keys."""
    group = parser.add_argument_group("on the keys")
    group.add_argument("--keys", metavar="NAME", help="the keyboard, by name or a part of it")
    group.add_argument(
        "--degrees", action="store_true", help="type degrees 1 to 7 instead; when and which, never how long"
    )
    group.add_argument("--own-sound", choices=("on", "off"), help="sound the keys that are pressed (on)")
    group.add_argument("--synth", metavar="NAME", help="sound the voices on this MIDI synth")


@dataclass(frozen=True, slots=True)
class Rig:
    """Everything that a keyed session hangs on."""

    link: SoundLink
    hand: Hand
    clock: LinkClock
    ticks: Callable[[Player], None]
    says: str


def key_live(args: argparse.Namespace) -> int:
    """One session on the keys; 0, 5 when no key was pressed, 130 when it was stopped."""
    from trainer.cli._take import kept, tell
    from trainer.live.delay import Delay
    from trainer.live.performers.at_keys import AtKeys
    from trainer.places import places

    args.own_octave = args.guide = args.keep_sound = args.lead = None
    wish = _live.wish_of(args)
    if args.own_sound == "off" or args.synth is not None:
        wish = replace(wish, desk=replace(wish.desk, keys=args.own_sound or "on"))
    if args.degrees and not _live.drawn(args):
        raise UsageError(
            "degrees are typed on a terminal", "--degrees", "leave --json and --plain out, or plug keys in"
        )
    with opened(args, wish) as rig:
        if rig.says and not args.quiet:
            tell(rig.says)
        same_output = wish.desk.keys == "on"
        delay = Delay(0, "measured" if same_output else "reported", rig.link.rate_hz)
        came = _live.run_session(
            args,
            _live.session_of(
                rig.link,
                wish,
                delay,
                places() if kept(args) else None,
                AtKeys(rig.link, rig.hand, rig.clock),
                rig.ticks,
            ),
        )
        answer = getattr(rig.hand, "answer_ms", None)
    status = _live.ended(args, wish, came)
    if answer is not None and not args.quiet and not args.json:
        tell(f"a key's tone left {answer:g} ms after the key arrived, and the output's own delay later")
    return status


@contextlib.contextmanager
def opened(args: argparse.Namespace, wish: Wish) -> Iterator[Rig]:
    """Keys, sound and synth. Raises DeviceError for keys or a synth that are not there; without sound it goes on."""
    from audio.devices import open_keys, open_synth
    from trainer.live.hand import LinkClock, MidiHand, NumberRow
    from trainer.live.synth import SynthVoices
    from trainer.score.naming import degree_number

    with contextlib.ExitStack() as stack:
        memory = _link.device_memory()
        keys = None
        if not args.degrees:
            keys = stack.enter_context(_remembered_keys(open_keys, args.keys, memory.last("keys")))
            with contextlib.suppress(HeldlineError):
                memory.use(keys=keys.name)
        synth = None if args.synth is None else stack.enter_context(open_synth(args.synth))
        link, says = _nothing_sounds() if synth is not None or wish.desk.sounding == "silent" else _sound(args)
        stack.callback(link.close)
        clock = LinkClock(link.rate_hz, link.block_frames)
        hand: Hand
        if keys is None:
            hand = NumberRow(wish.score, wish.line_index, link, lambda midi: degree_number(wish.score, midi))
        else:
            latency = link.reported_round_trip_frames or 0  # nothing is heard, so it is the output's own
            hand = MidiHand(keys, link, clock, latency_frames=latency)
        ticks: Callable[[Player], None] = _no_synth
        if synth is not None:
            ticks = SynthVoices(synth, wish.score, wish.line_index, 0, lambda: hand.down)
        yield Rig(link, hand, clock, ticks, says)


def _no_synth(_: Player) -> None:
    pass


def _remembered_keys(open_keys: Callable[[str | None], KeysLink], wanted: str | None, last: str | None) -> KeysLink:
    """The keyboard asked for, else the one used last, else the first there is. Raises DeviceError."""
    if wanted is None and last is not None:
        with contextlib.suppress(DeviceError):
            return open_keys(last)
    return open_keys(wanted)


def _nothing_sounds() -> tuple[SoundLink, str]:
    from audio.devices.no_sound import NoSound

    return NoSound(), ""


def _sound(args: argparse.Namespace) -> tuple[SoundLink, str]:
    """The output, or only a clock where there is none; and what is to be said of that."""
    from audio.devices import SoundWish, open_sound
    from audio.devices.no_sound import NoSound

    try:
        wish = SoundWish(output_name=args.output_device, channels_in=0, latency_seconds=LOW_LATENCY_SECONDS)
        return open_sound(wish), ""
    except DeviceError as err:
        if args.output_device is not None:
            raise
        return NoSound(), f"no sound here ({err.what}): the pulse is on the screen, and notes and time are judged"
