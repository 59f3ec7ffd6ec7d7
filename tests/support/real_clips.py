"""Two clips of real solo singing, fetched when the tests need them and never kept in the repository.

They lie in the source distribution of basic-pitch 0.4.0 (Apache-2.0, a general audio-to-note library; only its archive is read, it is
not installed): vocadito_10.wav (male, 9.10 s) and vocadito_14.wav (12.20 s) of the vocadito data set, CC BY 4.0, Bittner et al. 2021.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
import tarfile
from pathlib import Path

import platformdirs

RELEASE = "basic-pitch==0.4.0"
CLIPS = {
    "vocadito_10": "0978bde1c130ae26a9cfcd90012f12fdaf9877bbe45cf21c5237ba7ac9b8703b",
    "vocadito_14": "a41e814df6ee5840f0beaea5da2ab3ad6b38be62b169da08962a722bcc06cdd1",
}


class NotFetched(Exception):
    """The clips are not here and cannot be had now."""


def clip(name: str) -> Path:
    """The clip as a WAV file in the user's cache. Raises NotFetched with the reason."""
    folder = Path(platformdirs.user_cache_dir("heldline-tests", appauthor=False))
    place = folder / f"{name}.wav"
    if not _is(place, CLIPS[name]):
        _fetch(folder)
    if not _is(place, CLIPS[name]):
        raise NotFetched(f"{RELEASE} holds another {name}.wav than the one these tests know")
    return place


def _is(place: Path, sha256: str) -> bool:
    return place.is_file() and hashlib.sha256(place.read_bytes()).hexdigest() == sha256


def _fetch(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
        subprocess.run(
            [
                *(sys.executable, "-m", "pip", "download", "--quiet", "--disable-pip-version-check", "--no-deps"),
                *("--no-binary", "basic-pitch", RELEASE, "--dest", str(folder)),
            ],
            check=True,
            capture_output=True,
            text=True,
            timeout=100,
        )
        (archive,) = folder.glob("basic_pitch-*.tar.gz")
        with tarfile.open(archive) as opened:
            for name in CLIPS:
                (member,) = [m for m in opened.getmembers() if m.name.endswith(f"resources/{name}.wav")]
                content = opened.extractfile(member)
                assert content is not None
                part = folder / f".{name}.{os.getpid()}.part"
                part.write_bytes(content.read())
                part.replace(folder / f"{name}.wav")
        archive.unlink()
    except subprocess.CalledProcessError as err:
        raise NotFetched(f"pip: {(err.stderr or '').strip()[-200:]}") from err
    except (OSError, subprocess.TimeoutExpired, tarfile.TarError, ValueError) as err:
        raise NotFetched(str(err)) from err
