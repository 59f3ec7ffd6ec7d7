"""``heldline warmup``: a glide down and up before singing; how far the voice goes today is remembered for the day."""

from __future__ import annotations

import argparse
import re
import textwrap
import time
from datetime import date
from typing import TYPE_CHECKING, Any

from trainer.cli import _options
from trainer.cli._parser import UsageError, add_command
from trainer.errors import HeldlineError

if TYPE_CHECKING:
    from trainer.log.singer import DaysCompass
    from trainer.takes.compass import Reach

EXAMPLES = """\
heldline warmup
heldline warmup --input glide.wav
heldline warmup --compass A2-E4"""

NOTHING_HEARD = 5
NO_GLIDE = "No glide was heard: sing longer and nearer to the microphone, or see heldline soundcheck."
LEAST_SEMITONES = 7
"""A fifth: less is no compass that lines could be chosen by (our own)."""
SILENT_SECONDS = 4
LOOK_SECONDS = 0.05
HOPS_A_SECOND = 200
FIRST = (
    "Hum softly for some minutes in the middle of your voice first. Then glide on oo or a lip trill from the middle down as far as it is "
    "comfortable, breathe, and up as far as it is comfortable. Never push: what strains is not compass. Four seconds of silence end it, "
    "or Ctrl-C."
)
CAUTION = "Stop if it hurts, burns or makes you hoarse."


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers, "warmup", says="glide down and up; how far your voice goes today is remembered", examples=EXAMPLES
    )
    parser.add_argument("--input", metavar="FILE", help="a recording of a glide in place of the microphone")
    parser.add_argument("--compass", metavar="LOW-HIGH", help="say it yourself, such as A2-E4, and sing nothing")
    parser.add_argument("--seconds", type=_options.whole, default=90, metavar="S", help="no longer than this (90)")
    parser.add_argument(
        "--input-device", "--microphone", metavar="NAME", help="the microphone, by name or a part of it"
    )


def run(args: argparse.Namespace) -> int:
    """Listen, tell and remember; 5 when no glide was heard."""
    from trainer.cli._take import tell
    from trainer.log.singer import DaysCompass, SingerMemory
    from trainer.places import places

    if args.input is not None and args.compass is not None:
        raise UsageError("--compass says what --input would", "--input, --compass", "keep one of them")
    if not 5 <= args.seconds <= 600:
        raise UsageError(f"{args.seconds} seconds are not possible", "--seconds", "give 5 to 600")
    if args.compass is not None:
        reached: Reach | None = _said(args.compass)
    else:
        reached = _sung(args) if args.input is None else _recorded(args.input)
    if reached is None:
        if args.json:
            tell(NO_GLIDE)
            _print_table(date.today(), None, None)
        else:
            _print(args, NO_GLIDE)
        return NOTHING_HEARD
    memory = SingerMemory(places().singer)
    before = [one for one in memory.compasses() if one.day < date.today()]
    today = DaysCompass(date.today(), reached.lowest, reached.highest)
    status = _told(args, today, before[-1] if before else None)
    try:
        memory.reached(today)
    except HeldlineError as err:
        tell(str(err))
    return status


def _said(text: str) -> Reach:
    """A compass in words. Raises UsageError."""
    from trainer.log.singer import HIGHEST_MIDI, LOWEST_MIDI
    from trainer.score.pitch import Pitch
    from trainer.takes.compass import Reach

    names = re.fullmatch(r"\s*([A-Ga-g][#b]*-?\d)\s*-\s*([A-Ga-g][#b]*-?\d)\s*", text)
    try:
        low, high = (Pitch.parse(name[0].upper() + name[1:]).midi for name in names.groups()) if names else (1, 0)
    except ValueError:
        low, high = 1, 0
    if not LOWEST_MIDI <= low < high <= HIGHEST_MIDI:
        raise UsageError(f"{text!r} is not a compass", "--compass", "give its lowest and highest note, as in A2-E4")
    if high - low < LEAST_SEMITONES:
        raise UsageError(f"{text} is less than a fifth", "--compass", "give your whole compass, as in A2-E4")
    return Reach(low, high)


