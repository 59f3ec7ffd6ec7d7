"""What a link to keys and to a synth is, whoever stands behind it; and pretended ones for machines without any."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from types import TracebackType
from typing import Protocol, Self


@dataclass(frozen=True, slots=True)
class KeyMoved:
    """One key went down or came up.

    Parameters
    ----------
    at_seconds : float
        ``time.perf_counter`` at which the message arrived.
    midi : int
        0 to 127; 60 is middle C.
    velocity : int
        1 to 127 when it went down, 0 when it came up.
    channel : int
        0 to 15.
    forced : bool
        The keyboard never said so: it was unplugged, closed or told all notes off while the key was down.
    """

    at_seconds: float
    midi: int
    velocity: int
    channel: int = 0
    forced: bool = False

    @property
    def down(self) -> bool:
        """Whether the key went down."""
        return self.velocity > 0


class KeysLink(Protocol):
    """An open keyboard. A context manager; leaving it closes."""

    @property
    def name(self) -> str:
        """The port's name."""
        ...

    @property
    def alive(self) -> bool:
        """False for good once the keyboard was unplugged."""
        ...

    def read(self) -> list[KeyMoved]:
        """All that moved since the last call, in order, without waiting. Keys still down when it vanishes come up, forced."""
        ...

    def close(self) -> None:
        """Let the port go. May be called twice; a last ``read`` gives the keys that were still down."""
        ...

    def __enter__(self) -> Self: ...

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None: ...


class SynthLink(Protocol):
    """An open synth. A context manager; leaving it silences every note that this link began."""

    @property
    def name(self) -> str:
        """The port's name."""
        ...

    def note_on(self, midi: int, velocity: int, channel: int = 0) -> None:
        """A note begins. Raises DeviceError when the synth is gone."""
        ...

    def note_off(self, midi: int, channel: int = 0) -> None:
        """A note ends."""
        ...

    def program(self, number: int, channel: int = 0) -> None:
        """Choose the instrument, 0 to 127."""
        ...

    def silence(self) -> None:
        """End every note at once."""
        ...

    def close(self) -> None:
        """Silence and let the port go. May be called twice."""
        ...

    def __enter__(self) -> Self: ...

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None: ...


class FakeKeys:
    """A KeysLink that is told what was pressed."""

    name = "pretend keys"

    def __init__(self, moves: Iterable[KeyMoved] = ()) -> None:
        self.alive = True
        self._waiting = list(moves)

    def press(self, *moves: KeyMoved) -> None:
        """These arrive now."""
        self._waiting += moves

    def read(self) -> list[KeyMoved]:
        """As ``KeysLink.read``."""
        found, self._waiting = self._waiting, []
        return found

    def close(self) -> None:
        """Nothing is held."""
        self.alive = False

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()
