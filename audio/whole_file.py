"""Sound written to a file whole or not at all: into a neighbour first, renamed when the last byte is on the disk."""

from __future__ import annotations

import contextlib
import errno
import os
import secrets
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

import numpy as np

from audio.block import Samples
from audio.errors import SettingError, SignalError, SoundFileError

FORMATS = {".wav": "WAV", ".flac": "FLAC"}
SUBTYPES = {16: "PCM_16", 24: "PCM_24"}


def write_pieces(
    path: str | os.PathLike[str],
    pieces: Iterable[Samples],
    rate_hz: int,
    *,
    channel_count: int,
    bits: int = 16,
    tags: Mapping[str, str] | None = None,
) -> int:
    """Write tables of shape (n, *channel_count*) one after another to a .wav or .flac file; returns the frames written.

    Samples beyond -1 and 1 are held at the edge. An existing file stays as it was until the new one is complete. *tags* are what a
    player shows, by soundfile's own names: title, artist, album, tracknumber, comment.

    Raises
    ------
    SoundFileError
        A folder in the way, no such folder, no permission, a full disk. Nothing half-written is left.
    SettingError
        An ending other than .wav or .flac, or bits other than 16 and 24.
    SignalError
        A sample that is not a number.
    """
    named = Path(path)
    kind = FORMATS.get(named.suffix.lower())
    if kind is None:
        raise SettingError("sound is written as .wav or .flac", str(named), "end the name in one of these")
    if bits not in SUBTYPES:
        raise SettingError(f"sound is not written in {bits} bits", str(named), "choose 16 or 24")
    with _neighbour(named) as part:
        written = _encode(part, pieces, rate_hz, channel_count, kind, SUBTYPES[bits], tags or {})
        _settled(part, written)
    return written


def write_whole(path: str | os.PathLike[str], content: bytes) -> None:
    """Write bytes to a file, whole or not at all. Raises SoundFileError as :func:`write_pieces` does."""
    with _neighbour(Path(path)) as part, open(part, "wb") as opened:
        opened.write(content)
        opened.flush()
        os.fsync(opened.fileno())


@contextlib.contextmanager
def _neighbour(named: Path) -> Iterator[Path]:
    """An empty file beside *named* to be written, which takes its place when all went well and is gone when it did not."""
    place = _free_place(named)
    part = place.with_name(f".{place.name[:40]}.{secrets.token_hex(4)}.part")
    try:
        with open(part, "xb"):
            pass
        yield part
        os.replace(part, place)
    except OSError as err:
        raise _told(err, named) from err
    finally:
        with contextlib.suppress(OSError):  # gone already, or never made
            part.unlink()


def _encode(
    part: Path,
    pieces: Iterable[Samples],
    rate_hz: int,
    channel_count: int,
    kind: str,
    subtype: str,
    tags: Mapping[str, str],
) -> int:
    """Write to *part* and give the frames written. Raises OSError as soon as the disk takes no more."""
    import soundfile

    # libsndfile gets a name, not a Python file: an interruption raised inside its callbacks would be lost
    named = os.fsencode(part) if os.name == "posix" else str(part)
    written = 0
    try:
        with soundfile.SoundFile(
            named, "w", samplerate=rate_hz, channels=channel_count, format=kind, subtype=subtype
        ) as sound:
            for name, text in tags.items():
                setattr(sound, name, text)
            for piece in pieces:
                if not np.all(np.isfinite(piece)):
                    raise SignalError("a sample of the sound to be written is not a number")
                sound.write(piece)  # soundfile holds what is too loud at the edge
                written += len(piece)
    except (soundfile.LibsndfileError, AssertionError) as err:  # soundfile asserts that all frames were taken
        raise _why(part) from err
    return written


def _settled(part: Path, written: int) -> None:
    """Make sure that the last frame is really on the disk: closing an encoder does not say when it could not write."""
    import soundfile

    with open(part, "rb+") as opened:
        os.fsync(opened.fileno())
    try:
        with soundfile.SoundFile(os.fsencode(part) if os.name == "posix" else str(part)) as sound:
            if sound.frames == written and (written == 0 or (sound.seek(written - 1) >= 0 and len(sound.read(2)) == 1)):
                return
    except soundfile.LibsndfileError as err:
        raise _why(part) from err
    raise _why(part)


def _why(part: Path) -> OSError:
    """The disk's own reason for taking no more, found by asking it for a little more."""
    try:
        with open(part, "ab") as opened:
            opened.write(bytes(1 << 16))
            opened.flush()
            os.fsync(opened.fileno())
    except OSError as err:
        return err
    return OSError(errno.EIO, "the encoder stopped")


def _free_place(named: Path) -> Path:
    """Where the file really goes, a link followed. Anything but an ordinary writable file is refused."""
    try:
        place = Path(os.path.realpath(named))
        if place.is_dir():
            raise SoundFileError("there is a folder of this name", str(named), "choose another name")
        if place.exists() and not place.is_file():
            raise SoundFileError("this is not an ordinary file", str(named), "choose another name")
        if place.exists() and not os.access(place, os.W_OK):
            raise SoundFileError("this file may not be changed", str(named), "choose another name")
    except (OSError, ValueError) as err:  # ValueError: a zero byte in the name
        raise SoundFileError(f"this file cannot be written: {err}", repr(str(named)), "choose another name") from err
    return place


def _told(err: OSError, named: Path) -> SoundFileError:
    if err.errno in (errno.ENOSPC, errno.EDQUOT):
        return SoundFileError("the disk is full; nothing was written", str(named), "make room or choose another disk")
    if isinstance(err, (FileNotFoundError, NotADirectoryError)):
        return SoundFileError("there is no such folder", str(named.parent), "make the folder first")
    if isinstance(err, PermissionError) or err.errno == errno.EROFS:
        return SoundFileError("this folder may not be written to", str(named.parent), "choose another folder")
    if err.errno == errno.EFBIG:
        return SoundFileError("the file would grow larger than this system allows", str(named), "write less at once")
    return SoundFileError(f"the sound cannot be written: {err.strerror or err}", str(named), "choose another place")
