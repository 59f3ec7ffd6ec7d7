"""The tenor of four bars judged, sung as it is written but for what a test changes."""

from __future__ import annotations

from dataclasses import replace

from heard_frames import Sung, as_written, frames, judged, quartet

from trainer.practice.take import Take

FOUR = ("B4 F#4 G#4 A4", "B3 C#4 E4 F#4", "F#3 A3 B3 C#4", "B2 A2 G#2 F#2")
TENOR = 2


def take_of(
    sung: list[Sung],
    lines: tuple[str, ...] = FOUR,
    voice: int = TENOR,
    end_s: float = 16.5,
    quarters: int = 4,
    **settings: object,
) -> Take:
    """What was sung, judged as one line of the quartet."""
    return judged(quartet(*lines, quarters=quarters), voice, frames(sung, end_s), **settings)


def signs(take: Take) -> list[str]:
    """The sign of every note, in order."""
    return [note.sign.value for note in take.notes]


def changed(index: int, **change: object) -> list[Sung]:
    """The tenor as it is written, with one note other."""
    sung = as_written(quartet(*FOUR), TENOR)
    sung[index] = replace(sung[index], **change)  # type: ignore[arg-type]
    return sung
