"""A section's rehearsal on the pretend link: each desk has a voice that is laid into the microphone when its music begins."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields, replace
from pathlib import Path

import numpy as np
from live_rig import RATE_HZ, SETTINGS, TENOR, Rig, short_score
from session_rig import DELAY, Script

from audio.devices.fake import FakeSound
from trainer.live.desk import Desk
from trainer.live.sectional import SectionCourse
from trainer.live.session import Session
from trainer.live.wish import Came, Wish
from trainer.places import Places
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


def rehearsed(
    folder: Path,
    course: SectionCourse,
    face: Script,
    voices: Mapping[str, Sound],
    *,
    each: Callable[[FakeSound, Session], None] = lambda link, session: None,
) -> Came:
    """The session to its end; what sounds in a turn is the voice of whose turn it is, silence for a desk without one."""
    # a quiet room, not the zeros of a microphone that is switched off
    room = (np.random.default_rng(5).standard_normal((LONGEST_S * RATE_HZ, 1)) * 1e-4).astype(np.float32)
    link = FakeSound(room, rate_hz=RATE_HZ, block_frames=480)
    places = places_in(folder)
    wish = Wish(short_score(), TENOR, SETTINGS, Desk(TENOR, guide="full"), 0, None, rounds="asked", course=course)
    session = Session(link, wish, DELAY, face, wait=lambda s: wait(s), places=places, tell=course._book._tell)
    laid: set[int] = set()

    def wait(seconds: float) -> None:
        each(link, session)
        begun, who = session._player.begun, face.told.standing.who
        if begun is not None and begun.music_frame not in laid and face.told.phase in ("count-in", "singing"):
            laid.add(begun.music_frame)
            sound = voices.get(who)
            if sound is not None:
                at = begun.music_frame + DELAY.frames - RATE_HZ // 8
                link._microphone[at : at + len(sound)] += sound
        link.advance_seconds(seconds)
        assert link.write_until() < LONGEST_S * RATE_HZ, f"still {face.told.phase} {face.told.standing}"

    return session.run()
