"""Pure functions of the hole and the rock, in SI floats and arrays; this package knows no record."""
