"""The section of the hole, to scale."""
