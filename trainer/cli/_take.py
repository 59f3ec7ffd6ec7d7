"""What sing, key, demo and review have in common: an attempt is judged, kept and shown."""

from __future__ import annotations

import argparse
import contextlib
import sys
import textwrap
from collections.abc import Callable, Iterable, Sequence

from audio.heard import Heard
from trainer.cli._aside import aside
from trainer.cli._chosen import chosen
from trainer.cli._fitted import fitted
from trainer.errors import HeldlineError
from trainer.log.outcome import Overruling
from trainer.practice.settings import Settings
from trainer.practice.take import Performance
from trainer.reports.look import Look, look_of
from trainer.reports.stored import Summaries
from trainer.score.model import Score
from trainer.score.naming import LETTERS, Names

NOTHING_HEARD = 5


def show_attempt(
    args: argparse.Namespace,
    score: Score,
    lines: Sequence[int],
    heard: Iterable[Heard],
    *,
    settings: Settings,
    source: str,
    recordings: Sequence[str] = (),
    besides: Callable[[], Sequence[str]] | None = None,
) -> int:
    """Judge what is heard while it is written down, print the verdict, keep the take; the exit status.

    *besides* gives a sentence a line that the report says as well, once all was heard.
    """
    from trainer.places import places
    from trainer.takes.judging import judge
    from trainer.takes.keeping import Keeper, new_attempt

    attempt = new_attempt(score, lines, settings=settings, source=source)
    keeper = Keeper(attempt, places() if kept(args) else None, tell)
    try:
        performance = judge(score, lines, keeper.keep(heard), settings=settings, sources=(source,) * len(lines))
    except HeldlineError:
        keeper.drop()
        raise
    except BaseException:
        keeper.abandon()
        raise
    if besides is not None:
        performance = performance.saying(besides())
    try:
        status = show(args, performance, score)
        sys.stdout.flush()  # the verdict is out before anything can go wrong with the store
    finally:  # it is kept, too, where whoever read it had enough
        number = keeper.end(performance, recordings=recordings if args.keep_sound else ())
        tell_kept(args, number)
    return status


def tell_kept(args: argparse.Namespace, number: int | None) -> None:
    """Say under which number a take is kept, if it is and a person may want to know."""
    if number is not None and not args.quiet and not args.json:
        tell(f"kept as take {number}; see it again with heldline review")


def said_of(score: Score, names: Names) -> dict[str, str]:
    """What is told of a score over every report: its banner where it is not correct, both keys where it was moved."""
    from trainer.cli._banner import banner
    from trainer.score.moved import moved_words

    told = {"moved": moved_words(score, names), "banner": banner(score)}
    return {name: words for name, words in told.items() if words}


def kept(args: argparse.Namespace) -> bool:
    """Whether this take may stay on the machine."""
    return bool(chosen("log", False if args.no_log else None))


def show(
    args: argparse.Namespace,
    performance: Performance,
    score: Score,
    overruled: Sequence[Overruling] = (),
    judged: Sequence[tuple[str, Settings, Summaries]] = (),
) -> int:
    """Print a performance as asked for, under what is to be said of its score; 5 when no line of it was heard.

    *judged* are the judgements kept of a take; where there are several people are told of them.
    """
    from trainer.reports.overruled import overruled_as_text, overruled_to_json
    from trainer.reports.stored import judgements_as_text
    from trainer.reports.tuned import advice, chords_as_text, chords_to_json

    if args.json:
        from trainer.reports.as_json import as_text, group_to_json, to_json

        several = len(performance.takes) > 1 or bool(getattr(args, "lines", None))
        said = said_of(score, LETTERS)
        table = group_to_json(performance) if several else to_json(performance.takes[0])
        for position, take in enumerate(table["takes"] if several else (table,)):
            take["score"] |= said
            also = overruled_to_json(performance, position, overruled)
            take |= {"overruled": also} if also else {}
            chords = chords_to_json(score, performance.takes[position])
            take |= {"chords": chords} if chords else {}
        print(as_text(table))
    else:
        from trainer.cli._options import names_from
        from trainer.reports.called import performance_called
        from trainer.reports.text import performance_text

        names = names_from(args)
        for told in said_of(score, names).values():
            print(fitted(f"{performance.takes[0].title}: {told}"))
        called = performance_called(performance, names)
        print(performance_text(called, look(args), [advice(score, take) for take in performance.takes]))
        for line in chords_as_text(score, called, look(args), names):
            print(line)
        for sentence in overruled_as_text(performance, overruled):
            print(fitted(f"Overruled: {sentence}"))
        if len(judged) > 1:
            print(
                textwrap.fill(f"Judged    {judgements_as_text(judged)}", look(args).width, subsequent_indent=" " * 10)
            )
    return NOTHING_HEARD if all(take.status == "nothing heard" for take in performance.takes) else 0


def look(args: argparse.Namespace) -> Look:
    """How stdout may look, from options, settings and the stream itself."""
    return look_of(
        sys.stdout, color=chosen("color", args.color), plain=bool(chosen("plain", True if args.plain else None))
    )


def tell(message: str) -> None:
    """Say something on the way, if anybody hears it."""
    with contextlib.suppress(BrokenPipeError):
        print(aside(f"heldline: {message}"), file=sys.stderr)
