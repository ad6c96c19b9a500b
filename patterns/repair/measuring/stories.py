"""Which slip of the tape or the pen would explain a reading that is wrong; it only breaks ties between readings."""

from __future__ import annotations

from dataclasses import dataclass, replace

from patterns.fairing.slips import Slip, explain
from patterns.measure import Notation
from patterns.repair.measuring.equations import Frames
from patterns.repair.measuring.faults import Cause, Suspicion

__all__ = ["Stories"]

BONUS = 2.0  # log odds that a usual slip adds; less than what makes a rival
UNSURE = 1.5  # mm; standard deviation of the value that the fit asks for


@dataclass(frozen=True)
class Stories:
    """Slips in the notation in which the readings are written."""

    notation: Notation

    def of(self, frames: Frames, fault: Suspicion) -> tuple[Slip, ...]:
        """What would explain a single wrong reading, the likeliest first."""
        if fault.cause is not Cause.SLIP:
            return ()
        ((i, k),) = fault.readings
        typed = frames.spots[i].measured.values[k]
        return explain(typed, typed - float(fault.size[0]), unsure=UNSURE, notation=self.notation)

    def believed(self, frames: Frames, fault: Suspicion) -> Suspicion:
        """The fault with the odds that its story gives it."""
        return replace(fault, log_odds=fault.log_odds + BONUS) if self.of(frames, fault) else fault
