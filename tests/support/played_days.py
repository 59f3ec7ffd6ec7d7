"""Days of practice played through: a terminal that somebody types in, a singer who sings when the screen says so, files that are written.

Scripts of a made-up choir: on Tuesday a section leader finds where seven altos lose their line, and one of them drills it; on Wednesday a
woman on the tenor part practises without headphones; on Thursday a student writes an exercise, stumbles over a bar three times, rewrites
it and holds it. Each is the long form; the short form in ``tests/live`` has a shorter piece.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Callable, Sequence
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import servers
import slips
from live_stage import recorded
from slips import Performance, SungNote
from tmux_terminal import Terminal

from trainer.formats import read_path
from trainer.library import resolve
from trainer.score.change import cut
from trainer.score.model import Score

ROPE, ALTO = "Rope over the Sluice", 1
FERRY, TENOR = "Ferry Bell at Low Water", 2
HER_NOTES = (*range(64, 56, -1), *range(57, 75))
"""From E4 down to A3 and up to D5."""
DESKS = ("wren", "plover", "heron", "teal", "dunlin", "avocet", "curlew")
DRAWN_AWAY = 5
FAST = 192
"""Quarters a minute, so that an evening is over soon."""

KETTLE = """\
title: Kettle, my own
meter: 2/2
tempo: 100
mode: G phrygian
species: 4
rules: strict16
cantus: bass
sing: alto

soprano | Bb4  | Ab4  | C5    | Ab4  | G4   | Ab4  | Bb4  | Ab4  | F4   | G4 |
alto    | . D4 | - C4 | - Eb4 | - D4 | - G4 | - F4 | - Eb4 | - D4 | - C4 | B3 |
bass    | G3   | Ab3  | Eb3   | F3   | Bb3  | Ab3  | G3   | F3   | Ab3  | G3 |
"""
KETTLE_REWRITTEN = KETTLE.replace("- G4 | - F4 |", "- G4 | F4 Eb4 |")


def sung_line(score: Score, line: int, qpm: float, bars: tuple[int, int] | None = None) -> Performance:
    """A line sung exactly, seconds from where its music begins."""
    second = 60 / qpm
    notes = (score if bars is None else cut(score, *bars)).lines[line].notes
    return tuple(
        SungNote(k, float(n.onset_quarters) * second, float(n.end_quarters) * second, float(n.pitch.midi))
        for k, n in enumerate(notes)
    )


def wrong_in(score: Score, line: int, sung: Performance, bar: int, midi: Callable[[SungNote], float]) -> Performance:
    """The notes that begin in a bar sung at another pitch."""
    places = score.bars()
    for index, note in enumerate(score.lines[line].notes):
        if places.place(note.onset_quarters).bar == bar:
            sung = slips.at_pitch(sung, index, midi(sung[index]))
    return sung


class Evening:
    """Somebody at a terminal, with a microphone that a recording can be sung into."""

    def __init__(self, server: servers.Server, window: Terminal, folder: Path) -> None:
        self.server, self.window, self.folder = server, window, folder

    def says(self, *words: object, status: int = 0, seconds: float = 30) -> str:
        """A command's whole screen; it must end with this status."""
        self._typed(words)
        found = self.window.status(seconds)
        told = self.window.screen()
        assert found == status, f"{words} came to {found}:\n{told}"
        return told

    def looks(self, *words: object) -> str:
        """The screen of a look-through and its keys, without what this machine says of seconds, delay and microphone."""
        self._typed(words)
        self.window.shows("look-through")
        self.window.until(lambda: "Read your line" in self.window.screen(), "the line")
        told = self.window.screen()
        self.window.type("q")
        self.window.status()
        above, _, below = re.sub(r"look-through \d+", "look-through ..", told).partition("Delay:")
        return f"{above.rstrip()}\n\n{below.strip().splitlines()[-1]}\n"

    def _typed(self, words: Sequence[object]) -> None:
        """On an empty screen, so that nothing seen is of an earlier command."""
        self.window.type("clear", "Enter")
        self.window.until(lambda: "status=" not in self.window.screen(), "an empty screen")
        self.window.run(*words)

    def recording(self, name: str, sung: Performance) -> Path:
        """A recording that begins with the music."""
        folder = self.folder / name
        folder.mkdir(exist_ok=True)
        return recorded(folder, sung, music_at_s=0)

    def sings(self, words: Sequence[object], recordings: Sequence[Path], *, ends: str, seconds: float = 120) -> str:
        """A live command in which a take is sung each time that the screen says so, until *ends* is seen; the screen then."""
        singing = []
        self._typed(words)
        for recording in recordings:
            self.window.until(lambda: "count-in" in self.window.screen(), "a count", seconds)
            self.window.until(lambda: "singing bar" in self.window.screen(), "the music", seconds)
            singing.append(self.server.begin("paplay", "--device=singer", "--latency-msec=20", recording))
            if recording is not recordings[-1]:
                self.window.until(lambda: "singing bar" not in self.window.screen(), "the end of a take", seconds)
        self.window.until(lambda: ends in self.window.screen(), repr(ends), seconds)
        told = self.window.screen()
        self.window.type("q")
        self.window.status()
        assert self.window.given_back()
        for one in singing:
            servers.end(one)
        return told


def said(screen: str) -> str:
    """What a screen says, in small letters and on one line."""
    return " ".join(screen.split()).lower()


def a_night_passes(home: Path) -> None:
    """Every kept take was sung a day earlier."""
    with closing(sqlite3.connect(home / "takes.db")) as opened:
        for table in ("attempts", "outcomes"):
            opened.execute(
                f"UPDATE {table} SET started_utc = strftime('%Y-%m-%dT%H:%M:%SZ', started_utc, '-1 day')"  # noqa: S608
            )
        opened.commit()


