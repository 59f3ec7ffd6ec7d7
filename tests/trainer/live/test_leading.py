"""A singer who leads: entries told from the pitch line, the tempo that they make, and music time bent to it. Sound only in the last two."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from heard_frames import Sung, frames
from hypothesis import given
from hypothesis import strategies as st
from live_rig import RATE_HZ, Rig, hear

from audio.heard import Anchor
from audio.units import RATE_HZ as TAKE_HZ
from trainer.live.following import bent
from trainer.live.leading import Asked, Leading, Line
from trainer.live.places_in_time import MusicTime, Point
from trainer.places import places as own_places
from trainer.practice.settings import Settings
from trainer.practice.timemap import TimeMap
from trainer.takes.keeping import judge_again, open_store

CAMBIATA = (62, 64, 65, 65, 60, 61)  # a step, a semitone, the same again, a leap, a semitone
QUARTERS = 2


def leading(pitches=CAMBIATA) -> Leading:
    notes = [
        Asked(Fraction(QUARTERS * k), Fraction(QUARTERS * (k + 1)), midi * 10_000) for k, midi in enumerate(pitches)
    ]
    return Leading(notes, Line(Fraction(0), TAKE_HZ, Fraction(60)))


def entries(sung, pitches=CAMBIATA, end_s=16.0):
    """Quarters and seconds of every entry told, and how long after it."""
    lead = leading(pitches)
    told = []
    for frame in frames(sung, end_s):
        line = lead.hear(frame)
        if line is not None:
            at_s = line.frame / TAKE_HZ
            told.append((float(line.quarters), round(at_s, 2), round(frame.centre_frame / TAKE_HZ - at_s, 3)))
    return told, lead


def at(times, pitches=CAMBIATA, **how):
    return [
        Sung(start, end, midi, **how)
        for midi, (start, end) in zip(pitches, pairwise([*times, times[-1] + 2]), strict=True)
    ]


def test_every_new_pitch_is_an_entry_where_it_begins():
    told, _ = entries(at([1.0, 3.1, 5.3, 7.4, 9.5, 11.8]))
    assert [(q, s) for q, s, _ in told] == [(0, 1.0), (2, 3.1), (4, 5.3), (8, 9.5), (10, 11.8)]
    assert all(later <= 0.065 for *_, later in told)


def test_the_same_pitch_begun_anew_after_a_gap_is_an_entry():
    sung = at([1.0, 3.1, 5.3, 7.4, 9.5, 11.8])
    sung[2] = replace(sung[2], end_s=7.32)
    told, _ = entries(sung)
    assert (6.0, 7.4) in [(q, s) for q, s, _ in told]


def test_vibrato_over_the_semitone_to_the_next_note_is_no_entry():
    told, _ = entries(at([1.0, 3.0, 5.0, 7.0, 9.0, 11.0], vibrato_cents=70))
    assert [q for q, *_ in told] == [0, 2, 4, 8, 10]
    assert all(abs(s - 1 - q) <= 0.1 for q, s, _ in told)


def test_a_wrong_note_in_its_place_is_an_entry_and_a_scoop_is_not_two():
    sung = at([1.0, 3.2, 5.4, 7.4, 9.5, 11.8])
    sung[1] = replace(sung[1], midi=67)
    told, _ = entries(sung)
    assert [(q, s) for q, s, _ in told][:3] == [(0, 1.0), (2, 3.2), (4, 5.4)]


def test_a_note_left_out_is_passed_over():
    sung = [one for k, one in enumerate(at([1.0, 3.0, 5.0, 7.0, 9.0, 11.0])) if k != 1]
    told, _ = entries(sung)
    assert [q for q, *_ in told] == [0, 4, 8, 10]


def test_a_tempo_that_slows_is_followed_and_never_beyond_half_or_double():
    times = [1.0]
    for k in range(11):
        times.append(times[-1] + 2 * 1.05**k)
    _, lead = entries(at(times, pitches=(60, 64) * 6), pitches=(60, 64) * 6, end_s=times[-1] + 1)
    assert 60 / 1.05**11 <= lead.line.quarters_per_minute <= 60 / 1.05**8
    wild = [1.0, 1.9, 2.5, 2.9, 3.2, 3.45]
    _, lead = entries(at(wild, pitches=(60, 64) * 3), pitches=(60, 64) * 3, end_s=6)
    assert lead.line.quarters_per_minute <= 120


def test_silence_counts_from_the_last_sound_and_only_where_something_is_asked_for():
    lead = leading()
    assert lead.silent_since(TAKE_HZ // 2) == TAKE_HZ // 2  # not begun
    assert lead.silent_since(3 * TAKE_HZ) == TAKE_HZ
    for frame in frames([Sung(1.0, 2.5, 62)], 4.0):
        lead.hear(frame)
    assert lead.silent_since(4 * TAKE_HZ) == pytest.approx(2.5 * TAKE_HZ, abs=240)


def test_somebody_who_was_waited_for_may_come_in_at_any_time_and_with_the_note_after():
    for pitch, quarters in ((65, 4), (60, 8)):
        lead = leading((62, 64, 65, 67, 60, 61))
        lead.stand_at(Fraction(4) if pitch == 65 else Fraction(6))
        told = [lead.hear(f) for f in frames([Sung(40.0, 42.0, pitch)], 41.0)]
        (line,) = [line for line in told if line is not None]
        assert (line.quarters, line.frame) == (quarters, 40 * TAKE_HZ)
        assert line.quarters_per_minute == 60  # a wait is no tempo


points = st.builds(
    Point,
    st.integers(-20_000, 200_000),
    st.fractions(0, 20, max_denominator=8),
    st.fractions(30, 200, max_denominator=10),
)


@given(st.fractions(0, 30, max_denominator=960), points, st.one_of(st.none(), st.fractions(0, 40, max_denominator=4)))
def test_music_time_never_turns_back_never_stands_and_meets_the_singer(here, singer, entry):
    frame = 100_000
    made = bent(here, frame, singer, beats=[Fraction(k) for k in range(40)], entry=entry, rate_hz=RATE_HZ)
    assert made[0].frame == frame
    assert all(a.frame < b.frame and a.quarters < b.quarters for a, b in pairwise(made))
    assert all(point.quarters_per_minute > 0 for point in made)
    assert made[-1].quarters_per_minute == singer.quarters_per_minute
    time = MusicTime(RATE_HZ)
    time.go_on(made)
    beats = [p for p in made[1:] if p.quarters != entry]
    for point in beats:  # on the singer's own line at every beat before the entry
        assert (
            abs(
                (point.frame - singer.frame)
                - (point.quarters - singer.quarters) * 60 * RATE_HZ / singer.quarters_per_minute
            )
            <= 1
        )
    assert (time.quarters(frame) or 0) >= here


def test_what_music_time_leaps_over_begins_where_it_leaps():
    time = TimeMap([Anchor(0, Fraction(0), Fraction(60)), Anchor(2 * TAKE_HZ, Fraction(3), Fraction(60))])
    assert time.frame(Fraction(5, 2)) == time.reached(Fraction(5, 2)) == 2 * TAKE_HZ
    assert time.frame(Fraction(2)) == 2 * TAKE_HZ
    assert time.frame(Fraction(4)) == 3 * TAKE_HZ
    music = MusicTime(TAKE_HZ)
    music.go_on([Point(0, Fraction(0), Fraction(60)), Point(2 * TAKE_HZ, Fraction(3), Fraction(60))])
    assert music.frame_of(Fraction(5, 2)) == 2 * TAKE_HZ
    assert music.frame_of(Fraction(4)) == 3 * TAKE_HZ
    music.wait(4 * TAKE_HZ, Fraction(5))
    assert music.frame_of(Fraction(5)) == 4 * TAKE_HZ
    music.go_on([Point(9 * TAKE_HZ, Fraction(11, 2), Fraction(60))])
    assert music.frame_of(Fraction(5)) == 9 * TAKE_HZ  # what it waited with begins where it goes on


def dragging(rig, share):
    """The line sung ever later: each note *share* longer than the one before."""
    sung, at_s, out = rig.as_written(), 0.0, []
    for k, note in enumerate(sung):
        length = (note.end_s - note.start_s) * (1 + share) ** k
        out.append(replace(note, start_s=at_s, end_s=at_s + length))
        at_s += length
    return tuple(out)


@pytest.fixture
def places(tmp_path, monkeypatch):
    monkeypatch.setenv("HELDLINE_HOME", str(tmp_path))
    return own_places()


def led_rig() -> Rig:
    return Rig(settings=Settings(time="free", tempo_qpm=Fraction(120)))


def test_the_others_come_in_with_a_singer_who_drags_and_nothing_is_timed(places):
    rig = led_rig()
    sung = dragging(rig, 0.12)
    players = []
    heard = hear(
        rig, rig.microphone(sung, after_s=3.0), between=lambda link, player, take: players.append(player), places=places
    )
    take = heard.performance.takes[0]
    assert heard.signs == ["held"] * 4
    assert take.health.gaps == ()
    assert [point.bar for point in take.tempo_line] == [1, 2, 3]
    begun = rig.begun()
    for note, n in zip(sung, rig.score.lines[2].notes, strict=True):
        came_s = (players[-1]._time.frame_of(n.onset_quarters) - begun.music_frame) / RATE_HZ
        assert abs(came_s - note.start_s) <= 0.2
    with open_store(places, print) as store:
        attempt = store.get(heard.number)
    assert judge_again(attempt, attempt.settings).takes[0] == take


def test_after_a_silent_bar_everybody_waits_and_goes_on_with_the_singer():
    rig = led_rig()
    sung = rig.as_written()
    back = [replace(n, start_s=n.start_s + 4, end_s=n.end_s + 4) for n in sung[2:]]
    phases = []
    heard = hear(
        rig,
        rig.microphone((sung[0], *back), after_s=6.0),
        between=lambda link, player, take: phases.append(take.still_phase if player.paused else "singing"),
    )
    assert heard.signs == ["held", "silent", "held", "held"]
    assert [phase for k, phase in enumerate(phases) if k == 0 or phases[k - 1] != phase] == [
        "singing",
        "waiting",
        "singing",
    ]
    assert heard.performance.takes[0].status == "heard"
