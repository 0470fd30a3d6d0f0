"""`ringwright why`: how a dimension came about."""

import sys
from typing import TYPE_CHECKING

from ringwright.lang.commands.common import Parser, Trouble, compile_argument, complain, show
from ringwright.lang.commands.main import DONE, FINDINGS

if TYPE_CHECKING:
    from collections.abc import Callable

    from ringwright.lang.design.design import Design


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
    from ringwright.lang.diagnostics.suggest import suggest
    from ringwright.lang.units import Dimension, Unit, shown_in

    try:
        spec, compiled = compile_argument(options.spec)
    except Trouble as trouble:
        return complain("why", str(trouble))
    show(compiled.findings, spec, compiled.project.sources, options.color)
    design = compiled.design
    if design is None:
        return FINDINGS
    name = meant_name(options.name, design)
    if name not in design.values:
        if compiled.failed:
            return complain("why", f"'{options.name}' has no value while the spec has errors")
        near = suggest(options.name, sorted(design.values))
        hint = f"did you mean '{near}'?" if near else "`ringwright list` shows all names"
        return complain("why", f"nothing is called {options.name!a}: {hint}")

    def dimension_of(of: str) -> Dimension:
        return design.dimensions.get(of, design.dimensions[name])

    def shown(of: str, value: float) -> str:
        return design.about.shown(value, dimension_of(of))

    if name not in design.solution.because:
        sys.stdout.write(f"{name} = {shown(name, design.values[name])}\n  measured on the finished part\n")
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


def meant_name(name: str, design: "Design") -> str:
    """Return the solved name that is meant: stations have names of their own, and the model may be called that."""
    first, _, last = name.partition(".")
    meant = (name, f"station.{name}", f"{design.about.name}.{last}" if first == "model" else name)
    return next((each for each in meant if each in design.values), meant[1])


def _account(design: "Design", name: str, shown: "Callable[[str, float], str]") -> str:
    """Return what a mass or a balance point is made up of; '' for other names."""
    from ringwright.lang.design.account import account, is_accounted
    from ringwright.lang.design.why import value_text

    if design.weighed is None or not is_accounted(design.weighed, name):
        return ""
    head = f"{name} = {value_text(design.solution, name, shown)}\n"
    return head + account(design.weighed, name, design.about.shown)
