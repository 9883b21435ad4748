"""Long series drawn with fewer points, without losing an extreme."""

from __future__ import annotations

from collections.abc import Sequence

MOST_POINTS = 400


def kept_indices(values: Sequence[float], most: int = MOST_POINTS) -> tuple[int, ...]:
    """Choose which points of a long series to draw.

    Parameters
    ----------
    values
        The series in drawing order.
    most
        Most points to keep, at least four.

    Returns
    -------
    tuple of int
        Rising indices: all when they are few enough; else first, last, and the least and greatest of each of
        equal runs, so that every peak is still drawn.

    Examples
    --------
    >>> kept_indices([0.0, 1.0, 9.0, 1.0, 0.0, 1.0, 0.0, 1.0, 0.0, 5.0], most=6)
    (0, 2, 6, 9)
    """
    count = len(values)
    if count <= most:
        return tuple(range(count))
    runs = (most - 2) // 2
    kept = {0, count - 1}
    for run in range(runs):
        indices = range(run * count // runs, (run + 1) * count // runs)
        kept.add(min(indices, key=lambda index: values[index]))
        kept.add(max(indices, key=lambda index: values[index]))
    return tuple(sorted(kept))
