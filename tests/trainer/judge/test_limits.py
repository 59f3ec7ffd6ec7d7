"""Every limit that a word has, from both sides: at the limit the milder word stands, one step past it the other.

The limits are the program's own contract, printed with its reports; their published sources stand beside the names in
``trainer/judge/reading.py``, ``keyed.py``, ``rests.py``, ``pull.py``, ``octave.py``, ``faint.py`` and ``trend.py``.
"""

from __future__ import annotations

import importlib
import pkgutil
from dataclasses import fields, is_dataclass, replace

import pytest

import trainer.judge
from audio.heard import KeyNote, PitchFrame
from trainer.judge.faint import without_faint
from trainer.judge.figure import Figure
from trainer.judge.keyed import Wanted, key_signs
from trainer.judge.listening import Listening
from trainer.judge.octave import steady_shift, vote
from trainer.judge.phonation import Segment
from trainer.judge.pitchline import PitchLine
from trainer.judge.pull import Neighbour, Suspect, matches, pulled_to
from trainer.judge.reading import Frame, Reading, read
from trainer.judge.rests import extra_notes, sung_in
from trainer.judge.span import Span
from trainer.judge.trend import trend
from trainer.practice.signs import Sign, ranked

MS = 24
FROM, TO = 240_000, 288_000  # two seconds
A3 = 570_000


def segment(start: int, end: int, level: int = A3) -> Segment:
    return Segment(0, 1, (0,), level, start, end, True, True, False)


def heard(**changed: object) -> Listening:
    """Two seconds of A3, right and steady, from its beat to 20 ms before its end."""
    figure = Figure(0, 0, 1_500, 0, 0, 200)
    body = (segment(FROM, TO - 20 * MS),)
    good = Listening(
        body,
        (),
        figure,
        A3,
        TO - FROM,
        TO - FROM,
        0,
        950,
        FROM,
        TO - 20 * MS,
        True,
        False,
        None,
        (),
        TO - FROM,
        False,
        0,
    )
    return replace(good, **changed)  # type: ignore[arg-type]


def reading(listening: Listening, *, to_frame: int = TO, **changed: object) -> Reading:
    span = Span(
        FROM, to_frame, True, True, ((FROM, to_frame, A3),), FROM - 12_000, to_frame + 36_000, A3 - 20_000, A3 + 20_000
    )
    frame = Frame(0, 0, 2_500, 80 * MS, 24_000, False, True, False, False, 0, False)
    return read(listening, span, replace(frame, **changed))  # type: ignore[arg-type]


def word(listening: Listening, **changed: object) -> str:
    return ranked(reading(listening, **changed).signs)[0].value


def at(cents_c100: int, uncertainty_c100: int = 0) -> Listening:
    return heard(figure=Figure(cents_c100, uncertainty_c100, 1_500, 0, 0, 200), pitch_c100=A3 + cents_c100)


@pytest.mark.parametrize(
    ("cents_c100", "sign"),
    [(2_500, "held"), (2_501, "sharp"), (-2_500, "held"), (-2_501, "flat"), (7_000, "sharp"), (7_001, "off"), (-7_000, "flat"),
     (-7_001, "off"), (120_000 + 7_000, "octave"), (120_000 + 7_001, "off"), (-120_000 - 7_000, "octave"), (60_000, "off")],
)  # fmt: skip
def test_cents_turn_past_the_tolerance_and_past_seventy(cents_c100: int, sign: str) -> None:
    assert word(at(cents_c100)) == sign


def test_what_a_figure_is_not_sure_of_is_given_to_the_singer() -> None:
    assert (word(at(2_900, 400)), word(at(2_901, 400))) == ("held", "sharp")
    assert (word(at(7_400, 400)), word(at(7_401, 400))) == ("sharp", "off")


def test_between_two_notes_is_more_than_fifty_cents_and_not_yet_off() -> None:
    assert [reading(at(cents)).between for cents in (5_000, 5_001, -5_001, 7_001)] == [False, True, True, False]


@pytest.mark.parametrize(("late_ms", "sign"), [(100, "held"), (-100, "held"), (101, "late"), (-101, "early")])
def test_late_and_early_are_said_past_eighty_milliseconds_and_what_the_tracker_is_sure_to(
    late_ms: int, sign: str
) -> None:
    assert word(heard(onset_frame=FROM + late_ms * MS)) == sign
    assert reading(heard(onset_frame=FROM + late_ms * MS)).onset_error == late_ms * MS
    assert word(heard(onset_frame=FROM + late_ms * MS), timed=False) == "held"


