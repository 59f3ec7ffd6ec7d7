"""Changes of a score file that keep its shape, so that a fuzzer gets past the first lines of a reader: elements, tokens, events.

Every change is drawn from a seeded ``random.Random``. What cannot be taken apart is given back as it is; the caller then changes bytes.
"""

from __future__ import annotations

import io
import random
import re
import struct
import zipfile
from collections.abc import Callable
from xml.etree import ElementTree

import mido

NOTE = "<note>{0}<pitch><step>{1}</step><octave>{2}</octave></pitch><duration>{3}</duration>{4}</note>"
IN_MEASURE = (
    "<backup><duration>4</duration></backup>", "<forward><duration>1</duration></forward>",
    "<attributes><divisions>3</divisions></attributes>", "<attributes><time><senza-misura/></time></attributes>",
    "<attributes><time><beats>3+2</beats><beat-type>8</beat-type></time></attributes>",
    "<attributes><key><fifths>-3</fifths><mode>minor</mode></key></attributes>",
    "<attributes><transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose><staves>2</staves></attributes>",
    "<attributes><measure-style><measure-repeat type='start'>1</measure-repeat></measure-style></attributes>",
    "<barline location='right'><repeat direction='backward' times='3'/></barline>", "<barline><repeat direction='forward'/></barline>",
    "<barline><ending number='1,2' type='start'/></barline>", "<barline><ending number='2' type='stop'/></barline>",
    "<sound dacapo='yes'/>", "<sound dalsegno='a' tocoda='b'/>", "<direction><direction-type><segno/></direction-type></direction>",
    "<direction><direction-type><coda/></direction-type><sound fine='yes' tempo='72.5'/></direction>",
    "<direction><direction-type><words>D.S. al Coda</words></direction-type></direction>",
    "<direction><direction-type><metronome><beat-unit>half</beat-unit><beat-unit-dot/><per-minute>c. 60</per-minute></metronome>"
    "</direction-type></direction>",
    "<note><unpitched/><duration>1</duration></note>", "<note><rest measure='yes'/><duration>4</duration></note>",
)  # fmt: skip
IN_NOTE = (
    "<chord/>", "<grace/>", "<cue/>", "<rest/>", "<dot/>", "<tie type='start'/>", "<tie type='stop'/>", "<staff>2</staff>",
    "<voice>3</voice>", "<type>half</type>", "<unpitched/>", "<pitch><step>B</step><alter>-2</alter><octave>9</octave></pitch>",
    "<time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>",
    "<notations><articulations><breath-mark/></articulations></notations>",
    "<lyric number='2'><syllabic>middle</syllabic><text>a</text><elision/><text>b</text></lyric>",
)  # fmt: skip
INSIDE = {"measure": IN_MEASURE, "note": IN_NOTE}
TEXTS = (
    "0", "1", "2", "3", "4", "7", "16", "-1", "-4", "480", "10080", "0.5", "1/3", "99999999999", "1e9", "", " ", "x", "C", "B", "H",
    "yes", "breve", "quarter", "1024th", "begin", "start", "stop", "Fine", "D.C. al Fine", "To Coda", "é♭", "none", "major", "+",
    "3+2",
)  # fmt: skip
KERN = (
    "4c", "2.dd-", "[1GG", "4e]", "4f_", "8r", "4c 4e", "qc", "0r", "%2c", "3d", "12e", "4cL", "4B##", "ccccc4", ".", "*", "*^", "*v",
    "*x", "*+", "*-", "**kern", "**text", "*M3/4", "*M2+3/8", "*met(C)", "*MX", "*k[b-e-]", "*d:dor", "*MM72", "*clefF4", "*>A",
    "*>[A,B,A]", "=5", "=:|!|:", "==", "=2a", "!", "!!!OTL: x", "la-", "-dy", "4c;", "4c,", '1c\\',
)  # fmt: skip
ABC = (
    "X:2", "T:x", "M:C|", "M:6/8", "M:none", "L:1/16", "K:Gmix", "K:C clef=bass octave=-1", "Q:1/4=90", "V:2 name=Alto", "V:1",
    "%%score (1 2)", "w:a-b_ c*|", "|:", ":|", "::", "|1", "[2", "||", "|]", "[CEG]2", "(3abc", "(5:4:3abcde", "a>b", "a<<b", "{ag}a",
    "z4", "Z2", "x", "^c", "__B", "=e", "c'", "C,,", "a/", "b3/2", "-", "(", ")", "!breath!", '"Am"', "[M:3/4]", "[K:D]", "[V:1]",
    "&", '\\', "$", "y", "+fermata+", "d-|d",
)  # fmt: skip
DRILL = (
    "soprano |", "bass |", "alto |", "|", "A4", "B", "C#5", "Eb", "-", ".", "F,G", "A,B,C,D", "'", "D'", "; x", "meter: 3/2",
    "meter: 6/8", "pickup: 1", "key: 2 flats", "mode: D dorian", "tempo: 72", "species: 2", "cantus: bass", "sing: alto", "title: x",
    "printed: 5", "Dbb3", "G##", "H4", "level: 3",
)  # fmt: skip
METAS: tuple[Callable[[random.Random], mido.MetaMessage | mido.Message], ...] = (
    lambda rng: mido.MetaMessage("set_tempo", tempo=rng.choice((1, 300_000, 500_000, 16_777_215)), time=rng.choice((0, 7, 480))),
    lambda rng: mido.MetaMessage("time_signature", numerator=rng.choice((1, 3, 6, 13)), denominator=rng.choice((1, 4, 8, 64))),
    lambda rng: mido.MetaMessage("key_signature", key=rng.choice(("C", "Bb", "F#m", "Cb"))),
    lambda rng: mido.MetaMessage("track_name", name=rng.choice(("Alto", "", "\u00e9" * 40))),
    lambda rng: mido.MetaMessage("lyrics", text=rng.choice(("la-", " ", "\u00e9"))),
    lambda rng: mido.Message("program_change", program=rng.randrange(128), time=rng.choice((0, 1, 960))),
    lambda rng: mido.Message("control_change", control=64, value=rng.choice((0, 127))),
    lambda rng: mido.Message("sysex", data=(1, 2, 3)),
    lambda rng: mido.Message("note_on", note=rng.randrange(128), velocity=rng.choice((0, 1, 127)), time=rng.choice((0, 1, 160, 480))),
    lambda rng: mido.Message("note_on", channel=9, note=38, time=240),
)  # fmt: skip


