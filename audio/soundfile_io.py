"""Recordings in and out: blocks of one channel read as they come, sound written whole or not at all.

WAV, FLAC, OGG and MP3 (and what else libsndfile knows) are read by python-soundfile; MP4/M4A, AAC and Matroska
through ``audio.foreign`` where the system has a decoder. Whatever is wrong with a file becomes one ``SoundFileError``.

A file of several channels becomes one by this rule: channels that are digital silence from end to end are left out; the
mean of the others is taken; where they nearly cancel (one side wired the wrong way round) the loudest one is taken.
Samples that are not numbers are passed on: what to make of them is the tracker's to say.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from audio.block import Block, Samples
from audio.errors import SoundFileError
from audio.foreign import ForeignSound, looks_foreign
from audio.quiet import quiet_stderr
from audio.whole_file import write_pieces

__all__ = ["read_blocks", "sound_length_seconds", "write_pieces", "write_sound"]

LOWEST_RATE_HZ, HIGHEST_RATE_HZ = 8_000, 384_000
"""Telephone sound to the fastest studio converters; what lies outside is a broken header or holds no usable voice."""

LISTEN_SECONDS = 10
"""How much sound with every channel awake is enough to tell whether the channels cancel."""

CANCELS_BELOW = 0.1
"""A tenth of the power that the mean of unrelated channels has: stereo of one singer stays far above, opposite wiring
far below."""

READ_AS = "give a WAV, FLAC, OGG or MP3 recording"


def read_blocks(
    path: str | os.PathLike[str], *, block_frames: int = 16_384, name: str = "mic1", side: int | None = None
) -> Iterator[Block]:
    """Every block of a recording in order, one channel, at the file's own rate. Memory does not grow with its length.

    Parameters
    ----------
    path : path
    block_frames : int > 0
        Frames of every block but the last.
    name : str
        What the channel is called: "mic1", or "played1" for a recording of what our loudspeaker sounded.
    side : int or None
        Take this channel of the file alone, counted from 0; None applies the module's rule.

    Returns
    -------
    iterator of Block
        Nothing at all for a sound file without frames.

    Raises
    ------
    SoundFileError
        At once when the file cannot be opened; while reading when it breaks off in a way its format does not allow.
    """
    if block_frames <= 0:
        raise ValueError(f"blocks of {block_frames} frames are not possible")
    place = _checked(path)
    with _opened(place) as sound:
        rate_hz, count = sound.samplerate, sound.channels
    if not LOWEST_RATE_HZ <= rate_hz <= HIGHEST_RATE_HZ:
        raise SoundFileError(f"a rate of {rate_hz} Hz is not one a voice can be read from", str(place), READ_AS)
    if side is not None and not 0 <= side < count:
        raise SoundFileError(f"there is no channel {side + 1} in a recording of {count}", str(place), "choose another")
    return _blocks(place, block_frames, name, rate_hz, side)


def sound_length_seconds(path: str | os.PathLike[str]) -> float:
    """Length of a recording in seconds, from its header. Raises SoundFileError as ``read_blocks`` does."""
    with _opened(_checked(path)) as sound:
        return float(sound.frames / sound.samplerate)


def write_sound(path: str | os.PathLike[str], samples: Samples, rate_hz: int, *, bits: int = 16) -> None:
    """Write *samples*, shape (n,) or (n, channels), to a .wav or .flac file, whole or not at all.

    Raises
    ------
    SoundFileError
        When the folder, the disk or the file's permission does not allow it; nothing half-written is left.
    SettingError
        For an ending other than .wav or .flac.
    """
    table = samples.reshape(-1, 1) if samples.ndim == 1 else samples
    write_pieces(path, [table], rate_hz, channel_count=table.shape[1], bits=bits)


def _blocks(place: Path, block_frames: int, name: str, rate_hz: int, side: int | None) -> Iterator[Block]:
    kept = [side] if side is not None else _kept_channels(place)
    at = 0
    for table in _tables(place, block_frames):
        mono = _mean(table, kept)
        yield Block(mono.reshape(-1, 1), (name,), at, rate_hz)
        at += len(mono)


def _mean(table: Samples, kept: list[int]) -> Samples:
    if len(kept) == 1:
        return table[:, kept[0]].copy()
    with np.errstate(invalid="ignore", over="ignore"):  # infinities of opposite sign: passed on as not a number
        mono: NDArray[np.float64] = table[:, kept].sum(axis=1, dtype=np.float64)
    return (mono / len(kept)).astype(np.float32)


def _kept_channels(place: Path) -> list[int]:
    """Choose the channels whose mean is taken; reads only until every channel was heard for a while."""
    with _opened(place) as sound:
        count, enough = sound.channels, sound.samplerate * LISTEN_SECONDS
    if count == 1:
        return [0]
    power, cross, awake_frames = np.zeros(count), np.zeros((count, count)), 0
    for table in _tables(place, 65_536):
        finite = np.nan_to_num(np.clip(table, -8.0, 8.0), nan=0.0).astype(np.float64)
        cross += finite.T @ finite
        power += np.any(table != 0, axis=0)
        if np.all(power > 0):
            awake_frames += len(table)
            if awake_frames >= enough:
                break
    kept = [int(index) for index in np.flatnonzero(power)] or [0]
    together = float(cross[np.ix_(kept, kept)].sum()) / len(kept) ** 2
    apart = float(np.trace(cross[np.ix_(kept, kept)])) / len(kept) ** 2
    if together < CANCELS_BELOW * apart:
        return [int(np.argmax(np.diag(cross)))]
    return kept


def _tables(place: Path, block_frames: int) -> Iterator[Samples]:
    """float32 tables of shape (n, channels), n = *block_frames* but for the last."""
    import soundfile

    at = 0
    with _opened(place) as sound:
        while True:
            try:
                with quiet_stderr():  # the MP3 decoder tells of every damaged frame
                    table = sound.read(block_frames, dtype="float32", always_2d=True)
            except soundfile.LibsndfileError as err:
                raise SoundFileError(
                    f"the recording breaks off at {at / sound.samplerate:.1f} s", str(place), "record or copy it again"
                ) from err
            if len(table):
                yield table
            at += len(table)
            if len(table) < block_frames:
                return


def _checked(path: str | os.PathLike[str]) -> Path:
    """*path* when it is a file that may be read."""
    place = Path(path)
    try:
        kind = place.stat().st_mode
        if stat.S_ISDIR(kind):
            raise SoundFileError("this is a folder, not a recording", str(place), "name a file inside it")
        if not stat.S_ISREG(kind):  # before it is opened: a pipe without a writer would wait for ever
            raise SoundFileError("this is not an ordinary file", str(place), "save the sound to a file first")
        with open(place, "rb"):
            pass
    except FileNotFoundError as err:
        raise SoundFileError("there is no such recording", str(place), "check the name and the folder") from err
    except PermissionError as err:
        raise SoundFileError("this recording may not be read", str(place), "ask for the right to read it") from err
    except (OSError, ValueError) as err:  # ValueError: a zero byte in the name
        raise SoundFileError(f"this recording cannot be opened: {err}", repr(str(place)), READ_AS) from err
    return place


def _opened(place: Path) -> Any:
    """Open a file as a context manager with ``samplerate``, ``channels``, ``frames`` and ``read``."""
    import soundfile

    if looks_foreign(place):
        return ForeignSound(place)
    try:
        with quiet_stderr():
            return soundfile.SoundFile(os.fsencode(place) if os.name == "posix" else str(place))
    except (soundfile.LibsndfileError, TypeError, ValueError) as err:  # TypeError: headerless .raw asks for its rate
        raise SoundFileError("this is not a recording that can be read", str(place), READ_AS) from err