def broken(gap_frames: int) -> Listening:
    middle = FROM + 12_000
    body = (segment(FROM, middle), segment(middle + gap_frames, TO - 20 * MS))
    return heard(body=body, silences=((middle, middle + gap_frames),))


def test_a_gap_inside_a_note_is_a_breath_from_150_ms_to_600_and_longer_it_is_left() -> None:
    found = [word(broken(frames)) for frames in (150 * MS - 1, 150 * MS, 600 * MS, 600 * MS + 1)]
    assert found == ["held", "breath", "breath", "left early"]
    half_a_slow_beat = 24_000  # a beat of two seconds
    assert word(broken(half_a_slow_beat), beat_frames=48_000) == "breath"
    assert word(broken(half_a_slow_beat + 1), beat_frames=48_000) == "left early"


def ended(short: int, gap: int) -> Listening:
    return heard(
        body=(segment(FROM, TO - short),), silences=((TO - short, TO - short + gap),), release_frame=TO - short
    )


def test_a_gap_between_two_notes_is_a_breath_from_200_ms_that_took_100_of_the_note() -> None:
    assert [word(ended(100 * MS, gap)) for gap in (200 * MS - 1, 200 * MS, 600 * MS)] == ["held", "breath", "breath"]
    assert (word(ended(100 * MS - 1, 300 * MS)), word(ended(100 * MS, 300 * MS))) == ("held", "breath")
    assert word(ended(100 * MS, 300 * MS), breath_after=True) == "held"  # the score asks for it


def test_a_note_is_left_early_when_more_than_a_fifth_of_it_is_missing_and_nobody_comes_back() -> None:
    fifth = (TO - FROM) // 5
    assert (word(ended(fifth, 36_000 + fifth)), word(ended(fifth + 1, 36_001 + fifth))) == ("held", "left early")
    short = FROM + 12_000  # a fifth of half a second is less than 150 ms
    for missing, sign in ((150 * MS, "held"), (150 * MS + 1, "left early")):
        note = heard(body=(segment(FROM, short - missing),), silences=(), release_frame=short - missing)
        assert word(note, to_frame=short) == sign


def test_less_than_150_ms_is_not_judged_and_less_than_250_has_no_cents() -> None:
    assert word(heard(), to_frame=FROM + 150 * MS) == "held"
    assert word(heard(), to_frame=FROM + 150 * MS - 1) == "unsure"
    sharp = heard(figure=Figure(4_000, 0, 1_500, 0, 0, 200))
    assert word(sharp, to_frame=FROM + 230 * MS) == "sharp"  # 20 ms of a note may be its release
    assert word(sharp, to_frame=FROM + 230 * MS - 1) == "held"
    wide = replace(sharp, figure=Figure(4_000, 0, 1_500, 4_320, 3_001, 200))
    assert (word(wide, to_frame=FROM + 380 * MS), word(wide, to_frame=FROM + 380 * MS - 1)) == ("sharp", "held")


def test_more_than_a_quarter_of_lost_sound_is_not_judged() -> None:
    assert (word(heard(), lost_frames=12_000), word(heard(), lost_frames=12_001)) == ("held", "unsure")


def test_a_scoop_is_remarked_from_forty_cents_on() -> None:
    found = [reading(heard(entry_c100=cents)).scoop_c100 for cents in (3_999, 4_000, -3_999, -4_000)]
    assert found == [None, 4_000, None, -4_000]


@pytest.mark.parametrize(("away", "sign"), [(960, "held"), (961, "late"), (-960, "held"), (-961, "early")])
def test_a_key_is_on_time_within_forty_milliseconds(away: int, sign: str) -> None:
    want, key = Wanted(FROM, TO, 57, 24_000, 40 * MS, False), KeyNote(0, FROM + away, TO, 57)
    assert ranked(key_signs(want, key, 0, free_octave=False, timed=True))[0].value == sign
    assert key_signs(want, key, 0, free_octave=False, timed=False) == frozenset()


def test_a_last_key_may_be_let_go_a_fifth_early_and_one_inside_the_line_for_half_a_beat_or_600_ms() -> None:
    def left(short: int, *, last: bool, beat: int = 24_000) -> bool:
        want = Wanted(FROM, TO, 57, beat, 960, last)
        return Sign.LEFT_EARLY in key_signs(want, KeyNote(0, FROM, TO - short, 57), 0, free_octave=False, timed=True)

    assert [left(9_600, last=True), left(9_601, last=True)] == [False, True]
    assert [left(600 * MS, last=False), left(600 * MS + 1, last=False)] == [False, True]
    assert [left(24_000, last=False, beat=48_000), left(24_001, last=False, beat=48_000)] == [False, True]


