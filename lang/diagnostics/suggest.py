"""'Did you mean …?': the name that was probably wanted."""

from collections.abc import Callable, Collection, Iterable, Mapping

LONGEST = 64
"""Letters of the longest word that a suggestion is looked for."""
MOST_COMPARED = 100_000
"""Names that one compile compares with unknown ones; who has so many mistakes reads no more hints."""

# What the trade also says, abbreviates or spells otherwise; the first that stands among the candidates is
# taken.
_SYNONYMS: Mapping[str, tuple[str, ...]] = {
    "dia": ("diameter",),
    "diam": ("diameter",),
    "dihed": ("dihedral",),
    "qty": ("quantity", "count"),
    "number": ("count", "quantity"),
    "num": ("count", "quantity"),
    "len": ("length",),
    "long": ("length",),
    "thick": ("thickness",),
    "thk": ("thickness",),
    "material": ("stock", "kind"),
    "mat": ("stock",),
    "sheet_size": ("sheet",),
    "size": ("sheet", "diameter"),
    "weight": ("mass", "weighed"),
    "wt": ("mass", "weighed"),
    "cost": ("price",),
    "name": ("title",),
    "label": ("title",),
    "position": ("at", "place", "x"),
    "pos": ("at", "place", "x"),
    "location": ("at", "place"),
    "where": ("at", "place"),
    "begin": ("start", "from"),
    "finish": ("end", "to"),
    "rev": ("revision",),
    "scale": ("plan_scale",),
    "side": ("hand",),
    "airfoil": ("aerofoil",),
    "aoa": ("incidence",),
    "twist": ("washout",),
    "cg": ("target", "balance"),
    "shape": ("outline",),
    "contour": ("outline",),
    "frame": ("former",),
    "bulkhead": ("former",),
    "disc": ("plate",),
    "disk": ("plate",),
    "cylinder": ("barrel",),
    "bow": ("cones",),
    "petal": ("dome", "gores"),
    "petals": ("dome", "gores"),
    "gore": ("dome", "gores"),
    "segments": ("count",),
    "tube": ("barrel",),
    "cone_angle": ("half_angle",),
    "angle": ("half_angle",),
    "radius": ("diameter",),
    "rotate": ("turned",),
    "translate": ("moved",),
    "union": ("joined",),
    "difference": ("minus",),
    "subtract": ("minus",),
    "intersection": ("common",),
    "intersect": ("common",),
    "mirror": ("mirrored",),
    "offset": ("outset", "inset"),
    "square": ("rect",),
    "rectangle": ("rect",),
    "spline": ("curve",),
    "inch": ("in",),
    "inches": ("in",),
    "feet": ("ft",),
    "foot": ("ft",),
    "metre": ("m",),
    "meter": ("m",),
    "millimetre": ("mm",),
    "millimetres": ("mm",),
    "millimeters": ("mm",),
    "degree": ("deg",),
    "degrees": ("deg",),
    "º": ("deg",),
    "radian": ("rad",),
    "radians": ("rad",),
    "gram": ("g",),
    "grams": ("g",),
    "gr": ("g",),
    "kilo": ("kg",),
    "ounce": ("oz",),
    "ounces": ("oz",),
    "pound": ("lb",),
    "pounds": ("lb",),
    "lbs": ("lb",),
    "gsm": ("g/m2",),
    "percent": ("%",),
}


def suggest(word: str, candidates: Iterable[str]) -> str | None:
    """Return the candidate that `word` was probably meant to be, or None.

    Another case of the letters counts first, then what the trade also says, then the fewest slips of the
    fingers (a letter left out, put in, changed, or two neighbours swapped), at most a third of the word's
    letters. Of equally near ones the one with the same letters is taken, then one with the same
    first letter, then one as long, then the first by alphabet.
    """
    if len(word) > LONGEST:
        return None
    names = sorted(set(candidates) - {word})
    plain = word.casefold()
    for candidate in names:
        if candidate.casefold() == plain:
            return candidate
    for synonym in _SYNONYMS.get(plain, ()):
        if synonym in names:
            return synonym
    if len(word) < 2:
        return None
    limit = max(1, len(word) // 3)
    best: tuple[int, bool, bool, bool, str] | None = None
    for candidate in names:
        if abs(len(candidate) - len(word)) > limit:
            continue
        other = candidate.casefold()
        slips = distance(plain, other, limit)
        if slips > limit:
            continue
        same_letters = set(other) == set(plain)
        found = (slips, not same_letters, other[:1] != plain[:1], len(other) != len(plain), candidate)
        if best is None or found < best:
            best, limit = found, slips
    return best[-1] if best else None


class Hints:
    """The suggestions of one compile, which end when enough names have been gone through."""

    def __init__(self) -> None:
        self._left = MOST_COMPARED

    def near(self, word: str, candidates: Callable[[], Collection[str]]) -> str | None:
        """Return what `suggest` does; None, and no candidates are asked for, when the last has been made."""
        if self._left <= 0:
            return None
        names = candidates()
        self._left -= len(names)
        return suggest(word, names)


def distance(one: str, other: str, limit: int = LONGEST) -> int:
    """Return how many slips lie between two words (Damerau and Levenshtein; no letter is touched twice).

    Where there are more than `limit`, any number above it.
    """
    before: list[int] = []
    above = list(range(len(other) + 1))
    for i, letter in enumerate(one, 1):
        row = [i]
        for j, wanted in enumerate(other, 1):
            cost = min(above[j] + 1, row[j - 1] + 1, above[j - 1] + (letter != wanted))
            if i > 1 and j > 1 and letter == other[j - 2] and one[i - 2] == wanted:
                cost = min(cost, before[j - 2] + 1)
            row.append(cost)
        if min(row) > limit and min(above) > limit:
            return limit + 1
        before, above = above, row
    return above[-1]
