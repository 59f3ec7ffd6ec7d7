"""What a sound link is, whoever stands behind it: a child process with PortAudio, or arrays under a hand clock."""

from __future__ import annotations

from dataclasses import dataclass
from types import TracebackType
from typing import Protocol, Self

from audio.block import Block, Samples
from audio.devices._rings import HIGHEST_RATE_HZ
from audio.errors import SettingError


@dataclass(frozen=True, slots=True)
class SoundWish:
    """What is wanted of the devices.

    Parameters
    ----------
    input_name, output_name : str or None
        Devices by name; None is the system's own choice.
    input_number : int or None
        Instead of a name, for two devices that are called alike: which of the inputs, from 1, as they are listed.
    rate_hz : int or None
        None takes what the devices prefer.
    block_frames : int or None
        Frames a callback; None takes what the server prefers. Blocks may come ragged either way.
    channels_in, channels_out : int
        0 leaves a direction out; not both.
    latency_seconds : float or None
        What each direction may buffer; None asks for the driver's safe value. Ask for little only where keys are to sound at once.
    ceiling_dbfs : float
        No sample leaves above it.
    fade_in_seconds : float
        The first sound that leaves rises from nothing for so long.
    """

    input_name: str | None = None
    output_name: str | None = None
    rate_hz: int | None = None
    block_frames: int | None = None
    channels_in: int = 1
    channels_out: int = 2
    latency_seconds: float | None = None
    ceiling_dbfs: float = -1.0
    fade_in_seconds: float = 0.25
    input_number: int | None = None

    def __post_init__(self) -> None:
        """Refuse what no device has. Raises SettingError."""
        if self.channels_in < 0 or self.channels_out < 0 or self.channels_in + self.channels_out == 0:
            raise SettingError("a link needs at least one channel", "", "ask for a microphone or a loudspeaker")
        if self.rate_hz is not None and not 4_000 <= self.rate_hz <= HIGHEST_RATE_HZ:
            raise SettingError(f"a rate of {self.rate_hz} Hz is not possible", "", "give 44100 or 48000")
        if self.block_frames is not None and not 16 <= self.block_frames <= 8_192:
            raise SettingError(f"blocks of {self.block_frames} frames are not possible", "", "give 16 to 8192")


@dataclass(frozen=True, slots=True)
class Flags:
    """What went wrong on a link so far; every count starts at 0.

    Parameters
    ----------
    callbacks : int
    overflows : int
        Callbacks before which the driver dropped input, and times at which we read too late.
    underflows : int
        Callbacks for which the driver had to invent output.
    lost_frames : int
        Frames missing on the axis; each stands in the ``lost_frames_before`` of a Block as well.
    late_frames : int
        Frames given to ``play`` after their time; they did not sound.
    last_flagged_frame : int or None
        Where the latest of all that happened. From there on the round trip is not known until it is confirmed.
    """

    callbacks: int = 0
    overflows: int = 0
    underflows: int = 0
    lost_frames: int = 0
    late_frames: int = 0
    last_flagged_frame: int | None = None

    @property
    def xruns(self) -> int:
        """Overflows and underflows together."""
        return self.overflows + self.underflows


class SoundLink(Protocol):
    """An open pair of devices, one of them perhaps absent. A context manager; leaving it closes."""

    @property
    def rate_hz(self) -> int:
        """Frames a second of the axis."""
        ...

    @property
    def block_frames(self) -> int:
        """Frames of a usual callback."""
        ...

    @property
    def channels_in(self) -> int:
        """Microphones; the channels "mic1", "mic2" ... of a Block."""
        ...

    @property
    def channels_out(self) -> int:
        """Outputs; the channels "played1", "played2" ... of a Block."""
        ...

    @property
    def input_name(self) -> str:
        """The device that listens; "" when there is none."""
        ...

    @property
    def output_name(self) -> str:
        """The device that sounds; "" when there is none."""
        ...

    @property
    def reported_round_trip_frames(self) -> int | None:
        """What the driver says of its own delay, out and in, or its one way; a hint. None when it says nothing that can be."""
        ...

    @property
    def alive(self) -> bool:
        """Whether callbacks still come. False for good once a device or server has vanished, within a second."""
        ...

    @property
    def trouble(self) -> str:
        """Why it is not alive, in a sentence; "" while it is."""
        ...

    def write_until(self) -> int:
        """First frame of output that can still be written in time."""
        ...

    def play(self, start_frame: int, samples: Samples) -> int:
        """Lay sound on the axis; later calls replace earlier ones.

        Parameters
        ----------
        start_frame : int
        samples : float32 array, shape (n, channels_out), in [-1, 1]

        Returns
        -------
        int
            Frames that came too late. Raises ValueError when the sound reaches further ahead than ``room_frames``.
        """
        ...

    @property
    def room_frames(self) -> int:
        """How far ahead of ``write_until`` sound may be laid."""
        ...

    def read(self) -> list[Block]:
        """All that was heard and played since the last call, in order, without waiting; [] when nothing is new."""
        ...

    def flags(self) -> Flags:
        """The counts now."""
        ...

    def close(self) -> None:
        """Let the devices go. Never hangs, may be called twice."""
        ...

    def __enter__(self) -> Self: ...

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None: ...


def channel_names(channels_in: int, channels_out: int) -> tuple[str, ...]:
    """Names of a Block's channels in order."""
    heard = tuple(f"mic{number + 1}" for number in range(channels_in))
    return heard + tuple(f"played{number + 1}" for number in range(channels_out))
