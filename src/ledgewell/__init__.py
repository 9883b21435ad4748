"""Ledgewell: the field book and the engineer for weak wells in hard rock."""

__version__ = "0.1.0"
