"""``sing --lines``: several singers, one to a part, from recordings, from the channels of one, or at microphones of their own."""

from __future__ import annotations

import argparse
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
    """One line asked for: whose, and from where: a recording's path, or a channel from 1, or both."""

    voice: str
    path: str | None
    channel: int | None

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


def _is_file(source: str) -> bool:
    """Whether it can only be a recording: one that is there, or anything that is no number."""
    return not source.isdecimal() or Path(source).is_file()


def _channel(source: str) -> int:
    number = int(source) if len(source) <= 2 else 0
    if not 1 <= number <= 64:
        raise UsageError(f"there is no channel {source}", "--lines", "give 1 to 64")
    return number