def changed(reader: str, content: bytes, rng: random.Random) -> bytes:
    """*content* after one to five changes of the kinds that its format is made of; itself where it cannot be taken apart."""
    try:
        return SHAPES[reader](content, rng)
    except Exception:  # whatever a general library says of broken bytes
        return content


def musicxml(content: bytes, rng: random.Random) -> bytes:
    """Elements doubled, taken out, exchanged, put in; texts and attributes changed."""
    if b"<!ENTITY" in content:
        return content
    root = ElementTree.fromstring(content)  # noqa: S314 - our own bytes, entities are refused above
    for _ in range(rng.randint(1, 5)):
        _change_tree(root, rng)
    return ElementTree.tostring(root, encoding="utf-8")


def _change_tree(root: ElementTree.Element, rng: random.Random) -> None:
    parents = [element for element in root.iter() if len(element)]
    parent = rng.choice(parents)
    at = rng.randrange(len(parent))
    kind = rng.randrange(7)
    if kind == 0:
        parent.insert(at, _copy(parent[at]))
    elif kind == 1 and len(parent) > 1:
        del parent[at]
    elif kind == 2:
        other = rng.randrange(len(parent))
        parent[at], parent[other] = parent[other], parent[at]
    elif kind == 3:
        rng.choice([element for element in root.iter() if not len(element)]).text = rng.choice(TEXTS)
    elif kind == 4:
        named = [element for element in root.iter() if element.attrib]
        if named:
            one = rng.choice(named)
            one.set(rng.choice(sorted(one.attrib)), rng.choice(TEXTS))
    else:
        hosts = [element for element in root.iter() if element.tag in INSIDE]
        if hosts:
            host = rng.choice(hosts)
            host.insert(rng.randint(0, len(host)), ElementTree.fromstring(_piece(host.tag, rng)))  # noqa: S314 - our own


def _piece(tag: str, rng: random.Random) -> str:
    if tag == "measure" and rng.random() < 0.5:
        before, after = rng.choice(("", "<chord/>", "<grace/>")), rng.choice(("", *IN_NOTE))
        return NOTE.format(before, rng.choice("ABCDEFG"), rng.randint(1, 7), rng.choice((1, 2, 3, 4, 6, 8)), after)
    return rng.choice(INSIDE[tag])


def _copy(element: ElementTree.Element) -> ElementTree.Element:
    return ElementTree.fromstring(ElementTree.tostring(element))  # noqa: S314 - our own


