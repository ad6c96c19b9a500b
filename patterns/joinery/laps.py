"""How timbers fore and aft lie in what they cross and end at, and half beams in carlings: meetings from uncut wood.

A meeting says what both pieces lose; every piece of the boat asks here for what is cut out of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from functools import lru_cache

from patterns.boat import Boat
from patterns.design.deck_models import BeamSpec, CarlingSpec, KingPlankSpec
from patterns.errors import PatternsError
from patterns.hull.planes import Plane
from patterns.hull.spaces import Beyond, flipped
from patterns.joinery.deck_timbers import Beam, aft_of, beam_called, outboard_of
from patterns.joinery.fore_and_aft import Lengthwise, LengthwiseSpec, lengthwise_called, lengthwise_specs
from patterns.joinery.hosts import Host
from patterns.wood.labels import Against, Deck, Free, Level, Trim
from patterns.wood.meeting import Joinery, Loss, Meeting, OneOf, Slack

__all__ = ["laps_in"]

CURVED = "the inner edge of the breasthook is curved, and the shoulder straight"
TABLES = {CarlingSpec: "carling", KingPlankSpec: "king_plank"}


def _on_host(laid: Lengthwise, host: Host) -> Iterator[Meeting]:
    """How a timber lies in one of the pieces that it crosses, or ends at it."""
    spec, at = laid.spec, laid.end_at(host)
    if at is None:
        before, behind = laid.plates_of(host)
        yield _crossing(laid, host, (host.slab(before, behind),) * 2, "half lapped")
        return
    which, kind = at
    end = laid.ends[which]
    past = aft_of(end) if which == 0 else flipped(aft_of(end))  # the side of the end on which it has its wood
    if kind in ("butted", "notched"):
        label = Trim("fore" if which == 0 else "after", host.whole)
        yield Meeting(kind=Joinery.BUTT, lands=spec.name, on=host.mate, keys=_keys(spec), edges=(label,))
    if kind == "notched":
        yield _notch(laid, host, which, past)
    elif kind != "butted":
        before, behind = laid.plates_of(host)
        face = _shoulder(laid, host, which, behind if which == 0 else before)
        inside = flipped(aft_of(face)) if which == 0 else aft_of(face)
        yield _crossing(laid, host, ((inside,), (past,)), kind)


def _shoulder(laid: Lengthwise, host: Host, which: int, plate: float) -> Plane:
    """The face of a piece, or of a plate on it, from which on a timber that ends in it is cut away."""
    if host.hook is not None:
        return laid.near[which]
    return host.near(which).moved(plate if which == 0 else -plate)


def _crossing(
    laid: Lengthwise, host: Host, spaces: tuple[tuple[Beyond, ...], tuple[Beyond, ...]], kind: str
) -> Meeting:
    """A timber and a piece that are let into each other.

    Args:
        spaces: what holds the timber's loss, and the piece's besides the timber's own two faces.
    """
    spec = laid.spec
    over, under = spaces
    fore, after = _stretch(laid, host)
    closed = bool(laid.lid)
    deep = closed or kind == "housed" or isinstance(spec, KingPlankSpec)
    whole = deep if spec.let_in is None else spec.let_in >= spec.moulded
    if whole:
        bed, depth = laid.bed_through(fore, after), spec.moulded
    else:
        depth = spec.let_in if spec.let_in is not None else 0.5 * spec.moulded
        bed = laid.bed_at(depth, host.up, fore, after)
    if host.hook is not None and whole:  # its housing is level with its faces
        bed = laid.bed_at(depth, host.up, fore, after)
    lap = _lap(
        (spec.name, over),
        (host.whole, (*laid.slab, *laid.lid, *(under if kind == "housed" else _through(host, laid)))),
        bed,
        depth,
        keys=_keys(spec),
        kind=Joinery.MORTISE if closed else Joinery.HOUSING if kind == "housed" else Joinery.HALF_LAP,
    )
    slack = Slack(why=CURVED) if host.hook is not None else None
    return replace(lap, on=host.mate, slack=slack)


def _through(host: Host, laid: Lengthwise) -> tuple[Beyond, ...]:
    """What keeps a notch right through one of several pieces to that one and its plates."""
    return host.slab(*laid.plates_of(host)) if isinstance(host.mate, OneOf) else ()


def _stretch(laid: Lengthwise, host: Host) -> tuple[Plane, Plane]:
    """Between which planes a timber lies in a piece."""
    at = laid.end_at(host)
    if at is not None and at[1] == "housed":
        which = at[0]
        planes = laid.ends[which], laid.near[which]
        return planes if which == 0 else planes[::-1]
    return host.fore, host.after


def _notch(laid: Lengthwise, host: Host, which: int, past: Beyond) -> Meeting:
    """The notch in the plates on a piece through which the end of a timber comes to its face."""
    spec, near = laid.spec, laid.near[which]
    deep = max((cover.thickness for cover in host.covers), default=0.0)
    far = near.moved(deep if which == 0 else -deep)
    bed = laid.bed_through(*((near, far) if which == 0 else (far, near)))
    beyond = flipped(aft_of(far)) if which == 0 else aft_of(far)
    space = (*laid.slab, *laid.lid, past, beyond, bed)
    cut = Loss(piece=host.whole, against=spec.name, space=space, left_to=(Free,))
    edges = (Against(spec.name),)
    return Meeting(
        kind=Joinery.NOTCH,
        lands=spec.name,
        on=host.mate,
        keys=_keys(spec),
        edges=edges,
        cuts=(cut,),
        depth=spec.moulded,
    )


def _on_carling(beam: Beam, laid: Lengthwise) -> Meeting:
    """How a half beam lies in its carling, or ends at the carling's face."""
    spec = beam.spec
    if spec.from_end == "butted":
        against = Against(laid.spec.name)
        keys = (f'beam "{spec.name}", key from_end',)
        return Meeting(kind=Joinery.BUTT, lands=spec.name, on=against.piece, keys=keys, edges=(against,))
    depth = spec.let_in if spec.let_in is not None else 0.5 * (spec.moulded or 0.0)
    if depth <= 0.0:
        raise PatternsError("its let_in is missing; give the depth of its notch in the carling")
    return _lap(
        (spec.name, (flipped(outboard_of(laid.faces[1])),)),
        (laid.spec.name, beam.slab),
        laid.bed_at(depth, beam.faces[0].v, beam.fore, beam.after),
        depth,
        keys=(f'beam "{spec.name}", key from_carling',),
    )


