"""A section's rehearsal at the microphone: its options, its book, the session, and what it came to."""

from __future__ import annotations

import argparse
import contextlib
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.cli import _link, _live, _options
from trainer.cli._compass import section_words
from trainer.cli._fitted import fitted
from trainer.cli._parser import UsageError
from trainer.errors import DeviceError

if TYPE_CHECKING:
    from trainer.judge.section import Section
    from trainer.live.sectional import SectionCourse
    from trainer.live.wish import Came, Wish
    from trainer.log.rehearsals import Rehearsal
    from trainer.places import Places
    from trainer.score.model import Score
    from trainer.section.copies import Copies
    from trainer.section.places import Place
    from trainer.takes.rehearsed import Book

NOTHING_HEARD = 5
SAME_REHEARSAL_HOURS = 12
"""A rehearsal that was broken off goes on within so many hours; later it is another day's."""


def rehearse(args: argparse.Namespace, score: Score) -> int:
    """One rehearsal of *score*; 0, 5 when nobody was heard one after another, 130 when it was stopped."""
    from trainer.cli._take import kept, tell
    from trainer.places import places
    from trainer.score.moved import as_written
    from trainer.takes.rehearsed import Book

    line = _options.voice_index(score, args.voice)
    if not score.lines[line].notes:
        raise UsageError("this voice has no notes to sing", "--voice", "choose another")
    with _where(places(), "kept" if kept(args) else "dropped") as here:
        book = Book(here, as_written(score), line, tell)
        last = None if args.anew else book.last()
        says = section_words(args, score, line)
        _write_down(args, book, _checked(args, book, last))
        if args.result and last is not None:
            return _told(args, book, book.section(last.key), last)
        if args.list:
            return _listed(args, book, last, says)
        course = _course(args, book, last, says)
        return _sung(args, score, book, course, here)


def _sung(args: argparse.Namespace, score: Score, book: Book, course: SectionCourse, here: Places) -> int:
    """The session, and what it came to however it ended."""
    from trainer.ui.section_keys import SECTION_KEYS

    wish = _wish(args, score, book, course)
    trouble = ""
    came: Came | None = None
    with _link.opened(args, wish) as link:
        try:
            came = _live.run_session(args, _live.sung_session(link, wish, here), keys=SECTION_KEYS)
        except DeviceError as err:
            trouble = err.what
        trouble = trouble or link.trouble
    status = _told(args, book, book.section(course.rehearsal.key), course.rehearsal)
    if trouble:
        raise DeviceError(
            f"{trouble}; what was sung before is kept", "the sound device", "plug it in again; the same command goes on"
        )
    return status if came is None else _live.STOPPED.get(came.interrupted, status)


def _wish(args: argparse.Namespace, score: Score, book: Book, course: SectionCourse) -> Wish:
    from trainer.live.desk import Desk
    from trainer.live.wish import Wish

    count_in = _count_in(args)
    desk = Desk(book.line_index, guide="full", click=args.click or "off")
    settings = _options.settings_from(args)
    return Wish(score, book.line_index, settings, desk, 0, None, count_in, rounds="asked", course=course)


def _course(args: argparse.Namespace, book: Book, last: Rehearsal | None, says: str) -> SectionCourse:
    """The rehearsal that was broken off today, or a new one that begins at what failed in the last."""
    from trainer.live.sectional import SectionCourse
    from trainer.section.turns import Turns

    desks = _desks(args)
    section = None if last is None else book.section(last.key)
    places = _places(args, book, section)
    if last is not None and section is not None and not desks and _goes_on(last):
        sung = frozenset(desk.label for desk in section.desks if desk.take.status == "heard")
        turns = Turns(last.desks, sung, frozenset(last.passed))
        if sung and turns.waiting:
            told = f"The rehearsal goes on: {len(sung)} of {len(last.desks)} desks have sung."
            return SectionCourse(
                book, replace(last, manner=_manner(args, last)), places, turns, f"{says} {told}".strip()
            )
    labels = desks or (() if last is None else last.desks)
    rehearsal = replace(book.begun(), desks=labels, manner=_manner(args, None))
    before = _says_of(last, section)
    return SectionCourse(book, rehearsal, places, Turns(labels), f"{says} {before}".strip())


def _manner(args: argparse.Namespace, last: Rehearsal | None) -> str:
    return "private" if args.private else "aloud" if last is None else last.manner


def _places(args: argparse.Namespace, book: Book, section: Section | None) -> tuple[Place, ...]:
    from trainer.reports.section import bar_says
    from trainer.section.places import Place, places_of

    copies = book.copies()
    weak = () if section is None else section.failed()
    failed = [(bar.bar, bar_says(bar).partition(": ")[2]) for bar in weak]
    found = places_of(book.score, book.line_index, notes=book.notes(), failed=failed, copies=copies)
    return found if args.bars is None else (Place(*_span(args, copies), ""), *found)


def _span(args: argparse.Namespace, copies: Copies) -> tuple[int, int]:
    from trainer.section.copies import NoSuchBar

    try:
        return copies.span(args.bars)
    except NoSuchBar as err:
        raise UsageError(str(err), "--bars", "give bars as in 6-9, or a rehearsal mark") from err


