"""A script laid over a line: what is sung when and at which pitch, before there is any sound."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from audio.singer import Utterance
from audio.units import RATE_HZ
from trainer.demo.script import Change, Performance, SingerScript
from trainer.practice.reference import references
from trainer.practice.timemap import fixed_time
from trainer.score.model import Score
from trainer.score.pitch import Pitch

TENOR = 2


def sung(score: Score, script: SingerScript, *, against: str = "equal", rate_hz: int = RATE_HZ) -> list[Utterance]:
    time = fixed_time(score.tempo, first_full_quarters=Fraction(0), starts_at_s=Fraction(1))
    return Performance(score, TENOR, references(score, against=against), time).utterances(script, rate_hz)


def only(index: int, **fields: object) -> SingerScript:
    return SingerScript(changes=((index, Change(**fields)),))  # type: ignore[arg-type]


def test_as_written_is_every_note_in_place(ferry_bell: Score) -> None:
    notes = sung(ferry_bell, SingerScript())
    assert [note.start_frame for note in notes] == [RATE_HZ * (1 + 4 * k) for k in range(11)]
    assert all(note.end_frame - note.start_frame == 4 * RATE_HZ for note in notes)
    assert [note.from_c100 for note in notes] == [n.pitch.midi * 10_000 for n in ferry_bell.lines[TENOR].notes]


def test_a_planted_cent_is_a_hundred_units_and_touches_one_note(ferry_bell: Score) -> None:
    plain, bent = sung(ferry_bell, SingerScript()), sung(ferry_bell, only(3, cents=-17.0))
    assert bent[3].from_c100 == plain[3].from_c100 - 1_700
    assert [n for k, n in enumerate(bent) if k != 3] == [n for k, n in enumerate(plain) if k != 3]


def test_a_late_entry_leaves_a_gap_and_an_early_one_cuts_the_note_before(ferry_bell: Score) -> None:
    late, early = sung(ferry_bell, only(2, late_ms=150)), sung(ferry_bell, only(2, late_ms=-150))
    assert late[2].start_frame == 9 * RATE_HZ + 3_600
    assert late[1].end_frame == 9 * RATE_HZ
    assert early[2].start_frame == early[1].end_frame == 9 * RATE_HZ - 3_600


def test_a_note_left_early_and_one_left_out(ferry_bell: Score) -> None:
    assert sung(ferry_bell, only(2, release_ms=-500))[2].end_frame == 13 * RATE_HZ - 12_000
    assert len(sung(ferry_bell, only(2, manner="silent"))) == 10


def test_another_voices_notes_are_taken_at_their_pitch(ferry_bell: Score) -> None:
    notes = sung(ferry_bell, only(8, as_line=1))
    assert notes[8].from_c100 == Pitch.parse("B3").midi * 10_000


def test_another_voices_quicker_notes_come_at_their_own_times(ferry_bell: Score) -> None:
    tenor = ferry_bell.lines[TENOR]
    long_note = replace(tenor.notes[0], length_quarters=Fraction(8))
    held = replace(tenor, notes=(long_note, *tenor.notes[2:]))
    score = replace(ferry_bell, lines=(*ferry_bell.lines[:2], held, ferry_bell.lines[3]))
    notes = sung(score, only(0, as_line=1))
    assert [n.from_c100 // 10_000 for n in notes[:2]] == [59, 61]
    assert notes[1].start_frame == 5 * RATE_HZ


def test_another_pitch_an_octave_and_a_scoop(ferry_bell: Score) -> None:
    assert sung(ferry_bell, only(0, pitch=Pitch.parse("G3")))[0].from_c100 == 550_000
    assert sung(ferry_bell, only(0, octaves=-1))[0].from_c100 == 420_000
    assert sung(ferry_bell, SingerScript(octaves=1))[10].from_c100 == 630_000
    assert sung(ferry_bell, only(0, scoop_cents=-80.0))[0].scoop_cents == -80.0


def test_a_breath_cuts_a_note_in_two_and_only_the_first_half_scoops(ferry_bell: Score) -> None:
    notes = sung(ferry_bell, only(3, breath_at=Fraction(1, 2), breath_ms=350.0, scoop_cents=-50.0))
    assert len(notes) == 12
    assert notes[3].end_frame == 15 * RATE_HZ
    assert notes[4].start_frame == 15 * RATE_HZ + 8_400
    assert [notes[3].scoop_cents, notes[4].scoop_cents] == [-50.0, 0.0]


def test_sinking_starts_at_its_bar_and_goes_on_steadily(ferry_bell: Score) -> None:
    plain = sung(ferry_bell, SingerScript())
    sinking = sung(ferry_bell, SingerScript(sinks_cents_a_bar=8.0, sinks_from_bar=5))
    off = [(s.from_c100 - p.from_c100, s.to_c100 - p.to_c100) for s, p in zip(sinking, plain, strict=True)]
    assert off[:4] == [(0, 0)] * 4
    assert off[4] == (0, -800)
    assert off[10] == (-4_800, -5_600)


def test_pure_singing_follows_the_pure_reference(ferry_bell: Score) -> None:
    last = sung(ferry_bell, SingerScript(), against="pure")[-1]
    # a pure major third and an octave above B2: 386.31 cents, five to four
    assert last.from_c100 == pytest.approx(47 * 10_000 + 38_631, abs=1)


@pytest.mark.parametrize("rate_hz", [24_000, 44_100, 48_000])
def test_times_are_the_same_at_any_rate(ferry_bell: Score, rate_hz: int) -> None:
    assert sung(ferry_bell, SingerScript(), rate_hz=rate_hz)[5].start_frame == 21 * rate_hz
