"""What leaves for the loudspeaker, looked at by Fourier transform: which notes sound, when, in which ear, how loud."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from live_rig import RATE_HZ, SETTINGS, TENOR, Rig, short_score

from trainer.live.desk import Desk
from trainer.score.time import TempoMap

SOPRANO, ALTO, BASS = 0, 1, 3


def run(rig, seconds, *commands):
    """All that left in *seconds*; each command is (at second, callable of the player), its answers are given too."""
    link, player, begun = rig.link_and_player(np.zeros((1, 1), np.float32))
    waiting, answers = sorted(commands, key=lambda c: c[0]), []
    while link.write_until() < seconds * RATE_HZ:
        while waiting and link.write_until() >= waiting[0][0] * RATE_HZ:
            answers.append(waiting.pop(0)[1](player))
        player.write(link)
        link.advance(960)
    return link.left()[: link.write_until()], begun, player, answers


def strength_db(sound, hz, from_frame, to_frame):
    """Level of one frequency in a stretch of one ear, dBFS of its amplitude."""
    part = np.asarray(sound[from_frame:to_frame], np.float64)
    window = np.hanning(len(part))
    turn = np.exp(-2j * np.pi * hz * np.arange(len(part)) / RATE_HZ)
    return 20 * np.log10(max(abs(np.sum(part * window * turn)) * 2 / np.sum(window), 1e-9))


def hz(midi):
    return 440 * 2 ** ((midi - 69) / 12)


def fundamentals(rig, bar, octaves=0):
    """Frequency of each line's own note in that bar (from 0)."""
    return [hz(line.notes[bar].pitch.midi + 12 * octaves) for line in rig.score.lines]


def of_bar(begun, bar, within=(0.3, 0.9)):
    """Frames well inside a bar of one second, by the score's 2/4 at 120."""
    return tuple(begun.music_frame + round((bar + share) * RATE_HZ) for share in within)


def only_in(sound, rig, begun, bar):
    """Level of the first harmonic that a line has for itself, by line."""
    where = of_bar(begun, bar)
    return [strength_db(sound[:, 0], f, *where) for f in fundamentals(rig, bar)]


def test_three_voices_sound_and_the_singers_does_not():
    rig = Rig()
    sound, begun, _, _ = run(rig, 9)
    # bar 2 (index 1): F#4, C#4, A3, A2; the bass's octave is the tenor's note, so bar 3: G#4 E4 B3 G#2
    levels = only_in(sound, rig, begun, 2)
    assert min(levels[SOPRANO], levels[ALTO], levels[BASS]) > -60
    assert levels[TENOR] < -75


def test_the_full_guide_sounds_the_own_line_and_entries_only_its_first_beat():
    full, begun, _, _ = run(Rig(desk=Desk(TENOR, guide="full")), 9)
    assert only_in(full, Rig(), begun, 2)[TENOR] > -60
    entries, begun, _, _ = run(Rig(desk=Desk(TENOR, guide="entries")), 9)
    first = hz(short_score().lines[TENOR].notes[0].pitch.midi)
    assert strength_db(entries[:, 0], first, *of_bar(begun, 0, (0.1, 0.4))) > -60
    assert only_in(entries, Rig(), begun, 2)[TENOR] < -75


def test_a_voice_muted_in_the_music_is_gone_from_the_frame_told_on_and_no_earlier():
    rig = Rig()
    at_s = rig.begun().music_frame / RATE_HZ + 2.4
    sound, _begun, _, (frame,) = run(rig, 9, (at_s, lambda p: p.stand(replace(p.desk, muted=frozenset({ALTO})))))
    note = fundamentals(rig, 2)[ALTO]
    assert strength_db(sound[:, 0], note, frame - 7_200, frame) > -60
    assert strength_db(sound[:, 0], note, frame + 1_200, frame + 8_400) < -75
    assert 0 < frame - at_s * RATE_HZ < 0.15 * RATE_HZ


def test_one_ear_leaves_the_other_without_a_sample():
    sound, _, _, _ = run(Rig(desk=Desk(TENOR, ear="left"), pitch="chord"), 12)
    assert np.abs(sound[:, 0]).max() > 0.01
    assert not sound[:, 1].any()


def test_a_neighbour_stood_next_to_is_six_decibels_up():
    plain, begun, _, _ = run(Rig(), 9)
    near, _, _, _ = run(Rig(desk=Desk(TENOR, louder=ALTO)), 9)
    before, after = only_in(plain, Rig(), begun, 2), only_in(near, Rig(), begun, 2)
    assert after[ALTO] - before[ALTO] == pytest.approx(6.0, abs=0.4)
    assert after[SOPRANO] == pytest.approx(before[SOPRANO], abs=0.4)


def test_nothing_leaves_in_a_silent_take():
    sound, _, _, _ = run(Rig(desk=Desk(TENOR, sounding="silent"), pitch="chord"), 12)
    assert not sound.any()


