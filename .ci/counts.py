"""Reads pytest's junit file: prints passed, failed and skipped; names each skip that .ci/allowed-skips.txt does not allow.

Usage: counts.py JUNIT.xml ALLOWED.txt. Prints one line "PASSED FAILED SKIPPED"; skips not allowed count as failed and are named
on stderr.
"""

from __future__ import annotations

import sys
from pathlib import Path

from defusedxml import ElementTree


def allowed(place: Path) -> list[tuple[str, str]]:
    """Start of a test's id and part of its reason, for every line that is not a comment."""
    rows = []
    for line in place.read_text(encoding="utf-8").splitlines():
        if line.strip() and not line.startswith("#"):
            start, _, reason = line.partition("|")
            rows.append((start.strip(), reason.strip()))
    return rows


def main(junit: Path, rules: list[tuple[str, str]]) -> str:
    """Counts as text."""
    passed = failed = skipped = 0
    for case in ElementTree.parse(junit).iter("testcase"):
        name = f"{case.get('classname', '').replace('.', '/')}.py::{case.get('name')}"
        skip = case.find("skipped")
        if case.find("failure") is not None or case.find("error") is not None:
            failed += 1
        elif skip is not None:
            why = f"{skip.get('message', '')} {skip.text or ''}"
            if any(name.startswith(start) and reason in why for start, reason in rules):
                skipped += 1
            else:
                failed += 1
                sys.stderr.write(f"skipped and not in .ci/allowed-skips.txt: {name}: {skip.get('message')}\n")
        else:
            passed += 1
    return f"{passed} {failed} {skipped}"


if __name__ == "__main__":
    sys.stdout.write(main(Path(sys.argv[1]), allowed(Path(sys.argv[2]))) + "\n")
