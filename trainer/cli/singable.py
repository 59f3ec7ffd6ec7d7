"""``heldline singable``: how hard each line of a score is to sing, and where, told from paper."""

from __future__ import annotations

import argparse
import re
from typing import TYPE_CHECKING, Any

from trainer.cli import _options
from trainer.cli._parser import UsageError, add_command
from trainer.errors import HeldlineError

if TYPE_CHECKING:
    from trainer.reports.singable import Looked
    from trainer.rules.ruleset import RuleSet
    from trainer.score.model import Score
    from trainer.singable.compass import Compass
    from trainer.singable.part import Part
    from trainer.singable.weights import Weights

EXAMPLES = """\
heldline singable "Ferry Bell at Low Water"
heldline singable exercise.musicxml --voice alto
heldline singable exercise.musicxml --voice tenor --compass C3-E4 --tempo 48
heldline singable exercise.musicxml --json
heldline singable --fit"""

FITTINGS = ("takes", "paper")


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers, "singable", says="say how hard each line is to sing, where, and what would help", examples=EXAMPLES
    )
    parser.add_argument("score", nargs="?", metavar="SCORE", help="a title or number of the library, or a score file")
    parser.add_argument("--voice", metavar="VOICE", help="this voice only")
    parser.add_argument(
        "--compass",
        metavar="LOW-HIGH",
        help="the singer's own limits, such as C3-E4, or today for those of warmup (those usual for the voice)",
    )
    _options.add_names(parser, "letters")
    parser.add_argument("--tempo", type=_options.decimal, metavar="QPM", help="quarters a minute (the score's own)")
    parser.add_argument(
        "--fit",
        nargs="?",
        type=_fitting,
        choices=FITTINGS,
        const="takes",
        help="weigh lines and likely slips by the takes kept here from now on, or by paper alone again",
    )


def _fitting(text: str) -> str:
    """A word of ``FITTINGS``; a title that stands behind --fit is told where it belongs."""
    if text not in FITTINGS:
        raise argparse.ArgumentTypeError(f"{text} is neither takes nor paper; SCORE comes before --fit")
    return text


def run(args: argparse.Namespace) -> int:
    """Print what was found."""
    if args.score is None and args.fit is None:
        raise UsageError("SCORE is missing", "heldline singable", "name the music, or --fit the weights to your takes")
    if args.fit is not None:
        _fit(args)
    return 0 if args.score is None else _look_at(args)


def _so_many(number: int, thing: str) -> str:
    return f"{number} {thing}{'' if number == 1 else 's'}"


def _fit(args: argparse.Namespace) -> None:
    """Keep weights fitted to the takes, or those of paper, and say what is different. Raises UsageError for too few takes."""
    from trainer.cli._history import opened_history
    from trainer.log.weights import write_weights
    from trainer.places import places
    from trainer.reports.weights import weights_as_text, weights_to_json
    from trainer.singable.weights import PAPER
    from trainer.takes.weighing import LEAST_FAILED, LEAST_TAKES, enough, weights_of_takes

    found = PAPER
    if args.fit == "takes":
        with opened_history() as store:
            found = PAPER if store is None else weights_of_takes(store)
        if not enough(found):
            raise UsageError(
                f"{_so_many(found.takes, 'take')} with {_so_many(found.failed_bars, 'failed bar')} "
                f"say{'s' if found.takes == 1 else ''} too little yet",
                "--fit",
                f"sing on: it takes {LEAST_TAKES} takes without the guide and {LEAST_FAILED} failed bars",
            )
    write_weights(places().weights, found)
    if args.score is not None:
        return
    if args.json:
        from trainer.reports.as_json import as_text

        print(as_text(weights_to_json(found)))
    else:
        from trainer.cli._take import look

        print(weights_as_text(found, look(args)))