def test_the_first_sound_is_soft_and_no_sample_lies_above_the_limit():
    sound, _, _, _ = run(Rig(desk=Desk(TENOR, guide="full", louder=BASS), pitch="chord"), 14)
    begins = int(np.flatnonzero(np.abs(sound[:, 0]) > 1e-4)[0])
    early = np.sqrt(np.mean(sound[begins : begins + RATE_HZ // 5, 0] ** 2))
    later = np.sqrt(np.mean(sound[begins + 2 * RATE_HZ : begins + 2 * RATE_HZ + RATE_HZ // 5, 0] ** 2))
    assert 20 * np.log10(later / early) > 8
    assert np.abs(sound).max() <= 10 ** (-6 / 20) + 1e-6


def test_the_same_take_written_in_other_steps_is_the_same_sound():
    rig = Rig(desk=Desk(TENOR, click="on"), pitch="note")
    whole, _, _, _ = run(rig, 8)
    link, player, _ = rig.link_and_player(np.zeros((1, 1), np.float32))
    steps = np.random.default_rng(5).integers(100, 9_000, 400)
    for step in steps:
        player.write(link)
        link.advance(int(step))
        if link.write_until() >= len(whole):
            break
    assert np.allclose(link.left()[: len(whole)], whole, atol=1e-6)


@pytest.mark.parametrize("qpm", [30, 48, 60, 96, 160, 240])
@pytest.mark.parametrize("bars", [1, 2, 4])
@pytest.mark.parametrize("pitch", ["note", "chord"])
def test_the_entry_comes_within_five_seconds_of_the_first_note(qpm, bars, pitch):
    settings = replace(SETTINGS, tempo_qpm=Fraction(qpm))
    rig = Rig(settings=settings, count_in_bars=bars, pitch=pitch)
    _link, player, begun = rig.link_and_player(np.zeros((1, 1), np.float32))
    entry = begun.music_frame  # the tenor begins with the music
    notes = [part for part in player._parts if part.channel == "pitch"]
    ends = notes[-1].to_frame
    assert ends <= entry
    assert entry - ends <= 5 * RATE_HZ
    assert begun.count_frame <= begun.music_frame


def test_the_first_note_is_given_in_the_singers_own_octave():
    first = short_score().lines[TENOR].notes[0].pitch.midi
    for octaves in (-1, 0, 1):
        rig = Rig(octaves=octaves, pitch="note")
        sound, begun, _, _ = run(rig, 4)
        where = (begun.count_frame - round(1.9 * RATE_HZ), begun.count_frame - round(0.9 * RATE_HZ))
        own = strength_db(sound[:, 0], hz(first + 12 * octaves), *where)
        below = strength_db(sound[:, 0], hz(first + 12 * octaves - 12), *where)
        assert own > -50
        assert below < own - 25


def test_a_new_tempo_holds_from_a_beat_on_and_sound_and_music_time_agree():
    rig = Rig()
    at_s = rig.begun().music_frame / RATE_HZ + 1.1
    sound, _begun, player, (frame,) = run(rig, 12, (at_s, lambda p: p.change_tempo(Fraction(60))))
    held = player.quarters(frame)
    assert held is not None
    assert held.denominator == 1
    # bar 3 begins at quarter 4: half as fast from the change on
    begins = frame + round((4 - held) * RATE_HZ)
    assert player.quarters(begins) == 4
    third, second = fundamentals(rig, 2)[SOPRANO], fundamentals(rig, 1)[SOPRANO]
    assert strength_db(sound[:, 0], second, begins - 9_600, begins - 2_400) > -60
    assert strength_db(sound[:, 0], third, begins - 9_600, begins - 2_400) < -70
    assert strength_db(sound[:, 0], third, begins + 4_800, begins + 14_400) > -60


def test_a_pause_is_silence_and_music_time_goes_on_where_it_waited_after_one_counted_bar():
    rig = Rig()
    at_s = rig.begun().music_frame / RATE_HZ + 1.2
    sound, _begun, player, (paused, resumed) = run(
        rig, 14, (at_s, lambda p: p.pause()), (at_s + 3, lambda p: p.resume())
    )
    assert player.quarters(paused) == player.quarters(paused + RATE_HZ) == player.quarters(resumed)
    silent = sound[paused + 2_400 : round((at_s + 3) * RATE_HZ)]
    assert not silent.any()
    clicks = sound[resumed - RATE_HZ : resumed - RATE_HZ // 2, 0]
    assert np.abs(clicks).max() > 1e-3
    after = player.quarters(resumed + RATE_HZ // 2)
    assert after == player.quarters(paused) + 1


def test_commands_for_the_music_say_no_while_it_is_not_running():
    _, player, _ = Rig().link_and_player(np.zeros((1, 1), np.float32))
    assert player.pause() is None
    assert player.resume() is None
    assert player.change_tempo(Fraction(60)) is None


def test_marks_of_tempo_come_as_points_when_their_time_has_come():
    score = replace(short_score(), tempo=TempoMap(((Fraction(0), Fraction(120)), (Fraction(4), Fraction(60)))))
    rig = Rig(score=score)
    link, player, begun = rig.link_and_player(np.zeros((1, 1), np.float32))
    first = list(player.points())
    assert [(p.quarters, p.quarters_per_minute) for p in first] == [(0, 120)]
    while link.write_until() < begun.music_frame + 2 * RATE_HZ - 2_000:
        player.write(link)
        link.advance(960)
    assert not list(player.points())
    link.advance(4_800)
    player.write(link)
    (second,) = player.points()
    assert (second.frame, second.quarters, second.quarters_per_minute) == (begun.music_frame + 2 * RATE_HZ, 4, 60)
