"""``heldline tune``: chords of a line held one by one against the others, and told beat by beat."""

from __future__ import annotations

import argparse
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from trainer.cli import _before, _live, _live_options, _options, _which
from trainer.cli._fitted import SOFTLY, fitted
from trainer.cli._parser import UsageError, add_command

if TYPE_CHECKING:
    from trainer.live.wish import Wish
    from trainer.score.model import Score
    from trainer.tuning.places import Place

EXAMPLES = """\
heldline tune "Ferry Bell at Low Water" --voice tenor
heldline tune "Ferry Bell at Low Water" --voice tenor --of third --against pure
heldline tune "Kettle before Dawn" --voice alto --of suspension --with bass
heldline tune "Ferry Bell at Low Water" --voice tenor -o chords.wav
heldline tune "Ferry Bell at Low Water" --voice tenor --input take.wav --starts-at 9.4"""

ELSEWHERE = ("loop", "mute")
"""What other live takes know and these do not."""


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers, "tune", says="hold a third, fifth, leading note or suspension against the others", examples=EXAMPLES
    )
    parser.add_argument("score", nargs="?", metavar="SCORE", help="a title or number of the library, or a score file")
    parser.add_argument("--voice", metavar="VOICE", help="soprano, alto, tenor, bass, a number from the top, or a part")
    group = parser.add_argument_group("what is held")
    group.add_argument(
        "--of", metavar="KIND,...", help="third, fifth, leading (note), suspension, commas between (all of them)"
    )
    group.add_argument(
        "--hold", type=_options.whole_within(2, 12), metavar="SECONDS", help="how long each is held, 2 to 12 (4)"
    )
    group.add_argument(
        "--sinking",
        type=_options.whole_within(0, 60),
        metavar="CENTS",
        help="the others sink by so many cents a minute (0)",
    )
    group.add_argument("--most", type=_options.whole_within(1), metavar="N", help="not more chords than these (8)")
    group.add_argument("--with", dest="company", metavar="VOICE,...", help="only these voices sound (all others)")
    group.add_argument("--list", action="store_true", help="list the chords and sing nothing")
    group.add_argument(
        "-o", "--output", metavar="FILE.wav", help=f"sound the others into a file, to sing beside; {_before.HELP}"
    )
    parser.add_argument("--input", metavar="FILE", help="a recording in place of the microphone")
    parser.add_argument(
        "--starts-at", type=_options.decimal, metavar="S", help="second of the file at which bar 1 beat 1 falls (0)"
    )
    _which.add_fresh(parser)
    _which.add_again(parser)
    _which.add_moved(parser)
    _options.add_judging(parser)
    _live_options.add_live(parser)
    for action in parser._actions:
        if action.dest in ELSEWHERE:
            action.help = argparse.SUPPRESS
    _options.add_keeping(parser)


def run(args: argparse.Namespace) -> int:
    """Judge, show, keep; 5 when nothing was heard."""
    for option in (f"--{name}" for name in ELSEWHERE if getattr(args, name)):
        raise UsageError(f"{option} has no place here", option, "leave it out; --with says who sounds")
    if not _which.is_named(args):
        raise UsageError("SCORE is missing", "heldline tune", "name the music, or take the last with --again")
    asked = [name for name, given in (("--list", args.list), ("-o", args.output), ("--input", args.input)) if given]
    if len(asked) > 1:
        raise UsageError(
            "chords are listed, written or judged, one at a time", ", ".join(asked), f"leave {asked[1]} out"
        )
    if args.list or args.output is not None or args.input is not None:
        return _without_a_microphone(args)
    if args.starts_at is not None:
        raise UsageError("--starts-at is for a recording", "--starts-at", "leave it out, or give the file with --input")
    args.guide = args.guide or "entries"
    args.look_through = 10 if args.look_through is None else args.look_through
    return _live.sing_live(args, lambda wish: tuned(args, wish))


def tuned(args: argparse.Namespace, wish: Wish) -> Wish:
    """*wish* as chords of its line. Raises UsageError."""
    from trainer.live.courses import TuneCourse
    from trainer.score.change import cut

    score = wish.score if wish.bars is None else cut(wish.score, *wish.bars)
    chords = _chords(args, score, wish.line_index)
    muted = _muted(args, score, wish.line_index)
    desk = replace(wish.desk, muted=muted) if muted is not None else wish.desk
    return replace(wish, score=chords, desk=desk, bars=None, course=TuneCourse(chords, _options.names_from(args)))