def _desks(args: argparse.Namespace) -> tuple[str, ...]:
    from trainer.section.labels import desks_of

    try:
        return () if args.desks is None else desks_of(args.desks)
    except ValueError as err:
        raise UsageError(str(err), "--desks", "give a number, or labels as in wren,heron") from err


def _count_in(args: argparse.Namespace) -> int:
    count_in = 1 if args.count_in is None else int(args.count_in)
    if not 0 <= count_in <= 8:
        raise UsageError(f"{count_in} bars of count-in are not possible", "--count-in", "give 0 to 8")
    return count_in


def _goes_on(last: Rehearsal) -> bool:
    began = datetime.strptime(last.changed_utc, "%Y-%m-%dT%H:%M:%SZ").replace(tzinfo=UTC)
    return abs(datetime.now(UTC) - began) < timedelta(hours=SAME_REHEARSAL_HOURS)


def _says_of(last: Rehearsal | None, section: Section | None) -> str:
    from trainer.reports.section import bar_says

    weak = () if section is None else section.failed(1)
    if last is None or not weak:
        return ""
    return f"Taken up from {last.started_utc[:10]}: {bar_says(weak[0])}. It comes first."


def _checked(args: argparse.Namespace, book: Book, last: Rehearsal | None) -> list[tuple[int, str]]:
    """Notes and their bars, once all that was asked for can be: what is refused is not kept by half. Raises UsageError."""
    from trainer.section.copies import Copies, NoSuchBar

    if args.result and last is None:
        raise UsageError("this line was never rehearsed here", "--result", "leave --result out to begin")
    _desks(args)
    _count_in(args)
    copies = book.copies() if args.offset is None else Copies(book.score, args.offset)
    if args.bars is not None:
        _span(args, copies)
    found = []
    for said in args.note:
        called, sign, words = said.partition("=")
        if not sign:
            raise UsageError(f"{said!r} is no note on a bar", "--note", 'say it as in --note "6=lean on the F sharp"')
        try:
            found.append((copies.span(called)[0], words.strip()))
        except NoSuchBar as err:
            raise UsageError(str(err), "--note", 'say it as in --note "6=lean on the F sharp"') from err
    return found


def _write_down(args: argparse.Namespace, book: Book, notes: list[tuple[int, str]]) -> None:
    """What copies count more, and notes on bars."""
    if args.offset is not None:
        book.add_bars(args.offset)
    for bar, words in notes:
        book.note(bar, words)


def _listed(args: argparse.Namespace, book: Book, last: Rehearsal | None, says: str) -> int:
    places = _places(args, book, None if last is None else book.section(last.key))
    copies = book.copies()
    if args.json:
        from trainer.reports.as_json import as_text

        rows = [
            {
                "first_bar": one.first,
                "last_bar": one.last,
                "called": copies.called_span(one.first, one.last),
                "says": one.says,
            }
            for one in places
        ]
        voice = book.score.voice_names()[book.line_index]
        print(
            as_text(
                {
                    "schema": "heldline.rehearsal/1",
                    "title": book.score.title,
                    "voice": voice,
                    "places": rows,
                    "says": says,
                }
            )
        )
        return 0
    for one in places:
        bars = "bar" if one.first == one.last else "bars"
        print(fitted(f"{bars} {copies.called_span(one.first, one.last)}: {one.says or 'from the beginning'}"))
    if says:
        print(fitted(says, hang=0))
    return 0


def _told(args: argparse.Namespace, book: Book, section: Section, rehearsal: Rehearsal) -> int:
    """By bar and cause; 5 where desks sang and nobody was heard."""
    from trainer.reports import section as told
    from trainer.reports.wording import count_words

    if args.json:
        from trainer.reports.as_json import as_text

        print(as_text(told.section_to_json(section, persons=args.persons) | {"rounds": rehearsal.rounds}))
    elif section.desks:
        from trainer.cli._take import look

        print(told.section_as_text(section, look(args), persons=args.persons))
    else:
        print(
            fitted(f"{book.score.title}: {count_words(rehearsal.rounds, 'round')} together, nobody one after another.")
        )
    return NOTHING_HEARD if section.desks and not section.heard else 0


@contextlib.contextmanager
def _where(usual: Places, wanted: str) -> Iterator[Places]:
    """Where it is kept: as always, or in a private place that is gone afterwards and begins with what is kept already."""
    if wanted == "kept":
        yield usual
        return
    from trainer.log.unkept import unkept

    with unkept(usual.unkept) as base:
        _copied(usual.takes, base / "takes.db")
        yield replace(usual, takes=base / "takes.db", sound=base / "sound", running=base / "running")


def _copied(kept: Path, into: Path) -> None:
    """What is kept, where there is any; what cannot be read is told, and the rehearsal goes on without it."""
    from trainer.cli._take import tell
    from trainer.errors import LogError
    from trainer.log.store import Store

    if not kept.exists():
        return
    try:
        with Store(kept) as store:
            store.copy_to(into)
    except LogError as err:
        into.unlink(missing_ok=True)
        tell(str(err))