def _lap(
    over: tuple[str, tuple[Beyond, ...]],
    under: tuple[str, tuple[Beyond, ...]],
    bed: Beyond,
    depth: float,
    *,
    keys: tuple[str, ...],
    kind: Joinery = Joinery.HALF_LAP,
) -> Meeting:
    """Two pieces let into each other: the one over is cut away below the bed, the one under it above.

    Args:
        over, under: the name of each, and the space between the faces of the other as it sees them; open at the
            end of a piece.  So the two notches are one another's counterpart.
        bed: the half of space above the plane in which they touch.
        depth: of the bed below the deck's underside, mm.
    """
    first, second = over[0], under[0]
    return Meeting(
        kind=kind,
        lands=first,
        on=second,
        keys=keys,
        edges=(Against(first), Against(second)),
        cuts=(
            Loss(piece=first, against=second, space=(*over[1], flipped(bed)), left_to=(Deck, Level)),
            Loss(piece=second, against=first, space=(*under[1], bed), left_to=(Free,)),
        ),
        depth=depth,
    )


def _keys(spec: LengthwiseSpec) -> tuple[str, ...]:
    """Where the design says between which pieces it lies."""
    return (f'{TABLES.get(type(spec), "support")} "{spec.name}", key between',)


@lru_cache(maxsize=128)
def _of_timber(boat: Boat, name: str) -> tuple[Meeting, ...]:
    """A timber's meetings with what it crosses and ends at.

    Raises:
        PatternsError: it cannot be placed.
    """
    laid = lengthwise_called(boat, name)
    return tuple(meeting for host in laid.hosts for meeting in _on_host(laid, host))


@lru_cache(maxsize=32)
def _all(boat: Boat) -> tuple[Meeting, ...]:
    """The meetings of all timbers fore and aft, and of all half beams, that can be placed."""
    found: list[Meeting] = []
    for spec in lengthwise_specs(boat):
        with suppress(PatternsError):  # told at the timber itself
            found += _of_timber(boat, spec.name)
    for beam in boat.design.all(BeamSpec):
        if beam.from_carling:
            with suppress(PatternsError):
                laid = lengthwise_called(boat, beam.from_carling)
                found.append(_on_carling(beam_called(boat, beam.name), laid))
    return tuple(found)


def laps_in(boat: Boat, *names: str) -> list[Meeting]:
    """The meetings in which a piece takes part, by its name or that of the whole that it is a part of."""
    own = {*names} - {""}
    return [
        meeting
        for meeting in _all(boat)
        if not own.isdisjoint((meeting.lands, meeting.on))
        or (isinstance(meeting.on, OneOf) and meeting.on.whole in own)
    ]
