"""``sing --lines`` at microphones: several singers, one to a part, judged live side by side."""

from __future__ import annotations

import argparse
import contextlib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from trainer.cli import _link, _live, _parts
from trainer.cli._parser import UsageError

if TYPE_CHECKING:
    from audio.devices import SoundLink
    from audio.devices.side_by_side import Place, Vanished
    from trainer.live.delay import Delay
    from trainer.live.wish import Wish


@dataclass(frozen=True, slots=True)
class Room:
    """An open link for several singers.

    Parameters
    ----------
    link : SoundLink
    channels : tuple of str
        Each singer's microphone.
    delay : Delay
    vanished : callable
        Gives the microphones that are silent for good.
    """

    link: SoundLink
    channels: tuple[str, ...]
    delay: Delay
    vanished: Callable[[], Mapping[str, Vanished]]


FOR_ONE_SINGER = (
    ("lead", None),
    ("guide", None),
    ("own_octave", None),
    ("stand", None),
    ("loop", False),
    ("turns", None),
)


def sing_together(args: argparse.Namespace) -> int:
    """One session of several singers; 0, 5 when nobody was heard, 130 when it was stopped."""
    from trainer.cli._take import kept
    from trainer.live.performers.several import SeveralSingers
    from trainer.places import places
    from trainer.ui.parts_lines import PartsLines

    for name, nothing in FOR_ONE_SINGER:
        if getattr(args, name) != nothing:
            option = "--" + name.replace("_", "-")
            raise UsageError(f"{option} is for one singer", option, "leave it out beside --lines")
    wanted = _parts.wanted_lines(args)
    first = argparse.Namespace(**{**vars(args), "voice": wanted[0].voice})
    wish = _live.wish_of(first)
    lines = _lines(wish, wanted)
    # no line that is sung sounds
    desk = replace(wish.desk, muted=wish.desk.muted | set(lines[1:]))
    wish = replace(wish, desk=desk, look_through_seconds=wish.look_through_seconds or 0)
    names = wish.score.voice_names()
    with _opened(args, wish, wanted) as room:
        own = [names[line] for line in lines]
        singers = SeveralSingers(room.link, lines, room.channels, own, room.vanished)
        stored = places() if kept(args) else None
        made = _live.session_of(room.link, wish, room.delay, stored, singers)
        came = _live.run_session(args, made, in_lines=PartsLines)
    return _live.ended(args, wish, came)


def _lines(wish: Wish, wanted: list[_parts.Wanted]) -> tuple[int, ...]:
    """Their places in the score. Raises UsageError for a voice that has nothing to sing."""
    lines = _parts.lines_of(wish.score, wanted)
    for line, one in zip(lines, wanted, strict=True):
        if not wish.score.lines[line].notes:
            raise UsageError(f"{one.voice} has no notes to sing", "--lines", "leave this voice out")
    return lines


@contextlib.contextmanager
def _opened(args: argparse.Namespace, wish: Wish, wanted: list[_parts.Wanted]) -> Iterator[Room]:
    """What the singers stand at. Raises DeviceError."""
    if wanted[0].microphone is None:
        with _link.opened(args, wish, microphones=max(one.channel or 0 for one in wanted)) as link:
            yield Room(link, tuple(f"mic{one.channel}" for one in wanted), _link.delay_of(link), dict)
        return
    from audio.devices import SoundWish, found, open_side_by_side
    from audio.devices.roundtrip import unmeasured
    from audio.devices.side_by_side import Place, one_opening_each
    from trainer.live.delay import Delay

    names = list(dict.fromkeys(str(one.microphone) for one in wanted))
    inputs = [
        SoundWish(
            input_name=None if name.isdecimal() else name,
            input_number=int(name) if name.isdecimal() else None,
            channels_in=max(one.channel or 0 for one in wanted if one.microphone == name),
            channels_out=0,
        )
        for name in names
    ]
    places = [Place(names.index(str(one.microphone)), one.channel or 1) for one in wanted]
    if len(names) > 1 and not all(name.isdecimal() for name in names):  # two names may be one device's
        inputs, places = one_opening_each(inputs, places, found().inputs)
        _refuse_shared(wanted, places)
    output = None if wish.desk.sounding == "silent" else SoundWish(output_name=args.output_device, channels_in=0)
    with open_side_by_side(output, inputs, places) as several:
        delay = Delay(unmeasured(several).frames(several.rate_hz), "as each device says", several.rate_hz)
        yield Room(several, tuple(f"mic{number}" for number in range(1, len(places) + 1)), delay, several.vanished)


def _refuse_shared(wanted: list[_parts.Wanted], places: list[Place]) -> None:
    """Raises UsageError where two singers have one channel of one device, whatever it was called."""
    for number, (one, place) in enumerate(zip(wanted, places, strict=True)):
        if place in places[:number]:
            other = wanted[places.index(place)]
            raise UsageError(
                f"{other.microphone} and {one.microphone} are the same microphone, and channel {one.channel} of it is named twice",
                "--lines",
                "give each singer a channel",
            )
