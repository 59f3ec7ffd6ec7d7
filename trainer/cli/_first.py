"""``heldline sing`` with nothing more: the first minute, for whatever is plugged in. No question before a result."""

from __future__ import annotations

import argparse
import sys
import time
from dataclasses import replace
from typing import TYPE_CHECKING

from trainer.cli import _keyed, _link, _live, _turns
from trainer.errors import DeviceError, NoDeviceError

if TYPE_CHECKING:
    from audio.devices import SoundLink
    from trainer.live.wish import Wish

STARTER = "Ferry Bell at Low Water"
STARTER_VOICE, STARTER_BARS, STARTER_TEMPO = "tenor", "1-4", 96
"""Four bars between F# and C#, around the note that is hummed first."""

KEY_SECONDS = 20.0
STEP_WAIT_SECONDS = 0.01


def first_minute(args: argparse.Namespace) -> int:
    """A microphone hums and sings, keys alone are keyed, neither is told what can be done (3)."""
    from audio.devices import found

    here = found()
    if here.inputs:
        return _at_the_microphone(args)
    if here.keys:
        return _at_the_keys(args)
    missing = "; ".join(here.missing) or "there is no microphone and there are no keys here"
    raise NoDeviceError(missing, "", "plug a microphone or keys in, or start the sound server")


def _starter(args: argparse.Namespace, octaves: int) -> Wish:
    args.score, args.voice = STARTER, args.voice or STARTER_VOICE
    args.bars = args.bars or STARTER_BARS
    args.tempo = args.tempo if args.tempo is not None else STARTER_TEMPO
    args.look_through = 0 if args.look_through is None else args.look_through
    return replace(_live.wish_of(args), octaves=octaves)


def _say(args: argparse.Namespace, line: str) -> None:
    if not args.quiet:
        print(line, file=sys.stderr if args.json else sys.stdout, flush=True)


def _at_the_microphone(args: argparse.Namespace) -> int:
    from trainer.live.first_minute import NOTE_MIDI, bleed, hum
    from trainer.live.turns import USUAL_BARS
    from trainer.score.pitch import spelled_midi

    wish = _starter(args, 0)
    with _link.opened(args, wish) as link:
        _say(args, f"Microphone: {link.input_name}. Sound: {link.output_name or 'none'}. Nothing is recorded or sent.")
        _say(args, "Set your headphones as loud as quiet talk.")
        if link.channels_out:
            _say(args, f"Here is {spelled_midi(NOTE_MIDI)}. Hum this.")
        else:
            _say(args, "Hum any note.")
        hummed = hum(link, time.sleep)
        if not link.alive:
            raise DeviceError(link.trouble, link.input_name, "plug it in again and start anew")
        if hummed.midi is None:
            _say(
                args,
                hummed.zeros
                or "I heard no steady note. Hum longer, nearer to the microphone, or see heldline soundcheck.",
            )
            return 5
        name = spelled_midi(hummed.midi)
        asked = "" if hummed.midi % 12 == NOTE_MIDI % 12 else f" ({spelled_midi(NOTE_MIDI)} was sounded)"
        own = "; your own octave, and I keep to it" if hummed.octaves else ""
        _say(args, f"Heard: {name}, steady{asked}{own}.")
        if link.channels_out:
            _say(args, "Now keep still for two seconds: I listen for my own voices.")
            delay = _link.delay_of(link)
            told = bleed(link, wish.score, wish.line_index, wish.settings, delay.frames, time.sleep)
            known = _link.own_sound_of(link) is not None
            _say(args, _bleed_words(told.heard, known))
            if told.heard and not known:
                wish = _turns.in_turns(wish, USUAL_BARS)
        return _sing(args, link, replace(wish, octaves=hummed.octaves))


def _bleed_words(heard: bool, known: bool) -> str:
    if heard and known:
        return "I can hear my own voices, and take away what soundcheck has learnt of them; headphones are surer."
    if heard:
        return (
            "I can hear my own voices. So we take turns: listen to the bars, then sing them while nothing sounds. "
            "With headphones the others sound while you sing."
        )
    return "I cannot hear my own voices. That is as it should be."


def _sing(args: argparse.Namespace, link: SoundLink, wish: Wish) -> int:
    from trainer.cli._octave import remember
    from trainer.cli._take import kept
    from trainer.places import places

    came = _live.run_session(args, _live.sung_session(link, wish, places() if kept(args) else None))
    remember(args, wish, came)
    return _live.ended(args, wish, came)


def _at_the_keys(args: argparse.Namespace) -> int:
    from audio.devices import open_keys
    from trainer.score.pitch import spelled_midi

    with open_keys() as keys:
        _say(args, f"Microphone: none that I may use. Keys: {keys.name}.")
        _say(args, "Press any key.")
        until = time.monotonic() + KEY_SECONDS
        pressed = None
        while pressed is None and time.monotonic() < until and keys.alive:
            pressed = next((move.midi for move in keys.read() if move.down), None)
            time.sleep(STEP_WAIT_SECONDS)
    if pressed is None:
        _say(args, "No key was pressed. See heldline soundcheck, or press one and start again.")
        return 5
    _say(args, f"{spelled_midi(pressed)}. Notes and time are judged; a keyboard cannot be out of tune.")
    _starter(args, 0)
    for name, nothing in (("keys", None), ("degrees", False), ("own_sound", None), ("synth", None)):
        setattr(args, name, getattr(args, name, nothing))
    return _keyed.key_live(args)
