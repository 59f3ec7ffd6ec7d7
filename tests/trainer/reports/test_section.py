"""A section for its leader: bars and causes, no label unless it was asked for."""

from __future__ import annotations

from dataclasses import replace

from handmade_takes import beats_of, clean_take, note, take_of

from trainer.judge.section import Desk, Section, section_of
from trainer.practice.signs import Sign
from trainer.reports.look import Look
from trainer.reports.section import drill_of, note_to_paste, section_as_text, section_to_json


def _section(desks: list[Desk]) -> Section:
    return section_of("Ferry Bell at Low Water", 4, "tenor", 3, desks)


def pulled_in_six() -> object:
    beats = [
        replace(beat, pulled_to="alto" if bar == 6 else None)
        for bar in range(1, 12)
        for beat in beats_of(note(bar, Sign.PULLED if bar == 6 else Sign.HELD))
    ]
    return take_of([note(bar) for bar in range(1, 12)], beats=tuple(beats))


def section() -> Section:
    return _section(
        [Desk("wren", pulled_in_six()), Desk("heron", pulled_in_six()), Desk("teal", clean_take())]  # type: ignore[arg-type]
    )


def test_the_text_begins_with_the_weak_bar_and_its_cause() -> None:
    assert (
        section_as_text(section(), Look(width=80), persons=False)
        == """\
Ferry Bell at Low Water: tenor, 3 desks, 3 heard
  bar 6: 1 of 3 held; 2 pulled to the alto

Held, bar by bar: 1: 3/3, 2: 3/3, 3: 3/3, 4: 3/3, 5: 3/3, 6: 1/3, 7: 3/3, 8:
  3/3, 9: 3/3, 10: 3/3, 11: 3/3

Next: loop bars 5 to 6, slowly; first against the alto only, then against all.

To paste:
  Ferry Bell at Low Water, tenor: Bar 6: 1 of 3 held; 2 pulled to the alto.
  Next: loop bars 5 to 6, slowly; first against the alto only, then against all."""
    )


def test_desks_out_of_time_all_through_are_told_with_what_to_do_about_a_recording() -> None:
    late = take_of([note(bar, Sign.LATE, onset_error_ms=500) for bar in range(1, 12)])
    advice = "--starts-at says where the music stands."
    for takes, told in (
        ((late, late, late), "At 3 of 3 desks most notes do not fall where the score has them."),
        ((late, clean_take()), "At 1 of 2 desks most notes do not fall where the score has them."),
        ((late, clean_take(), clean_take()), ""),
    ):
        found = _section([Desk(str(number), take) for number, take in enumerate(takes)])
        text = " ".join(section_as_text(found, Look(80), persons=False, advice=advice).split())
        assert (f"{told} {advice}" in text) is bool(told)
        assert section_to_json(found, persons=False)["out_of_time"] == takes.count(late)


def test_labels_are_shown_only_when_asked_for() -> None:
    for persons in (False, True):
        text = section_as_text(section(), Look(width=80), persons=persons)
        table = section_to_json(section(), persons=persons)
        assert ("wren" in text) is persons
        assert ("wren" in str(table)) is persons
    assert "  wren: not held: bar 6" in section_as_text(section(), Look(width=80), persons=True)
    assert "  teal: all held" in section_as_text(section(), Look(width=80), persons=True)


def test_the_json_has_a_row_a_bar() -> None:
    table = section_to_json(section(), persons=False)
    assert (table["schema"], table["voice"], table["desks"], table["heard"]) == ("heldline.section/1", "tenor", 3, 3)
    assert table["bars"][5] == {"bar": 6, "sang": 3, "held": 1, "pulled_to": {"alto": 2}, "causes": {"pulled": 2}}
    assert table["next"] == {"first_bar": 5, "last_bar": 6, "against": "alto"}


def test_a_note_to_paste_is_short_and_a_clean_section_is_told_so() -> None:
    assert len(note_to_paste(section())) < 300
    clean = _section([Desk("wren", clean_take())])
    assert note_to_paste(clean).endswith("every bar held by half of them or more.")
    assert drill_of(clean) is None


def test_the_first_bar_has_no_bar_before_it_to_run_up_from() -> None:
    beats = [beat for bar in range(1, 12) for beat in beats_of(note(bar, Sign.FLAT if bar == 1 else Sign.HELD))]
    weak = _section([Desk("wren", take_of([note(bar) for bar in range(1, 12)], beats=tuple(beats)))])
    drill = drill_of(weak)
    assert drill is not None
    assert (drill.first_bar, drill.last_bar, drill.against) == (1, 1, "")


def test_who_sang_another_voices_line_is_counted_without_a_name() -> None:
    found = _section([Desk("wren", clean_take()), Desk("teal", clean_take(), sang_line_of="soprano")])
    assert section_to_json(found, persons=False)["other_lines"] == {"soprano": 1}
    assert "1 desk sang the soprano's line" in section_as_text(found, Look(width=80), persons=False)


def test_silence_is_nobody_heard_and_never_a_bar_held() -> None:
    silent = _section([Desk("wren", replace(clean_take(), status="nothing heard", beats=(), notes=()))])
    text = section_as_text(silent, Look(width=80), persons=False)
    assert text.splitlines()[:2] == [
        "Ferry Bell at Low Water: tenor, 1 desk, 0 heard",
        "  nobody was heard",
    ]
    assert "half of them" not in text
    assert section_to_json(silent, persons=False)["note"] == "Ferry Bell at Low Water, tenor: nobody was heard."


def test_desks_on_another_voices_line_hold_no_bar_of_this_one() -> None:
    other = _section([Desk("wren", clean_take(), "alto")])
    assert note_to_paste(other) == "Ferry Bell at Low Water, tenor: nobody was heard on this line."


def test_of_a_crowd_there_is_no_note_to_paste() -> None:
    assert section_to_json(_section([]), persons=False)["note"] is None


def test_two_voices_at_a_desk_are_told_in_one_sentence() -> None:
    desks = _section([Desk("wren", clean_take()), Desk("heron", clean_take(), two_voices=(5, 6))])
    text = section_as_text(desks, Look(width=80), persons=False)
    assert "Two voices heard in bars 5 to 6 of one desk: it is not judged there.\n" in text
    assert "heron" not in text
    assert section_to_json(desks, persons=False)["two_voices"] == [[5, 6]]
    told = section_as_text(desks, Look(width=80), persons=True)
    assert "  heron: two voices heard in bars 5 to 6, not judged there; else all held" in told


def test_a_section_of_a_file_that_prints_other_numbers_is_told_both() -> None:
    found = section()
    found = replace(
        found,
        bars=tuple(replace(one, printed_bar=str(one.bar + 20)) for one in found.bars),
        desks=(replace(found.desks[0], two_voices=(5, 6)), *found.desks[1:]),
    )
    assert "Next: loop bars 5 to 6 (printed 25 to 26), slowly" in section_as_text(found, Look(width=200), persons=False)
    assert "Next: loop bars 5 to 6 (printed 25 to 26), slowly" in note_to_paste(found)
    assert "Two voices heard in bars 5 to 6 (printed 25 to 26) of one desk" in section_as_text(
        found, Look(width=200), persons=False
    )
