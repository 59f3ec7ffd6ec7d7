"""Live takes on the pretend link under its hand clock. The singer is the tests' own simulated one, exact to a cent and a millisecond."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
import slips
from live_rig import RATE_HZ, Rig, hear

from audio.block import Block
from audio.devices.fake import Flaw, Loopback
from audio.heard import UNTIMED, Anchor
from audio.units import RATE_HZ as TAKE_HZ
from trainer.live.delay import Axis, Delay, assumed, whole_zero
from trainer.live.hearing import PAUSED
from trainer.places import places as own_places
from trainer.reports.look import Look
from trainer.reports.text import take_text
from trainer.takes.judging import judge
from trainer.takes.keeping import judge_again, open_store
from trainer.takes.recording import heard_from

NOT_SUNG = {"silent", "unsure", "rest"}


@pytest.fixture
def places(tmp_path, monkeypatch):
    monkeypatch.setenv("HELDLINE_HOME", str(tmp_path))
    return own_places()


@pytest.fixture(scope="module")
def faulty():
    """A take with one note flat and one left out."""
    rig = Rig()
    sung = slips.missing(slips.detuned(rig.as_written(), 1, -45), 2)
    return rig, hear(rig, rig.microphone(sung))


def test_each_planted_fault_is_named_and_every_other_note_held(faulty):
    _, heard = faulty
    assert heard.signs == ["held", "flat", "silent", "held"]
    assert heard.performance.takes[0].notes[1].cents == pytest.approx(-45, abs=4)


def test_every_beat_is_told_in_order_once_and_as_it_is_at_the_end(faulty):
    _, heard = faulty
    final = heard.performance.takes[0].beats
    assert [(b.bar, b.beat) for b in heard.beats] == [(b.bar, b.beat) for b in final]
    assert [b.sign for b in heard.beats] == [b.sign for b in final]


def test_a_beat_is_told_within_a_quarter_of_a_second_of_the_sound_that_it_waits_for(faulty):
    _rig, heard = faulty
    # the verdict waits for 150 ms after the beat; what we add is the tracker's look-ahead and one step of the loop
    for k, told in enumerate(heard.at_frames):
        ends = heard.where.anchor.frame + round((k + 1) * TAKE_HZ / 2)
        assert 0 <= told - ends - 0.15 * TAKE_HZ < 0.25 * TAKE_HZ


def test_the_same_sound_as_a_recording_gives_the_same_take(faulty):
    rig, heard = faulty
    sound = np.concatenate(list(heard.take.hearing.kept()))
    cut = [Block(sound[k : k + 3_001], ("mic1",), k, RATE_HZ) for k in range(0, len(sound), 3_001)]
    again = judge(rig.score, (rig.line_index,), heard_from(cut), settings=heard.where.settings)
    assert again == heard.performance


def test_a_stored_take_judged_again_is_the_same_take(places):
    rig = Rig()
    heard = hear(rig, rig.microphone(slips.detuned(rig.as_written(), 1, -45)), places=places)
    with open_store(places, print) as store:
        attempt = store.get(heard.number)
    assert attempt.anchors == (heard.where.anchor,)
    assert judge_again(attempt, attempt.settings) == heard.performance


def test_its_recording_is_kept_when_asked_and_judged_from_the_file_it_has_the_same_signs(places):
    from trainer.takes.recording import heard_in

    rig = Rig()
    heard = hear(rig, rig.microphone(slips.detuned(rig.as_written(), 1, -45)), places=places)
    (file,) = places.sound.iterdir()
    again = judge(rig.score, (rig.line_index,), heard_in(file), settings=heard.where.settings).takes[0]
    assert [note.signs for note in again.notes] == [note.signs for note in heard.performance.takes[0].notes]
    assert [beat.sign for beat in again.beats] == [beat.sign for beat in heard.performance.takes[0].beats]


@pytest.mark.parametrize("block_frames", [64, 480, 1024])
def test_the_size_of_blocks_changes_nothing(faulty, block_frames):
    rig, heard = faulty
    sung = slips.missing(slips.detuned(rig.as_written(), 1, -45), 2)
    other = hear(replace(rig, block_frames=block_frames), rig.microphone(sung), step_frames=1_777)
    assert other.signs == heard.signs


def test_our_own_voices_from_the_loudspeaker_are_nobody():
    for gain in (1.0, 0.3, 0.1, 0.03):
        rig = Rig(loopback=Loopback(768, gain))
        room = np.random.default_rng(3).standard_normal(rig.begun().end_frame + RATE_HZ) * 10 ** (-66 / 20)
        heard = hear(rig, room.astype(np.float32))
        assert heard.performance.takes[0].status == "nothing heard"
        assert {beat.sign.value for beat in heard.beats} <= NOT_SUNG
        assert set(heard.signs) <= NOT_SUNG


def test_a_singer_over_a_loudspeaker_is_held_or_unsure_but_never_wrongly_faulted():
    for gain in (0.03, 0.1, 0.3):
        rig = Rig(loopback=Loopback(768, gain))
        heard = hear(rig, rig.microphone(rig.as_written()))
        assert set(heard.signs) <= {"held", "unsure"}
        assert {beat.sign.value for beat in heard.beats} <= {"held", "unsure"}


def test_a_closed_mouth_with_headphones_is_silent():
    rig = Rig()
    room = np.random.default_rng(3).standard_normal(rig.begun().end_frame + RATE_HZ) * 10 ** (-66 / 20)
    heard = hear(rig, room.astype(np.float32))
    assert heard.performance.takes[0].status == "nothing heard"
    assert {beat.sign.value for beat in heard.beats} <= NOT_SUNG


def test_a_late_note_is_late_only_where_the_delay_was_measured():
    rig = Rig()
    microphone = rig.microphone(slips.late(rig.as_written(), 2, 220))
    assert "late" in hear(rig, microphone).signs
    told = hear(replace(rig, delay=Delay(768, "reported", RATE_HZ)), microphone)
    assert "late" not in told.signs
    assert "timing not judged: delay unknown" in " ".join(take_text(told.performance.takes[0], Look()).split())


def test_the_round_trip_is_taken_off_before_anything_is_timed():
    # 150 ms, as wireless headphones have it: without it every note would be late
    rig = Rig(delay=Delay(7_200, "measured", RATE_HZ))
    heard = hear(rig, rig.microphone(rig.as_written()))
    assert heard.signs == ["held"] * 4
    errors = [n.onset_error_ms for n in heard.performance.takes[0].notes if n.onset_error_ms is not None]
    assert errors
    assert max(map(abs, errors)) < 40


def test_after_a_flagged_block_timing_is_unsure_and_pitch_goes_on():
    rig = Rig()
    begun = rig.begun()
    sung = slips.detuned(slips.late(rig.as_written(), 2, 220), 3, -45)
    microphone = rig.microphone(sung)
    before = hear(rig, microphone)
    flawed = replace(rig, flaws={begun.music_frame + RATE_HZ // 2: Flaw(underflow=True)})
    after = hear(flawed, microphone)
    assert before.signs[2:] == ["late", "flat"]
    assert after.signs == ["held", "held", "held", "flat"]
    gaps = [gap for gap in after.performance.takes[0].health.gaps if gap[2] == UNTIMED]
    assert len(gaps) == 1
    assert "timing not judged" in " ".join(take_text(after.performance.takes[0], Look()).split())


def test_what_was_flagged_before_the_take_has_moved_the_delay_as_well():
    microphone = None
    for at_s, told in ((0.5, "late"), (3.0, "held")):
        rig = Rig(pitch="chord", flaws={round(at_s * RATE_HZ): Flaw(underflow=True)})
        if microphone is None:
            microphone = rig.microphone(slips.late(rig.as_written(), 2, 220))
        assert hear(rig, microphone).signs == ["held", "held", told, "held"]


def test_lost_frames_are_carried_and_nothing_is_judged_across_them():
    rig = Rig()
    begun = rig.begun()
    lost_at = begun.music_frame + round(1.2 * RATE_HZ)
    flawed = replace(rig, flaws={lost_at: Flaw(lost_frames=RATE_HZ // 2)})
    heard = hear(flawed, rig.microphone(rig.as_written()))
    assert heard.signs == ["held", "unsure", "held", "held"]
    whys = [why for _, _, why in heard.performance.takes[0].health.gaps]
    assert "sound was lost" in whys


def test_a_pause_is_passed_over_and_what_follows_is_judged_where_it_was_sung():
    rig = Rig()
    begun = rig.begun()
    at = begun.music_frame + round(1.6 * RATE_HZ)
    back = at + 3 * RATE_HZ

    def between(link, player, take):
        if link.write_until() >= at and not state["paused"]:
            state["paused"] = True
            take.pause()
            state["frame"] = player._time.waiting.frame
        if link.write_until() >= back and not state["resumed"]:
            state["resumed"] = True
            take.resume()
            state["on"] = player.begun.end_frame

    state = {"paused": False, "resumed": False}
    hear(rig, np.zeros((1, 1), np.float32), between=between)
    shift_s = (state["on"] - begun.end_frame) / RATE_HZ
    sung = tuple(
        replace(n, start_s=n.start_s + shift_s, end_s=n.end_s + shift_s) if n.index >= 2 else n
        for n in rig.as_written()
    )
    microphone = np.zeros(state["on"] + 2 * RATE_HZ, np.float32)
    once = rig.microphone(slips.detuned(sung, 3, -45), after_s=shift_s + 1)
    microphone[: len(once)] = once[: len(microphone)]
    state |= {"paused": False, "resumed": False}
    heard = hear(rig, microphone, between=between)
    assert heard.signs == ["held", "held", "held", "flat"]
    assert [why for _, _, why in heard.performance.takes[0].health.gaps] == [PAUSED]
    again = judge(
        rig.score,
        (rig.line_index,),
        heard_from_take(heard),
        settings=heard.where.settings,
        anchors=(heard.where.anchor,),
    )
    assert [n.sign for n in again.takes[0].notes] == [n.sign for n in heard.performance.takes[0].notes]


def heard_from_take(heard):
    """The pitch line from the kept sound, with the anchors of the live take."""
    sound = np.concatenate(list(heard.take.hearing.kept()))
    records = list(heard_from([Block(sound, ("mic1",), 0, RATE_HZ)]))
    return [*_anchors(heard), *records]


def _anchors(heard):
    axis = heard.where.axis
    return [
        Anchor(axis.played(p.frame), p.quarters, p.quarters_per_minute) for p in heard.take._player._time._points[1:]
    ]


def test_a_tempo_changed_in_the_music_moves_what_is_expected():
    rig = Rig()
    begun = rig.begun()
    at = begun.music_frame + round(1.6 * RATE_HZ)

    def between(link, player, take):
        if link.write_until() >= at and not state:
            state.append(player.change_tempo(Fraction(60)))

    state: list[int] = []
    hear(rig, np.zeros((1, 1), np.float32), between=between)
    change_s = (state[0] - begun.music_frame) / RATE_HZ

    def stretched(seconds):
        return seconds if seconds <= change_s else change_s + (seconds - change_s) * 2

    sung = tuple(replace(n, start_s=stretched(n.start_s), end_s=stretched(n.end_s)) for n in rig.as_written())
    microphone = rig.microphone(sung, after_s=6)
    state.clear()
    heard = hear(rig, microphone, between=between)
    assert heard.signs == ["held"] * 4
    assert all(
        note.onset_error_ms is None or abs(note.onset_error_ms) < 60 for note in heard.performance.takes[0].notes
    )


def test_a_device_that_vanishes_leaves_the_take_so_far():
    rig = Rig()
    begun = rig.begun()
    at = begun.music_frame + round(2.3 * RATE_HZ)

    def between(link, player, take):
        if link.write_until() >= at:
            link.vanish()

    heard = hear(rig, rig.microphone(rig.as_written()), between=between)
    assert heard.signs[:2] == ["held", "held"]
    assert heard.signs[3] == "unsure"
    assert heard.performance.takes[0].status == "incomplete"


def test_a_take_stopped_by_hand_is_judged_as_far_as_it_went(places):
    rig = Rig()
    at = rig.begun().music_frame + round(2.3 * RATE_HZ)

    def between(link, player, take):
        if link.write_until() >= at:
            take.stop()

    heard = hear(rig, rig.microphone(rig.as_written()), between=between, places=places)
    assert heard.signs[:2] == ["held", "held"]
    assert heard.signs[3] == "unsure"
    assert heard.number == 1


def test_two_axes_share_their_zero_exactly():
    for rate_hz in (44_100, 48_000, 96_000, 22_050):
        zero = whole_zero(123_457, rate_hz)
        assert zero <= 123_457
        assert (zero * TAKE_HZ) % rate_hz == 0
        axis = Axis(zero, Delay(0, "measured", rate_hz))
        assert axis.heard(zero) == 0
        assert axis.heard(zero + rate_hz) == TAKE_HZ


def test_only_a_measured_delay_is_known():
    assert Delay(10, "measured", RATE_HZ).known
    assert not Delay(10, "reported", RATE_HZ).known
    assert not assumed(RATE_HZ).known
    with pytest.raises(ValueError, match="guessed"):
        Delay(10, "guessed", RATE_HZ)


@pytest.mark.parametrize("rate_hz", [8_000, 44_100, 96_000, 192_000])
def test_a_link_of_any_rate_is_sung_with(rate_hz):
    rig = Rig(rate_hz=rate_hz, delay=Delay(rate_hz // 64, "measured", rate_hz))
    heard = hear(
        rig, rig.microphone(slips.missing(slips.detuned(rig.as_written(), 1, -45), 2)), step_frames=rate_hz // 50
    )
    assert heard.signs == ["held", "flat", "silent", "held"]
    assert all(
        abs(note.onset_error_ms) <= 80 for note in heard.performance.takes[0].notes if note.onset_error_ms is not None
    )
    assert heard.link.flags().late_frames == 0


def test_sound_that_is_no_numbers_is_lost_and_not_silence():
    rig = Rig()
    begun, microphone = rig.begun(), rig.microphone(rig.as_written())
    at = begun.music_frame + rig.delay.frames
    microphone[at + RATE_HZ : at + 2 * RATE_HZ] = np.nan  # the second note
    heard = hear(rig, microphone)
    assert heard.signs == ["held", "unsure", "held", "held"]
    assert {beat.sign.value for beat in heard.beats[2:4]} == {"unsure"}
