"""A sung line judged from frames written by hand. Limits are those of the trade and the papers named in the code."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from heard_frames import Sung, as_written, frames, judged, quartet
from tenor_take import FOUR, TENOR, changed, signs, take_of

from audio.heard import Anchor, Gap, PitchFrame
from trainer.practice.settings import Settings
from trainer.practice.signs import Sign
from trainer.takes.judging import judge

WRONG_PIECE = [Sung(4 * k, 4 * k + 3.9, m) for k, m in enumerate((58, 60, 65, 51))]


def our_voices() -> list[PitchFrame]:
    """The alto from our loudspeaker, as a canceller leaves it, and nobody who sings."""
    return [replace(frame, echo_db10=-500) for frame in frames(as_written(quartet(*FOUR), 1), 16.5)]


def test_a_line_sung_as_written_is_held_throughout() -> None:
    take = take_of(as_written(quartet(*FOUR), TENOR))
    assert signs(take) == ["held"] * 4
    assert [beat.sign.value for beat in take.beats] == ["held"] * 16
    assert take.status == "heard"
    assert take.result() == {"notes": 4, "judged": 4, "held": 4}
    assert take.extra == ()


@pytest.mark.parametrize(
    ("cents", "sign", "sung"),
    [
        (20, "held", "A3"),
        (-27, "held", "A3"),
        (40, "sharp", "A3"),
        (-40, "flat", "A3"),
        (-60, "flat", None),
        (72, "sharp", None),
        (-80, "off", "G#3"),
        (300, "off", "C4"),
    ],
)
def test_cents_decide_between_held_sharp_flat_and_off(cents: int, sign: str, sung: str | None) -> None:
    note = take_of(changed(1, midi=57 + cents / 100)).notes[1]
    assert (note.sign.value, note.cents, note.sung) == (sign, cents, sung)


def test_a_straddled_limit_takes_the_milder_sign() -> None:
    shaky = take_of(changed(1, midi=57.30, vibrato_cents=0)).notes[1]
    assert shaky.sign is Sign.FLAT or shaky.sign is Sign.SHARP
    short = [Sung(k * 0.3, k * 0.3 + 0.28, m, vibrato_cents=20) for k, m in enumerate((54, 57.30, 59, 61))]
    lines = tuple(" ".join(x.split()) for x in FOUR)
    score_take = judged(quartet(*lines, quarters=1), TENOR, frames(short, 1.5), tempo_qpm=Fraction(200))
    assert score_take.notes[1].uncertainty_cents > 5
    assert score_take.notes[1].sign is Sign.HELD


def test_vibrato_is_judged_at_its_centre() -> None:
    note = take_of(changed(1, vibrato_cents=80)).notes[1]
    assert note.sign is Sign.HELD
    assert abs(note.cents) <= 2
    assert note.vibrato is not None
    assert note.vibrato.rate_hz == pytest.approx(5.5, abs=0.2)
    assert note.vibrato.extent_cents == pytest.approx(80, abs=6)


def test_a_note_left_out_is_silent_with_nothing_claimed_of_it() -> None:
    sung = as_written(quartet(*FOUR), TENOR)
    del sung[1]
    note = take_of(sung).notes[1]
    assert (note.sign, note.sung, note.cents, note.start_s, note.end_s) == (Sign.SILENT, None, None, None, None)


def test_two_notes_of_the_alto_running_are_pulled_to_the_alto() -> None:
    lines = ("B4 F#4 G#4 A4", "G3 C#4 E4 F#4", "F#3 A3 B3 C#4", "B2 A2 G#2 F#2")
    sung = [Sung(0, 4, 54), Sung(4, 7.98, 61), Sung(8, 11.98, 64), Sung(12, 16, 61)]
    take = take_of(sung, lines)
    assert signs(take) == ["held", "pulled", "pulled", "held"]
    assert [n.pulled_to for n in take.notes] == [None, "alto", "alto", None]


def test_a_single_wrong_note_that_no_voice_led_to_is_off_and_says_whose_it_also_was() -> None:
    note = take_of(changed(2, midi=64.0)).notes[2]
    assert (note.sign, note.sung, note.also_note_of) == (Sign.OFF, "E4", ("alto",))


def test_moving_on_to_another_voices_note_in_mid_note_is_a_pull() -> None:
    sung = changed(2, end_s=8.8)
    sung.insert(3, Sung(8.8, 11.98, 64.0))
    assert take_of(sung).notes[2].pulled_to == "alto"


def test_an_octave_down_throughout_is_right_and_told_once() -> None:
    sung = [replace(s, midi=s.midi - 12) for s in as_written(quartet(*FOUR), TENOR)]
    take = take_of(sung)
    assert signs(take) == ["held"] * 4
    assert take.octave_shift == -1
    assert [n.sung for n in take.notes] == ["F#2", "A2", "B2", "C#3"]
    assert sum("octave" in remark for remark in take.remarks) == 1


def test_one_displaced_note_is_an_octave_slip() -> None:
    assert signs(take_of(changed(2, midi=47.0))) == ["held", "held", "octave", "held"]


def test_strict_octaves_forgive_no_register_and_free_ones_every_note() -> None:
    low = [replace(s, midi=s.midi - 12) for s in as_written(quartet(*FOUR), TENOR)]
    assert signs(take_of(low, octave="strict")) == ["octave"] * 4
    assert signs(take_of(changed(2, midi=47.0), octave="free")) == ["held"] * 4


def test_a_breath_in_the_middle_is_a_breath_and_counts_as_held() -> None:
    sung = changed(1, end_s=5.5)
    sung.insert(2, Sung(5.9, 7.98, 57))
    take = take_of(sung)
    assert take.notes[1].sign is Sign.BREATH
    assert take.result()["held"] == 4


def test_a_breath_that_eats_the_end_of_a_note_is_a_breath() -> None:
    assert take_of(changed(1, end_s=7.5)).notes[1].sign is Sign.BREATH


def test_a_scoop_is_a_remark_and_the_note_is_held() -> None:
    note = take_of(changed(1, entry_cents=-120)).notes[1]
    assert note.sign is Sign.HELD
    assert -120 <= note.scoop_cents <= -60


def test_a_crack_is_unsure_not_silent() -> None:
    heard = []
    for frame in frames(as_written(quartet(*FOUR), TENOR), 16.5):
        cracked = 4 * 24_000 <= frame.centre_frame < 8 * 24_000
        heard.append(replace(frame, voiced=False, confidence=80, level_db10=-300) if cracked else frame)
    take = judged(quartet(*FOUR), TENOR, heard)
    assert signs(take) == ["held", "unsure", "held", "held"]
    assert take.result()["judged"] == 3


def test_lost_sound_is_never_judged_across() -> None:
    heard = [f for f in frames(as_written(quartet(*FOUR), TENOR), 16.5) if not 100_000 <= f.centre_frame < 190_000]
    heard.append(Gap(100_000, 190_000, "lost frames"))
    take = judged(quartet(*FOUR), TENOR, heard)
    assert signs(take) == ["held", "unsure", "held", "held"]
    assert take.health.gaps[0][2] == "lost frames"


def test_a_recording_that_stops_early_is_incomplete_and_its_end_is_not_called_silent() -> None:
    take = take_of(as_written(quartet(*FOUR), TENOR), end_s=9.0)
    assert take.status == "incomplete"
    assert signs(take) == ["held", "held", "unsure", "unsure"]


def test_silence_is_nothing_heard() -> None:
    take = take_of([])
    assert (take.status, take.result()["held"]) == ("nothing heard", 0)
    assert set(signs(take)) == {"silent"}


def test_a_rest_sung_in_is_off_with_nothing_expected() -> None:
    lines = ("B4 F#4 G#4 A4", "B3 C#4 E4 F#4", "F#3 - B3 C#4", "B2 A2 G#2 F#2")
    sung = as_written(quartet(*lines), TENOR)
    take = take_of([*sung[:1], Sung(5.0, 6.5, 57), *sung[1:]], lines)
    rests = [n for n in take.notes if n.expected is None]
    assert [(n.sign, n.sung) for n in rests] == [(Sign.OFF, "A3")]
    assert [b.sign.value for b in take.beats[4:8]] == ["rest", "off", "off", "rest"]
    kept = take_of(sung, lines)
    assert [b.sign.value for b in kept.beats[4:8]] == ["rest"] * 4


def test_in_company_a_sinking_take_keeps_its_signs_and_gathers_them_in_one_remark() -> None:
    lines = tuple("A3 " * 12 for _ in range(4))
    sung = [Sung(4 * k, 4 * k + 3.9, 57 - 0.06 * k) for k in range(12)]
    take = take_of(sung, lines, end_s=48.5)
    assert take.drift_cents == pytest.approx(-66, abs=4)
    assert signs(take)[:4] == ["held"] * 4
    assert signs(take)[5:] == ["flat"] * 7
    assert len(take.remarks) == 1
    assert "7 flat notes" in take.remarks[0]


def test_sung_alone_offset_and_drift_are_taken_off_and_told() -> None:
    lines = tuple("A3 " * 12 for _ in range(4))
    sung = [Sung(4 * k, 4 * k + 3.9, 56.6 - 0.04 * k) for k in range(12)]
    take = take_of(sung, lines, end_s=48.5, alone=True)
    assert signs(take) == ["held"] * 12
    assert take.drift_cents == pytest.approx(-44, abs=4)
    assert take.whole_take_cents == pytest.approx(-60, abs=8)


def test_the_pure_reference_moves_a_major_third_down_by_fourteen_cents() -> None:
    # 5/4 is 386.3 cents against 400: Zarlino's ratio, any acoustics handbook
    lines = ("A4 A4 A4 A4", "E4 E4 E4 E4", "C#4 C#4 C#4 C#4", "A2 A2 A2 A2")
    sung = [Sung(4 * k, 4 * k + 3.9, 61 - 0.22) for k in range(4)]
    assert signs(take_of(sung, lines, tolerance_cents=15)) == ["flat"] * 4
    assert signs(take_of(sung, lines, tolerance_cents=15, against="pure")) == ["held"] * 4
    assert take_of(sung, lines, against="pure").notes[0].cents == -8


def test_a_wrong_piece_is_said_so() -> None:
    assert "right piece" in take_of(WRONG_PIECE).remarks[-1]


@pytest.mark.parametrize(
    ("time", "heard", "said"),
    [
        (
            "fixed",
            list(frames(WRONG_PIECE, 16.5)),
            "4 of 4 notes are not this line's. Is it the right piece and voice?",
        ),
        ("fixed", our_voices(), "use headphones or sing nearer to the microphone."),
        ("free", our_voices(), "use headphones or sing nearer to the microphone."),
    ],
)
def test_a_live_take_gets_no_advice_that_is_meant_for_recordings(time: str, heard: list[PitchFrame], said: str) -> None:
    score, settings = quartet(*FOUR), Settings(time=time)
    recorded = judge(score, [TENOR], heard, settings=settings).takes[0].remarks
    live = (
        judge(score, [TENOR], heard, settings=settings, anchors=[Anchor(0, Fraction(0), Fraction(60))]).takes[0].remarks
    )
    assert any("recording" in remark for remark in recorded)
    assert live
    assert live[-1].endswith(said)


def test_the_same_frames_give_the_same_take() -> None:
    sung = changed(1, midi=57.4)
    assert take_of(sung) == take_of(sung)


def test_a_long_steady_last_note_is_a_singer_and_no_machine() -> None:
    lines = ("B4 F#4 G#4 A4 ~ ~ ~ ~", "B3 C#4 E4 F#4 ~ ~ ~ ~", "F#3 A3 B3 C#4 ~ ~ ~ ~", "B2 A2 G#2 F#2 ~ ~ ~ ~")
    take = take_of(as_written(quartet(*lines), TENOR), lines, end_s=32.5)
    assert signs(take) == ["held"] * 4


def test_a_tone_from_before_the_music_that_goes_on_through_it_is_nobody() -> None:
    take = take_of([Sung(0, 20, 54, level_db10=-420)], end_s=20, starts_at_s=Fraction(2))
    assert (take.status, take.result()["held"]) == ("nothing heard", 0)


def test_a_singer_over_a_hum_is_heard_and_a_note_left_out_is_not_the_hum() -> None:
    sung = [replace(s, start_s=s.start_s + 2, end_s=s.end_s + 2) for s in as_written(quartet(*FOUR), TENOR)]
    del sung[1]
    hum = Sung(0, 20, 43.35, level_db10=-480)
    take = take_of([*sung, hum], end_s=20, starts_at_s=Fraction(2))
    assert signs(take) == ["held", "silent", "held", "held"]


def test_a_singer_who_drones_is_told_so() -> None:
    take = take_of([Sung(4 * k + 0.5, 4 * k + 3.8, 54) for k in range(4)], end_s=17, starts_at_s=Fraction(0))
    assert signs(take)[1:3] == ["off"] * 2


def test_a_wrong_note_attacked_with_another_voice_is_off_in_all_its_beats() -> None:
    take = take_of(changed(2, midi=64.0))
    assert [b.sign.value for b in take.beats[8:12]] == ["off"] * 4


def test_an_octave_that_the_tracker_slips_by_in_mid_note_is_no_slip_of_the_singers() -> None:
    sung = changed(1, end_s=6.5)
    sung.insert(2, Sung(6.5, 7.6, 45.0))
    sung.insert(3, Sung(7.6, 7.98, 57.0))
    take = take_of(sung)
    assert signs(take) == ["held"] * 4
    assert take.notes[1].cents == 0


def test_a_short_note_that_a_vibrato_swings_from_one_half_to_the_other_is_no_speech() -> None:
    sung = [replace(s, vibrato_cents=70) for s in as_written(quartet(*FOUR, quarters=1), TENOR, qpm=144)]
    take = take_of(sung, end_s=3, quarters=1, tempo_qpm=Fraction(144))
    assert "unsure" not in signs(take)


def broken_at_each_turn(midi: float, *, of_every: int, heard: int) -> list[PitchFrame]:
    """A line sung with vibrato to 70 cents whose second note is heard in *heard* frames of *of_every* only, as a room breaks it."""
    sung = [replace(s, vibrato_cents=70, midi=midi if k == 1 else s.midi) for k, s in enumerate(LINE)]
    return [
        replace(f, voiced=False) if 4 <= f.centre_frame / 24_000 < 7.98 and k % of_every >= heard else f
        for k, f in enumerate(frames(sung, 16.5))
    ]


LINE = as_written(quartet(*FOUR), TENOR)


@pytest.mark.parametrize(
    ("midi", "heard", "sign"),
    [(57, 28, "held"), (57.42, 28, "sharp"), (57, 18, "unsure"), (60, 28, "unsure")],
)
def test_a_right_note_that_breaks_at_each_turn_of_the_singers_vibrato_is_no_speech(
    midi: float, heard: int, sign: str
) -> None:
    """Where only the tops are heard, or the pitch is not the one asked for, nobody can tell."""
    assert signs(judged(quartet(*FOUR), TENOR, broken_at_each_turn(midi, of_every=37, heard=heard)))[1] == sign


def test_a_note_that_glides_as_speech_does_is_unsure_where_the_singer_has_no_such_vibrato() -> None:
    heard = [
        replace(f, f0_c100=plain.f0_c100) if not 4 <= f.centre_frame / 24_000 < 7.98 else f
        for f, plain in zip(broken_at_each_turn(57, of_every=37, heard=28), frames(LINE, 16.5), strict=True)
    ]
    assert signs(judged(quartet(*FOUR), TENOR, heard))[1] == "unsure"


def test_a_sound_far_softer_than_the_singer_is_no_doubt_about_a_note_left_out() -> None:
    sung = as_written(quartet(*FOUR), TENOR)
    heard = list(frames([s for k, s in enumerate(sung) if k != 1], 16.5))
    for level, sign in ((-500, Sign.SILENT), (-480, Sign.UNSURE)):
        left = [
            replace(f, f0_c100=570_000, confidence=400, level_db10=level) if 4.2 <= f.centre_frame / 24_000 < 7.8 else f
            for f in heard
        ]
        assert judged(quartet(*FOUR), TENOR, left).notes[1].sign is sign


def test_two_notes_that_follow_another_voice_are_pulled_though_a_rest_parts_them() -> None:
    lines = ("B4 F#4 G#4 A4", "B3 C#4 - E4", "F#3 A3 - B3", "B2 D3 E3 F#2")
    sung = [replace(s, midi=m) for s, m in zip(as_written(quartet(*lines), TENOR), (54, 61, 64), strict=True)]
    take = take_of(sung, lines)
    assert [note.pulled_to for note in take.notes] == [None, "alto", "alto"]
