"""``heldline track``: practice tracks to take home, one voice's part loud, alone or missing; or a whole set of them."""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trainer.cli import _before, _options, _which
from trainer.cli._fitted import SOFTLY, fitted
from trainer.cli._parser import UsageError, add_command

if TYPE_CHECKING:
    from trainer.practice.settings import Settings
    from trainer.score.model import Score
    from trainer.voices.tracks import Track

EXAMPLES = """\
heldline track "Ferry Bell at Low Water" --voice tenor --kind loud -o tenor.flac
heldline track "Ferry Bell at Low Water" --voice tenor --kind without --tempo 48 --click -o without.wav
heldline track chorale.mxl --voice alto --kind alone --bars 5-8 -o alto.mid
heldline track 1 2 3 -o tracks/
heldline track chorale.mxl --voice alto -o tracks/ --as mid"""

KINDS = ("loud", "alone", "without", "sides")
ENDINGS = (".wav", ".flac", ".mid")
FIRST_NOTE_QUARTERS = 2


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(subparsers, "track", says="write practice tracks to take home", examples=EXAMPLES)
    parser.add_argument("scores", nargs="+", metavar="SCORE", help="titles or numbers of the library, or score files")
    _which.add_moved(parser)
    which = parser.add_argument_group("which tracks")
    which.add_argument("--voice", metavar="VOICE", help="whose part it is (into a folder: every voice's)")
    which.add_argument(
        "--kind",
        choices=KINDS,
        help="the part loud, alone, missing, or in the left ear with the others in the right (into a folder: the first three)",
    )
    which.add_argument("--bars", metavar="A-B", help="only these bars")
    heard = parser.add_argument_group("how they sound")
    heard.add_argument("--tempo", type=_options.decimal, metavar="QPM", help="quarters a minute (the score's own)")
    heard.add_argument("--against", choices=("equal", "pure"), help="tuned equally, or purely above the lowest voice")
    heard.add_argument("--a", type=_options.decimal, metavar="HZ", help="pitch of A4, 392 to 466 (440)")
    heard.add_argument("--count-in", type=int, default=1, metavar="BARS", help="bars of clicks before the music (1)")
    heard.add_argument("--click", action="store_true", help="a click on every beat")
    heard.add_argument("--key-chord", action="store_true", help="the chord of the key before the first note")
    heard.add_argument("--no-first-note", action="store_true", help="do not give the part's first note")
    written = parser.add_argument_group("where they go")
    written.add_argument(
        "-o",
        "--output",
        required=True,
        metavar="FILE|FOLDER",
        help=f"a .wav, .flac or .mid file, or a folder for a set; {_before.HELP}",
    )
    written.add_argument("--as", dest="ending", choices=("flac", "wav", "mid"), help="format of a set (flac)")


@dataclass(frozen=True, slots=True)
class _Wanted:
    """One track to be written, and where."""

    track: Track
    path: Path


def run(args: argparse.Namespace) -> int:
    """Write the tracks, one line for each."""
    from trainer.library import resolve
    from trainer.score.change import bar_one
    from trainer.score.moved import moved_words

    if not 0 <= args.count_in <= 8:
        raise UsageError(f"{args.count_in} bars of count-in are not possible", "--count-in", "give 0 to 8")
    place = Path(args.output)
    single = place.suffix.lower() in ENDINGS and not place.is_dir()
    if single:
        _single(args)
    elif place.suffix and not place.is_dir() and not args.output.endswith(("/", "\\")):
        raise UsageError(
            f"tracks are not written as {place.suffix}", "-o", f"end the file in {', '.join(ENDINGS)}, or a folder in /"
        )
    ending = place.suffix.lower().lstrip(".") if single else args.ending or "flac"
    if ending == "mid" and (args.against == "pure" or args.a is not None or args.key_chord):
        raise UsageError(
            "a MIDI file has keys and no tuning, and no chord before it",
            "--against, --a, --key-chord",
            "write .wav or .flac",
        )
    settings = _options.settings_from(args)
    # all are read before anything is written
    scores = [_options.cut_to(_which.moved_as_asked(args, resolve(name)), args.bars) for name in args.scores]
    _same_titles(scores)
    if not single:
        _make(place)
    told, before = [], _before.Before()
    for score in scores:
        if moved_words(score) and not args.json and not args.quiet:
            print(f"{score.title}: {moved_words(score, _options.names_from(args))}", flush=True)
        for one, length_s, starts_at_s, lufs in _written(args, score, settings, place, ending, single, before):
            if not args.json and not args.quiet:
                told_of = f"{one.path}: {one.track.title}, {length_s:.1f} s, {bar_one(score)} at {starts_at_s:g} s"
                print(fitted(told_of), flush=True)
            told.append(_row(score, one, length_s, starts_at_s, lufs))
    if args.json:
        from trainer.reports.as_json import as_text

        print(as_text({"schema": "heldline.track/1", "tracks": told}))
    elif not args.quiet:
        print(fitted(SOFTLY))
    before.tell(args)
    return 0


