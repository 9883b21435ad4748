"""Hole: what is in the ground, how much water stands in it, and what does not fit."""
