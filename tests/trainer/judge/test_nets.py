"""Every part of the judge on many small cases about its limits, each as it was (regression). What limits mean, the parts' tests ask.

``python tests/trainer/judge/test_nets.py`` writes the digests anew after a verdict was changed on purpose.
"""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

if __name__ == "__main__":
    ROOT = Path(__file__).resolve().parents[3]
    sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

from nets import KEPT, Net, nets

ALL = nets()


@pytest.mark.parametrize("net", ALL, ids=[net.name for net in ALL])
def test_every_case_is_judged_as_it_was(net: Net) -> None:
    kept = dict(row.split(": ") for row in KEPT.read_text(encoding="utf-8").splitlines())
    assert " ".join(net.digests()) == kept[net.name]


def test_every_file_of_the_judge_has_a_net() -> None:
    judge = Path(__file__).resolve().parents[3] / "trainer" / "judge"
    files = {path.stem for path in judge.rglob("*.py") if path.stem != "__init__"}
    assert {name for net in ALL for name in net.looks_at} == files


if __name__ == "__main__":
    KEPT.write_text("".join(net.row() + "\n" for net in ALL), encoding="utf-8")
