"""What a user installs: licences, bounds, names, and what lies inside the wheel.

Sources: licence words are SPDX identifiers (spdx.org/licenses) and trove classifiers (pypi.org/classifiers); requirement
strings are PEP 508, read by the ``packaging`` library.
"""

from __future__ import annotations

import importlib.metadata as metadata
import re
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest
from packaging.requirements import Requirement

ROOT = Path(__file__).resolve().parents[1]
GPL = re.compile(r"(?<!L)(?<!Lesser )\bA?GPL|GNU (?:Affero )?General Public|\bAGPL", re.IGNORECASE)
LGPL = re.compile(r"LGPL|GNU (?:Lesser|Library) General Public", re.IGNORECASE)
GCC_RUNTIME = re.compile(r"GPL-3\.0[\w.-]* WITH GCC-exception-3\.1")

LGPL_ALLOWED = {"soxr"}
"""Sound libraries under the LGPL that we use as they are and link dynamically, so that a user may replace them."""


def project() -> dict[str, object]:
    with open(ROOT / "pyproject.toml", "rb") as opened:
        found: dict[str, object] = tomllib.load(opened)["project"]
    return found


def wanted(requirements: list[str]) -> list[Requirement]:
    return [Requirement(text) for text in requirements]


def canonical(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def run_time_distributions() -> dict[str, metadata.Distribution]:
    """Everything that comes along with a plain install, by canonical name."""
    found: dict[str, metadata.Distribution] = {}
    todo = wanted(project()["dependencies"])  # type: ignore[arg-type]
    while todo:
        requirement = todo.pop()
        name = canonical(requirement.name)
        if name in found or (requirement.marker and not requirement.marker.evaluate({"extra": ""})):
            continue
        found[name] = metadata.distribution(requirement.name)
        todo += wanted(found[name].requires or [])
    return found


def licence_words(distribution: metadata.Distribution) -> str:
    """Expression and classifiers; the free field too, unless it is a whole licence text (then classifiers must speak)."""
    told = distribution.metadata
    words = [told.get("License-Expression") or ""]
    words += [line for line in told.get_all("Classifier") or [] if line.startswith("License ::")]
    free = told.get("License") or ""
    if len(free) < 200:
        words.append(free)
    return GCC_RUNTIME.sub("", " | ".join(word for word in words if word))


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> zipfile.ZipFile:
    folder = tmp_path_factory.mktemp("wheel")
    done = subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    (built,) = folder.glob("*.whl")
    return zipfile.ZipFile(built)


def test_the_words_that_tell_a_gpl_licence_tell_it_from_the_lesser_one() -> None:
    for text in ("GPL-3.0-or-later", "GNU General Public License v3 (GPLv3)", "AGPL-3.0", "GNU GPL v2"):
        assert GPL.search(text), text
    for text in ("LGPL-2.1-or-later", "GNU Lesser General Public License v3 (LGPLv3)", "MIT", "BSD-3-Clause"):
        assert not GPL.search(text), text


def test_no_gpl_library_comes_along_at_run_time() -> None:
    found = run_time_distributions()
    assert len(found) > 10, "the walk ended too early to prove anything"
    told = {name: licence_words(distribution) for name, distribution in found.items()}
    assert not [name for name, words in told.items() if not words], "a dependency without a licence"
    assert not {name: words for name, words in told.items() if GPL.search(words)}


def test_lesser_gpl_is_used_only_where_it_is_named() -> None:
    lesser = {name for name, found in run_time_distributions().items() if LGPL.search(licence_words(found))}
    assert lesser == LGPL_ALLOWED & set(run_time_distributions())


def test_praat_stays_among_the_tests() -> None:
    # praat-parselmouth is GPL-3.0-or-later: it measures us from outside and never ships
    assert "praat-parselmouth" not in run_time_distributions()
    assert GPL.search(licence_words(metadata.distribution("praat-parselmouth")))


def test_nothing_else_installed_provides_our_top_level_names() -> None:
    providers = metadata.packages_distributions()
    for name in ("audio", "trainer"):
        assert set(providers.get(name, [])) <= {"heldline"}, name


def test_every_dependency_has_a_lower_and_an_upper_bound() -> None:
    told = project()
    extras: dict[str, list[str]] = told["optional-dependencies"]  # type: ignore[assignment]
    rows = wanted(told["dependencies"]) + [r for extra in extras.values() for r in wanted(extra)]  # type: ignore[arg-type]
    assert len(rows) > 15
    for requirement in rows:
        operators = {specifier.operator for specifier in requirement.specifier}
        assert operators & {">=", "==", "~="}, f"{requirement} has no lower bound"
        assert operators & {"<", "==", "~="}, f"{requirement} has no upper bound"


def test_ci_installs_an_exact_version_of_all_that_we_name() -> None:
    lines = (ROOT / ".ci" / "constraints.txt").read_text().splitlines()
    pins = {canonical(line.split("==")[0]): line for line in lines if line and not line.startswith("#")}
    assert all("==" in line for line in pins.values())
    told = project()
    extras: dict[str, list[str]] = told["optional-dependencies"]  # type: ignore[assignment]
    for requirement in wanted(told["dependencies"]) + wanted(extras["test"]):  # type: ignore[arg-type]
        pin = pins[canonical(requirement.name)]
        assert requirement.specifier.contains(pin.split("==")[1], prereleases=True), pin


def test_the_wheel_holds_every_drill_and_every_module(wheel: zipfile.ZipFile) -> None:
    inside = set(wheel.namelist())
    drills = [path for path in (ROOT / "drills").rglob("*") if path.is_file()]
    assert any(path.suffix == ".drill" for path in drills)
    for path in drills:
        assert f"trainer/_drills/{path.relative_to(ROOT / 'drills').as_posix()}" in inside
    for package in ("audio", "trainer"):
        for path in (ROOT / package).rglob("*.py"):
            assert path.relative_to(ROOT).as_posix() in inside


def test_the_wheel_brings_nothing_at_the_top_but_our_two_packages(wheel: zipfile.ZipFile) -> None:
    tops = {name.split("/")[0] for name in wheel.namelist()}
    assert {top for top in tops if not top.endswith(".dist-info")} == {"audio", "trainer"}
    assert not [name for name in wheel.namelist() if name.endswith((".wav", ".flac", ".mp3", ".sf2", ".pyc"))]


def test_the_wheel_carries_the_licences_it_names(wheel: zipfile.ZipFile) -> None:
    licences = [name for name in wheel.namelist() if "/licenses/" in name]
    texts = {name: wheel.read(name).decode() for name in licences}
    assert any(name.endswith("trainer/LICENSE") and "MIT License" in text for name, text in texts.items())
    assert any(name.endswith("drills/LICENSE") and "CC0" in text for name, text in texts.items())
    (told,) = [name for name in wheel.namelist() if name.endswith(".dist-info/METADATA")]
    assert "License-Expression: MIT AND CC0-1.0" in wheel.read(told).decode()


def test_the_command_is_in_the_wheel(wheel: zipfile.ZipFile) -> None:
    (entry,) = [name for name in wheel.namelist() if name.endswith("entry_points.txt")]
    assert "heldline = trainer.cli:run" in wheel.read(entry).decode()
