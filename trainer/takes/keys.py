"""Keys heard in a MIDI file: every press with its release, as the judge takes them from a keyboard too.

All tracks and channels together, or one track. A release without a press is passed over; a key pressed again before it was released
is released at that moment; a key never released is held to the file's last event. What stands on the percussion channel (10 in
General MIDI 1) is left out where other channels have notes: there a note number is an instrument, not a pitch.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

from audio.heard import KeyNote
from audio.units import seconds_to_frames
from trainer.errors import ScoreError
from trainer.formats._smf import KeyEvent, MidiContent, read_smf

PERCUSSION = 9  # channel 10 as people count


def keys_in(path: str | os.PathLike[str], *, track: str | None = None, line: int = 0) -> list[KeyNote]:
    """Every key pressed in the file, in time order.

    Parameters
    ----------
    path : path
    track : str or None
        A track's number from 1 or its name; None takes all.
    line : int
        Which line of the plan they belong to.

    Raises
    ------
    ScoreError
        When the file cannot be read, is no MIDI file, or has no such track.
    """
    content = read_smf(_bytes(path), str(path))
    return key_notes(_events(content, track, str(path)), line=line)


def key_notes(events: Sequence[KeyEvent], *, line: int = 0) -> list[KeyNote]:
    """Presses paired with releases; *events* are in time order."""
    down: dict[tuple[int, int, int], KeyEvent] = {}
    found: list[KeyNote] = []

    def release(key: tuple[int, int, int], at: Fraction) -> None:
        pressed = down.pop(key, None)
        if pressed is not None:
            on = seconds_to_frames(pressed.seconds)
            found.append(KeyNote(line, on, max(seconds_to_frames(at), on + 1), pressed.midi, pressed.velocity))

    for event in events:
        key = (event.track, event.channel, event.midi)
        release(key, event.seconds)
        if event.velocity > 0:
            down[key] = event
    for key in list(down):
        release(key, events[-1].seconds)
    return sorted(found, key=lambda note: (note.on_frame, note.midi))


def _events(content: MidiContent, track: str | None, path: str) -> list[KeyEvent]:
    if track is None:
        pitched = [event for event in content.events if event.channel != PERCUSSION]
        return pitched or list(content.events)
    names = [one.name for one in content.tracks]
    low = [name.lower() for name in names]
    if track.lower() in low:
        number = low.index(track.lower())
    elif track.isdecimal() and 1 <= int(track) <= len(names):
        number = int(track) - 1
    else:
        told = ", ".join(f"{count} {name}".strip() for count, name in enumerate(names, start=1))
        raise ScoreError(f"the file has no track {track}", path, f"its tracks are {told}")
    return [event for event in content.events if event.track == number]


def _bytes(path: str | os.PathLike[str]) -> bytes:
    place = Path(path)
    try:
        if not place.is_file() and place.exists():
            raise ScoreError("this is not a file", str(place), "give a MIDI file")
        return place.read_bytes()
    except FileNotFoundError as err:
        raise ScoreError("there is no such file", str(place), "check the name and the folder") from err
    except (OSError, ValueError) as err:  # ValueError: a zero byte in the name
        raise ScoreError("this file cannot be read", repr(str(place)), "see that you may read it") from err
