"""A section's rehearsal on the pretend link: each desk has a voice that is laid into the microphone when its music begins."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields, replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import simulated_singer
from live_rig import RATE_HZ, SETTINGS, TENOR, Rig, short_score
from session_rig import DELAY, Script
from slips import Performance

from audio.devices.fake import FakeSound
from trainer.live.choices import Choices
from trainer.live.desk import Desk
from trainer.live.sectional import SectionCourse
from trainer.live.session import Session
from trainer.live.wish import Came, Wish
from trainer.places import Places
from trainer.practice.settings import Settings
from trainer.score.model import Score
from trainer.section.places import Place
from trainer.section.turns import Turns
from trainer.takes.rehearsed import Book

LONGEST_S = 240
Sound = np.ndarray


def places_in(folder: Path) -> Places:
    """Every path in one folder."""
    return Places(**{one.name: folder / one.name for one in fields(Places)})


def voice(performance=None, *, seed: int = 13) -> Sound:
    """The short line sung from the music's beginning on, its first consonant before it."""
    rig = Rig()
    once = rig.microphone(performance or rig.as_written(), seed=seed).reshape(-1, 1)
    own = rig.begun().music_frame
    return once[own - RATE_HZ // 8 : own + 5 * RATE_HZ]


def book_in(folder: Path, told: list[str] | None = None) -> Book:
    """The book of the short line's rehearsals."""
    return Book(places_in(folder), short_score(), TENOR, ([] if told is None else told).append)


def course_of(book: Book, *labels: str, says: str = "") -> SectionCourse:
    """A new rehearsal of the whole of it."""
    rehearsal = replace(book.begun(), desks=labels)
    return SectionCourse(book, rehearsal, (Place(2, 4, "made up"),), Turns(labels), says)


class Rehearsing:
    """A rehearsal of any line: whoever sings is laid into the microphone when their music begins.

    Parameters
    ----------
    folder : Path
        Where it is kept.
    score : Score
    line_index : int
    qpm : float
    """

    def __init__(self, folder: Path, score: Score, line_index: int, qpm: float) -> None:
        self.folder, self.score, self.line_index = folder, score, line_index
        self.settings = Settings(tempo_qpm=Fraction(qpm))
        self.desk = Desk(line_index, guide="full")
        self._sounds: dict[Performance, Sound] = {}

    def choices(self) -> Choices:
        """As a session begins."""
        return Choices(self.desk, Fraction(self.settings.tempo_qpm or 60))

    def run(
        self,
        course: SectionCourse,
        face: Script,
        voices: Callable[[str], Performance | None],
    ) -> Came:
        """The session to its end; *voices* says what is sung, seconds from where the music begins, and at the take's own tempo only."""

        def sound(who: str) -> Sound | None:
            sung = voices(who)
            if sung is None or face.told.tempo_qpm != self.settings.tempo_qpm:
                return None
            if sung not in self._sounds:
                self._sounds[sung] = _sung(sung)
            return self._sounds[sung]

        wish = Wish(self.score, self.line_index, self.settings, self.desk, 0, None, rounds="asked", course=course)
        return _run(self.folder, wish, course, face, sound, lambda link, made: None)


def _sung(sung: Performance, *, before_s: float = 0.125) -> Sound:
    moved = tuple(replace(note, start_s=note.start_s + 0.5, end_s=note.end_s + 0.5) for note in sung)
    seconds = max(note.end_s for note in moved) + 0.5
    made = simulated_singer.sing(moved, seed=11, seconds=seconds, throat=simulated_singer.Throat("women"))
    sound = np.asarray(made.samples[round((0.5 - before_s) * made.rate_hz) :], np.float32)
    assert made.rate_hz == RATE_HZ
    return sound.reshape(-1, 1)


def rehearsed(
    folder: Path,
    course: SectionCourse,
    face: Script,
    voices: Mapping[str, Sound],
    *,
    each: Callable[[FakeSound, Session], None] = lambda link, session: None,
) -> Came:
    """The short line's session to its end; what sounds in a turn is the voice of whose turn it is, silence for a desk without one."""
    wish = Wish(short_score(), TENOR, SETTINGS, Desk(TENOR, guide="full"), 0, None, rounds="asked", course=course)
    return _run(folder, wish, course, face, voices.get, each)


def _run(
    folder: Path,
    wish: Wish,
    course: SectionCourse,
    face: Script,
    voice_of: Callable[[str], Sound | None],
    each: Callable[[FakeSound, Session], None],
) -> Came:
    # a quiet room, not the zeros of a microphone that is switched off
    second = (np.random.default_rng(5).standard_normal((RATE_HZ, 1)) * 1e-4).astype(np.float32)
    room = np.tile(second, (LONGEST_S, 1))
    link = FakeSound(room, rate_hz=RATE_HZ, block_frames=480)
    session = Session(
        link, wish, DELAY, face, wait=lambda s: wait(s), places=places_in(folder), tell=course._book._tell
    )
    laid: set[int] = set()

    def wait(seconds: float) -> None:
        each(link, session)
        begun, who = session._player.begun, face.told.standing.who
        if begun is not None and begun.music_frame not in laid and face.told.phase in ("count-in", "singing"):
            laid.add(begun.music_frame)
            sound = voice_of(who)
            if sound is not None:
                at = begun.music_frame + DELAY.frames - RATE_HZ // 8
                link._microphone[at : at + len(sound)] += sound
        link.advance_seconds(seconds)
        assert link.write_until() < LONGEST_S * RATE_HZ, f"still {face.told.phase} {face.told.standing}"

    return session.run()
