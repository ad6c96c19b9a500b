"""What timbers fore and aft cross and end at: each such piece where it lies before anything is cut."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from patterns.boat import Boat
from patterns.design.deck_models import BeamSpec, BreasthookSpec, frame_said
from patterns.design.models import FrameSpec, TransomEnd
from patterns.design.panel_models import PanelSpec
from patterns.errors import PatternsError
from patterns.hull.curved import Curved
from patterns.hull.planes import FloatArray, Plane
from patterns.hull.spaces import Beyond, flipped
from patterns.joinery.breasthook_faces import Hook, hook_face, hook_inner, hook_of
from patterns.joinery.deck_timbers import aft_of, beam_called, faces_across
from patterns.joinery.framed import framed
from patterns.joinery.named_pieces import transom_whole
from patterns.wood.meeting import Mate, OneOf

__all__ = [
    "BREASTHOOK",
    "TRANSOM",
    "FacePlate",
    "Host",
    "host_called",
    "hosts_under_the_deck",
    "on_deck",
    "shoulder_of",
]

BREASTHOOK, TRANSOM = "breasthook", "transom"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FacePlate:
    """A plate on a face of a piece: a gusset on a frame.

    Attributes:
        after: it lies on the after face.
        plane: of its face against the piece.
        area: its wood there.
        thickness: mm.
    """

    name: str
    after: bool
    plane: Plane
    area: Any
    thickness: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Host:
    """A piece across the boat that a timber fore and aft crosses or ends at.

    Attributes:
        name: as the design says it, e.g. ``frame 4``.
        mate: what meetings with it are with.
        fore, after: its two faces.
        covers: what lies on these.
        hook: the breasthook, which lies level: its notch is open aft and upward.
    """

    name: str
    mate: Mate
    fore: Plane
    after: Plane
    covers: tuple[FacePlate, ...] = ()
    hook: Hook | None = None

    @property
    def whole(self) -> str:
        """What its pieces are asked for by."""
        return self.mate.whole if isinstance(self.mate, OneOf) else str(self.mate)

    @property
    def up(self) -> FloatArray:
        """The direction up its faces, to which the bed of a lap is square, (3,)."""
        return self.fore.v if self.hook is None else -self.hook.siding

    def near(self, which: int) -> Plane:
        """The face that a timber comes to which begins (0) or ends (1) there."""
        return self.after if which == 0 else self.fore

    def slab(self, before: float = 0.0, behind: float = 0.0) -> tuple[Beyond, Beyond]:
        """The space between its two faces, wider by plates forward and aft of them, mm."""
        return aft_of(self.fore.moved(-before)), flipped(aft_of(self.after.moved(behind)))


def on_deck(boat: Boat, host: str, face: Plane, half_breadth: float) -> FloatArray:
    """Where the deck's underside has a half-breadth on a face across the boat, (3,), mm.

    Raises:
        PatternsError: the deck is not so wide there.
    """
    trace = boat.hull.deck_underside(face, reach=1.0)
    if trace is None:
        raise PatternsError(f"the deck does not reach over {host}")
    if half_breadth >= trace.uv[-1, 0]:
        raise PatternsError(
            f"its half-breadth of {half_breadth:g} mm is past the side at {host} ({trace.uv[-1, 0]:.0f} mm)"
        )
    height = float(np.interp(half_breadth, trace.uv[:, 0], trace.uv[:, 1]))
    return face.space(np.array([half_breadth, height]))


@lru_cache(maxsize=128)
def host_called(boat: Boat, name: str) -> Host:
    """The piece of a name, as the keys ``between`` give it.

    Raises:
        PatternsError: it cannot be placed, or nothing can end on it.
    """
    frame = next((frame for frame in boat.design.frames if frame.name == frame_said(name)), None)
    if frame is not None:
        return _frame(boat, frame)
    if name == TRANSOM:
        return _transom(boat)
    if name == BREASTHOOK:
        return _breasthook(boat)
    panel = next((panel for panel in boat.design.all(PanelSpec) if f"panel {panel.name}" == name), None)
    if panel is not None:
        return _panel(boat, panel)
    beam = beam_called(boat, name)
    return Host(name=name, mate=name, fore=beam.fore, after=beam.after)


def hosts_under_the_deck(boat: Boat) -> Iterator[Host]:
    """Whole beams, upright frames and panels that reach across under the deck, as far as they can be placed."""
    names = [spec.name for spec in boat.design.all(BeamSpec) if not spec.from_carling and spec.top is None]
    names += [f"frame {spec.name}" for spec in boat.design.frames if spec.top_piece and not spec.cant]
    names += [
        f"panel {panel.name}"
        for panel in boat.design.all(PanelSpec)
        if panel.lies == "athwartships" and panel.top is None and panel.inner is None
    ]
    for name in names:
        try:
            yield host_called(boat, name)
        except PatternsError:  # told at the piece itself
            continue


def _frame(boat: Boat, spec: FrameSpec) -> Host:
    if spec.cant:
        raise PatternsError(f'frame "{spec.name}" is canted; end it at an upright frame or a beam')
    moulded, other, sense = boat.frame_faces(spec)
    covers = tuple(
        FacePlate(
            name=f"{gusset.at} {gusset.spec.name}",
            after=gusset.side == "after",
            plane=gusset.plane,
            area=gusset.faces[0],
            thickness=gusset.spec.thickness,
        )
        for gusset in framed(boat, spec).gussets
    )
    fore, after = (moulded, other) if sense > 0 else (other, moulded)
    name = f"frame {spec.name}"
    return Host(name=name, mate=OneOf(name), fore=fore, after=after, covers=covers)


def _panel(boat: Boat, spec: PanelSpec) -> Host:
    if spec.lies != "athwartships":
        raise PatternsError(f'panel "{spec.name}" does not lie athwartships; end it at one that does')
    moulded, other, sense = faces_across(boat, spec)
    fore, after = (moulded, other) if sense > 0 else (other, moulded)
    return Host(name=f"panel {spec.name}", mate=spec.name, fore=fore, after=after)


def _transom(boat: Boat) -> Host:
    end, face = boat.design.after_end, boat.hull.transom
    if not isinstance(end, TransomEnd) or face is None:
        raise PatternsError("the stern has no transom; end it at a beam or a frame")
    if isinstance(face, Curved):
        raise PatternsError("the transom is curved; end it at a beam or a frame beside it")
    inside = face.moved(-end.panel)
    if end.framing is None:
        return Host(name=TRANSOM, mate=transom_whole(), fore=inside, after=face)
    return Host(name=TRANSOM, mate=transom_whole(), fore=inside.moved(-end.framing), after=inside)


def _breasthook(boat: Boat) -> Host:
    spec = next(iter(boat.design.all(BreasthookSpec)), None)
    if spec is None:
        raise PatternsError("the design has no breasthook; end it at a beam or a frame")
    hook = hook_of(boat, spec)
    nose, throat = (_square(hook.planes[0], v) for v in (0.0, spec.throat))
    return Host(name=BREASTHOOK, mate=OneOf(BREASTHOOK), fore=nose, after=throat, hook=hook)


def _square(top: Plane, v: float) -> Plane:
    """The plane across the boat square to the breasthook's top, so far aft of its nose; its normal runs aft."""
    aft = top.v if top.v[0] > 0.0 else -top.v
    return Plane(
        origin=top.origin + v * top.v, u=np.array([0.0, 1.0, 0.0]), v=np.array([-aft[2], 0.0, aft[0]])
    )


def shoulder_of(boat: Boat, hook: Hook, half_breadth: float) -> Plane:
    """The plane across the boat abaft the whole inner edge of a breasthook, out to a half-breadth."""
    spec, faces = hook.spec, [hook_face(boat, hook.spec, plane) for plane in hook.planes]
    narrow = min(faces, key=lambda face: float(face.edge.uv[-1, 0])).edge
    inner = hook_inner(narrow.uv, spec.throat, spec.toe)[::-1]
    return _square(hook.planes[0], float(np.interp(half_breadth, inner[:, 0], inner[:, 1])))
