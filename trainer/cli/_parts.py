"""``sing --lines``: several singers, one to a part, from recordings, from the channels of one, or at microphones of their own.

What stands behind a voice is a file, a channel (of ``--input``, or of the one microphone device), or MICROPHONE:CHANNEL, where devices
are several: by name, a part of it, or by the number under which ``soundcheck --list`` has it.
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.cli import _options
from trainer.cli._parser import UsageError

if TYPE_CHECKING:
    from trainer.score.model import Score

MOST_LINES = 8


@dataclass(frozen=True, slots=True)
class Wanted:
    """One line asked for: whose, and from where: a recording's path, or a channel from 1, or both; or a microphone and its channel."""

    voice: str
    path: str | None
    channel: int | None
    microphone: str | None = None

    @property
    def side(self) -> int | None:
        """The channel counted from 0."""
        return None if self.channel is None else self.channel - 1


def is_live(args: argparse.Namespace) -> bool:
    """Whether ``--lines`` names channels and no recording."""
    return args.lines is not None and args.input is None and all(one.path is None for one in wanted_lines(args))


def wanted_lines(args: argparse.Namespace) -> list[Wanted]:
    """Every line of ``--lines``, or the one of ``--voice`` and ``--input``. Raises UsageError."""
    if args.lines is None:
        if args.voice is None:
            raise UsageError("--voice is missing", "heldline sing", "name the voice that was sung, as in --voice tenor")
        return [Wanted(args.voice, args.input, None)]
    if args.voice is not None:
        raise UsageError("--lines names its own voices", "--lines", "leave --voice out")
    pairs = [part.partition("=") for part in args.lines.split(",")]
    if not all(voice and sign and source for voice, sign, source in pairs):
        raise UsageError(
            f"{args.lines!r} is not a list of voices and where they are heard",
            "--lines",
            "as in alto=a.wav,tenor=b.wav, or alto=1,tenor=2 for channels",
        )
    if len(pairs) > MOST_LINES:
        raise UsageError("more than eight lines cannot be judged at once", "--lines", "give up to eight")
    devices = [_device(source) for _, _, source in pairs]
    if any(devices):
        return _at_microphones(args, [voice for voice, _, _ in pairs], devices)
    files = [_is_file(source) for _, _, source in pairs]
    if any(files):
        if not all(files):
            raise UsageError(
                "channels and files cannot be mixed", "--lines", "name a file for each voice, or a channel"
            )
        if args.input is not None:
            raise UsageError("--lines names its own files", "--lines", "leave --input out, or name its channels")
        return [Wanted(voice, source, None) for voice, _, source in pairs]
    channels = [_channel(source) for _, _, source in pairs]
    twice = next((channel for channel in channels if channels.count(channel) > 1), None)
    if twice is not None:
        raise UsageError(f"channel {twice} is named twice", "--lines", "give each singer a channel")
    return [Wanted(voice, args.input, channel) for (voice, _, _), channel in zip(pairs, channels, strict=True)]


def lines_of(score: Score, wanted: Sequence[Wanted]) -> tuple[int, ...]:
    """Their places in the score. Raises UsageError where one is named twice."""
    lines = tuple(_options.voice_index(score, one.voice) for one in wanted)
    if len(set(lines)) < len(lines):
        raise UsageError("one voice is named twice", "--lines", "name each voice once")
    return lines


def _at_microphones(args: argparse.Namespace, voices: list[str], devices: list[tuple[str, int] | None]) -> list[Wanted]:
    """A microphone and its channel each. Raises UsageError."""
    if args.input is not None:
        raise UsageError("--lines names microphones", "--lines", "leave --input out, or name its channels")
    if getattr(args, "input_device", None) is not None:
        raise UsageError("--lines names its own microphones", "--lines", "leave --input-device out")
    named = [device for device in devices if device is not None]
    if len(named) < len(devices):
        raise UsageError("a microphone is missing", "--lines", "name one for each voice, as in soprano=1:1,alto=3:1")
    twice = next((device for device in named if named.count(device) > 1), None)
    if twice is not None:
        raise UsageError(f"channel {twice[1]} of {twice[0]} is named twice", "--lines", "give each singer a channel")
    return [Wanted(voice, None, channel, name) for voice, (name, channel) in zip(voices, named, strict=True)]


def _device(source: str) -> tuple[str, int] | None:
    """Microphone and channel of "Desk mic:2"; None for a file or a channel alone. Raises UsageError."""
    found = re.fullmatch(r"(.*[^:\s])\s*:\s*(\d+)", source)
    if found is None or Path(source).is_file():
        return None
    return found[1].strip(), _channel(found[2])


def _is_file(source: str) -> bool:
    """Whether it can only be a recording: one that is there, or anything that is no number."""
    return not source.isdecimal() or Path(source).is_file()


def _channel(source: str) -> int:
    number = int(source) if len(source) <= 2 else 0
    if not 1 <= number <= 64:
        raise UsageError(f"there is no channel {source}", "--lines", "give 1 to 64")
    return number
