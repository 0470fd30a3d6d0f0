"""`ringwright weigh`: mass and balance, and what a change of stock or place would do to them."""

import sys
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from ringwright.lang.commands.common import Parser, Trouble, compile_argument, complain, show
from ringwright.lang.commands.main import DONE, FINDINGS

if TYPE_CHECKING:
    from ringwright.lang.commands.common import Spec
    from ringwright.lang.commands.what_if import Change
    from ringwright.lang.design.balancing import Weighed
    from ringwright.lang.design.design import Design
    from ringwright.lang.pipeline import Compiled

MOST = 12
"""Rows of the table: what pulls most."""


def parser() -> Parser:
    """Return what the command takes."""
    parser = Parser(
        "weigh",
        "Says what pulls most on a model's balance, what all of it weighs, where it balances and what\n"
        "ballast it needs. With --swap or --move it says what that would change; nothing is written.",
        "ringwright weigh heron.wright --swap board=thin_board",
    )
    parser.add_argument("spec", metavar="SPEC", help="a .wright file")
    parser.add_argument(
        "--swap",
        action="append",
        default=[],
        metavar="STOCK=OTHER",
        help="try another stock of the spec in place of this one; may be given again",
    )
    parser.add_argument(
        "--move",
        action="append",
        default=[],
        metavar="LOAD=PLACE",
        help='try a load elsewhere, such as "battery=60 mm"; may be given again',
    )
    return parser


def run(arguments: list[str]) -> int:
    """Weigh a spec; 1 where the text has errors, 2 where there is no such stock or load."""
    asked = parser()
    options = asked.parse_args(arguments)
    from ringwright.lang.commands.what_if import compile_changed, read_changes

    try:
        changes = read_changes(options.swap, options.move)
    except ValueError as problem:
        asked.error(str(problem))
    try:
        spec, compiled = compile_argument(options.spec)
        weighed = _sound(spec, compiled, options.color)
        if compiled.design is None or weighed is None:
            return FINDINGS
        if not changes:
            sys.stdout.write("".join(f"{line}\n" for line in report(compiled.design, weighed)))
            return DONE
        _, tried = compile_changed(options.spec, changes)
    except Trouble as trouble:
        return complain("weigh", str(trouble))
    # What was said already, of the spec as it stands, is not said again.
    news = tuple(finding for finding in tried.findings if finding not in compiled.findings)
    after = _sound(spec, tried._replace(findings=news), options.color)
    if tried.design is None or after is None:
        return FINDINGS
    lines = comparison(compiled.design, tried.design, (weighed, after), changes)
    sys.stdout.write("".join(f"{line}\n" for line in lines))
    return DONE


def _sound(spec: "Spec", compiled: "Compiled", color: str) -> "Weighed | None":
    """Show what was found, and return what was weighed; None where there are errors."""
    known = compiled.project.sources
    shown = [
        finding
        if finding.span is None or finding.span.source in known
        else finding._replace(span=None, labels=())
        for finding in compiled.findings
    ]
    show(shown, spec, known, color)
    return None if compiled.failed or compiled.design is None else compiled.design.weighed


def report(design: "Design", weighed: "Weighed") -> Iterator[str]:
    """Yield the lines about one design."""
    from ringwright.lang.commands.balance_lines import Line, aligned, cares, grams, heaviest, lines
    from ringwright.lang.design.ledger import weight_of

    table = heaviest(design, weighed, MOST)
    yield from table
    if table:
        yield ""
    said = [*lines(design, weighed)]
    if table:
        said.append(Line("inertia", _inertia(weighed)))
    unplaced = [entry for entry in weighed.entries if entry.at is None]
    if unplaced:
        names = ", ".join(dict.fromkeys(entry.owner for entry in unplaced))
        said.append(Line("", f"{grams(weight_of(unplaced))} count in no balance, having no place: {names}"))
    unweighed = sorted({part.stock.name for part in design.parts if part.properties.mass is None})
    if unweighed:
        said.append(Line("", f"without {', '.join(unweighed)}: give the stock a mass, density or sheet_mass"))
    yield from aligned([*said, *cares(weighed)])


def _inertia(weighed: "Weighed") -> str:
    """Return the moments of inertia about the balance point, in g m2."""
    from ringwright.geometry.inertia import POINT, box, inertia, spread_of
    from ringwright.geometry.numbers import fixed

    masses = []
    for entry in weighed.entries:
        if entry.at is not None:
            spread = POINT if entry.size is None else box(entry.size)
            masses.append((entry.mass, entry.at, spread if entry.part is None else spread_of(entry.part)))
    found = inertia(masses)
    words = [
        f"{name} {fixed(value / 1e6, 2)}" for name, value in zip(("roll", "pitch", "yaw"), found, strict=True)
    ]
    return f"{', '.join(words)} g m2 about the balance point"


def comparison(
    old: "Design", new: "Design", weighed: "tuple[Weighed, Weighed]", changes: "Sequence[Change]"
) -> Iterator[str]:
    """Yield what changes do: to each part that they touch, to the whole, to the balance and the ballast."""
    from ringwright.lang.commands.balance_lines import Line, aligned, cares, place
    from ringwright.lang.units import MASS

    yield f"with {', '.join(change.said for change in changes)}; nothing is written"
    yield ""
    said: list[Line] = []
    for stock in dict.fromkeys(change.name for change in changes if change.swap):
        cut = [sum(entry.mass for entry in each.entries if entry.stock == stock) for each in weighed]
        said.append(Line(stock, _more(cut[0], cut[1])))
    name = f"{old.about.name}.mass"
    said.append(Line("mass", _more(old.values[name], new.values[name])))
    names = [("balance", f"{old.about.name}.balance_x")]
    wanted = weighed[0].wanted
    if wanted is not None:
        id = wanted.component.id
        names = [("balance", f"{id}.after"), *((s.name, f"{s.name}.x") for s in weighed[0].slides)]
        names.append(("ballast", f"{id}.ballast"))
    for head, name in names:
        if name not in old.values or name not in new.values:
            continue
        first, second = old.values[name], new.values[name]
        if new.dimensions[name] == MASS:
            said.append(Line(head, _more(first, second)))
        else:
            before, now = place(old, first), place(new, second)
            said.append(
                Line(head, f"at {now} as before" if before == now else f"at {now} instead of {before}")
            )
    for change in changes:
        said += [Line("note", text) for text in _beyond(old, new, change)]
    width = max(len(line.head) for line in said) + 2
    yield from (f"{line.head:<{width}}{line.text}" for line in said)
    yield from aligned(cares(weighed[1]))


def _more(before: float, after: float) -> str:
    from ringwright.lang.commands.balance_lines import grams

    if grams(before) == grams(after):
        return f"{grams(after)} as before"
    way = "more" if after > before else "less"
    return f"{grams(after)} instead of {grams(before)}: {grams(abs(after - before))} {way}"


def _beyond(old: "Design", new: "Design", change: "Change") -> Iterator[str]:
    """Yield that a load was moved out of the range in which it slides."""
    from ringwright.lang.commands.balance_lines import place

    assert old.weighed is not None
    for slide in old.weighed.slides:
        at = new.values.get(f"{slide.name}.x")
        if (
            slide.name == change.name
            and not change.swap
            and at is not None
            and not slide.low <= at <= slide.high
        ):
            ends = f"{place(old, slide.low)} to {place(old, slide.high)}"
            yield f"{slide.name} at {place(old, at)} is outside its range, {ends}"
