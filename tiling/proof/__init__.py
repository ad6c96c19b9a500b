"""A finished file read back and measured against its own record."""

from tiling.proof.prover import ALLOWED, ALTERED, Proof, prove

__all__ = ["ALLOWED", "ALTERED", "Proof", "prove"]
