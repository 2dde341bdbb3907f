"""Carries a framing crew's list of lengths from the tape to the saw."""

__version__ = "0.1.0"
