"""Faults in the operators of a page or a form: each changes what is printed, a little or much.

A kind takes the operators and a source of chance, and gives the operators with one fault, None where there is
nothing of its kind.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from random import Random

__all__ = ["IN_FORMS", "ON_PAGES", "Change"]

Change = Callable[[bytes, Random], bytes | None]
Match = re.Match[bytes]

VERTEX = rb"(?m)^(-?[\d.]+) (-?[\d.]+) l$"
START = rb"(?m)^(-?[\d.]+) (-?[\d.]+) m$"
STROKE = rb"(?m)^-?[\d.]+ -?[\d.]+ m\n(?:-?[\d.]+ -?[\d.]+ l\n)*-?[\d.]+ -?[\d.]+ l ?\n?([Ss])\n"
SHORT = rb"(?m)(-?[\d.]+) (-?[\d.]+) m (-?[\d.]+) (-?[\d.]+) l "
CIRCLE = rb"(-?[\d.]+ -?[\d.]+ m(?: (?:-?[\d.]+ ){6}c)+) (f|s)\n"
HOLE = CIRCLE.replace(b"(f|s)", b"(s)")
SPOT = rb"0 g " + CIRCLE.replace(b"(f|s)", b"(f)")
WORDS = rb"BT (\S+ \S+ \S+ \S+) (\S+) (\S+) Tm \s*(/\S+) (\S+) Tf \(((?:[^()\\]|\\.)+)\) Tj ET"
STATE = (
    rb"([\d.]+) w (\[[^\]]*\]) (\S+) d (?:(\d) J )?(\S+) G(?=[^SfB(]*S)"  # what is stroked, not filled alone
)
DASHED = rb"([\d.]+) w (\[[\d.]+ [^\]]*\]) (\S+) d"
STAMP = rb"q 1 0 0 1 (\S+) (\S+) cm /Mark Do Q\n"
STRIPS = rb"/Strips Do\n"
WINDOW = rb"(\S+) (\S+) (\S+) (\S+) re W n\n"
TILE = rb"W n\n1 0 0 1 (\S+) (\S+) cm\n"
LAYER = rb"/OC /(\w+) BDC\n(.*?)EMC\n"
SCALE = rb"\A(\S+) 0 0 (\S+) (\S+) (\S+) cm\n"
BOX = rb"(\S+) (\S+) (\S+) (\S+) re (S|f)"
LARGE = rb"BT 1 Tr .*? ET"
NUMBER = rb"page \d+ of \d+"
FIGURE = rb"g b\n"
TRIM = rb"\[8 2\] 0\.000 d 0 J 0 G 0 g\n[^S]*S\n"


def one(pattern: bytes, change: Callable[[Match, Random], bytes]) -> Change:
    """Change one of the places that fit a pattern."""

    def changed(data: bytes, chance: Random) -> bytes | None:
        places = list(re.finditer(pattern, data, re.DOTALL))
        if not places:
            return None
        place = chance.choice(places)
        return data[: place.start()] + change(place, chance) + data[place.end() :]

    return changed


def gone(pattern: bytes) -> Change:
    """Take one place out."""
    return one(pattern, lambda place, chance: b"")


def around(pattern: bytes, before: bytes, after: bytes) -> Change:
    """Put operators before and after one place."""
    return one(pattern, lambda place, chance: before + place[0] + after)


def swap(pattern: bytes, old: bytes, new: bytes) -> Change:
    """In one place, other bytes."""
    return one(pattern, lambda place, chance: re.sub(old, new, place[0], count=1))


def at_end(operators: bytes) -> Change:
    """Draw more at the end."""
    return lambda data, chance: data + b"\n" + operators + b"\n"


def moved(pattern: bytes, *groups: int, by: float) -> Change:
    """Add to numbers of one place."""

    def change(place: Match, chance: Random) -> bytes:
        found, start = place[0], place.start()
        for group in sorted(groups, reverse=True):
            a, b = place.start(group) - start, place.end(group) - start
            found = found[:a] + b"%.4f" % (float(place[group]) + by) + found[b:]
        return found

    return one(pattern, change)


def path_moved(pattern: bytes, *, by: float = 0.0, grown: float = 1.0) -> Change:
    """Move or grow a circle."""

    def change(place: Match, chance: Random) -> bytes:
        numbers = [float(n) for n in re.findall(rb"-?\d[\d.]*", place[1])]
        middle = [0.5 * (min(numbers[i::2]) + max(numbers[i::2])) for i in (0, 1)]
        values = iter([
            middle[i % 2] + grown * (n - middle[i % 2]) + (by if i % 2 == 0 else 0.0)
            for i, n in enumerate(numbers)
        ])  # fmt: skip
        path = re.sub(rb"-?\d[\d.]*", lambda _: b"%.4f" % next(values), place[1])
        return place[0].replace(place[1], path)

    return one(pattern, change)


def words_changed(place: Match, chance: Random) -> bytes:
    """Exchange one letter or figure."""
    said = place[6]
    letters = [i for i, code in enumerate(said) if chr(code).isalnum() and said[i - 1 : i] != b"\\"]
    if not letters:
        return place[0].replace(said, said + b"8")
    i = chance.choice(letters)
    other = b"7" if said[i : i + 1] != b"7" else b"1"
    return place[0][: place.start(6) - place.start()] + said[:i] + other + said[i + 1 :] + b") Tj ET"


def scaled_words(by: float) -> Change:
    """Another size of type."""
    return one(WORDS, lambda p, c: p[0].replace(p[5] + b" Tf", b"%.6f Tf" % (float(p[5]) * by)))


def exchanged(pattern: bytes, group: int) -> Change:
    """Two places exchange a part."""

    def changed(data: bytes, chance: Random) -> bytes | None:
        places = list(re.finditer(pattern, data, re.DOTALL))
        pairs = [(p, q) for p in places for q in places if p.start() < q.start() and p[group] != q[group]]
        if not pairs:
            return None
        p, q = chance.choice(pairs)
        return b"".join(
            [
                data[: p.start(group)],
                q[group],
                data[p.end(group) : q.start(group)],
                p[group],
                data[q.end(group) :],
            ]
        )

    return changed


def doubled(pattern: bytes) -> Change:
    """The same again, a little to the side."""
    return one(pattern, lambda p, c: p[0] + b"q 1 0 0 1 3 0 cm\n" + p[0] + b"Q\n")


PATCH = b"q 1 g 60 60 60 60 re f Q"

ON_PAGES: dict[str, Change] = {
    "vertex moved 0.05 mm": moved(VERTEX, 1, by=0.05),
    "vertex moved 2 mm": moved(VERTEX, 2, by=2.0),
    "start of a stroke moved": moved(START, 1, by=0.1),
    "vertex left out": gone(VERTEX + rb"\n"),
    "stroke left out": gone(STROKE),
    "stroke not painted": one(STROKE, lambda p, c: p[0][:-2] + b"n\n"),
    "stroke filled": one(STROKE, lambda p, c: p[0][:-2] + b"f\n"),
    "stroke doubled aside": doubled(STROKE),
    "stroke closed": one(STROKE, lambda p, c: p[0][:-2] + b"B\n"),
    "short line moved": moved(SHORT, 1, by=0.2),
    "short line longer": moved(SHORT, 3, by=5.0),
    "short line left out": gone(SHORT),
    "hole moved": path_moved(HOLE, by=0.1),
    "hole larger": path_moved(HOLE, grown=1.05),
    "hole left out": gone(HOLE),
    "hole filled": one(HOLE, lambda p, c: p[1] + b" f\n"),
    "spot moved": path_moved(SPOT, by=0.1),
    "spot smaller": path_moved(SPOT, grown=0.9),
    "spot left out": gone(SPOT),
    "spot white": swap(SPOT, rb"\A0 g", b"1 g"),
    "figure's fill left out": swap(FIGURE, b"b", b"s"),
    "figure's grey exchanged": one(rb"\S+ g b\n", lambda p, c: b"1 g b\n"),
    "words moved 0.1 mm": moved(WORDS, 2, by=0.1),
    "words moved 20 mm": moved(WORDS, 3, by=20.0),
    "words left out": gone(WORDS),
    "a letter exchanged": one(WORDS, words_changed),
    "two lines exchanged": exchanged(WORDS, 6),
    "words 2 % larger": scaled_words(1.02),
    "words tiny": scaled_words(0.01),
    "words turned by 1°": one(WORDS, lambda p, c: p[0].replace(p[1], b"0.99985 0.01745 -0.01745 0.99985", 1)),
    "words mirrored": one(WORDS, lambda p, c: p[0].replace(p[1], b"-1 0 0 1", 1)),
    "words invisible": one(WORDS, lambda p, c: b"q 3 Tr " + p[0] + b" Q"),
    "words outlined": one(WORDS, lambda p, c: b"q 1 Tr 0.1 w " + p[0] + b" Q"),
    "words used to clip": one(WORDS, lambda p, c: p[0].replace(b"BT ", b"BT 7 Tr ", 1)),
    "words white": around(WORDS, b"q 1 g ", b" Q"),
    "words pale": around(WORDS, b"q 0.8 g ", b" Q"),
    "letters spaced": around(WORDS, b"q 1 Tc ", b" Q"),
    "words spaced": around(rb"BT [^()]*\([^)]* [^)]*\) Tj ET", b"q 4 Tw ", b" Q"),
    "letters narrow": around(WORDS, b"q 80 Tz ", b" Q"),
    "words raised": around(WORDS, b"q 2 Ts ", b" Q"),
    "words doubled": doubled(WORDS),
    "other words added": at_end(b"0 g BT 1 0 0 1 50 50 Tm /F1+0 5 Tf (35) Tj ET"),
    "the page's number exchanged": one(NUMBER, lambda p, c: p[0].replace(b"page ", b"page 1")),
    "large name moved": swap(LARGE, rb"Tm", b"Tm 1 0 0 1 80 80 Tm"),
    "large name left out": gone(LARGE),
    "large name filled": swap(LARGE, rb"1 Tr", b"0 Tr"),
    "line thin": swap(STATE, rb"\A\S+ w", b"0.05 w"),
    "line thinner": swap(STATE, rb"\A\S+ w", b"0.1 w"),
    "line a hair": swap(STATE, rb"\A\S+ w", b"0 w"),
    "line thick": swap(STATE, rb"\A\S+ w", b"2 w"),
    "line dashed": swap(STATE, rb"\[[^\]]*\]", b"[1 1]"),
    "line dashed to nothing": swap(STATE, rb"\[[^\]]*\]", b"[0.001 100]"),
    "dashes left out": swap(DASHED, rb"\[[^\]]*\]", b"[]"),
    "dashes of another length": swap(DASHED, rb"\[[^\]]*\]", b"[4 4]"),
    "dashes moved": swap(DASHED, rb"\] \S+ d", b"] 1.5 d"),
    "line white": swap(STATE, rb"\S+ G\Z", b"1 G"),
    "line pale": swap(STATE, rb"\S+ G\Z", b"0.85 G"),
    "line yellow": swap(STATE, rb"\S+ G\Z", b"1 1 0 RG"),
    "line without ink": swap(STATE, rb"\S+ G\Z", b"0 0 0 0 K"),
    "line in a named space": swap(STATE, rb"\S+ G\Z", b"/DeviceRGB CS 1 1 1 SC"),
    "line's ends longer": around(STATE, b"", b" 2 J"),
    "line's corners cut": around(STATE, b"", b" 2 j"),
    "mark moved": moved(STAMP, 1, by=0.1),
    "mark left out": gone(STAMP),
    "mark turned": swap(STAMP, rb"1 0 0 1", b"0.9998 0.02 -0.02 0.9998"),
    "mark larger": swap(STAMP, rb"1 0 0 1", b"1.1 0 0 1.1"),
    "mark doubled": doubled(STAMP),
    "mark exchanged": swap(STAMP, rb"/Mark", b"/Strips"),
    "rulers left out": gone(STRIPS),
    "rulers moved": around(STRIPS, b"q 1 0 0 1 0 0.2 cm ", b" Q\n"),
    "rulers longer": around(STRIPS, b"q 1.001 0 0 1 0 0 cm ", b" Q\n"),
    "rulers sheared": around(STRIPS, b"q 1 0.001 0 1 0 0 cm ", b" Q\n"),
    "rulers doubled": doubled(STRIPS),
    "rulers white": around(STRIPS, b"q 1 g 1 G ", b" Q\n"),
    "rulers clipped": around(STRIPS, b"q 0 0 100 100 re W n ", b" Q\n"),
    "window smaller": moved(WINDOW, 3, by=-5.0),
    "window moved": moved(WINDOW, 1, by=1.0),
    "window left out": gone(WINDOW),
    "a second clip": around(TILE, b"", b"30 30 80 80 re W n\n"),
    "a clip that is no box": around(TILE, b"", b"30 30 m 130 30 l 80 160 l h W n\n"),
    "a clip that is empty": around(TILE, b"", b"0 0 0 0 re W n\n"),
    "drawing moved 0.1 mm": moved(TILE, 1, by=0.1),
    "drawing moved 30 mm": moved(TILE, 2, by=30.0),
    "drawing scaled": swap(TILE, rb"1 0 0 1", b"1.0005 0 0 1.0005"),
    "drawing turned": swap(TILE, rb"1 0 0 1", b"1 0.0009 -0.0009 1"),
    "drawing mirrored": swap(TILE, rb"1 0 0 1", b"-1 0 0 1"),
    "page scaled 0.999": one(SCALE, lambda p, c: b"2.831811 0 0 2.831811 0 0 cm\n"),
    "page stretched one way": one(SCALE, lambda p, c: b"2.837 0 0 %b 0 0 cm\n" % p[2]),
    "page moved": one(SCALE, lambda p, c: b"%b 0 0 %b 0.5 0 cm\n" % (p[1], p[2])),
    "page turned over": one(SCALE, lambda p, c: b"-%b 0 0 %b 595 0 cm\n" % (p[1], p[2])),
    "line to another layer": one(LAYER, lambda p, c: p[2]),
    "all to a layer": lambda data, chance: b"/OC /Layer1 BDC\n" + data + b"\nEMC\n",
    "layers exchanged": exchanged(LAYER, 1),
    "layer's strokes left out": one(LAYER, lambda p, c: b"/OC /%b BDC\nEMC\n" % p[1]),
    "white patch on top": at_end(PATCH),
    "white line on top": at_end(b"q 1 G 3 w 20 100 m 200 100 l S Q"),
    "black patch on top": at_end(b"q 0 g 60 60 60 60 re f Q"),
    "grey patch on top": at_end(b"q 0.9 g 60 60 60 60 re f Q"),
    "coloured patch below": lambda data, chance: b"q 0 1 1 rg 100 100 200 200 re f Q\n" + data,
    "picture on top": at_end(b"q 50 0 0 50 60 60 cm BI /W 1 /H 1 /CS /G /BPC 8 ID \xff EI Q"),
    "white words on top": at_end(b"q 1 g BT 1 0 0 1 60 60 Tm /F1+0 200 Tf (M) Tj ET Q"),
    "white spot on top": at_end(b"q 1 g 90 90 m 110 90 120 90 120 110 c 110 140 80 120 90 90 c f Q"),
    "box moved": moved(BOX, 1, by=0.2),
    "box larger": moved(BOX, 3, by=1.0),
    "box left out": gone(BOX),
    "trim line left out": gone(TRIM),
    "trim line unbroken": swap(TRIM, rb"\[8 2\]", b"[]"),
    "trim line white": swap(TRIM, rb"0 G", b"1 G"),
    "mark under all": one(rb"\A([^\n]*\n1 j\n)(.*?)(" + STAMP + rb")", lambda p, c: p[1] + p[3] + p[2]),
    "half of the page left out": lambda data, chance: _half(data),
    "page empty": lambda data, chance: b"\n",
}  # fmt: skip


def _half(data: bytes) -> bytes | None:
    cut = data.rfind(b"S\n", 0, len(data) // 2)
    if cut < 0:
        return None
    left = data[: cut + 2]
    return left + b"Q\n" * (left.count(b"q ") - len(re.findall(rb"\bQ\b", left)))


IN_FORMS: dict[str, Change] = {
    "form: line moved": moved(SHORT, 1, by=0.1),
    "form: line longer": moved(SHORT, 4, by=0.5),
    "form: line left out": gone(SHORT),
    "form: circle moved": path_moved(CIRCLE, by=0.05),
    "form: circle larger": path_moved(CIRCLE, grown=1.1),
    "form: circle left out": gone(CIRCLE),
    "form: circle white": swap(SPOT, rb"\A0 g", b"1 g"),
    "form: numeral exchanged": one(WORDS, words_changed),
    "form: numerals exchanged": exchanged(WORDS, 6),
    "form: words moved": moved(WORDS, 2, by=1.0),
    "form: words left out": gone(WORDS),
    "form: words tiny": scaled_words(0.02),
    "form: lines thin": swap(STATE, rb"\A\S+ w", b"0.02 w"),
    "form: lines white": swap(STATE, rb"\S+ G\Z", b"1 G"),
    "form: lines dashed": swap(STATE, rb"\[[^\]]*\]", b"[0.5 3]"),
    "form: patch on top": at_end(b"1 g 20 20 100 15 re f"),
    "form: scaled within": lambda data, chance: b"1.002 0 0 1.002 0 0 cm\n" + data,
    "form: clipped within": lambda data, chance: b"0 0 60 60 re W n\n" + data,
    "form: empty": lambda data, chance: b"\n",
    "form: invisible words": lambda data, chance: b"3 Tr\n" + data if b"BT" in data else None,
}