def _single(args: argparse.Namespace) -> None:
    if len(args.scores) > 1:
        raise UsageError("several scores do not go into one file", "-o", "name a folder, as in -o tracks/")
    for option in ("voice", "kind"):
        if getattr(args, option) is None:
            raise UsageError(
                f"--{option} is missing", "heldline track", f"say which {option}, or name a folder for a set"
            )
    if args.ending is not None:
        raise UsageError("the ending of the file says its format", "--as", "leave --as away")


def _same_titles(scores: list[Score]) -> None:
    titles = [score.title for score in scores]
    twice = next((title for title in titles if titles.count(title) > 1), None)
    if twice is not None:
        raise UsageError(f"two scores are called {twice}", "SCORE", "write them into folders of their own")


def _make(place: Path) -> None:
    from audio.errors import SoundFileError

    try:
        place.mkdir(exist_ok=True)
    except FileExistsError as err:
        raise UsageError(
            "this is a file, and no kind that is written", str(place), f"end it in {', '.join(ENDINGS)}"
        ) from err
    except OSError as err:
        raise SoundFileError(
            f"the folder cannot be made: {(err.strerror or '').lower()}", str(place), "choose another place"
        ) from err


def _written(
    args: argparse.Namespace,
    score: Score,
    settings: Settings,
    place: Path,
    ending: str,
    single: bool,
    before: _before.Before,
) -> Iterator[tuple[_Wanted, float, float, float | None]]:
    """Every track of one score, written one after another: which, its length, where bar 1 falls, its loudness."""
    wanted = list(_wanted(args, score, settings, place, ending, single))
    if ending == "mid":
        yield from _written_midi(args, score, settings, wanted, before)
        return
    from trainer.voices.tracks import Stems, write_track

    stems = Stems(
        score,
        settings,
        key_chord=args.key_chord,
        first_note=not args.no_first_note,
        click=args.click,
        count_in_bars=args.count_in,
    )
    for one in wanted:
        with before.kept(one.path):
            done = write_track(stems, one.track, one.path)
        yield one, done.length_s, done.starts_at_s, done.loudness_lufs


def _written_midi(
    args: argparse.Namespace, score: Score, settings: Settings, wanted: list[_Wanted], before: _before.Before
) -> Iterator[tuple[_Wanted, float, float, None]]:
    from fractions import Fraction

    from audio.whole_file import write_whole
    from trainer.score.change import with_tempo
    from trainer.voices.track_midi import track_to_midi

    timed = score if settings.tempo_qpm is None else with_tempo(score, settings.tempo_qpm)
    for one in wanted:
        done = track_to_midi(
            timed,
            one.track,
            count_in_bars=args.count_in,
            first_note=Fraction(0 if args.no_first_note else FIRST_NOTE_QUARTERS),
            click="on" if args.click else "off",
        )
        with before.kept(one.path):
            write_whole(one.path, done.content)
        yield one, done.length_s, done.starts_at_s, None


def _wanted(
    args: argparse.Namespace, score: Score, settings: Settings, place: Path, ending: str, single: bool
) -> Iterator[_Wanted]:
    from trainer.voices.tracks import SET_KINDS, Track

    names = _labels(score)
    voices = range(len(names)) if args.voice is None else (_options.voice_index(score, args.voice),)
    kinds = SET_KINDS if args.kind is None else (args.kind,)
    bars = "" if args.bars is None else f", {'bars' if '-' in args.bars else 'bar'} {args.bars.replace('-', ' to ')}"
    qpm = float(score.tempo.points[0][1] if settings.tempo_qpm is None else settings.tempo_qpm)
    remark = f"{qpm:g} quarters a minute, A4 = {settings.a4_hz:g} Hz, {settings.against}"
    number = 0
    for voice in voices:
        for kind in kinds:
            if kind == "without" and len(names) == 1 and args.kind is None:
                continue  # a set of one voice's piece has no track in which nothing sounds
            number += 1
            title = f"{score.title}: {names[voice]} {_WORDS[kind]}{bars}"
            file = place if single else place / f"{_file_name(f'{score.title} - {names[voice]} - {kind}')}.{ending}"
            yield _Wanted(Track(voice, kind, title, score.title, number, remark), file)


def _labels(score: Score) -> list[str]:
    """The voices' names, with a number where two have the same, so that no track takes another's place."""
    names = score.voice_names()
    return [name if names.count(name) == 1 else f"{name} {number}" for number, name in enumerate(names, start=1)]


_WORDS = {"loud": "loud", "alone": "alone", "without": "left out", "sides": "in the left ear"}


def _file_name(title: str) -> str:
    """A name that every system's folders take."""
    plain = re.sub(r'[\x00-\x1f\\/:*?"<>|]+', " ", title)
    return " ".join(plain.split()).strip(" .")[:120] or "track"


def _row(score: Score, one: _Wanted, length_s: float, starts_at_s: float, lufs: float | None) -> dict[str, Any]:
    return {
        "file": str(one.path),
        "title": one.track.title,
        "voice": score.voice_names()[one.track.line_index],
        "kind": one.track.kind,
        "length_s": round(length_s, 3),
        "starts_at_s": round(starts_at_s, 6),
        "loudness_lufs": None if lufs is None else round(lufs, 1),
    }
