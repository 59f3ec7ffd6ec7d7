"""Is it the singer at all, or our own loudspeaker? Frames written by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
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


LONG = quartet(
    "B4 F#4 G#4 A4 B4 F#4 G#4 A4",
    "B3 C#4 E4 F#4 B3 C#4 E4 F#4",
    "F#3 A3 B3 C#4 F#3 A3 B3 C#4",
    "B2 A2 G#2 F#2 B2 A2 G#2 F#2",
)


@pytest.mark.parametrize(
    ("octave", "confidence", "sign"), [(12, 600, "unsure"), (12, 945, "octave"), (-12, 600, "octave"), (0, 600, "held")]
)
def test_behind_a_canceller_half_of_a_notes_harmonics_are_no_octave(octave: int, confidence: int, sign: str) -> None:
    sung = as_written(LONG, TENOR)
    sung[2] = replace(sung[2], midi=sung[2].midi + octave, confidence=confidence)
    alone = judged(LONG, TENOR, frames(sung, 32.5)).notes
    assert alone[2].sign.value == ("octave" if octave else "held")
    behind = judged(LONG, TENOR, [replace(f, echo_db10=-500) for f in frames(sung, 32.5)]).notes
    assert [note.sign.value for note in behind] == ["held", "held", sign, *["held"] * 5]


def in_noise(sung: list[Sung]) -> list[PitchFrame]:
    """The frames as noise 10 dB under the singer leaves them: never one clear tone, and as loud between the notes."""
    return [
        replace(frame, confidence=500 if frame.voiced else 300, level_db10=max(frame.level_db10, -300))
        for frame in frames(sung, 32.5)
    ]


def test_a_singer_of_whom_noise_drowns_every_second_note_is_not_taken_for_our_loudspeaker() -> None:
    sung = as_written(LONG, TENOR)
    take = judged(LONG, TENOR, in_noise([sung[0], sung[1], sung[2], sung[5]]))
    assert [note.sign.value for note in take.notes if note.sign is not Sign.UNSURE] == ["held"] * 4


def test_a_loudspeaker_alone_that_happens_to_sound_as_many_of_the_singers_notes_is_nobody() -> None:
    sung, alto = as_written(LONG, TENOR), as_written(LONG, 1)
    ours = [sung[0], sung[1], sung[2], alto[3], alto[4], sung[5], alto[6], alto[7]]
    take = judged(LONG, TENOR, in_noise(ours))
    assert take.status == "nothing heard"


def test_most_of_a_line_held_behind_a_canceller_is_a_singer_though_other_voices_double_half_of_it() -> None:
    doubled = quartet("B4 F#4 A4 A4 F#4", "B3 C#4 E4 F#4 A3", "F#3 A3 E4 A3 A3", "B2 D3 G#2 F#2 D3")
    sung = [*as_written(doubled, TENOR)]
    take = judged(doubled, TENOR, [replace(f, echo_db10=-500) for f in frames(sung, 20.5)])
    assert take.status == "nothing heard"  # one note only is the singer's alone: that could be chance
    doubled = quartet("B4 F#4 A4 A4 F#4", "B3 C#4 E4 F#4 A3", "F#3 A3 B3 A3 C#4", "B2 D3 G#2 F#2 A2")
    take = judged(doubled, TENOR, [replace(f, echo_db10=-500) for f in frames(as_written(doubled, TENOR), 20.5)])
    assert [note.sign.value for note in take.notes] == ["held"] * 5


def test_one_note_that_is_the_singers_alone_is_enough_where_many_are_held_and_hardly_any_other() -> None:
    doubled = quartet(
        "B4 F#4 A4 A4 F#4 B4 F#4 F#4 B4 F#4",
        "B3 C#4 E4 F#4 A3 E4 C#4 A4 A3 C#4",
        "F#3 F#3 E4 A3 A3 E4 F#3 A3 A3 F#3",
        " ".join(["D3"] * 10),
    )
    sung = as_written(doubled, TENOR)

    def told(notes: list[Sung]) -> str:
        return judged(doubled, TENOR, [replace(f, echo_db10=-500) for f in frames(notes, 40.5)]).status

    assert told(sung) == "heard"
    assert told(sung[:6]) == "heard"
    assert told(sung[:5]) == "nothing heard"
    assert told(sung[1:]) == "nothing heard"  # not one that is the singer's alone
    assert told([*sung[:6], *(replace(note, midi=note.midi + 1.0) for note in sung[6:])]) == "nothing heard"


def breathy(note_db10: int, left_db10: int) -> list[PitchFrame]:
    """A clear line with a note of the alto's in it that is far from clear; *left_db10* is what the clear notes leave over."""
    sung = [replace(s, level_db10=-300) for s in as_written(LONG, TENOR)]
    sung[4] = replace(sung[4], midi=59, level_db10=note_db10, confidence=600)
    return [
        replace(f, residual_db10=note_db10 - 40 if f.confidence == 600 else left_db10) if f.voiced else f
        for f in frames(sung, 32.5)
    ]


@pytest.mark.parametrize(("left_db10", "sign"), [(-460, "off"), (-400, "unsure"), (-360, "unsure")])
def test_a_wrong_note_full_of_breath_is_the_singers_where_it_is_far_louder_than_ours_can_be(
    left_db10: int, sign: str
) -> None:
    take = judged(LONG, TENOR, breathy(-380, left_db10))
    assert [note.sign.value for note in take.notes] == ["held"] * 4 + [sign] + ["held"] * 3
