"""Circles, shown: names of which each leads to the next, and the last to the first."""

from collections.abc import Sequence

MOST = 8


def ring(names: Sequence[str]) -> str:
    """Return the names in a row, the first again at its end; of many the first and the last few."""
    shown = names if len(names) <= MOST else [*names[: MOST // 2], "…", *names[-MOST // 2 :]]
    return " → ".join([*shown, names[0]])
