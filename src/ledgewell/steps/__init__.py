"""Where a record meets the physics: each step takes a record and returns findings; none opens anything."""
