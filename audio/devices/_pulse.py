"""Whether PulseAudio has put our stream on another microphone because its own is gone.

A microphone that is pulled out does not end the stream: the server moves it to whatever listens next, a laptop's own microphone or
even what the loudspeaker plays, and tells nobody who came through ALSA. So the server itself is asked now and then which source each of
our streams hears, and whether that one is still there. A stream that left one that is still there was moved by hand, and from then on that
is its microphone. Without libpulse, or with no such server, nothing is watched.

Lives in the child process: the standard library only. Structures and calls: the PulseAudio client API, pulse/introspect.h.
"""

from __future__ import annotations

import ctypes
import os
import sys
import time
from collections.abc import Callable
from typing import Any

ASK_SECONDS = 0.1
"""Until it is noticed that the stream was moved, another microphone's sound is taken for this one's."""

READY, FAILED = 4, 5
NO_AUTOSPAWN = 1
NO_ENTITY = 5
MOST_STEPS = 200
"""Of the server's messages worked off in one look."""


class _StreamInfo(ctypes.Structure):
    """pa_source_output_info as far as it is needed."""

    _fields_ = (
        ("index", ctypes.c_uint32),
        ("name", ctypes.c_char_p),
        ("owner_module", ctypes.c_uint32),
        ("client", ctypes.c_uint32),
        ("source", ctypes.c_uint32),
        ("sample_spec", ctypes.c_uint32 * 3),
        ("channel_map", ctypes.c_uint32 * 33),
        ("buffer_usec", ctypes.c_uint64),
        ("source_usec", ctypes.c_uint64),
        ("resample_method", ctypes.c_char_p),
        ("driver", ctypes.c_char_p),
        ("proplist", ctypes.c_void_p),
    )


class _SourceInfo(ctypes.Structure):
    """pa_source_info as far as it is needed."""

    _fields_ = (("name", ctypes.c_char_p), ("index", ctypes.c_uint32))


_STREAM_TOLD = ctypes.CFUNCTYPE(None, ctypes.c_void_p, ctypes.POINTER(_StreamInfo), ctypes.c_int, ctypes.c_void_p)
_SOURCE_TOLD = ctypes.CFUNCTYPE(None, ctypes.c_void_p, ctypes.POINTER(_SourceInfo), ctypes.c_int, ctypes.c_void_p)


class SourceWatch:
    """Asks about the streams of this process, without waiting."""

    def __init__(self) -> None:
        self._own: dict[int, int] = {}
        self._now: dict[int, int] = {}
        self._asked_at = 0.0
        self._open_questions = 0
        self._gone = False
        self._library: Any = None
        self._context: Any = None
        # kept, or they would be gone when the server answers
        self._on_stream, self._on_source = _STREAM_TOLD(self._stream_told), _SOURCE_TOLD(self._source_told)
        if sys.platform == "linux":
            self._connect()

    def gone(self) -> bool:
        """Whether the microphone of a stream is there no more; False where nobody knows."""
        if self._context is None or self._gone:
            return self._gone
        for _ in range(MOST_STEPS):
            if self._library.pa_mainloop_iterate(self._loop, 0, None) <= 0:
                break
        state = self._library.pa_context_get_state(self._context)
        if state >= FAILED:
            self._context = None
        elif state == READY and not self._open_questions and time.monotonic() - self._asked_at > ASK_SECONDS:
            self._asked_at = time.monotonic()
            self._ask(self._library.pa_context_get_source_output_info_list, self._on_stream)
        return self._gone

    def _connect(self) -> None:
        try:
            library: Any = ctypes.CDLL("libpulse.so.0")
        except OSError:
            return
        for name in ("pa_mainloop_new", "pa_mainloop_get_api", "pa_context_new", "pa_proplist_gets"):
            getattr(library, name).restype = ctypes.c_void_p
        for name in ("pa_context_get_source_output_info_list", "pa_context_get_source_info_by_index"):
            getattr(library, name).restype = ctypes.c_void_p
        library.pa_proplist_gets.restype = ctypes.c_char_p
        self._library = library
        self._loop = ctypes.c_void_p(library.pa_mainloop_new())
        api = ctypes.c_void_p(library.pa_mainloop_get_api(self._loop))
        context = ctypes.c_void_p(library.pa_context_new(api, b"heldline"))
        if library.pa_context_connect(context, None, NO_AUTOSPAWN, None) >= 0:
            self._context = context

    def _ask(self, call: Callable[..., Any], *more: Any) -> None:
        operation = call(self._context, *more, None)
        if operation:
            self._open_questions += 1
            self._library.pa_operation_unref(ctypes.c_void_p(operation))

    def _stream_told(self, _context: Any, info: Any, end: int, _: Any) -> None:
        if end:
            self._open_questions -= 1
            return
        stream = info.contents
        process = self._library.pa_proplist_gets(ctypes.c_void_p(stream.proplist), b"application.process.id")
        if process != str(os.getpid()).encode():
            return
        self._now[stream.index] = stream.source
        own = self._own.setdefault(stream.index, stream.source)
        if own != stream.source:  # moved: by hand, or since its own is gone
            self._ask(self._library.pa_context_get_source_info_by_index, ctypes.c_uint32(own), self._on_source)

    def _source_told(self, _context: Any, info: Any, end: int, _: Any) -> None:
        if end:
            self._open_questions -= 1
            self._gone = self._gone or (end < 0 and self._library.pa_context_errno(self._context) == NO_ENTITY)
            return
        there = info.contents.index
        for stream in [stream for stream, own in self._own.items() if own == there]:
            self._own[stream] = self._now[stream]
