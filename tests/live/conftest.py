"""Whole live takes through real servers. Each server is private; a singer is a process of its own."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
import servers
from live_stage import Stage


@pytest.fixture
def there() -> None:
    """The servers' programs are installed."""
    missing = [*servers.missing_programs(), *(name for name in ("tmux",) if shutil.which(name) is None)]
    if missing:
        pytest.skip(f"not installed: {', '.join(missing)}")


@pytest.fixture
def stage(there: None, tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Stage]:
    """A "jack" or "pulse" server and a home."""
    kind = request.param
    with getattr(servers, kind)() as server:
        if kind == "pulse":
            conf = Path(server.env["ALSA_CONFIG_PATH"])
            conf.write_text(conf.read_text() + 'pcm.singer_ear { type pulse device "speaker.monitor" }\n')
        yield Stage(server, kind, tmp_path / "home")
