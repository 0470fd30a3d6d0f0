"""A note for whoever builds: what is done, after what and before what."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from ringwright.lang.kinds.kind import Kind, Property
from ringwright.lang.values.value import named

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker


def measures(maker: "Maker", component: "Component") -> Mapping[str, float]:
    """Judge whether the step can be done at all: it must not wait for itself. Raises Refusal."""
    from ringwright.lang.design.making import Refusal

    steps = {each.id: each for each in maker.tree.components.values() if each.kind.name == "step"}
    waits: dict[str, set[str]] = {id: set() for id in steps}
    for id, step in steps.items():
        waits[id].update(named(maker.value(step, "after")))
        for later in named(maker.value(step, "before")):
            waits.setdefault(later, set()).add(id)
    way = _round(waits, component.id)
    if way and component.id == min(way):
        last = steps[component.id]
        property = last.properties.get("after") or last.properties["before"]
        message = f"no step of {' → '.join((*way, way[0]))} can be the first: each waits for the next"
        raise Refusal("steps-in-a-ring", message, property.value.span)
    return {}


def _round(waits: Mapping[str, set[str]], start: str) -> tuple[str, ...]:
    """Return a way from a step back to itself, by what each waits for; () where there is none."""
    ways: list[tuple[str, ...]] = [(start,)]
    seen: set[str] = set()
    while ways:
        way = ways.pop(0)
        for other in sorted(waits.get(way[-1], ())):
            if other == start:
                return way
            if other not in seen:
                seen.add(other)
                ways.append((*way, other))
    return ()


KIND = Kind(
    "step",
    "a note for the build book: something to do, at its place among the steps that follow from the parts",
    (
        Property("title", "text", "what it is called", 'title = "Pushrods"'),
        Property(
            "text",
            "text",
            "what is done",
            'text = "thread both pushrods before the deck goes on"',
            required=True,
        ),
        Property(
            "after",
            "things",
            "parts that must have been built, or steps that must have been done; the end, unless given",
            "after = [F2, F3]",
        ),
        Property("before", "things", "parts and steps that wait for it", "before = hatch"),
    ),
    measures=measures,
    example='step balance_first { after = F1, text = "set the motor on the firewall and look where it balances" }\n',
)
