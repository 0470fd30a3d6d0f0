"""How the flat blank of a cone or a barrel follows from its sizes, as a worked sum."""

import math
from collections.abc import Callable, Mapping

from ringwright.lang.solve.wording import plain

OF_BLANK = ("blank_inner_radius", "blank_outer_radius", "blank_angle", "blank_length", "blank_width")


def blank_sum(values: Mapping[str, float], name: str, shown: Callable[[str, float], str]) -> tuple[str, ...]:
    """Return the sum behind a size of a blank, in words and in numbers; () where it is another name.

    shown: gives a name's value as the builder reads it. The sums are those of geometry/ring.py.
    """
    owner, _, size = name.rpartition(".")
    needed = [f"{owner}.{each}" for each in ("start", "end", "length", "wall")]
    if size not in OF_BLANK or any(each not in values for each in needed):
        return ()
    start, end, length, wall = (values[each] for each in needed)
    half_angle = math.atan2(abs(start - end) / 2, length)
    angle = shown(f"{owner}.half_angle", half_angle)
    if size == "blank_angle":
        return ("360° * sin(half_angle)", f"360° * sin({angle})")
    if size == "blank_width":
        return ("length", shown(name, length))
    rim = min(start, end) if size == "blank_inner_radius" else max(start, end)
    across = wall / math.cos(half_angle)
    middle = values[name] / math.pi if size == "blank_length" else 2 * values[name] * math.sin(half_angle)
    # The layer that keeps its length: 0 is the inner face, 1 the outer.
    neutral = plain(round(1 - (rim - middle) / 2 / across, 4) + 0.0)
    wide, thick = shown(f"{owner}.start", rim), shown(f"{owner}.wall", wall)
    if size == "blank_length":
        return (
            "pi * (diameter - 2 * (1 - neutral) * wall)",
            f"pi * ({wide} - 2 * (1 - {neutral}) * {thick})",
        )
    which = "smaller" if size == "blank_inner_radius" else "larger"
    return (
        f"({which} diameter / 2 - (1 - neutral) * wall / cos(half_angle)) / sin(half_angle)",
        f"({wide} / 2 - (1 - {neutral}) * {thick} / cos({angle})) / sin({angle})",
    )
