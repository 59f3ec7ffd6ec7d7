"""What can go wrong with music and settings. Each message has three parts: what, where, what to do next."""

from __future__ import annotations

from audio.errors import DeviceError, HeldlineError, NoDeviceError, SettingError, SoundFileError

__all__ = [
    "DeviceError",
    "HeldlineError",
    "LogError",
    "NoDeviceError",
    "ScoreError",
    "SettingError",
    "SoundFileError",
]


class ScoreError(HeldlineError):
    """A file that is unreadable or not an exercise."""

    exit_status = 4


class LogError(HeldlineError):
    """The store of takes cannot be read or written."""

    exit_status = 4
