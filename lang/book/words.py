"""What components and parts are called in a step."""

from collections.abc import Iterable, Sequence

from ringwright.geometry.part import Part
from ringwright.lang.book.units import FORMERS, Unit
from ringwright.lang.design.design import Design


def title(design: Design, id: str) -> str:
    """Return what a component is called: its title where it has one, else its id."""
    node = None if (own := design.tree.components.get(id)) is None else own.properties.get("title")
    value = getattr(getattr(node, "value", None), "value", None)
    return value if isinstance(value, str) else id.strip()


def unit_title(design: Design, unit: Unit) -> str:
    """Return what a unit is called."""
    return f"Formers {named(unit.parts)}" if unit.id == FORMERS else title(design, unit.id)


def named(parts: Sequence[Part]) -> str:
    """Return the names of parts, runs of numbers as 'F1 to F7'."""
    runs: dict[str, list[tuple[int, str]]] = {}
    for part in parts:
        stem = part.name.rstrip("0123456789")
        runs.setdefault(stem, []).append((int(part.name[len(stem) :] or -1), part.name))
    words = []
    for _, run in sorted(runs.items()):
        names = [name for _, name in sorted(set(run))]
        numbers = sorted({number for number, _ in run})
        whole = len(numbers) > 2 and numbers[-1] - numbers[0] == len(numbers) - 1
        words += [f"{names[0]} to {names[-1]}"] if whole else names
    return listed(words)


def listed(words: Iterable[str]) -> str:
    """Return words, each once: 'a, b and c'."""
    found = list(dict.fromkeys(words))
    return found[0] if len(found) == 1 else f"{', '.join(found[:-1])} and {found[-1]}"
