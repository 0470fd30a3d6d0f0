"""`ringwright built`: record which parts really hang on the wall, so that later recuts count from those."""

import sys
from typing import TYPE_CHECKING

from ringwright.lang.commands.common import (
    Parser,
    Trouble,
    compile_argument,
    complain,
    counted,
    errors_of,
    nearby,
    plain,
    show,
)
from ringwright.lang.commands.main import DONE, FINDINGS

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from ringwright.lang.compare.side import Side


def parser() -> Parser:
    """Return what the command takes."""
    parser = Parser(
        "built",
        "Records in the layout file beside a spec that parts are cut and hang on the wall, as the spec has them now: "
        "`build --since` counts from that, whatever was committed later. Name parts or components; without a name "
        "all are recorded.",
        "ringwright built heron.wright F2 cowl",
    )
    parser.add_argument("spec", metavar="SPEC", help="a .wright file")
    parser.add_argument("parts", nargs="*", metavar="PART", help="parts, or components with all their parts")
    parser.add_argument(
        "--as",
        dest="state",
        default="",
        metavar="OLD",
        help="they were cut as an earlier state has them: a spec, a build folder or REV:path in git",
    )
    parser.add_argument("--forget", action="store_true", help="they hang there no more")
    return parser


def run(arguments: list[str]) -> int:
    """Record parts; 1 where the text has errors, 2 where a name is unknown or the file cannot be had."""
    asked = parser()
    options = asked.parse_intermixed_args(arguments)
    if options.forget and options.state:
        asked.error("--as says how parts were cut, and --forget that they are there no more")
    try:
        return _record(options.spec, options.parts, options.state, options.forget, options.color)
    except Trouble as trouble:
        return complain("built", str(trouble))


def _record(argument: str, names: "Sequence[str]", state: str, forget: bool, color: str) -> int:
    from ringwright.lang.commands.lay_out import found_layout
    from ringwright.lang.commands.sides import read_side, side_of_spec
    from ringwright.lang.commands.written import replace_file
    from ringwright.lang.layout.built import recorded
    from ringwright.lang.layout.layout_file import layout_text

    spec, compiled = compile_argument(argument)
    found = found_layout(spec)
    if found.trouble:
        raise Trouble(f"{found.trouble}; move it away")
    before = dict(found.layout.built)
    if forget:
        gone = _chosen(before, names, argument, "recorded as built")
        after = {id: text for id, text in before.items() if id not in gone}
        said = f"forgot {_listed(gone)}"
    else:
        if not state and (compiled.failed or compiled.design is None):
            show(errors_of(compiled), spec, compiled.project.sources, color)
            return FINDINGS
        side: Side = read_side(state, color) if state else side_of_spec(compiled, argument, laid_out=False)
        chosen = _chosen(side.pieces, names, state or argument, "cut")
        after = {**before, **{id: recorded(side.pieces[id]) for id in chosen}}
        said = f"recorded {_listed(chosen)}"
    try:
        replace_file(found.path, layout_text(found.layout._replace(built=after)).encode())
    except OSError as problem:
        raise Trouble(
            f"'{nearby(found.path)}' cannot be written: {problem.strerror or problem}; nothing was recorded"
        ) from None
    sys.stdout.write(
        f"{plain(said)}; {counted(len(after), 'part')} on the wall, in {plain(nearby(found.path))}\n"
    )
    return DONE


def _chosen(known: "Mapping[str, object]", names: "Sequence[str]", argument: str, what: str) -> list[str]:
    """Return the ids that some names mean, all where there is no name. Raises Trouble."""
    if not names:
        return sorted(known)
    found: dict[str, None] = {}
    for name in names:
        own = [id for id in sorted(known) if id == name or id.startswith(f"{name}.")]
        if not own:
            from ringwright.lang.diagnostics.suggest import suggest

            near = suggest(name, sorted(known))
            hint = f": did you mean '{near}'?" if near else ""
            raise Trouble(f"nothing in '{argument}' that is {what} is called {name!a}{hint}", "unknown-name")
        found.update(dict.fromkeys(own))
    return sorted(found)


def _listed(ids: "Sequence[str]") -> str:
    return ", ".join(ids) if ids else "nothing"
