"""A check of microphone and sound in plain words, each with what to do, and as ``heldline.soundcheck/1``."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from audio.devices.check import Checked

SCHEMA = "heldline.soundcheck/1"

ZEROS = (
    "The microphone sends perfect silence, zeros and nothing else.",
    "Usually this program may not use it, or it is switched off: allow the microphone for your terminal in the system's privacy "
    "settings, or try the system's own terminal; a terminal inside an editor may never ask.",
)
CALL = (
    "This microphone works in telephone quality ({khz:g} kHz).",
    "A wireless headset does so as long as its microphone is in use: choose the computer's own microphone and keep the headset "
    "for listening, or use wired headphones.",
)
OWN = (
    "I hear my own voices in the microphone, {loud}.",
    "Use headphones, or turn the loudspeaker down.",
)
OWN_MOVING = (
    "I hear my own voices, but {moving}.",
    "Use wired headphones and close other programs; until then late and early are not judged.",
)
NOTHING = (
    "I heard nothing but the room.",
    "Check that the right microphone is chosen (heldline soundcheck --list) and that it is not muted, then hum again.",
)
YOU = ("I hear you: {pitch}, {steady}.", "")
NEAR = (
    "I can hardly tell you from the room: you are {above:.0f} dB above it.",
    "Go nearer to the microphone, or make the room quieter.",
)
NO_OUTPUT = ("There is no sound output, so I cannot play.", "Plug in headphones to hear the voices.")
VOICES_DBFS = -21.5
"""What three voices of our own sound at, measured over three exercises of the library: -21.1 to -21.9."""
SELF_OVER_OTHERS_DB = 6.0
"""Choir singers like the own voice about so far over the others (Ternström 1999, from memory): so far may our voices lie under theirs."""
QUIET_DB, NOISY_DB = 20, 12
"""A voice that far over the room is clear; nearer than the second it is hard to tell from it (our own)."""
NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")

HELD = "With headphones the delay is measured by holding one earpiece to the microphone while the chirps sound."


@dataclass(frozen=True, slots=True)
class Words:
    """The outcome.

    Parameters
    ----------
    heard : tuple of str
        In this order: "only zeros", "call quality", "own voices", "you", "near the room", "nothing".
    says : str
        All that was found.
    do : str
        What to do about it; "" when all is well.
    """

    heard: tuple[str, ...]
    says: str
    do: str


def words(checked: Checked, *, sounds: bool, pitch: str = "") -> Words:
    """What was found.

    Parameters
    ----------
    checked : Checked
    sounds : bool
        Whether there is an output.
    pitch : str
        Name of the note that was hummed.
    """
    found: list[tuple[str, tuple[str, str]]] = []
    trip, hummed = checked.round_trip, checked.hummed
    if checked.only_zeros:
        found.append(("only zeros", ZEROS))
    if checked.call_rate_hz is not None:
        found.append(("call quality", (CALL[0].format(khz=checked.call_rate_hz / 1000), CALL[1])))
    if checked.moving:
        found.append(("own voices", (OWN_MOVING[0].format(moving=checked.moving), OWN_MOVING[1])))
    elif trip.bleed_db is not None:
        found.append(("own voices", (OWN[0].format(loud=_loud(trip.bleed_db)), OWN[1])))
    if hummed is not None:
        steady = "steady" if hummed.steady else "not steady yet"
        found.append(("you", (YOU[0].format(pitch=pitch, steady=steady), YOU[1])))
        if checked.near_the_room:
            above = max(0.0, hummed.level_dbfs - checked.room_dbfs)
            found.append(("near the room", (NEAR[0].format(above=above), NEAR[1])))
    if not {"only zeros", "own voices", "you"} & {name for name, _ in found}:
        found.append(("nothing", NOTHING))
    texts = [text for _, text in found] + ([] if sounds else [NO_OUTPUT])
    return Words(
        tuple(name for name, _ in found),
        " ".join(says for says, _ in texts),
        " ".join(do for _, do in texts if do),
    )


def room_says(checked: Checked, *, singers: int, hum_note: str = "") -> tuple[list[str], bool | None]:
    """The room in sentences, and whether our voices are loud enough for so many; None where nothing says so.

    Parameters
    ----------
    hum_note : str
        Name of the note nearest to the room's hum.
    """
    told = []
    hum = checked.hum
    if hum is None:
        told.append("Nothing hums in this room.")
    else:
        told.append(
            f"The room hums at {round(hum.hz)} Hz, near {hum_note}: a refrigerator, a lamp or a fan. It is left out of what is judged; "
            "switch it off where you may."
        )
    voice = None if checked.hummed is None else checked.hummed.level_dbfs
    if voice is not None:
        over = round(voice - checked.room_dbfs)
        word = "quiet enough" if over >= QUIET_DB else "noisy" if over >= NOISY_DB else "too loud to judge in"
        told.append(f"The room is {word}: {over_words(over)}.")
    else:
        told.append(
            f"The room lies {round(-checked.room_dbfs)} dB under full scale; hum a note, to hear what that means."
        )
    bleed = checked.round_trip.bleed_db
    many = number_words(singers)
    if bleed is None or checked.moving:
        told.append(
            f"My own voices do not reach the microphone: whether they are loud enough for {many}, your ears must say."
        )
        return told, None
    if voice is None:
        told.append(
            f"Hum a note as loud as one of you sings, and I can say whether my voices are loud enough for {many}."
        )
        return told, None
    short = voice + 10 * math.log10(singers) - SELF_OVER_OTHERS_DB - (VOICES_DBFS + bleed)
    if short <= 0:
        told.append(f"Loud enough for {many}.")
        return told, True
    told.append(
        f"Too soft for {many}, by about {math.ceil(short)} dB: turn the loudspeaker up as far as it is pleasant, move it to the section, "
        "or let fewer sing at a time."
    )
    return told, False


def over_words(over_db: int) -> str:
    """How far a voice stands over the room."""
    return f"your voice stands {over_db} dB over it" if over_db > 0 else "your voice does not stand over it"


def number_words(number: int) -> str:
    """One to twelve in letters."""
    return NUMBERS[number - 1] if number <= len(NUMBERS) else str(number)


def _loud(bleed_db: float) -> str:
    rounded = round(bleed_db)
    if rounded == 0:
        return "as loud as I play them"
    return f"{abs(rounded)} dB {'softer' if rounded < 0 else 'louder'} than I play them"


def delay_line(checked: Checked, measured_on: str = "") -> str:
    """The round trip in a sentence, its source with it."""
    trip = checked.round_trip
    if trip.source == "measured":
        when = f" on {measured_on}" if measured_on else ""
        return f"round trip: {trip.round_trip_ms:.1f} ms, measured{when}, spread {trip.spread_ms:.1f} ms"
    source = "as the driver reports it" if trip.source == "reported" else "assumed"
    return (
        f"round trip: about {trip.round_trip_ms:.0f} ms, {source}; late and early are not judged until it is measured"
    )


def to_json(checked: Checked, said: Words, *, names: tuple[str, str], more: dict[str, Any]) -> dict[str, Any]:
    """The table that outside programs read; *names* are input and output."""
    trip, hummed = checked.round_trip, checked.hummed
    return {
        "schema": SCHEMA,
        "input": names[0] or None,
        "output": names[1] or None,
        "round_trip_ms": round(trip.round_trip_ms, 2),
        "spread_ms": round(trip.spread_ms, 2),
        "bleed_db": None if trip.bleed_db is None else round(trip.bleed_db, 1) + 0.0,  # no -0.0
        "source": trip.source,
        "says": f"{said.says} {said.do}".strip(),
        "heard": list(said.heard),
        "do": said.do,
        "room_dbfs": round(checked.room_dbfs, 1),
        "voice_dbfs": None if hummed is None else round(hummed.level_dbfs, 1),
        "steady": None if hummed is None else hummed.steady,
        "call_rate_hz": checked.call_rate_hz,
        "lost_frames": checked.lost_frames,
        "xruns": checked.xruns,
        **more,
    }
