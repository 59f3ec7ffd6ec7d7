"""``heldline review``: a kept take once more, under its own settings or others; listened to, beside another, overruled."""

from __future__ import annotations

import argparse
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from trainer.cli import _aloud, _before, _options
from trainer.cli._fitted import fitted
from trainer.cli._parser import UsageError, add_command
from trainer.practice.signs import Sign

if TYPE_CHECKING:
    from trainer.log.attempt import Attempt
    from trainer.log.store import Store
    from trainer.practice.take import Performance

EXAMPLES = """\
heldline review
heldline review --why 5.1
heldline review --hear 5
heldline review --hear 5 -o bar5.wav
heldline review 12 --beside 9
heldline review 12 --against pure --tolerance fine
heldline review 12 --overrule 5.1 held --because "the door slammed\""""

SAYS = {"mine": "what you sang", "right": "the right bar", "both": "both"}
MOST_LETTERS = 400
"""Of a reason."""


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers, "review", says="look at the last take once more, or at any other", examples=EXAMPLES
    )
    parser.add_argument("number", nargs="?", type=_options.take_number, metavar="NUMBER", help="which take (the last)")
    parser.add_argument("--why", metavar="BAR.BEAT", help="the numbers behind one beat, such as 5.1")
    parser.add_argument("--beside", type=_options.take_number, metavar="NUMBER", help="another take of the same line")
    parser.add_argument(
        "--hear",
        metavar="BARS",
        help="what you sang in a bar (5, or 8-9), the right bar, and both; sounded from the pitch line",
    )
    parser.add_argument(
        "-o",
        "--output",
        metavar="FILE.wav",
        help=f"a file for --hear, .wav or .flac (the loudspeaker); {_before.HELP}",
    )
    parser.add_argument("--output-device", metavar="NAME", help=_aloud.OUTPUT_HELP)
    parser.add_argument(
        "--overrule",
        nargs=2,
        metavar=("BAR.BEAT", "SIGN"),
        help="your own sign for a beat, kept beside the program's, with --because",
    )
    parser.add_argument("--because", metavar="WORDS", help="why it is overruled")
    parser.add_argument("--voice", metavar="VOICE", help="which line, where several were sung at once")
    _options.add_judging(parser)


def run(args: argparse.Namespace) -> int:
    """Show a kept take, or what is asked of it; 5 when nothing was heard in it."""
    from trainer.cli._take import show, tell
    from trainer.log.history import History
    from trainer.places import places
    from trainer.practice.take import Performance
    from trainer.takes.keeping import open_store
    from trainer.takes.recalled import recalled

    _refuse_halves(args)
    with open_store(places(), tell) as store:
        number = args.number if args.number is not None else store.last()
        if number is None:
            raise UsageError("no take is kept yet", "heldline review", "make one: heldline sing, heldline key")
        settings = _options.changed_settings(args, store.cover(number).settings)
        attempt, performance = recalled(store, number, settings)
        if args.beside is not None:
            return _beside(args, store, number, attempt, performance)
        if args.hear is not None:
            return _hear(args, store.get(number), performance)
        if args.overrule is not None:
            _overrule(args, store, number, attempt, performance)
        overruled = History(store).overrulings(number)
        judged = store.verdicts(number)
    if args.why is not None:
        if args.voice is not None:
            performance = Performance((performance.takes[_position(args, attempt)],))
        return _why(args, performance)
    return show(args, performance, attempt.score, overruled, judged)


def _refuse_halves(args: argparse.Namespace) -> None:
    """Options that belong together. Raises UsageError."""
    if args.hear is None and (args.output is not None or args.output_device is not None):
        raise UsageError("nothing is asked to be heard", "heldline review", "name bars: --hear 5")
    if (args.overrule is None) != (args.because is None):
        raise UsageError(
            "--overrule needs its reason", "heldline review", 'as in --overrule 5.1 held --because "the door slammed"'
        )
    asked = [name for name in ("--why", "--beside", "--hear", "--overrule") if getattr(args, name[2:]) is not None]
    if len(asked) > 1:
        raise UsageError(f"{' and '.join(asked)} are two questions", "heldline review", "ask one after the other")


def _place(text: str, option: str) -> tuple[int, Fraction]:
    from trainer.reports.why import parse_place

    place = parse_place(text)
    if place is None:
        raise UsageError(f"{text!r} is not a bar and beat", option, "as in 5.1 for bar 5 beat 1")
    return place


def _why(args: argparse.Namespace, performance: Performance) -> int:
    from trainer.reports.called import take_called
    from trainer.reports.why import why, why_json

    bar, beat = _place(args.why, "--why")
    if args.json:
        return _print_json(why_json(performance, bar, beat))
    names = _options.names_from(args)
    told = [(take.voice, why(take_called(take, names), bar, beat)) for take in performance.takes]
    if all(words is None for _, words in told):
        raise UsageError(f"the take has no bar {bar} beat {float(beat):g}", "--why", "give one of its bars and beats")
    for voice, words in told:
        if len(told) > 1:
            print(f"{voice}:")
        print(fitted(words or "  nothing there", hang=4))
    return 0


