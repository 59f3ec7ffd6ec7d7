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

EXAMPLES = """\
heldline singable "Ferry Bell at Low Water"
heldline singable exercise.musicxml --voice alto
heldline singable exercise.musicxml --voice tenor --compass C3-E4 --tempo 48
heldline singable exercise.musicxml --json"""


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers, "singable", says="say how hard each line is to sing, where, and what would help", examples=EXAMPLES
    )
    parser.add_argument("score", metavar="SCORE", help="a title or number of the library, or a score file")
    parser.add_argument("--voice", metavar="VOICE", help="this voice only")
    parser.add_argument(
        "--compass", metavar="LOW-HIGH", help="the singer's own limits, such as C3-E4 (those usual for the voice)"
    )
    parser.add_argument("--tempo", type=_options.decimal, metavar="QPM", help="quarters a minute (the score's own)")


def run(args: argparse.Namespace) -> int:
    """Print what was found."""
    from trainer.cli.check import rules_of
    from trainer.library import resolve
    from trainer.reports.singable import Sheet, singable_as_text, singable_to_json
    from trainer.rules.piece import FREE, Piece
    from trainer.singable.part import Part

    score = resolve(args.score)
    only = None if args.voice is None else _options.voice_index(score, args.voice)
    if args.compass is not None and only is None:
        raise UsageError("--compass is one singer's", "--voice", "say which voice that singer has")
    tempo = score.tempo if args.tempo is None else score.tempo.scaled_to(_tempo(args.tempo))
    piece, rules = Piece(score, FREE), rules_of(score)
    looked = []
    for line in range(len(score.lines)) if only is None else (only,):
        part = Part(piece, line, tempo=tempo)
        if args.compass is not None:
            part = Part(piece, line, compass=_compass(args.compass, part.compass), tempo=tempo)
        looked.append(_looked(part, rules))
    looked = _with_takes(looked, score)
    sheet = Sheet(score.title, len(score.lines), tempo.points[0][1], tuple(looked))
    if args.json:
        from trainer.reports.as_json import as_text

        print(as_text(singable_to_json(sheet)))
    else:
        from trainer.cli._take import look

        print(singable_as_text(sheet, look(args)))
    return 0


def _looked(part: Part, rules: RuleSet) -> Looked:
    """The line weighed, with a change for each of its worst places."""
    from trainer.reports.singable import Looked
    from trainer.singable.danger import spots_of
    from trainer.singable.suggest import change_for, move_for, voice_for
    from trainer.singable.weigh import weigh_part

    weighed = weigh_part(part)
    changes = {}
    for note in weighed.worst():
        change = change_for(part, weighed, note, rules, None)
        if change is not None:
            changes[note.index] = change
    return Looked(weighed, changes, spots_of(part), move_for(part), voice_for(part))


def _with_takes(looked: list[Looked], score: Score) -> list[Looked]:
    """What the takes kept here say of each line, beside what paper says; a log that cannot be opened is told and left."""
    from dataclasses import replace

    from trainer.cli._history import opened_history
    from trainer.cli._take import tell
    from trainer.takes.plans import stumbles

    try:
        with opened_history() as store:
            if store is None:
                return looked
            return [replace(one, stumbled=stumbles(store, score, one.weighed.voice_number - 1)) for one in looked]
    except HeldlineError as err:
        tell(str(err))
        return looked


def _tempo(qpm: Any) -> Any:
    if not 10 <= qpm <= 400:
        raise UsageError(f"{float(qpm):g} quarters a minute is not possible", "--tempo", "give 10 to 400")
    return qpm


def _compass(text: str, usual: Compass) -> Compass:
    from trainer.score.pitch import Pitch
    from trainer.singable.compass import own_compass

    found = re.fullmatch(r"([A-Ga-g](?:##|#|bb|b)?-?\d)\s*-\s*([A-Ga-g](?:##|#|bb|b)?-?\d)", text.strip())
    if found is None:
        raise UsageError(f"{text!r} is no compass", "--compass", "give the lowest and the highest note, as in C3-E4")
    low, high = (Pitch.parse(name[0].upper() + name[1:]) for name in found.groups())
    try:
        return own_compass(usual, low, high)
    except ValueError as err:
        raise UsageError(f"{text} goes downwards", "--compass", "give the lowest note first") from err
