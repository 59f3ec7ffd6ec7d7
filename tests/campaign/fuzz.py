"""Every reader of scores fed by a fuzzer that sees which lines each input reaches (atheris, Apache 2.0; needs it installed).

An attempt is one fuzzing child of one reader for some seconds, over a corpus of inputs that the campaign keeps beside its results, so
that the next attempt goes on from what was found. Most inputs are changed in the shape of their format (``fuzz_shapes``). A reader may
give a score or a ScoreError with its three parts, and nothing else; a score that was read must have its bars and a digest, and must
survive being written as drill text and read again.
"""

from __future__ import annotations

import importlib.util
import io
import re
import subprocess
import sys
import zipfile
from collections import Counter
from pathlib import Path
from typing import Any

from readers import seeds

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
SMALL_XML = b"""<score-partwise><work><work-title>x</work-title></work>
<part-list><score-part id="P1"><part-name>Alto</part-name></score-part>
</part-list><part id="P1"><measure number="0" implicit="yes"><attributes><divisions>2</divisions><key><fifths>-1</fifths>
<mode>minor</mode></key><time><beats>4</beats><beat-type>4</beat-type></time><transpose><chromatic>-2</chromatic></transpose>
</attributes><note><pitch><step>A</step><octave>4</octave></pitch><duration>2</duration><tie type="start"/><voice>1</voice></note>
</measure><measure number="1"><barline><repeat direction="forward"/></barline><direction><direction-type><words>D.C. al Fine
</words></direction-type><sound tempo="72"/></direction><note><chord/><pitch><step>A</step><alter>1</alter><octave>4</octave>
</pitch><duration>3</duration><type>quarter</type><dot/><tie type="stop"/><time-modification><actual-notes>3</actual-notes>
<normal-notes>2</normal-notes></time-modification><staff>2</staff><lyric><syllabic>begin</syllabic><text>low</text></lyric></note>
<backup><duration>2</duration></backup><forward><duration>1</duration></forward><barline><ending number="1" type="start"/>
<repeat direction="backward"/></barline></measure></part></score-partwise>"""
"""Many kinds of element in few bytes, since a fuzzer leaves long inputs out."""

READERS = {"musicxml": ".musicxml", "mxl": ".mxl", "midi": ".mid", "drill": ".drill", "kern": ".krn", "abc": ".abc"}
SECONDS = 60
LONGEST_INPUT = 3000
SLOWEST_S = 20
MOST_MB = 1500


class Campaign:
    """One minute of one reader an attempt."""

    def __init__(self, scratch: Path) -> None:
        if importlib.util.find_spec("atheris") is None:
            raise SystemExit("this campaign needs atheris: pip install atheris")
        self.scratch, self.count = scratch, 0
        self.inputs: Counter[str] = Counter()
        self.scores: Counter[str] = Counter()
        self.reached: dict[str, int] = {}
        self.corpus = HERE / "results" / "fuzz-corpus"
        for name, content in seeds(scratch).items():
            for reader, ending in READERS.items():
                if name.endswith(ending):
                    self._keep(reader, name, content)
        self._keep("musicxml", "small.musicxml", SMALL_XML)
        packed = io.BytesIO()
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("META-INF/container.xml", '<container><rootfile full-path="a.xml"/></container>')
            archive.writestr("a.xml", SMALL_XML)
        self._keep("mxl", "small.mxl", packed.getvalue())

    def _keep(self, reader: str, name: str, content: bytes) -> None:
        folder = self.corpus / reader
        folder.mkdir(parents=True, exist_ok=True)
        (folder / f"seed-{name}").write_bytes(content)

    def attempt(self, seed: int) -> dict[str, Any]:
        """Fails where a reader breaks, hangs or eats memory; the input is kept and named."""
        reader = sorted(READERS)[seed % len(READERS)]
        limits = (
            f"-max_total_time={SECONDS}",
            f"-max_len={LONGEST_INPUT}",
            f"-timeout={SLOWEST_S}",
            f"-rss_limit_mb={MOST_MB}",
        )
        places = (str(self.corpus / reader), f"-artifact_prefix={self.corpus}/found-{reader}-")
        tally = self.scratch / "tally"
        tally.write_text("0 0\n")
        words = [sys.executable, str(HERE / "fuzz_target.py"), reader, str(tally), *places, *limits, f"-seed={seed}"]
        done = subprocess.run(
            words, cwd=ROOT, capture_output=True, text=True, errors="replace", check=False, timeout=SECONDS * 20
        )
        inputs, scores = (int(word) for word in tally.read_text().split())
        reached = max((int(cov) for cov in re.findall(r"cov: (\d+)", done.stderr)), default=0)
        self.inputs[reader] += inputs
        self.scores[reader] += scores
        self.reached[reader] = max(self.reached.get(reader, 0), reached)
        told: dict[str, Any] = {"reader": reader, "inputs": inputs, "scores": scores, "reached": reached}
        if done.returncode:
            kept = re.findall(r"Test unit written to (\S+)", done.stderr)
            told["failure"] = f"{reader}: {' '.join(kept)} {done.stderr[-1500:]}"
        return told

    def summary(self) -> tuple[list[str], bool]:
        """How many inputs each reader took."""
        lines = [
            f"{count:>9} inputs, {self.scores[name]:>9} gave a score, {self.reached[name]:>5} places reached: {name}"
            for name, count in sorted(self.inputs.items())
        ]
        return [*lines, f"{sum(self.inputs.values()):>9} inputs in all, {sum(self.scores.values())} gave a score"], True
