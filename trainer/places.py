"""Where heldline keeps things: settings, takes, what is under way. Nothing is ever kept in the working folder.

``HELDLINE_HOME`` puts everything under one folder; else the system's own places hold (XDG Base Directory on Linux, through
platformdirs). Paths are made here, folders only by whoever writes.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

HOME_VARIABLE = "HELDLINE_HOME"


@dataclass(frozen=True, slots=True)
class Places:
    """Every path that heldline writes to, or reads without being given it.

    Parameters
    ----------
    settings : Path
        The user's settings, TOML.
    project_settings : Path
        Settings of the working folder, read when there are any.
    takes : Path
        The database of takes.
    sound : Path
        Folder of recordings that the user asked to be kept.
    running : Path
        Folder of takes under way, and of takes that wait for the database.
    unkept : Path
        Folder of what is not to be kept, private and gone with its program.
    devices : Path
        Devices used last and their delays.
    singer : Path
        In which octave each part was sung last.
    weights : Path
        What the takes kept here say of how hard each kind of thing is.
    compiled : Path
        Folder of machine code, made by this program and made anew where it is missing.
    """

    settings: Path
    project_settings: Path
    takes: Path
    sound: Path
    running: Path
    unkept: Path
    devices: Path
    singer: Path
    weights: Path
    compiled: Path


def places() -> Places:
    """All paths, as the surroundings stand now."""
    config, data, state, cache = _folders()
    return Places(
        settings=config / "settings.toml",
        project_settings=Path("heldline.toml"),
        takes=data / "takes.db",
        sound=data / "sound",
        running=state / "running",
        unkept=state / "unkept",
        devices=state / "devices.json",
        singer=state / "singer.json",
        weights=state / "weights.json",
        compiled=cache / "compiled",
    )


def _folders() -> tuple[Path, Path, Path, Path]:
    home = os.environ.get(HOME_VARIABLE)
    if home:
        base = Path(home).expanduser().absolute()
        return base, base, base, base
    import platformdirs

    return (
        Path(platformdirs.user_config_dir("heldline", appauthor=False)),
        Path(platformdirs.user_data_dir("heldline", appauthor=False)),
        Path(platformdirs.user_state_dir("heldline", appauthor=False)),
        Path(platformdirs.user_cache_dir("heldline", appauthor=False)),
    )
