"""A section's bars from takes written by hand: who sang, who held, and why not."""

from __future__ import annotations

from dataclasses import replace

from handmade_takes import beats_of, clean_take, note, take_of

from trainer.judge.section import Desk, Section, section_of
from trainer.practice.signs import Sign
from trainer.practice.take import BeatVerdict, Take


def _section(desks: list[Desk]) -> Section:
    return section_of("Ferry Bell at Low Water", 4, "tenor", 3, desks)


def take(**signs: Sign) -> Take:
    """A take of eleven bars, held but for ``b6=Sign.PULLED`` and the like; who is pulled is pulled to the alto."""
    beats: list[BeatVerdict] = []
    for bar in range(1, 12):
        sign = signs.get(f"b{bar}", Sign.HELD)
        pulled = "alto" if sign is Sign.PULLED else None
        beats += [replace(beat, pulled_to=pulled) for beat in beats_of(note(bar, sign))]
    return take_of([note(bar) for bar in range(1, 12)], beats=tuple(beats))


def section(*takes: Take) -> Section:
    return _section([Desk(f"desk {number}", one) for number, one in enumerate(takes, start=1)])


def test_a_bar_counts_who_sang_in_it_and_who_held_all_of_it() -> None:
    found = section(take(), take(b6=Sign.PULLED), take(b6=Sign.PULLED), take(b6=Sign.FLAT), take(b6=Sign.SILENT))
    bar = found.bars[5]
    assert (bar.bar, bar.sang, bar.held) == (6, 4, 1)
    assert bar.pulled_to == (("alto", 2),)
    assert bar.causes == ((Sign.PULLED, 2), (Sign.FLAT, 1))
    assert bar.weak_desks == ("desk 2", "desk 3", "desk 4")
    assert [one.held for one in found.bars[:5]] == [5] * 5


def test_one_beat_that_slipped_is_enough_and_an_unsure_one_says_nothing() -> None:
    one = take()
    beats = list(one.beats)
    beats[1] = replace(beats[1], sign=Sign.OFF)
    beats[5] = replace(beats[5], sign=Sign.UNSURE)
    beats[9] = replace(beats[9], sign=Sign.BREATH)
    found = section(replace(one, beats=tuple(beats)))
    assert [bar.held for bar in found.bars[:4]] == [0, 1, 1, 1]


def test_a_bar_of_rests_or_of_nothing_sure_counts_for_nobody() -> None:
    found = section(take(b2=Sign.REST, b3=Sign.UNSURE), take(b2=Sign.REST))
    assert [(bar.sang, bar.held) for bar in found.bars[:3]] == [(2, 2), (0, 0), (1, 1)]


def test_who_was_not_heard_or_sang_another_line_counts_for_no_bar() -> None:
    silent = replace(clean_take(), status="nothing heard")
    other = Desk("desk 3", take(), sang_line_of="soprano")
    found = _section([Desk("desk 1", clean_take()), Desk("desk 2", silent), other])
    assert {bar.sang for bar in found.bars} == {1}


def test_the_weakest_bars_are_those_that_fewer_than_half_held_the_worst_first() -> None:
    found = section(
        take(b4=Sign.FLAT, b6=Sign.PULLED, b9=Sign.LATE),
        take(b4=Sign.FLAT, b6=Sign.OFF),
        take(b6=Sign.PULLED, b4=Sign.HELD),
        take(b9=Sign.LATE),
    )
    assert [bar.bar for bar in found.weakest()] == [6]
    worse = section(take(b4=Sign.FLAT, b6=Sign.FLAT), take(b4=Sign.FLAT, b6=Sign.FLAT), take(b6=Sign.FLAT))
    assert [bar.bar for bar in worse.weakest()] == [6, 4]
    assert section(take()).weakest() == ()
