"""``heldline soundcheck``: whether microphone, sound and keys work, in plain words, and the delay between them."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from trainer.cli import _options
from trainer.cli._aside import aside
from trainer.cli._fitted import fitted
from trainer.cli._parser import UsageError, add_command

if TYPE_CHECKING:
    from audio.devices.check import Checked
    from audio.devices.finding import Found
    from audio.devices.link import SoundLink
    from trainer.log.devices import LearntRoom

EXAMPLES = """\
heldline soundcheck
heldline soundcheck --room
heldline soundcheck --list
heldline soundcheck --microphone "USB Microphone" --output Headphones
heldline soundcheck --json"""

NOTHING_HEARD = 5

EARPIECE = "To measure the delay with headphones, hold one earpiece to the microphone and press Enter; n and Enter leaves it out:"

STAGES = {
    "room": "Listening to the room: keep still for a moment. Turn your headphones down first, and up again until it is pleasant.",
    "chirps": "Playing six soft chirps.",
    "wave": "Now a soft sound like one wave on a beach, to learn the room. Keep still.",
    "hum": "Now hum any note that is comfortable, for two seconds.",
}


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(subparsers, "soundcheck", says="check microphone, sound, keys and delay", examples=EXAMPLES)
    group = parser.add_argument_group("what is checked")
    group.add_argument(
        "--room",
        nargs="?",
        type=_singers,
        const=7,
        metavar="SINGERS",
        help="the room too: what hums, how loud it is, whether my voices are loud enough for so many (7)",
    )
    group.add_argument("--list", action="store_true", help="only list what is plugged in")
    group.add_argument("--microphone", metavar="NAME", help="the microphone, by name or a part of it")
    group.add_argument("--output", metavar="NAME", help="headphones or loudspeaker, by name or a part of it")
    group.add_argument("--rate", type=int, metavar="HZ", help="sampling rate (what the devices prefer)")
    group.add_argument("--block", type=int, metavar="FRAMES", help="frames a block (what suits the server)")
    group.add_argument(
        "--listen", type=_options.decimal, default=5, metavar="S", help="longest wait for you to hum; 0 for none (5)"
    )


def _singers(text: str) -> int:
    if not text.isascii() or not text.isdecimal() or not 1 <= int(text) <= 60:
        raise argparse.ArgumentTypeError(f"{text!r} is not a number of singers; give 1 to 60")
    return int(text)


def run(args: argparse.Namespace) -> int:
    """Check and remember; 3 when there is no device, 5 when nothing was heard."""
    from audio.devices import found

    if not 0 <= args.listen <= 60:
        raise UsageError("listening for so long is not possible", "--listen", "give 0 to 60 seconds")
    here = found()
    if args.list:
        return _listed(here, args)
    link = _opened(here, args)
    with link:
        checked = _checked(link, args)
        checked, measured_on = _remembered(link, checked)
        return _told(link, checked, measured_on, here, args)


def _opened(here: Found, args: argparse.Namespace) -> SoundLink:
    """Microphone and output, or the microphone alone where nothing can sound. Raises DeviceError."""
    from audio.devices import SoundWish, open_sound
    from trainer.errors import NoDeviceError

    if not here.inputs and not here.outputs:
        # the first sentence is of sound, and names the library where that is what is missing
        raise NoDeviceError(here.missing[0], "", here.missing_next[0])
    memory = _memory()
    names = [
        wanted or _still_there(memory.last(kind), devices)
        for wanted, kind, devices in ((args.microphone, "input", here.inputs), (args.output, "output", here.outputs))
    ]
    silent = not here.outputs and args.output is None
    wish = SoundWish(
        names[0], None if silent else names[1], args.rate, args.block, channels_out=0 if silent else 2
    )  # fmt: skip
    return open_sound(wish)


def _still_there(name: str | None, devices: tuple[Any, ...]) -> str | None:
    return name if name in {device.name for device in devices} else None


def _checked(link: SoundLink, args: argparse.Namespace) -> Checked:
    from audio.devices.check import check

    def tell(stage: str) -> None:
        if not args.quiet and not args.json:
            sys.stderr.write(aside(STAGES[stage]) + "\n")
            sys.stderr.flush()

    checked = check(link, listen_seconds=float(args.listen), tell=tell)
    if checked.round_trip.source != "measured" and link.channels_out and _asks(args):
        return _by_hand(link, checked)
    return checked


def _asks(args: argparse.Namespace) -> bool:
    return not args.json and not args.quiet and sys.stdin.isatty() and sys.stderr.isatty()


def _by_hand(link: SoundLink, checked: Checked) -> Checked:
    """With headphones: once more with an earpiece at the microphone, if the singer wants it."""
    from dataclasses import replace

    from audio.devices.roundtrip import measure

    sys.stderr.write(aside(EARPIECE) + " ")
    sys.stderr.flush()
    if sys.stdin.readline().strip():
        return checked
    found = measure(link)
    # what an earpiece at the microphone sounds like is no bleed
    return checked if found is None else replace(checked, round_trip=replace(found, bleed_db=None))


def _remembered(link: SoundLink, checked: Checked) -> tuple[Checked, str]:
    """The check with an earlier measurement of this pair where there is none now; and that one's date."""
    from dataclasses import replace
    from datetime import UTC, datetime

    from audio.devices.roundtrip import RoundTrip
    from trainer.log.devices import MeasuredPair, Pair

    memory = _memory()
    pair = Pair(link.input_name, link.output_name, link.rate_hz, link.block_frames)
    trip = checked.round_trip
    _kept(lambda: memory.use(input=link.input_name, **({"output": link.output_name} if link.output_name else {})))
    if trip.source == "measured":
        today = datetime.now(UTC).isoformat(timespec="seconds")
        room = _learnt_room(checked)
        found = MeasuredPair(pair, trip.round_trip_ms, trip.spread_ms, trip.bleed_db, today, room)
        _kept(lambda: memory.remember(found))
        return checked, ""
    before = memory.measured(pair)
    if before is None or checked.moving:
        return checked, ""
    kept = RoundTrip(before.round_trip_ms, before.spread_ms, None, "measured")
    return replace(checked, round_trip=kept), before.measured_utc[:10]


