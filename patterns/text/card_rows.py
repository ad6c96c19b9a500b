"""A piece's facts as the rows and the table of its card: one fact to a row, a label before it.

A kind of fact with a template here is set in rows of its own; every other is the sentence that it is anyway, beside
its label.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from patterns.pattern import Pattern
from patterns.text.angles import angle_words
from patterns.text.bevels import bevel_words
from patterns.text.fact_labels import label_of
from patterns.text.piece_rows import PIECE_ROWS, Row, Rows
from patterns.text.wood_facts import Lengths, crossing_words, end_cut_words, rake_words

__all__ = ["OF_THE_WHOLE", "card_rows", "corner_table", "mark_table"]

OF_THE_WHOLE = frozenset(
    {"moulded-face", "breadths", "breadths-on-a-curve", "from-set-up-line", "put-together-by", "legs"}
)
"""Facts that hold for all that a piece is put together to."""

IN_TABLES = frozenset({"breadths", "from-set-up-line"})
"""Facts that `corner_table` alone gives."""


def _stand(v: Mapping[str, Any], lengths: Lengths) -> list[Row]:
    rows = [("Moulded face", f"the {v['face']} one"), ("Station", f"{lengths(v['aft'])} aft")]
    if v.get("rake") is not None:
        rows += [("Station", "at height 0"), ("Rake", rake_words(v["rake"]))]
    if v.get("cant"):
        way = "aft" if v["cant"] > 0 else "forward"
        rows += [("Station", "on the centreline"), ("Cant", f"{angle_words(v['cant'])}, outboard ends {way}")]
    return rows


def _legs(v: Mapping[str, Any], lengths: Lengths) -> list[Row]:
    rows = [
        ("Legs", f"2 of {v['stock']}, {v['wide']:g} x {v['sided']:g} mm, {v['long']:.0f} mm long"),
        ("Legs", f"plumb on the {v['face']} face, outer edges {lengths(v['out'])} from the centreline"),
        ("Legs", f"feet {v['lap']:g} mm below the sheer, heads on the set-up line"),
    ]
    if v["share"] < 0.995:
        rows.append(("Legs", f"{v['share']:.0%} of their lap lies on the frame"))
    if v["across"] is not None:
        rows.append(("Across heads", f"{v['across']:g} x {v['sided']:g} mm, {2.0 * v['out']:.0f} mm long"))
    return rows


def _curved_breadths(v: Mapping[str, Any], _: Lengths) -> list[Row]:
    return [
        ("Across halves", f"{name} {girth:.1f} mm over the curve, {chord:.1f} mm straight")
        for name, (girth, chord) in v["breadths"].items()
    ]


def _end_cut(v: Mapping[str, Any], _: Lengths) -> list[Row]:
    label = f"{v['end']} end"
    return [
        *([(label, str(v["against"]))] if v["against"] else []),
        (label, f"cut at {angle_words(v['on_back'])} on its back, {angle_words(v['on_edge'])} on its edge"),
        (label, f"{v['long']:.0f} mm from the shortest corner to the longest"),
    ]


def _twist(v: Mapping[str, Any], _: Lengths) -> list[Row]:
    if "total" not in v:
        return [("Twist", f"{angle_words(v['angle'])} from edge to edge, {v['aft']:.0f} mm aft")]
    most = f"most {angle_words(v['most'])} in 1 m, {v['at']:.0f} mm from the after end"
    return [("Twist", f"{angle_words(v['total'])} in all"), ("Twist", most)]


def _left(v: Mapping[str, Any], _: Lengths) -> list[Row]:
    one = v.get("one_face", ())
    return [
        (
            "Wood left",
            ", ".join(
                f"{name} {depth:.0f} mm" + (" (one face only)" if name in one else "")
                for name, depth in v["left"].items()
            ),
        )
    ]


def _across(v: Mapping[str, Any], lengths: Lengths) -> list[Row]:
    return [
        ("End to end", f"{lengths(v['this'])}, this face"),
        ("End to end", f"{lengths(v['other'])}, other face"),
        ("Flipped", "the set line must run straight through"),
    ]


ROWS: Mapping[str, Rows] = {
    **PIECE_ROWS,
    "moulded-face": _stand,
    "legs": _legs,
    "breadths-on-a-curve": _curved_breadths,
    "end-cut": _end_cut,
    "end-cuts": lambda v, _: [
        ("Fore end", end_cut_words(v["fore"])), ("After end", end_cut_words(v["after"]))
    ],
    "bevelled-edge": lambda _, __: [("Its edge", "bevelled, stock on the inner face")],
    "put-together-by": lambda v, _: [
        ("Corners", "inside of planking, on the moulded face"),
        ("Diagonals", f"from the corner to the other side's {v['sheer']}"),
    ],
    "twist": _twist,
    "wood-left-at-notches": _left,
    "wood-left-at-laps": _left,
    "across-both-halves": _across,
    "depth-on-centreline": lambda v, _: [("Depth", f"{v['depth']:.1f} mm on the centreline, this face")],
    "turn-over": lambda _, __: [("Other hand", "turn the pattern over, prick through; bevels as here")],
    "common-mould": lambda v, _: [("Crown", f"common mould, radius {v['radius']:.0f} mm")],
    "beams-crossed": lambda v, _: [
        ("Beams", f"{name}: its forward face {at:.1f} mm from the fore end, level")
        for name, at in v["places"].items()
    ],
    "marks-along": lambda v, _: [
        ("Marks", "along the " + ("starboard edge of its top" if v["edge"] is None else f"{v['edge']} at its back"))
    ],
    "wrap": lambda v, _: [
        ("Wrap", "fold on the timber's corners; the heavy edge is the cut"),
        *([("Wrap", "for port print inward")] if v["pair"] else []),
    ],
}  # fmt: skip


def card_rows(pattern: Pattern, lengths: Lengths, *, whole: bool | None = None) -> Iterator[Row]:
    """The rows of a pattern's card; rows of one label follow one another.

    Args:
        whole: those alone that hold for what it is put together to, or all but those; None: all.
    """
    found = list(_rows(pattern, lengths, whole=whole))
    for label in dict.fromkeys(label for label, _ in found):
        yield from (row for row in found if row[0] == label)


def _rows(pattern: Pattern, lengths: Lengths, *, whole: bool | None) -> Iterator[Row]:
    for number, words in enumerate(pattern.facts):
        fact = pattern.known[number] if number < len(pattern.known) else None
        of_whole = fact is not None and fact.kind in OF_THE_WHOLE
        if whole is not None and of_whole != whole:
            continue
        if fact is None:
            yield label_of(""), words
        elif fact.kind in ROWS:
            yield from ROWS[fact.kind](fact.values, lengths)
        elif fact.kind not in IN_TABLES:
            yield label_of(fact.kind), words
    if not whole:
        yield from _notches(pattern)


def _notches(pattern: Pattern) -> Iterator[Row]:
    """The angles at which timbers cross its face, once for each timber."""
    notches = {
        str(mark.fact.values["timber"]): mark.fact.values
        for mark in pattern.marks
        if mark.fact is not None and mark.fact.kind == "notch"
    }
    for timber, values in notches.items():
        yield "Notches", f"{timber}: going {values['going']} {crossing_words(values)}"


def corner_table(patterns: Sequence[Pattern], lengths: Lengths) -> tuple[tuple[str, ...], ...]:
    """What a frame is set up and put together by, a row for each corner of it; empty where nothing is known.

    Args:
        patterns: the frame's pieces.
    """
    known = {fact.kind: fact.values for pattern in patterns for fact in pattern.known}
    across = dict(known.get("breadths", {}).get("breadths", {}))  # type: ignore[call-overload]
    away = dict(known.get("from-set-up-line", {}).get("away", {}))  # type: ignore[call-overload]
    together = known.get("put-together-by", {})
    diagonals = dict(together.get("diagonals", {}))  # type: ignore[call-overload]
    if together.get("heels"):
        across["heel"] = together["heels"]
    if together.get("from_line") is not None:
        away["heel"] = together["from_line"]
    places = [name for name in ("centreline", "heel") if name in away or name in across or name in diagonals]
    places += [name for name in (*away, *across) if name not in places]
    places = list(dict.fromkeys(places))
    if not places:
        return ()
    below = all(value <= 0.0 for value in away.values())
    columns = [
        ("across both halves", {name: lengths(value) for name, value in across.items()}),
        (
            "below set-up line" if below else "from set-up line",
            {name: lengths(-value if below else value) for name, value in away.items()},
        ),
        (
            "diagonal",
            {name: lengths(value) for name, value in diagonals.items()},
        ),
    ]
    shown = [(head, cells) for head, cells in columns if cells]
    return (
        ("corner", *(head for head, _ in shown)),
        *((name, *(cells.get(name, "–") for _, cells in shown)) for name in places),
    )


def mark_table(pattern: Pattern) -> tuple[tuple[str, ...], ...]:
    """The marks along a long timber with the bevels of its edge there; empty where there are none."""
    known = {fact.kind: fact.values for fact in pattern.known}
    marks: Mapping[str, float] = known.get("marks-along", {}).get("places", {})  # type: ignore[assignment]
    bevels: Mapping[str, float] = known.get("bevelled-edge", {}).get("bevels", {})  # type: ignore[assignment]
    if not marks and not bevels:
        return ()
    head = ("mark", "mm from the after end", *(("its edge",) if bevels else ()))
    names = list(dict.fromkeys((*marks, *bevels)))
    return (
        head,
        *(
            (
                name,
                f"{marks[name]:.0f}" if name in marks else "–",
                *((bevel_words(bevels[name]) if name in bevels else "–",) if bevels else ()),
            )
            for name in names
        ),
    )
