"""``--played``: what our loudspeaker sounded into a recording, and how it is taken away again."""

from __future__ import annotations

import argparse
import heapq
from collections.abc import Iterator, Sequence
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from audio.heard import Heard
from trainer.cli import _options
from trainer.cli._parser import SOUND_ENDINGS, Parser, UsageError

if TYPE_CHECKING:
    from trainer.practice.settings import Settings
    from trainer.score.model import Score


def add_played(parser: Parser) -> None:
    """--played and --played-at."""
    group = parser.add_argument_group("what our loudspeaker sounded into the recording")
    group.add_argument(
        "--played", metavar="FILE|VOICE,...", help="a sound file or voices of the score, taken away again"
    )
    group.add_argument(
        "--played-at",
        type=_options.decimal,
        metavar="S",
        help="second of the recording at which that began (a file: 0; voices: with the music)",
    )


def refuse_alone(args: argparse.Namespace) -> None:
    """Raises UsageError for what makes no sense beside --played."""
    if args.played is None:
        if args.played_at is not None:
            raise UsageError("--played-at says when, but not what", "--played-at", "give --played as well")
        return
    if args.input is None and args.lines is None:
        raise UsageError(
            "--played is for a recording", "--played", "leave it out: a live take knows what it sounds; or give --input"
        )
    if args.alone:
        raise UsageError("--alone says that nothing was played", "--alone", "leave --alone or --played out")


class Beside:
    """Recordings with what was played beside them, heard side by side.

    Parameters
    ----------
    args : Namespace
        With ``played`` given.
    score, lines, settings
        As judged.
    paths : sequence of str
        A recording a line.
    """

    def __init__(
        self, args: argparse.Namespace, score: Score, lines: Sequence[int], settings: Settings, paths: Sequence[str]
    ) -> None:
        from trainer.practice.timemap import fixed_time
        from trainer.takes.played import PlayedBeside, file_sounded, voices_sounded

        tempo = score.tempo if settings.tempo_qpm is None else score.tempo.scaled_to(settings.tempo_qpm)
        first_full = score.bars().first_full_quarters
        time = fixed_time(tempo, first_full_quarters=first_full, starts_at_s=settings.starts_at_s)
        if Path(args.played).suffix.lower() in SOUND_ENDINGS or Path(args.played).is_file():
            sounded, began = file_sounded(args.played), Fraction(0)
        else:
            which = tuple(sorted({_options.voice_index(score, name, "--played") for name in args.played.split(",")}))
            sounded, began = voices_sounded(score, which, settings), settings.starts_at_s - tempo.seconds(first_full)
        at = began if args.played_at is None else args.played_at
        self._recordings = [
            PlayedBeside(path, sounded, at, Fraction(time.frame(_first_onset(score, line)), 24_000))
            for line, path in zip(lines, paths, strict=True)
        ]

    def heard(self) -> Iterator[Heard]:
        """Every estimate in time order."""
        from trainer.takes.recording import frame_of

        lines = [one.heard(line=k) for k, one in enumerate(self._recordings)]
        return iter(lines[0]) if len(lines) == 1 else heapq.merge(*lines, key=frame_of)

    def said(self) -> list[str]:
        """A sentence a line, once all has been heard."""
        return [one.taken_away.words() for one in self._recordings]


def _first_onset(score: Score, line: int) -> Fraction:
    notes = score.lines[line].notes
    return notes[0].onset_quarters if notes else Fraction(0)
