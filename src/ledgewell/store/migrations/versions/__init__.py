"""The steps. A published step is never changed: a new one follows it."""
