"""Recordings that libsndfile does not read (M4A and other MP4, AAC, Matroska), through a decoder of the system.

audioread hands the file to Core Audio, GStreamer or the ffmpeg program, whichever there is. The kind is told by the
file's first bytes and never by trial, so that no decoder is let loose on a text file.

Sources: ISO/IEC 14496-12 (a file-type box names itself "ftyp" at byte 4), ISO/IEC 13818-7 (ADTS sync word, layer
bits 0), RFC 8794 (EBML header 1A 45 DF A3).
"""

from __future__ import annotations

import warnings
from pathlib import Path
from types import TracebackType
from typing import Any

import numpy as np

from audio.block import Samples
from audio.errors import SoundFileError

TURN = "turn it into WAV or FLAC, or install ffmpeg"


def looks_foreign(place: Path) -> bool:
    """Whether the file's first bytes are those of MP4, ADTS AAC or Matroska."""
    with open(place, "rb") as opened:
        head = opened.read(12)
    adts = len(head) > 1 and head[0] == 0xFF and head[1] & 0xF6 == 0xF0
    return head[4:8] == b"ftyp" or adts or head[:4] == b"\x1a\x45\xdf\xa3"


class ForeignSound:
    """An open foreign recording with the few attributes of ``soundfile.SoundFile`` that reading needs.

    Raises
    ------
    SoundFileError
        When the system has no decoder for it or the decoder gives up.
    """

    def __init__(self, place: Path) -> None:
        self._place = place
        with warnings.catch_warnings():  # audioread imports modules that Python has put on notice
            warnings.simplefilter("ignore", DeprecationWarning)
            try:
                import audioread  # type: ignore[import-untyped]
            except ImportError as err:
                raise self._error("this system has no decoder for this kind of recording") from err
            self._failures = (audioread.DecodeError, OSError, EOFError)
            try:
                # an absolute name, so that no part of it is taken for a protocol or an option
                self._opened: Any = audioread.audio_open(str(place.resolve()))
            except audioread.NoBackendError as err:
                raise self._error("this system cannot decode this recording") from err
            except self._failures as err:
                raise self._error("this recording cannot be decoded") from err
        self.samplerate = int(self._opened.samplerate)
        self.channels = int(self._opened.channels)
        self.frames = round(float(self._opened.duration) * self.samplerate)
        self._buffers = iter(self._opened)
        self._rest = b""

    def read(self, frames: int, *, dtype: str = "float32", always_2d: bool = True) -> Samples:
        """Read *frames* rows, fewer only at the end: float32, shape (n, channels).

        *dtype* and *always_2d* stand there because soundfile has them; only these values are served.
        """
        wanted = frames * self.channels * 2
        pieces, have = [self._rest], len(self._rest)
        try:
            while have < wanted:
                piece = next(self._buffers, b"")
                if not piece:
                    break
                pieces.append(piece)
                have += len(piece)
        except self._failures as err:
            raise self._error("this recording breaks off") from err
        joined = b"".join(pieces)
        row_bytes = self.channels * 2
        taken = min(wanted, len(joined) - len(joined) % row_bytes)
        self._rest = joined[taken:]
        table = np.frombuffer(joined[:taken], dtype="<i2").reshape(-1, self.channels)
        return table.astype(np.float32) / np.float32(32768.0)

    def __enter__(self) -> ForeignSound:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._opened.close()

    def _error(self, what: str) -> SoundFileError:
        return SoundFileError(what, str(self._place), TURN)
