"""Is it the singer at all, or our own loudspeaker? Frames written by hand."""

from __future__ import annotations

from dataclasses import replace

from heard_frames import Sung, as_written, frames, judged, quartet

from audio.heard import PitchFrame
from trainer.practice.signs import Sign

SCORE = quartet("B4 F#4 G#4 A4", "B3 C#4 E4 F#4", "F#3 A3 B3 C#4", "B2 A2 G#2 F#2")
TENOR = 2


def behind_a_canceller(sung: list[Sung]) -> list[PitchFrame]:
    """The frames as they come where our own sound was taken away and some of it was left."""
    return [replace(frame, echo_db10=-500) for frame in frames(sung, 16.5)]


def test_what_a_canceller_left_of_our_own_voices_is_nobody() -> None:
    left_over = [Sung(4, 7.98, 61), Sung(8, 11.98, 64)]  # the alto, where the tenor was to sing
    take = judged(SCORE, TENOR, behind_a_canceller(left_over))
    assert take.status == "nothing heard"
    assert not {note.sign for note in take.notes} - {Sign.SILENT, Sign.UNSURE}
    assert judged(SCORE, TENOR, frames(left_over, 16.5)).status == "heard"  # with no sound of ours in the room


def test_a_singer_behind_a_canceller_who_holds_the_line_is_judged_with_her_slips() -> None:
    sung = as_written(SCORE, TENOR)
    sung[1] = replace(sung[1], midi=57.4)
    take = judged(SCORE, TENOR, behind_a_canceller(sung))
    assert [note.sign.value for note in take.notes] == ["held", "sharp", "held", "held"]
