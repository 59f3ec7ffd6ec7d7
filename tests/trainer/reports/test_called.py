"""Reports under German letters: every note of the text is renamed, no figure or sign is."""

from __future__ import annotations

import re
from dataclasses import replace

from handmade_takes import faulty_take

from trainer.cli._chosen import KINDS as SETTINGS
from trainer.cli._options import NAMES
from trainer.practice.take import ExtraNote
from trainer.reports.called import take_called
from trainer.reports.look import Look
from trainer.reports.text import take_text
from trainer.score.naming import KINDS, Names


def test_a_german_report_says_h_where_the_others_say_b():
    take = faulty_take()
    before, after = take_text(take, Look(80)), take_text(take_called(take, Names("german")), Look(80))
    assert "B3" in before
    assert "B3" not in after
    assert "h" in [note.expected for note in take_called(take, Names("german")).notes]
    assert [note.signs for note in take_called(take, Names("german")).notes] == [note.signs for note in take.notes]


def test_a_german_note_keeps_its_small_letter_wherever_it_stands():
    take = replace(faulty_take(), remarks=(), extra=(ExtraNote(29.2, 29.9, "B3"),))
    told = take_text(take_called(take, Names("german")), Look(80))
    assert " h from 29.2" in told
    assert not re.search(r"\bH\b", told)


def test_degrees_and_syllables_leave_a_report_as_it_is():
    take = faulty_take()
    for kind in KINDS:
        if kind != "german":
            assert take_called(take, Names(kind)) is take


def test_the_options_and_the_setting_offer_every_kind_of_name():
    assert NAMES == KINDS
    assert all(SETTINGS["names"].read(kind) == kind for kind in KINDS)
