"""Plane geometry: polylines and areas."""
