"""Prove: what the well makes, at what level, how sure, and whether testing may stop."""