def _without_a_microphone(args: argparse.Namespace) -> int:
    from trainer.cli._take import show_attempt

    score = _which.music(args)
    if args.voice is None and not score.fact("sing"):
        raise UsageError("--voice is missing", "heldline tune", "name the voice that you sing, as in --voice tenor")
    line = _options.voice_index(score, args.voice or score.fact("sing"))
    score, args.bars = _options.cut_to(score, args.bars), None
    _muted(args, score, line)  # refused before anything is listed
    if args.list:
        return _list(args, score, _places(args, score, line))
    chords = _chords(args, score, line)
    if args.output is not None:
        return _sounded(args, chords, line)
    _live_options.refuse_with_a_file(args)
    from trainer.takes.recording import heard_in

    settings = _options.settings_from(args)
    return show_attempt(
        args, chords, (line,), heard_in(args.input), settings=settings, source="sung", recordings=[args.input]
    )


def _places(args: argparse.Namespace, score: Score, line: int) -> list[Place]:
    """What is to be held. Raises UsageError."""
    from trainer.tuning.chords import MOST_PLACES
    from trainer.tuning.places import KINDS, places, some

    kinds = KINDS if args.of is None else tuple(part.strip().lower() for part in args.of.split(","))
    if not set(kinds) <= set(KINDS):
        raise UsageError(f"{args.of!r} cannot be held", "--of", f"name some of {', '.join(KINDS)}")
    most = MOST_PLACES if args.most is None else args.most
    every = places(score, line)
    found = some([place for place in every if place.kind in kinds], most)
    if not found:
        there = sorted({place.kind for place in every}, key=KINDS.index)
        voice = score.voice_names()[line]
        raise UsageError(
            f"the {voice} has no {' or '.join(map(_called, kinds))} to hold here",
            score.title,
            f"it has a {' and a '.join(map(_called, there))}" if there else "choose another voice or another piece",
        )
    return found


def _called(kind: str) -> str:
    return "leading note" if kind == "leading" else kind


def _chords(args: argparse.Namespace, score: Score, line: int) -> Score:
    from trainer.tuning.chords import USUAL_BEATS, chords_of, chords_score

    if chords_of(score):
        return score  # those of a kept take, once more
    hold = USUAL_BEATS if args.hold is None else args.hold
    return chords_score(score, line, _places(args, score, line), beats=hold)


def _muted(args: argparse.Namespace, score: Score, line: int) -> frozenset[int] | None:
    if args.company is None:
        return None
    sounding = {_options.voice_index(score, name, "--with") for name in args.company.split(",")}
    if sounding <= {line}:
        voice = score.voice_names()[line]
        raise UsageError(f"nothing would sound beside the {voice}", "--with", "name a voice other than your own")
    return frozenset(range(len(score.lines))) - sounding - {line}


def _list(args: argparse.Namespace, score: Score, found: list[Place]) -> int:
    from trainer.reports.wording import beat_words
    from trainer.score.moved import moved_words
    from trainer.tuning.places import says_called

    if args.json:
        from trainer.reports.as_json import as_text

        rows = [
            {"kind": one.kind, "says": one.says, "bar": one.bar}
            | ({"printed_bar": one.printed_bar} if one.printed_bar != str(one.bar) else {})
            | {"beat": float(one.beat)}
            for one in found
        ]
        print(as_text({"schema": "heldline.chords/1", "chords": rows}))
        return 0
    names = _options.names_from(args)
    if moved_words(score):
        print(f"Key: {moved_words(score, names)}")
    for one in found:
        print(f"{one.bar_words} beat {beat_words(one.beat)}: {says_called(one.says, names)}")
    return 0


def _sounded(args: argparse.Namespace, chords: Score, line: int) -> int:
    """The others into a file."""
    from trainer.score.moved import moved_words
    from trainer.voices.hear import hear_to_file
    from trainer.voices.sounding import LeadIn

    muted = _muted(args, chords, line) or frozenset()
    lines = tuple(one for one in range(len(chords.lines)) if one != line and one not in muted)
    before = _before.Before()
    with before.kept(args.output):
        written = hear_to_file(
            chords,
            lines,
            args.output,
            settings=_options.settings_from(args),
            lead_in=LeadIn(
                key_chord=False, first_note_of=line, count_in_bars=1 if args.count_in is None else args.count_in
            ),
        )
    if args.json:
        from trainer.reports.as_json import as_text

        told = {
            "schema": "heldline.hear/1",
            "file": args.output,
            "voices": [chords.voice_names()[one] for one in lines],
        }
        print(as_text(told | {"length_s": round(written.length_s, 3), "starts_at_s": round(written.starts_at_s, 6)}))
    elif not args.quiet:
        print(
            f"{args.output}: {written.length_s:.1f} s; sing beside it, then --input YOURS --starts-at {written.starts_at_s:g}"
        )
        if moved_words(chords):
            print(f"Key: {moved_words(chords, _options.names_from(args))}")
        print(fitted(SOFTLY))
    before.tell(args)
    return 0
