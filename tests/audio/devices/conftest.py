"""Real servers for the tests of devices, each private, each gone at the end of its test."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
import servers


@pytest.fixture
def there() -> None:
    """The servers' programs are installed."""
    missing = servers.missing_programs()
    if missing:
        pytest.skip(f"not installed: {', '.join(missing)}")


@pytest.fixture
def pulse(there: None, monkeypatch: pytest.MonkeyPatch) -> Iterator[servers.Server]:
    with servers.pulse() as server:
        yield servers.reach(server, monkeypatch)


@pytest.fixture
def jack(there: None, monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest) -> Iterator[servers.Server]:
    """jackd; a test may ask for other periods by parametrising this fixture indirectly with keyword tables."""
    with servers.jack(**getattr(request, "param", {})) as server:
        yield servers.reach(server, monkeypatch)


@pytest.fixture
def bare(monkeypatch: pytest.MonkeyPatch) -> Iterator[servers.Server]:
    """The libraries, but no server, no card and no ports."""
    with servers.nothing_there() as server:
        yield servers.reach(server, monkeypatch)
