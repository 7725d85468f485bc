"""Steering geometry, and bolts at their torque."""
