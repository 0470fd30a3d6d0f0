"""How far a shape may travel down or left before it meets what is there: exact, on edges instead of cells."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_APART = 1e-7
"""mm; edges that overlap by less than this across the way pass each other."""

_TOUCH = 0.004
"""mm by which an edge may seem past another and still be in its way: what steep edges lose in rounding."""

_STEP = 1_000_000
"""Steps to a mm: a travel is a whole number of them, so that last bits never gather into an overlap."""

_NOISE = 1e-3
"""Steps by which the last bits may have pulled a whole number of steps below itself."""


def travel(
    own: "NDArray[np.float64]", facing: "NDArray[np.float64]", at: float, base: float, reach: float
) -> float:
    """How far, mm and at most `reach`, a shape may move against an axis.

    own: the edges that it shows that way (`Faces.bottom` or `left`), to be moved by `at` across the way and
    by `base` along it; facing: the edges that may stand in its way (`top` or `right`), placed. Shapes do
    not overlap before.
    """
    import numpy as np

    begin, end = own[0] + at, own[1] + at
    near = (facing[1] > begin.min() + _APART) & (facing[0] < end.max() - _APART)
    depth = float(min(own[2].min(), own[3].min())) + base - reach - _TOUCH
    facing = facing[:, near & (np.maximum(facing[2], facing[3]) > depth)]
    low = np.maximum(begin[:, None], facing[0])
    high = np.minimum(end[:, None], facing[1])
    mine, theirs = np.nonzero(high - low > _APART)
    if not len(mine):
        return reach
    low, high = low[mine, theirs], high[mine, theirs]
    a, b = own[:, mine], facing[:, theirs]
    # Over the stretch that two edges share the distance runs straight, so it is least at one of its ends.
    slope, other = (a[3] - a[2]) / (a[1] - a[0]), (b[3] - b[2]) / (b[1] - b[0])
    start, base_line = a[0] + at, a[2] + base
    first = base_line + (low - start) * slope - (b[2] + (low - b[0]) * other)
    last = base_line + (high - start) * slope - (b[2] + (high - b[0]) * other)
    apart = np.minimum(first, last)
    apart = apart[apart > -_TOUCH]
    if not len(apart):
        return reach
    return min(reach, max(0.0, float((apart.min() * _STEP + _NOISE) // 1) / _STEP))
