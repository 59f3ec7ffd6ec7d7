"""One table a kind of thing; adding a thing is adding a file. Used by both packages."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterator
from typing import Generic, TypeVar

T = TypeVar("T")


class Registry(Generic[T]):
    """Members by key, each registered by the module that holds it.

    Loading is explicit, so importing a package has no side effects. Two members with one key are a bug and are refused.
    """

    def __init__(self, kind: str) -> None:
        self.kind = kind
        self._members: dict[str, tuple[T, str]] = {}

    def add(self, key: str, member: T, module: str) -> T:
        """Register *member*; raises ValueError naming both modules when the key is taken by another."""
        if key in self._members and self._members[key][1] != module:
            raise ValueError(f"two of {self.kind} are called {key}: {self._members[key][1]} and {module}")
        self._members[key] = (member, module)
        return member

    def load(self, package: str) -> Registry[T]:
        """Import the package's public modules in name order, so that each can register."""
        where = importlib.import_module(package)
        for info in sorted(pkgutil.iter_modules(where.__path__), key=lambda info: info.name):
            if not info.name.startswith("_"):
                importlib.import_module(f"{package}.{info.name}")
        return self

    def __getitem__(self, key: str) -> T:
        if key not in self._members:
            raise KeyError(f"no {self.kind} is called {key}; there are {', '.join(sorted(self._members))}")
        return self._members[key][0]

    def __contains__(self, key: object) -> bool:
        return key in self._members

    def __iter__(self) -> Iterator[str]:
        return iter(sorted(self._members))

    def __len__(self) -> int:
        return len(self._members)