def test_a_rest_is_sung_in_from_230_ms_of_sound_well_inside_it() -> None:
    begin = FROM + 300 * MS
    for length, counts in ((230 * MS, True), (230 * MS - 1, False)):
        sound = [segment(begin, begin + length)]
        found = sung_in(sound, (FROM, TO), before_c100=None, after_c100=None, beat_frames=24_000)
        assert (found is not None) == counts


def test_the_note_before_may_ring_into_a_rest_for_half_a_beat() -> None:
    for end, counts in ((FROM + 24_000, False), (FROM + 24_001, True)):
        ringing = segment(FROM - 100, end)
        assert (
            sung_in([ringing], (FROM, TO), before_c100=A3, after_c100=None, beat_frames=48_000) is not None
        ) == counts
        assert sung_in([ringing], (FROM, TO), before_c100=A3 + 20_000, after_c100=None, beat_frames=48_000) is not None


def test_an_extra_note_lasts_a_quarter_of_a_second_within_a_second_of_the_line() -> None:
    found = extra_notes([segment(FROM, FROM + 6_000), segment(FROM, FROM + 5_999)], (FROM, TO), [])
    assert [s.length_frames for s in found] == [6_000]
    for begin, counts in ((TO + 24_000, 1), (TO + 24_001, 0)):
        assert len(extra_notes([segment(begin, begin + 9_000)], (FROM, TO), [])) == counts
    for end, counts in ((FROM - 24_000, 1), (FROM - 24_001, 0)):
        assert len(extra_notes([segment(end - 9_000, end)], (FROM, TO), [])) == counts


def suspect(away_c100: int, *, leads_by: int = 100 * MS, shared: int = 24_001) -> Suspect:
    alto = Neighbour(1, "alto", FROM - leads_by, FROM + shared, A3 + 40_000)
    return Suspect(True, A3 + 40_000 + away_c100, FROM, FROM, TO, False, (A3, A3 - 20_000), (alto,))


def test_another_voices_note_is_met_within_fifty_cents_for_more_than_half_of_the_time() -> None:
    assert [len(matches(suspect(cents))) for cents in (5_000, 5_001, -5_000, -5_001, 125_000)] == [1, 0, 1, 0, 1]
    assert [len(matches(suspect(0, shared=frames))) for frames in (24_001, 24_000)] == [1, 0]


def test_a_lone_wrong_note_is_pulled_only_by_a_voice_that_had_it_a_tenth_of_a_second_before() -> None:
    assert pulled_to([suspect(0)]) == ["alto"]
    assert pulled_to([suspect(0, leads_by=100 * MS - 1)]) == [None]
    assert pulled_to([suspect(0, leads_by=0), suspect(0, leads_by=0)]) == ["alto", "alto"]  # two running


def test_a_take_may_lie_two_octaves_away_and_a_note_votes_within_seventy_cents() -> None:
    assert [vote(120_000 * octaves) for octaves in (-3, -2, 2, 3)] == [None, -2, 2, None]
    assert [vote(120_000 + cents) for cents in (7_000, 7_001, -7_000, -7_001)] == [1, None, 1, None]
    assert [steady_shift([120_000 * octaves + 20_000]) for octaves in (-4, -1, 0, 4)] == [-2, -1, 0, 2]


def test_what_is_24_db_under_the_singer_is_still_the_singer_and_what_is_fainter_is_not() -> None:
    line = PitchLine()
    for k, level in enumerate((-200, -200, -200, -440, -441)):
        line.append(PitchFrame(0, 120 * k, A3, 3, True, 900, level))
    assert without_faint(line).voiced == [True, True, True, True, False]


def test_a_drift_of_fifteen_cents_is_told_and_less_is_not() -> None:
    for total, told in ((1_506, True), (1_494, False), (-1_506, True), (-1_494, False)):
        found = trend([(24_000 * k, total * k // 6) for k in range(7)])
        assert found is not None
        assert (found.drift_c100 is not None) == told


def test_records_of_the_judge_cannot_be_changed_and_have_no_other_fields() -> None:
    records = set()
    for module in pkgutil.walk_packages(trainer.judge.__path__, "trainer.judge."):
        loaded = importlib.import_module(module.name)
        records |= {one for one in vars(loaded).values() if isinstance(one, type) and is_dataclass(one)}
    own = [one for one in records if one.__module__.startswith("trainer.judge")]
    assert len(own) >= 20
    for record in own:
        assert record.__dataclass_params__.frozen, record  # type: ignore[attr-defined]
        assert set(record.__dict__["__slots__"]) == {field.name for field in fields(record)}, record