def _position(args: argparse.Namespace, attempt: Attempt) -> int:
    """Which of the attempt's lines is meant. Raises UsageError."""
    if args.voice is None:
        if len(attempt.lines) > 1:
            raise UsageError("several lines were sung at once", "--voice", "say which, as in --voice tenor")
        return 0
    line = _options.voice_index(attempt.score, args.voice)
    if line not in attempt.lines:
        raise UsageError(f"the {args.voice} was not sung in this take", "--voice", "choose a line that was sung")
    return attempt.lines.index(line)


def _beside(args: argparse.Namespace, store: Store, number: int, attempt: Attempt, performance: Performance) -> int:
    from trainer.cli._take import look
    from trainer.reports.called import take_called
    from trainer.reports.compared import Compared, compared_as_text, compared_to_json
    from trainer.score.sameness import bar_music, matched
    from trainer.takes.recalled import recalled

    if args.beside == number:
        raise UsageError(f"take {number} is the one that is shown", "--beside", "give another take of the same line")
    other_cover = store.cover(args.beside)
    other, other_performance = recalled(store, args.beside, _options.changed_settings(args, other_cover.settings))
    position = _position(args, attempt)
    line = attempt.lines[position]
    places = matched(bar_music(other.score), bar_music(attempt.score)) if line in other.lines else {}
    if not places or len(other.score.lines) != len(attempt.score.lines):
        raise UsageError(
            f"take {args.beside} is not of the same line", "--beside", "heldline takes lists what each take is of"
        )
    theirs = other_performance.takes[other.lines.index(line)]
    compared = Compared(args.beside, theirs, number, performance.takes[position], places)
    if args.json:
        return _print_json(compared_to_json(compared))
    names = _options.names_from(args)
    called = replace(compared, first=take_called(theirs, names), second=take_called(compared.second, names))
    print(compared_as_text(called, look(args)))
    return 0


def _hear(args: argparse.Namespace, attempt: Attempt, performance: Performance) -> int:
    from trainer.live.choices import bars_of
    from trainer.takes.resounded import bar_pieces, write_bars

    position, before = _position(args, attempt), _before.Before()
    try:
        bars = bars_of(args.hear)
        take = performance.takes[position]
        if args.output is None:
            return _aloud_bars(args, bar_pieces(attempt, position, take, bars))
        with before.kept(args.output):
            starts = write_bars(attempt, position, take, bars, args.output)
    except ValueError as err:
        raise UsageError(f"{args.hear!r} is not a bar", "--hear", "give one, or two with a dash: 5 or 8-9") from err
    except KeyError as err:
        raise UsageError(f"there are no bars {args.hear}", "--hear", f"the take has {err.args[0]}") from err
    before.tell(args)
    if args.json:
        return _print_json(
            {
                "schema": "heldline.review.hear/1",
                "file": args.output,
                "parts": [{"part": name, "starts_at_s": round(at, 3)} for name, at in starts],
            }
        )
    if not args.quiet:
        told = ", ".join(f"{SAYS[name]} at {at:.1f} s" for name, at in starts)
        print(fitted(f"{args.output}: {told}; sounded from the pitch line, nothing was recorded"))
    return 0


def _aloud_bars(args: argparse.Namespace, sounded: tuple[Any, list[tuple[str, float]]]) -> int:
    if args.json:
        raise UsageError("--json tells of a file", "--hear", "name it with -o bar5.wav")
    pieces, starts = sounded
    told = ", ".join(f"{SAYS[name]} at {at:.1f} s" for name, at in starts)
    words = f"Listen: {told}; sounded from the pitch line, nothing was recorded. Ctrl-C stops."
    _aloud.sound_aloud(pieces, args.output_device, "" if args.quiet else words)
    return 0


def _overrule(args: argparse.Namespace, store: Store, number: int, attempt: Attempt, performance: Performance) -> None:
    """Keep somebody's own sign beside the program's. Raises UsageError."""
    from trainer.log.history import History
    from trainer.log.outcome import Overruling
    from trainer.reports.overruled import beat_of
    from trainer.takes.keeping import utc

    where, sign = args.overrule
    bar, beat = _place(where, "--overrule")
    if sign.lower() not in tuple(Sign):
        raise UsageError(f"{sign!r} is not a sign", "--overrule", f"choose one of {', '.join(Sign)}")
    reason = " ".join(args.because.split())
    if not reason or len(reason) > MOST_LETTERS:
        raise UsageError("a reason is a few words", "--because", f"give some, up to {MOST_LETTERS} letters")
    position = _position(args, attempt)
    if beat_of(performance, position, bar, beat) is None:
        raise UsageError(f"the take has no bar {bar} beat {float(beat):g}", "--overrule", "give one of its beats")
    History(store).overrule(number, Overruling(position, bar, str(beat), sign.lower(), reason, utc()))


def _print_json(table: dict[str, Any]) -> int:
    from trainer.reports.as_json import as_text

    print(as_text(table))
    return 0