def _learnt_room(checked: Checked) -> LearntRoom | None:
    from trainer.log.devices import LearntRoom

    path = checked.room
    if path is None:
        return None
    return LearntRoom(path.packed(), path.delay_frames, round(path.drift_ppm, 2), round(path.left_db, 1))


def _kept(write: Callable[[], None]) -> None:
    """Write to the memory; a full disk takes nothing from what was just found."""
    from trainer.errors import LogError

    try:
        write()
    except LogError as err:
        sys.stderr.write(f"heldline: {err}\n")


def _told(link: SoundLink, checked: Checked, measured_on: str, here: Found, args: argparse.Namespace) -> int:
    from audio.units import SEMITONE_C100
    from trainer.reports.as_json import as_text
    from trainer.reports.soundcheck import HELD, delay_line, to_json, words
    from trainer.reports.wording import begun
    from trainer.score.pitch import spelled_midi

    pitch = "" if checked.hummed is None else str(spelled_midi(round(checked.hummed.pitch_c100 / SEMITONE_C100)))
    said = words(checked, sounds=bool(link.output_name), pitch=pitch)
    room, enough = _room(checked, args)
    if args.json:
        more: dict[str, Any] = {"note": pitch or None, "measured_on": measured_on or None, "rate_hz": link.rate_hz}
        more |= {"own_sound_taken_db": None if checked.room is None else round(-checked.room.left_db, 1)}
        if args.room is not None:
            hum = None if checked.hum is None else round(checked.hum.hz, 1)
            more["room"] = {"hum_hz": hum, "singers": args.room, "loud_enough": enough, "says": " ".join(room)}
        more |= {"block_frames": link.block_frames, "keys": list(here.keys), "synths": list(here.synths)}
        print(as_text(to_json(checked, said, names=(link.input_name, link.output_name), more=more)))
    else:
        told = [f"Microphone: {link.input_name}. Sound: {link.output_name or 'none'}. Keys: {_names(here.keys)}."]
        told += [said.says, said.do, f"{begun(delay_line(checked, measured_on))}."]
        if checked.room is not None:
            told.append(
                f"The room is learnt to {-checked.room.left_db:.0f} dB: a live take with these two takes our own sound away. "
                "Headphones remain surer."
            )
        if checked.round_trip.source != "measured" and link.output_name:
            told.append(HELD)
        print(fitted("\n".join(line for line in (*told, *room) if line)))
    return 0 if {"you", "own voices"} & set(said.heard) else NOTHING_HEARD


def _room(checked: Checked, args: argparse.Namespace) -> tuple[list[str], bool | None]:
    """What is to be said of the room; nothing where nobody asked."""
    from audio.units import SEMITONE_C100, hz_to_c100
    from trainer.reports.soundcheck import room_says
    from trainer.score.pitch import spelled_midi

    if args.room is None:
        return [], None
    hum = checked.hum
    note = "" if hum is None else str(spelled_midi(round(hz_to_c100(hum.hz) / SEMITONE_C100)))
    return room_says(checked, singers=args.room, hum_note=note)


def _listed(here: Found, args: argparse.Namespace) -> int:
    from trainer.reports.as_json import as_text
    from trainer.reports.wording import begun

    rows = {"inputs": here.inputs, "outputs": here.outputs}
    if args.json:
        table = {
            kind: [
                {"name": one.name, "host": one.host, "channels": one.channels, "usual": one.usual} for one in devices
            ]
            for kind, devices in rows.items()
        }
        ports = {"keys": here.keys, "synths": here.synths, "through_ports": here.through_ports, "missing": here.missing}
        print(
            as_text({"schema": "heldline.devices/1", **table, **{kind: list(names) for kind, names in ports.items()}})
        )
    else:
        inputs = tuple(f"{number} {one.name} ({one.host})" for number, one in enumerate(here.inputs, start=1))
        outputs = tuple(f"{one.name} ({one.host})" for one in here.outputs)
        told = [f"Microphones: {_names(inputs)}", f"Sound: {_names(outputs)}"]
        told += [f"Keys: {_names(here.keys)}", f"Synths: {_names(here.synths)}"]
        told += [f"{begun(what)}: {do}." for what, do in zip(here.missing, here.missing_next, strict=True)]
        print(fitted("\n".join(told)))
    return 0 if here.inputs or here.outputs or here.keys or here.synths else 3


def _names(names: tuple[str, ...]) -> str:
    return ", ".join(names) or "none"


def _memory() -> Any:
    from trainer.log.devices import DeviceMemory
    from trainer.places import places

    return DeviceMemory(places().devices)
