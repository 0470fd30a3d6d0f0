"""Rounding, sums and comparisons: the one place where a number is snapped, printed or judged equal.

Everything goes through whole nanometres (1e-9 of the unit at hand), so that noise in the last bits of a float
neither shows in print nor tips a decision, and half a step goes away from zero, so that mirrored parts stay
mirrored.
"""

import math
from collections.abc import Iterable

from ringwright.geometry.errors import GeometryError

_NANO = 1_000_000_000
_PLACES = 9


def _nanos(value: float) -> int:
    """Value in whole billionths of its unit."""
    return round(finite(value, "a number to round") * _NANO)


def _steps(value: float, decimals: int) -> int:
    """Value in whole steps of 10**-decimals, half a step away from zero."""
    step = int(10 ** (_PLACES - decimals))
    nanos = _nanos(value)
    steps = (abs(nanos) + step // 2) // step
    return -steps if nanos < 0 else steps


def finite(value: float, what: str) -> float:
    """Value itself; GeometryError 'not-finite' naming `what` where it is NaN or infinite."""
    if not math.isfinite(value):
        raise GeometryError("not-finite", f"{what} comes out as {value}, which no length or angle can be")
    return value


def snap(value: float) -> float:
    """Value to the nearest 1e-9: what decisions compare."""
    return _nanos(value) / _NANO


def rounded(value: float, decimals: int) -> float:
    """Value to so many decimals (0 to 9), half away from zero; never -0.0."""
    return _steps(value, decimals) / int(10**decimals)


def fixed(value: float, decimals: int) -> str:
    """Text with exactly so many decimals (0 to 9): half away from zero, no exponent, no -0."""
    if decimals <= 6 and abs(value) < 1e9 and abs(abs(value) * 10**decimals % 1 - 0.5) > 1e-3:
        # Nowhere near half a step, where nothing needs snapping: the common case, five times as fast.
        text = f"{value:.{decimals}f}"
        return text[1:] if text[0] == "-" and not text.strip("-0.") else text
    steps = _steps(value, decimals)
    sign = "-" if steps < 0 else ""
    whole, rest = divmod(abs(steps), 10**decimals)
    return f"{sign}{whole}.{rest:0{decimals}d}" if decimals else f"{sign}{whole}"


def short(value: float, decimals: int) -> str:
    """Text with at most so many decimals: `fixed` without the zeros at its end."""
    text = fixed(value, decimals)
    return text.rstrip("0").rstrip(".") if "." in text else text


def counted(count: int, word: str) -> str:
    """'1 part', '3 parts'."""
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def fraction_words(value: float, parts: int, share: float) -> str:
    """A number to the nearest 1/parts as '1 3/16', '' where that is off by more than a share of it: 0.015 is not 0."""
    steps = abs(value) * parts
    count = int(fixed(steps, 0))
    if abs(count - steps) > share * steps + 1e-9:
        return ""
    whole, rest = divmod(count, parts)
    shared = math.gcd(rest, parts)
    words = [str(whole)] if whole or not rest else []
    if rest:
        words.append(f"{rest // shared}/{parts // shared}")
    return ("-" if value < 0 and count else "") + " ".join(words)


def total(values: Iterable[float]) -> float:
    """Sum that does not depend on the order of its terms."""
    return math.fsum(values)


def same(a: float, b: float, tolerance: float) -> bool:
    """Whether two values agree within a tolerance, itself included."""
    return snap(abs(a - b)) <= tolerance


def ceil_safe(value: float) -> int:
    """Next whole number up; noise of 1e-9 above a whole number does not count."""
    return math.ceil(finite(value, "a count") - 1e-9)