def _recorded(path: str) -> Reach | None:
    from audio.heard import PitchFrame
    from trainer.takes.compass import reach
    from trainer.takes.recording import heard_in

    return reach(one for one in heard_in(path) if isinstance(one, PitchFrame))


def _sung(args: argparse.Namespace) -> Reach | None:
    """A glide into the microphone, told as it reaches further. Raises DeviceError."""
    from audio.devices import SoundWish, open_sound
    from audio.heard import PitchFrame
    from trainer.cli._link import device_memory
    from trainer.cli._live import interrupts
    from trainer.errors import DeviceError
    from trainer.live.delay import Axis, Delay, whole_zero
    from trainer.live.hearing import Hearing
    from trainer.takes.compass import Glide

    glide, stopped = Glide(), []
    name = args.input_device or device_memory().last("input")
    with open_sound(SoundWish(input_name=name, channels_out=0)) as link, interrupts(lambda: stopped.append(True)):
        if not args.quiet and not args.json:
            _print(args, FIRST)
        rate = link.rate_hz
        hearing = Hearing(Axis(whole_zero(link.write_until(), rate), Delay(0, "assumed", rate)))
        until, look_at, told = link.write_until() + args.seconds * rate, 0, None
        while link.alive and not stopped and hearing.end_frame < until:
            glide.feed(one for one in hearing.feed(link.read()) if isinstance(one, PitchFrame))
            if hearing.end_frame >= look_at:
                look_at = hearing.end_frame + rate // 2
                now = glide.reach()
                if now != told:
                    told = now
                    _say_reached(args, now)
                if now is not None and glide.silent_hops() > SILENT_SECONDS * HOPS_A_SECOND:
                    break
            time.sleep(LOOK_SECONDS)
        if not link.alive:
            raise DeviceError(link.trouble, link.input_name, "plug it in again and start anew")
    return glide.reach()


def _say_reached(args: argparse.Namespace, now: Reach | None) -> None:
    if now is not None and not args.quiet and not args.json:
        print(f"{_name(args, now.lowest)} to {_name(args, now.highest)}", flush=True)


def _name(args: argparse.Namespace, midi: int) -> str:
    """A note in the letters of whoever reads; in JSON always the scientific name."""
    from trainer.score.naming import Names, lettered
    from trainer.score.pitch import spelled_midi

    return lettered(spelled_midi(midi), Names("letters") if args.json else _options.names_from(args))


def _told(args: argparse.Namespace, today: DaysCompass, before: DaysCompass | None) -> int:
    from trainer.cli._compass import compass_words
    from trainer.singable.compass import EASE_INSIDE_SEMITONES

    low, high = (_name(args, midi) for midi in (today.lowest, today.highest))
    inside = (today.lowest + EASE_INSIDE_SEMITONES, today.highest - EASE_INSIDE_SEMITONES)
    if args.json:
        _print_table(today.day, low, high)
        return 0
    told = [f"Your voice today: {low} to {high}."]
    if inside[0] < inside[1]:
        told.append(f"At ease from about {_name(args, inside[0])} to {_name(args, inside[1])}, a tone inside.")
    if before is not None:
        told.append(f"Before: {compass_words(before, _options.names_from(args))}.")
    told += ["A line that lies outside is offered in your octave or in another key, and both keys are said.", CAUTION]
    _print(args, *told)
    return 0


def _print_table(day: date, lowest: str | None, highest: str | None) -> None:
    from trainer.reports.as_json import as_text

    print(as_text({"schema": "heldline.warmup/1", "day": day.isoformat(), "lowest": lowest, "highest": highest}))


def _print(args: argparse.Namespace, *sentences: str) -> None:
    """Each on lines of its own, as wide as the terminal."""
    from trainer.cli._take import look

    for sentence in sentences:
        print(textwrap.fill(sentence, look(args).width, break_on_hyphens=False), flush=True)