def tuesday(evening: Evening) -> list[str]:
    """Seven altos, one after another, then one of them at the bar; the screens that were seen."""
    score = resolve(ROPE)
    inputs = []
    for number, desk in enumerate(DESKS):
        sung = sung_line(score, ALTO, FAST)
        if number < DRAWN_AWAY:  # two notes running are the soprano's: the last of bar 3, the first of bar 4
            sung = slips.at_pitch(slips.at_pitch(sung, 4, 67.0), 5, 69.0)
        inputs.append(f"{desk}={evening.recording(desk, sung)}")
    seen = [evening.says("library", "show", ROPE)]
    assert "shares notes with the soprano in bars 4 and 6" in seen[-1]
    words = ("sectional", ROPE, "--voice", "alto", "--tempo", FAST, "--input", ",".join(inputs))
    seen.append(evening.says(*words, seconds=90))
    assert re.search(r"bar 3: 2 of 7 held; 5 pulled to the soprano", seen[-1]), seen[-1]
    assert not any(desk in seen[-1].split("Held, bar by bar")[1] for desk in DESKS), "nobody is ranked"
    drill = ("drill", ROPE, "--voice", "alto", "--bars", "3", "--with", "soprano", "--tempo", FAST, "--look-through", 0)
    right = evening.recording("right", sung_line(score, ALTO, FAST, (2, 3)))
    seen.append(evening.sings(drill, [right] * 3, ends="Three clean takes running: now sing it in its place."))
    seen.append(evening.says("takes"))
    assert seen[-1].count(ROPE) == 3
    return seen


def thursday(
    evening: Evening, text: str, rewritten: str, bar: int, *, voice: str, warned: str, qpm: float = FAST
) -> list[str]:
    """An exercise is written, checked, weighed, sung three times with a stumble in *bar*, rewritten there, and held.

    Parameters
    ----------
    evening : Evening
    text, rewritten : str
        Drill text before and after.
    bar : int
    voice : str
    warned : str
        What ``singable`` must say of it before it is sung, in small letters.
    qpm : float
    """
    path, home = evening.folder / "mine.drill", Path(evening.server.env["HELDLINE_HOME"])
    path.write_text(text, encoding="utf-8")
    score = read_path(path)
    line = score.voice_names().index(voice)
    seen = [evening.says("check", path)]
    seen.append(evening.says("singable", path, "--voice", voice))
    assert warned in said(seen[-1]), seen[-1]
    stumbled = wrong_in(score, line, sung_line(score, line, qpm), bar, lambda note: note.midi + 3)
    wrong = evening.recording("wrong", stumbled)
    sing = ("sing", path, "--voice", voice, "--tempo", qpm)
    seen.append(evening.sings((*sing, "--look-through", 0), [wrong], ends="Next"))
    assert f"bar {bar}" in seen[-1]
    for _ in range(2):  # the other two from recordings: the same takes, sooner
        evening.says(*sing, "--input", wrong, "--starts-at", 0)
    seen.append(evening.says("singable", path, "--voice", voice))
    assert f"bar {bar} is hard for this line" in said(seen[-1]), seen[-1]
    a_night_passes(home)
    seen.append(evening.says())
    assert f"bars {bar - 1} to {bar}, where it failed last time" in said(seen[-1]), seen[-1]
    path.write_text(rewritten, encoding="utf-8")
    seen.append(evening.says("check", path))
    after = read_path(path)
    right = evening.recording("right", sung_line(after, line, qpm))
    evening.says(*sing, "--input", right, "--starts-at", 0)
    seen.append(evening.says("singable", path, "--voice", voice))
    assert f"bar {bar} was rewritten: before, failed in 3 of 3 takes" in said(seen[-1]), seen[-1]
    seen.append(evening.says("tally", path))
    assert "1 written of the customary 15 to 20" in said(seen[-1])
    return seen


def wednesday(evening: Evening) -> list[str]:
    """A woman on the tenor part, without headphones: warm-up, her octave, turns beside a loudspeaker, a rung of the ladder."""
    servers.leak_through_pulse(evening.server)
    score = resolve(FERRY)
    glide = tuple(SungNote(k, k * 0.25, k * 0.25 + 0.25, float(midi)) for k, midi in enumerate(HER_NOTES))
    seen = [evening.says("warmup", "--input", evening.recording("glide", glide))]
    assert "your voice today: a3 to d5" in said(seen[-1]), seen[-1]
    seen.append(evening.looks("sing", FERRY, "--voice", "tenor", "--look-through", 90))
    assert "an octave higher than written" in said(seen[-1]) or "your first note is f#4" in said(seen[-1]), seen[-1]

    def higher(bars: tuple[int, int] | None = None) -> Performance:
        return tuple(replace(note, midi=note.midi + 12) for note in sung_line(score, TENOR, FAST, bars))

    turns = [evening.recording(f"turn-{first}", higher((first, last))) for first, last in ((1, 4), (5, 8), (9, 11))]
    sing = ("sing", FERRY, "--voice", "tenor", "--tempo", FAST, "--look-through", 0)
    seen.append(evening.sings((*sing, "--turns"), turns, ends="In turns: 11 of 11 notes held"))
    ladder = ("ladder", FERRY, "--voice", "tenor", "--tempo", FAST, "--look-through", 0, "--rung", 2)
    whole = evening.recording("whole", higher())
    seen.append(evening.sings(ladder, [whole], ends="Next"))
    seen.append(evening.says("takes"))
    seen.append(evening.says("takes", "undo"))
    seen.append(evening.says("plan"))
    return seen