def _look_at(args: argparse.Namespace) -> int:
    from dataclasses import replace

    from trainer.cli._live import kept_weights
    from trainer.cli.check import rules_of
    from trainer.library import resolve
    from trainer.reports.singable import Sheet, singable_as_text, singable_to_json
    from trainer.rules.piece import FREE, Piece
    from trainer.singable.part import Part
    from trainer.takes.weighing import LEAST_TAKES

    score = resolve(args.score)
    only = None if args.voice is None else _options.voice_index(score, args.voice)
    if args.compass is not None and only is None:
        raise UsageError("--compass is one singer's", "--voice", "say which voice that singer has")
    tempo = score.tempo if args.tempo is None else score.tempo.scaled_to(_tempo(args.tempo))
    piece, rules = Piece(score, FREE), rules_of(score)
    looked, weights = [], kept_weights()
    for line in range(len(score.lines)) if only is None else (only,):
        part = Part(piece, line, tempo=tempo)
        if args.compass is not None:
            part = Part(piece, line, compass=compass_said(args.compass, part.compass), tempo=tempo)
        looked.append(_looked(part, rules, weights))
    looked, kept = _with_takes(looked, score)
    sheet = Sheet(score.title, len(score.lines), tempo.points[0][1], tuple(looked))
    if args.json:
        from trainer.reports.as_json import as_text

        print(as_text(singable_to_json(sheet)))
    else:
        from trainer.cli._take import look
        from trainer.reports.line_called import looked_called

        names = _options.names_from(args, "letters")
        called = replace(sheet, voices=tuple(looked_called(one, names, score.bars()) for one in sheet.voices))
        print(singable_as_text(called, look(args)))
        if not weights.takes and kept >= LEAST_TAKES and not args.quiet:
            print(f"Of {kept} takes kept here nothing is weighed in yet: heldline singable --fit does it.")
    return 0


def _looked(part: Part, rules: RuleSet, weights: Weights) -> Looked:
    """The line weighed, with a change for each of its worst places; likely slips, and a second grade, by *weights*."""
    from trainer.reports.singable import ByTakes, Looked
    from trainer.singable.danger import spots_of
    from trainer.singable.suggest import change_for, move_for, voice_for
    from trainer.singable.weigh import weigh_part

    weighed = weigh_part(part)
    changes = {}
    for note in weighed.worst():
        change = change_for(part, weighed, note, rules, None)
        if change is not None:
            changes[note.index] = change
    by_takes = ByTakes(weigh_part(part, weights), weights.takes) if weights.takes else None
    return Looked(weighed, changes, spots_of(part, weights), move_for(part), voice_for(part), by_takes=by_takes)


def _with_takes(looked: list[Looked], score: Score) -> tuple[list[Looked], int]:
    """What the takes kept here say of each line, beside what paper says, and how many there are; a log that cannot be opened is told."""
    from dataclasses import replace

    from trainer.cli._history import opened_history
    from trainer.cli._take import tell
    from trainer.takes.plans import stumbles

    try:
        with opened_history() as store:
            if store is None:
                return looked, 0
            told = [replace(one, stumbled=stumbles(store, score, one.weighed.voice_number - 1)) for one in looked]
            return told, store.last() or 0
    except HeldlineError as err:
        tell(str(err))
        return looked, 0


def _tempo(qpm: Any) -> Any:
    if not 10 <= qpm <= 400:
        raise UsageError(f"{float(qpm):g} quarters a minute is not possible", "--tempo", "give 10 to 400")
    return qpm


def compass_said(text: str, usual: Compass) -> Compass:
    """*usual* with a singer's own limits. Raises UsageError."""
    from trainer.score.pitch import Pitch, spelled_midi
    from trainer.singable.compass import own_compass

    if text.strip().lower() == "today":
        from trainer.cli._compass import known_compass

        known = known_compass()
        if known is None:
            raise UsageError("no compass of this week is known", "--compass today", "sing it first: heldline warmup")
        return own_compass(usual, spelled_midi(known.lowest), spelled_midi(known.highest))
    found = re.fullmatch(r"([A-Ga-g](?:##|#|bb|b)?-?\d)\s*-\s*([A-Ga-g](?:##|#|bb|b)?-?\d)", text.strip())
    if found is None:
        raise UsageError(f"{text!r} is no compass", "--compass", "give the lowest and the highest note, as in C3-E4")
    low, high = (Pitch.parse(name[0].upper() + name[1:]) for name in found.groups())
    try:
        return own_compass(usual, low, high)
    except ValueError as err:
        raise UsageError(f"{text} goes downwards", "--compass", "give the lowest note first") from err
