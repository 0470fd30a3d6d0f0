"""`ringwright why`: how a dimension came about."""

import sys
from typing import TYPE_CHECKING

from ringwright.lang.commands.common import Parser, Trouble, compile_argument, complain, errors_of, show
from ringwright.lang.commands.main import DONE, FINDINGS

if TYPE_CHECKING:
    from collections.abc import Callable

    from ringwright.lang.design.design import Design


MOST_SHOWN = 6


def parser() -> Parser:
    """Return what the command takes."""
    parser = Parser(
        "why",
        "Prints how a dimension came about: the sum, and every line of the text that it rests on.",
        "ringwright why heron.wright cowl.mid.length",
    )
    parser.add_argument("spec", metavar="SPEC", help="a .wright file")
    parser.add_argument("name", metavar="NAME", help="a solved name; `ringwright list SPEC` shows them all")
    parser.add_argument("--tree", action="store_true", help="the whole chain, down to what was measured")
    return parser


def run(arguments: list[str]) -> int:
    """Print the sum behind a name; 2 where there is no such name."""
    options = parser().parse_args(arguments)
    from ringwright.lang.units import Dimension, Unit, shown_in

    try:
        spec, compiled = compile_argument(options.spec)
    except Trouble as trouble:
        return complain("why", str(trouble))
    show(errors_of(compiled), spec, compiled.project.sources, options.color)
    design = compiled.design
    if design is None:
        return FINDINGS
    name = meant_name(options.name, design)
    if name not in design.values:
        if compiled.failed:
            return complain("why", f"'{options.name}' has no value while the spec has errors")
        return complain("why", _unknown(options.name, design))

    def dimension_of(of: str) -> Dimension:
        return design.dimensions.get(of, design.dimensions[name])

    def shown(of: str, value: float) -> str:
        return design.about.shown(value, dimension_of(of))

    if name not in design.solution.because:
        from ringwright.lang.design.why_blank import blank_sum

        sums = blank_sum(design.values, name, shown) or ("found on the finished part",)
        lines = [f"{name} = {shown(name, design.values[name])}"]
        lines += [f"  = {line}" for line in sums] if len(sums) > 1 else [f"  {sums[0]}"]
        sys.stdout.write("".join(f"{line}\n" for line in lines))
        return DONE
    from ringwright.lang.commands.common import plain, sources_shown
    from ringwright.lang.design.effects import effects
    from ringwright.lang.design.why import why

    paths = sources_shown(spec, compiled.project.sources)
    sources = {
        path: source._replace(path=plain(paths[path])) for path, source in compiled.project.sources.items()
    }
    told = "" if options.tree else _account(design, name, shown)
    told = told or why(design.solution, name, sources, shown, options.tree)
    sys.stdout.write(told.rstrip("\n") + "\n")

    def unit_of(of: str) -> Unit:
        return shown_in(dimension_of(of), design.about.unit)

    components = design.tree.components.items()
    written = {
        f"{id}.{property.name}" for id, component in components for property in component.kind.properties
    }
    moved = effects(design.solution, name, sources, unit_of, written)
    sys.stdout.write(f"\n{moved}" if moved else "")
    return FINDINGS if compiled.failed else DONE


def _unknown(name: str, design: "Design") -> str:
    """Return what is said of a name that no value has: a component is asked for one of its dimensions."""
    from ringwright.lang.diagnostics.suggest import suggest

    within = [each for each in sorted(design.values) if each.startswith(f"{name}.")]
    component = design.tree.components.get(name) or design.tree.components.get(f"station.{name}")
    if component is not None or within:
        direct = [each for each in within if "." not in each[len(name) + 1 :]] or within
        what = "no value by itself"
        if component is not None:
            what = "made from a recipe" if component.kind.name == "recipe" else component.kind.called
        shown = ", ".join(direct[:MOST_SHOWN]) + (", …" if len(direct) > MOST_SHOWN else "")
        hint = f"name one of its dimensions: {shown}" if shown else "nothing is found for it"
        return f"{name!a} is {what}: {hint}"
    near = suggest(name, [*design.values, *design.tree.components])
    hint = f"did you mean '{near}'?" if near else "`ringwright list` shows all names"
    return f"nothing is called {name!a}: {hint}"


def meant_name(name: str, design: "Design") -> str:
    """Return the solved name that is meant: stations have names of their own, the model may be called that, and a
    part of one hand by what it is a hand of.
    """
    first, _, last = name.partition(".")
    # Parts of two hands have one of their component's names.
    one = ".".join(part for part in name.split(".") if part not in ("left", "right"))
    meant = (name, f"station.{name}", f"{design.about.name}.{last}" if first == "model" else name, one)
    return next((each for each in meant if each in design.values), meant[1])


def _account(design: "Design", name: str, shown: "Callable[[str, float], str]") -> str:
    """Return what a mass or a balance point is made up of; '' for other names."""
    from ringwright.lang.design.account import account, is_accounted
    from ringwright.lang.design.why import value_text

    if design.weighed is None or not is_accounted(design.weighed, name):
        return ""
    head = f"{name} = {value_text(design.solution, name, shown)}\n"
    return head + account(design.weighed, name, design.about.shown)