def mxl(content: bytes, rng: random.Random) -> bytes:
    """The score inside changed as above, seldom its name, its place or its packing."""
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        files = {name: archive.read(name) for name in archive.namelist()[:8]}
    name = rng.choice(sorted(files))
    files[name] = musicxml(files[name], rng) if files[name].lstrip()[:1] == b"<" else files[name]
    if rng.random() < 0.1:
        files[rng.choice(("../a.xml", "a.xml", "META-INF/container.xml", "mimetype", "/etc/x"))] = files[name]
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for inside, body in files.items():
            archive.writestr(inside, body, compress_type=rng.choice((zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)))
    return out.getvalue()


def _other_lines(text: str, rng: random.Random) -> str:
    lines = text.splitlines(keepends=True) or [""]
    at, other, kind = rng.randrange(len(lines)), rng.randrange(len(lines)), rng.randrange(4)
    if kind == 0:
        del lines[at]
    elif kind == 1:
        lines.insert(at, lines[other])
    elif kind == 2:
        lines[at], lines[other] = lines[other], lines[at]
    else:
        lines[at:at] = lines[other : other + rng.randint(2, 8)]
    return "".join(lines)


def _other_words(parts: list[str], words: tuple[str, ...], rng: random.Random) -> str:
    parts = parts or [""]
    at, other, kind = rng.randrange(len(parts)), rng.randrange(len(parts)), rng.randrange(8)
    if kind == 0 and len(parts) > 1:
        del parts[at]
    elif kind == 1:
        parts.insert(at, parts[other])
    elif kind == 2:
        parts.insert(at, rng.choice(words) + rng.choice((" ", "\t", "\n")))
    else:
        # what parts it from the next word stays, and so do columns and bars
        new = parts[other] if kind == 3 else rng.choice(words)
        parts[at] = new.rstrip(" \t\n") + parts[at][len(parts[at].rstrip(" \t\n")) :]
    return "".join(parts)


def _tokens(pieces: re.Pattern[str], words: tuple[str, ...]) -> Callable[[bytes, random.Random], bytes]:
    """Text whose tokens and lines are doubled, taken out, exchanged, replaced by words that the format knows."""

    def change(content: bytes, rng: random.Random) -> bytes:
        text = content.decode("utf-8", "surrogateescape")
        for _ in range(rng.randint(1, 5)):
            text = _other_lines(text, rng) if rng.random() < 0.25 else _other_words(pieces.findall(text), words, rng)
        return text.encode("utf-8", "surrogateescape")

    return change


def midi(content: bytes, rng: random.Random) -> bytes:
    """Events changed, doubled, taken out, put in; other headers, and chunks of no known kind."""
    file = mido.MidiFile(file=io.BytesIO(content), charset="latin1")
    for _ in range(rng.randint(1, 5)):
        track = rng.choice(file.tracks)
        at = rng.randint(0, max(len(track) - 1, 0))
        kind = rng.randrange(6)
        if kind == 0:
            track.insert(at, rng.choice(METAS)(rng))
        elif kind == 1 and track:
            del track[at]
        elif kind == 2 and track:
            track.insert(at, track[at].copy())
        elif kind == 3 and track:
            track[at] = track[at].copy(time=rng.choice((0, 1, 119, 120, 121, 240, 480, 100_000)))
        elif kind == 4 and track and track[at].type in ("note_on", "note_off"):
            track[at] = track[at].copy(note=rng.randrange(128), channel=rng.choice((0, 1, 9)))
        else:
            file.tracks.append(mido.MidiTrack(message.copy() for message in track))
    file.type = rng.choice((0, 1, 1, 1, 2))
    file.ticks_per_beat = rng.choice((file.ticks_per_beat, 480, 96, 1, 32767))
    out = io.BytesIO()
    del file.tracks[6:]
    for track in file.tracks:
        del track[200:]
    file.save(file=out)
    written = out.getvalue()
    if rng.random() < 0.1:
        garbage = rng.choice((b"XFIH", b"junk", b"MTrk")) + struct.pack(">L", 4) + b"abcd"
        written = written[:14] + garbage + written[14:]
    return written


SHAPES: dict[str, Callable[[bytes, random.Random], bytes]] = {
    "musicxml": musicxml,
    "mxl": mxl,
    "midi": midi,
    "kern": _tokens(re.compile(r"[^\t\n]*[\t\n]?"), KERN),
    "abc": _tokens(re.compile(r"[A-Za-z]:[^\n]*\n?|[\^_=]*[A-Ga-gzxZ][,']*\d*/*\d*|[^\s]|\s"), ABC),
    "drill": _tokens(re.compile(r"[^\s|]*[\s|]?"), DRILL),
}
