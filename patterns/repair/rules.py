"""What must hold between the tables of a repair's design file, before and after its points are read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from patterns.design.parts import DESIGN_FILE, Parts
from patterns.design.repair_models import EdgeSpec, NeighbourSpec, PieceSpec, RepairSpec
from patterns.errors import Problem
from patterns.measure.nearest import nearest, written
from patterns.repair.fairing import FairSide
from patterns.repair.places import Side

__all__ = ["rules", "side_problems", "twice_named"]


def rules(parts: Parts) -> Iterator[Problem]:
    """What the tables say against each other."""
    spec = parts.one(RepairSpec)
    where = f"{DESIGN_FILE}, [repair], key"
    if spec is not None:
        if spec.measured == "outside of planking" and spec.planking is None:
            yield Problem(
                f"{where} planking",
                "is missing",
                "the outside was measured: give the planking's thickness",
                code="needed-key",
            )
        if spec.sides != "each" and spec.centreline == "not known":
            yield Problem(
                f"{where} sides",
                f'"{spec.sides}" needs the centreline, which is not known',
                'write sides = "each", or measure from the centreline',
                code="centreline-unknown",
            )
    taken: dict[str, str] = {}
    for place, neighbour in parts.all(NeighbourSpec):
        if neighbour.stands in taken:
            yield Problem(
                place,
                f'"{taken[neighbour.stands]}" is already {neighbour.stands} of the broken frame',
                "one neighbour on each side is enough: keep the nearer one",
                code="neighbours-on-one-side",
            )
        taken.setdefault(neighbour.stands, neighbour.name)
    for place, piece in parts.all(PieceSpec):
        yield from _piece(place, piece)


def _floor(place: str, piece: PieceSpec) -> Iterator[Problem]:
    """A floor has its own few keys."""
    for key in ("throat", "to_point"):
        if getattr(piece, key) is None:
            yield Problem(
                f"{place}, key {key}",
                "is missing",
                "a floor needs its throat and the point at which its arms end",
                code="needed-key",
            )
    for key in ("from_point", "lap", "lap_ratio", "scarf", "scarf_through", "long_point"):
        if getattr(piece, key) is not None:
            yield Problem(
                f"{place}, key {key}", "does not belong to a floor", "remove it", code="needless-key"
            )
    for key, only in (("side", "both"), ("made_in", "one piece")):
        if getattr(piece, key) != only:
            yield Problem(
                f"{place}, key {key}",
                "a floor runs across both sides in one piece",
                "remove it",
                code="needless-key",
            )


def _rib(place: str, piece: PieceSpec) -> Iterator[Problem]:
    """A rib has its overbend and no joints."""
    if piece.overbend is None:
        yield Problem(
            f"{place}, key overbend",
            "is missing",
            'bend a trial piece and give how much more the former is to be bent, e.g. "15 %"',
            code="needed-key",
        )
    for key in ("from_point", "to_point", "throat", "lap", "lap_ratio", "scarf", "against"):
        if getattr(piece, key) is not None:
            yield Problem(f"{place}, key {key}", "does not belong to a rib", "remove it", code="needless-key")


def _piece(place: str, piece: PieceSpec) -> Iterator[Problem]:
    if piece.kind == "floor":
        yield from _floor(place, piece)
        return
    if piece.kind == "rib":
        yield from _rib(place, piece)
        return
    if piece.overbend is not None:
        yield Problem(f"{place}, key overbend", "belongs to a rib", "remove it", code="needless-key")
    if piece.throat is not None:
        yield Problem(
            f"{place}, key throat",
            "belongs to a floor",
            'remove it, or write kind = "floor"',
            code="needless-key",
        )
    partly = piece.from_point is not None or piece.to_point is not None
    if piece.kind == "sister":
        if piece.against is None:
            yield Problem(
                f"{place}, key against",
                "is missing",
                'write "measured face" or "other face": the face that the sister lies on',
                code="needed-key",
            )
        if piece.scarf is not None or piece.scarf_through is not None:
            yield Problem(f"{place}, key scarf", "a sister has no scarf", "give its lap", code="needless-key")
        if piece.lap is not None and piece.lap_ratio is not None:
            yield Problem(
                f"{place}, key lap",
                "is set, and so is lap_ratio",
                "keep one of them",
                code="conflicting-keys",
            )
        if partly and piece.lap is None and piece.lap_ratio is None:
            yield Problem(
                f"{place}, key lap",
                "is missing",
                "give how far the sister runs past its points with lap or lap_ratio",
                code="needed-key",
            )
    else:
        for key in ("lap", "lap_ratio", "against"):
            if getattr(piece, key) is not None:
                yield Problem(
                    f"{place}, key {key}",
                    "belongs to a sister",
                    'remove it, or write kind = "sister"',
                    code="needless-key",
                )
        if partly and piece.scarf is None:
            yield Problem(
                f"{place}, key scarf",
                "is missing",
                "a part of a frame is scarfed to the sound wood: give the slope, or remove the points",
                code="needed-key",
            )
        if piece.scarf is not None and piece.scarf_through is None:
            yield Problem(
                f"{place}, key scarf_through",
                "is missing",
                'write "moulding" or "siding": where the slope shows',
                code="needed-key",
            )
    if piece.long_point is not None and piece.scarf_through != "siding":
        yield Problem(
            f"{place}, key long_point",
            "belongs to a scarf through the siding",
            'remove it, or write scarf_through = "siding"',
            code="needless-key",
        )
    if not partly and (piece.scarf is not None or piece.lap is not None or piece.lap_ratio is not None):
        yield Problem(
            f"{place}, key from_point",
            "is missing",
            "a lap or a scarf runs on past a point: name it (or to_point)",
            code="needed-key",
        )
    yield from _joints(place, piece)
    if partly and piece.made_in in ("halves", "two layers"):
        yield Problem(
            f"{place}, key made_in",
            "a part between points has no halves or layers",
            'write "one piece" or "futtocks"',
            code="part-in-halves",
        )


def _joints(place: str, piece: PieceSpec) -> Iterator[Problem]:
    """Butts belong to futtocks, and those of two layers are shifted."""
    layered = piece.made_in == "two layers"
    for key, fits in (("joints", layered or piece.made_in == "futtocks"), ("joints_behind", layered)):
        given = getattr(piece, key)
        if given and not fits:
            yield Problem(
                f"{place}, key {key}",
                "belongs to futtocks" if key == "joints" else "belongs to a frame in two layers",
                'remove it, or write made_in = "futtocks" or "two layers"',
                code="needless-key",
            )
        if layered and not given:
            yield Problem(
                f"{place}, key {key}",
                "is missing",
                "name the points at which the futtocks of each layer butt",
                code="needed-key",
            )
    for point in piece.joints:
        if point in piece.joints_behind:
            yield Problem(
                f"{place}, key joints_behind",
                f"both layers butt at point {point}",
                "shift the butts of one layer well away from those of the other",
                code="butts-in-line",
            )


def twice_named(file: str, stretches: Mapping[Side, Sequence[str]]) -> Iterator[Problem]:
    """Stretches of one frame that have one name: which of them is meant could not be told."""
    for side, own in stretches.items():
        for name in dict.fromkeys(name for name in own if own.count(name) > 1):
            yield Problem(
                f"{file}, {side}",
                f'two stretches between corners are both called "{name}"',
                'name each stretch in the column edge, from the keel up, e.g. "strake 1", "strake 2"',
                code="same-name",
            )


def side_problems(parts: Parts, spec: RepairSpec, sides: Mapping[Side, FairSide]) -> Iterator[Problem]:
    """What the tables say against the points."""
    names = {stretch.name for side in sides.values() for stretch in side.edge.stretches}
    for place, edge in parts.all(EdgeSpec):
        if edge.name not in names:
            yield Problem(
                place,
                f'the points have no stretch "{edge.name}"',
                nearest(edge.name, names) or written(names),
                code="unknown-name",
            )
    both = len(sides) == 2
    if spec.sides == "mean" and not both:
        yield Problem(
            f"{DESIGN_FILE}, [repair], key sides",
            "one side only was measured",
            'write "each"',
            code="one-side-measured",
        )
    if spec.sides in ("port", "starboard") and spec.sides not in sides:
        yield Problem(
            f"{DESIGN_FILE}, [repair], key sides",
            f"the {spec.sides} side was not measured",
            f"write {written(sides)}",
            code="side-not-measured",
        )
    if spec.sides == "mean" and both:
        port, starboard = (
            tuple(s.name for s in sides[side].edge.stretches) for side in ("port", "starboard")
        )
        if port != starboard:
            yield Problem(
                f"{DESIGN_FILE}, [repair], key sides",
                f"the sides have no mean: port has {', '.join(port)}, starboard {', '.join(starboard)}",
                "measure the same corners on both, under the same names",
                code="sides-without-mean",
            )
    for place, piece in parts.all(PieceSpec):
        yield from _piece_on(place, piece, spec, sides)


def _piece_on(
    place: str, piece: PieceSpec, spec: RepairSpec, sides: Mapping[Side, FairSide]
) -> Iterator[Problem]:
    if piece.side != "both" and piece.side not in sides and spec.sides == "each":
        yield Problem(
            f"{place}, key side",
            f"the {piece.side} side was not measured",
            f"write {written(sides)}",
            code="side-not-measured",
        )
        return
    yield from _joints_on(place, piece, sides)
    asked: Sequence[str | None] = (piece.from_point, piece.to_point)
    if piece.kind == "floor":
        yield from _floor_on(place, piece, spec, sides)
        return
    if any(asked) and piece.side == "both" and len(sides) == 2:
        yield Problem(
            f"{place}, key side",
            "is missing",
            "a part between points lies on one side: write port or starboard",
            code="needed-key",
        )
        return
    if not any(asked):
        return
    side = next((sides[name] for name in sides if piece.side in (name, "both")), next(iter(sides.values())))
    there = [point.measured.name for point in side.points]
    wrong = False
    for key, name in (("from_point", piece.from_point), ("to_point", piece.to_point)):
        if name is not None and name not in there:
            wrong = True
            yield Problem(
                f"{place}, key {key}",
                f'that side has no point "{name}"',
                nearest(name, there) or written(there),
                code="unknown-name",
            )
    lower, upper = piece.from_point, piece.to_point
    if not wrong and lower is not None and upper is not None and there.index(lower) >= there.index(upper):
        yield Problem(
            f"{place}, key to_point",
            f"point {piece.to_point} does not lie above point {piece.from_point}",
            "from_point is the lower one",
            code="part-points-order",
        )


def _joints_on(place: str, piece: PieceSpec, sides: Mapping[Side, FairSide]) -> Iterator[Problem]:
    """Futtocks butt between the ends of each side that they are made on."""
    for name, side in sides.items():
        there = [point.measured.name for point in side.points[1:-1]]
        for point in (*piece.joints, *piece.joints_behind):
            if piece.side in (name, "both") and point not in there:
                yield Problem(
                    f"{place}, key joints",
                    f'the {name} side has no point "{point}" between its ends',
                    nearest(point, there) or written(there),
                    code="unknown-name",
                )


def _floor_on(
    place: str, piece: PieceSpec, spec: RepairSpec, sides: Mapping[Side, FairSide]
) -> Iterator[Problem]:
    """A floor needs both sides' shapes, and its point on each."""
    if spec.centreline == "not known" or (spec.sides == "each" and len(sides) < 2):
        yield Problem(
            f"{place}, key kind",
            "a floor needs both sides, set against the centreline",
            'measure both, or write sides = "port" or "starboard" in [repair]',
            code="one-side-measured",
        )
    for name, side in sides.items():
        there = [point.measured.name for point in side.points]
        if piece.to_point not in there:
            yield Problem(
                f"{place}, key to_point",
                f'the {name} side has no point "{piece.to_point}"',
                nearest(str(piece.to_point), there) or written(there),
                code="unknown-name",
            )
