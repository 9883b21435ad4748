"""Where record, store and files meet: the book of wells, and the archive that carries one well elsewhere."""
