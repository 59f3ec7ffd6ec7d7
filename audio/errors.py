"""What can go wrong with sound, said in three parts: what, where, what to do next."""

from __future__ import annotations


class HeldlineError(Exception):
    """The root of every error that a user can cause.

    Parameters
    ----------
    what : str
        What was wrong, in one sentence without a full stop.
    where : str
        The file, line, word, device or option; empty when there is no place.
    do : str
        The next thing to try.
    """

    exit_status = 2

    def __init__(self, what: str, where: str = "", do: str = "") -> None:
        super().__init__(what)
        self.what = what
        self.where = where
        self.do = do

    def __str__(self) -> str:
        """The whole message, one part a line."""
        return "\n  ".join(part for part in (self.what, self.where, self.do) if part)


class SoundFileError(HeldlineError):
    """A recording that cannot be read or written."""

    exit_status = 4


class SignalError(HeldlineError):
    """Sound that no tracker can work on, such as a negative rate."""

    exit_status = 4


class SettingError(HeldlineError):
    """A number or word outside what is allowed."""

    exit_status = 2


class DeviceError(HeldlineError):
    """A device that is missing or refused."""

    exit_status = 3


class NoDeviceError(DeviceError):
    """A device that is not there, or the library that reaches it: whoever asked says what can be done without."""
