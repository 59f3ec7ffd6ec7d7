"""What reaches the terminal: only what changed, at most ten times a second, never wider than it is."""

from __future__ import annotations

import re
import time
from dataclasses import replace
from fractions import Fraction as F

import pytest
from seen_states import PULLED, READING, SINGING, SUNG

from trainer.reports.look import Look
from trainer.score.naming import Names
from trainer.ui.screen import Screen
from trainer.ui.section_keys import SECTION_KEYS


class Paper:
    """A terminal that keeps what is written and plays it on to a table of letters."""

    def __init__(self, columns=80, rows=24):
        self.columns, self.rows, self.changed = columns, rows, True
        self.written = []
        self.keys = b""

    def write(self, text):
        self.written.append(text)

    def size(self):
        return self.columns, self.rows

    def typed(self):
        keys, self.keys = self.keys, b""
        return keys

    def seen(self):
        table = {}
        for text in self.written:
            for part in re.split("(?=\x1b\\[\\d+;1H)|(?=\x1b\\[2J)", text):
                if part.startswith("\x1b[2J"):
                    table.clear()
                found = re.match("\x1b\\[(\\d+);1H\x1b\\[K(.*)", part, re.S)
                if found:
                    table[int(found[1])] = re.sub("\x1b\\[[0-9;]*m", "", found[2])
        return "\n".join(table.get(row, "") for row in range(1, self.rows + 1)).rstrip("\n")


def screen(paper, clock, **look):
    return Screen(paper, Look(**look), Names(), lambda: clock[0])


def test_the_screen_shows_the_view():
    paper, clock = Paper(), [0.0]
    screen(paper, clock).show(SINGING)
    assert "bar 5 beat 1: pulled to soprano" in paper.seen()
    assert paper.seen().endswith("q quit")


def test_nothing_is_written_when_nothing_changed():
    paper, clock = Paper(), [0.0]
    shown = screen(paper, clock)
    for clock[0] in (0.0, 0.2, 0.4):
        shown.show(SINGING)
    assert shown.redraws == 1


def test_only_the_lines_that_changed_are_written():
    paper, clock = Paper(), [0.0]
    shown = screen(paper, clock)
    shown.show(replace(SINGING, beats=SUNG[:-1]))
    clock[0] = 0.2
    shown.show(SINGING)
    assert len(re.findall("\x1b\\[\\d+;1H", paper.written[-1])) <= 4


def test_there_are_at_most_ten_redraws_a_second_and_a_new_phase_waits_for_none():
    paper, clock = Paper(), [0.0]
    shown = screen(paper, clock)
    for step in range(1000):
        clock[0] = step / 1000
        shown.show(replace(SINGING, quarters=F(step, 10)))
    assert shown.redraws <= 10
    shown.show(replace(SINGING, phase="pause"))
    assert shown.redraws <= 11
    assert "pause" in paper.seen().split("\n")[0]
    shown.show(replace(SINGING, phase="waiting", quarters=F(6)))
    assert "waits for you, bar 2 beat 3" in paper.seen().split("\n")[0]


def test_a_key_is_shown_at_once_and_still_ten_redraws_a_second_are_the_most():
    paper, clock = Paper(), [0.0]
    shown, playing = screen(paper, clock), replace(SINGING, source="keyed")
    for clock[0] in (0.0, 0.1, 0.2):
        shown.show(playing)
    clock[0] = 0.203
    shown.show(replace(playing, down=(59,)))
    assert "keys  B3" in paper.seen()
    clock[0] = 0.25
    shown.show(replace(playing, down=(59, 62)))
    assert "keys  B3 D4" in paper.seen()
    for step in range(700):
        clock[0] = 0.3 + step / 1000
        shown.show(replace(playing, down=(step,)))
    assert shown.redraws == 10


def test_words_change_at_most_five_times_a_second():
    # the shortest beat that has words lasts 0.6 s, so even a word on every beat changes less than twice a second
    paper, clock = Paper(), [0.0]
    shown, changes, before = screen(paper, clock), 0, ""
    for step in range(500):
        clock[0] = step / 100
        count = 1 + int(clock[0] / 0.6)
        beats = tuple(replace(PULLED, bar=1 + k // 4, beat=F(k % 4 + 1), pulled_to=str(k)) for k in range(count))
        shown.show(replace(SINGING, tempo_qpm=F(100), beats=beats))
        words = next(line for line in paper.seen().split("\n")[7:] if line.startswith("bar") and "pulled" in line)
        changes += words != before
        before = words
    assert changes <= 5 * 5


def test_another_size_draws_everything_anew():
    paper, clock = Paper(), [0.0]
    shown = screen(paper, clock)
    shown.show(SINGING)
    paper.columns, paper.rows, paper.changed, clock[0] = 60, 16, True, 0.01
    shown.show(SINGING)
    assert paper.written[-1].startswith("\x1b[2J")
    assert max(len(line) for line in paper.seen().split("\n")) <= 60


@pytest.mark.parametrize("size", [(1, 1), (20, 5), (60, 16), (80, 24), (300, 90)])
@pytest.mark.parametrize("colours", ["none", "sixteen", "full"])
def test_no_size_and_no_colour_overflows(size, colours):
    paper, clock = Paper(*size), [0.0]
    shown = screen(paper, clock, colours=colours)
    for state in (READING, SINGING, replace(SINGING, help="shown"), replace(READING, asked="x" * 200)):
        clock[0] += 1
        shown.show(state)
        assert max(len(line) for line in paper.seen().split("\n")) <= size[0]


def test_keys_reach_the_session_and_answers_are_taken_as_answers():
    paper, clock = Paper(), [0.0]
    shown = screen(paper, clock)
    shown.show(SINGING)
    paper.keys = b"r"
    assert shown.commands() == ["again"]
    shown.show(replace(SINGING, asked="quarters a minute: "))
    paper.keys = b"48\r"
    assert shown.commands() == ["=48"]


def test_a_redraw_takes_less_than_its_budget():
    paper, clock = Paper(), [0.0]
    shown = screen(paper, clock, colours="full")
    shown.show(SINGING)
    times = []
    for step in range(40):
        clock[0] += 0.2
        began = time.thread_time()
        shown.show(replace(SINGING, beats=SUNG[: step % 17], quarters=F(step)))
        times.append(time.thread_time() - began)
    assert sorted(times)[len(times) // 2] < 0.010  # what redraws may take in the process that feeds the sound


def test_keys_typed_while_help_is_shown_turn_its_pages():
    paper, clock = Paper(), [0.0]
    shown = Screen(paper, Look(), Names(), lambda: clock[0], SECTION_KEYS)
    for state, meant in ((READING, "manner"), (replace(READING, help="shown"), "more")):
        clock[0] += 1
        shown.show(state)
        paper.keys = b"v"
        assert shown.commands() == [meant]
