"""The statements of one block sorted by what they say, and judged by the kind of component they stand in."""

from collections.abc import Iterable
from typing import NamedTuple

from ringwright.lang.components.table import as_meant, column_faults, unit_faults
from ringwright.lang.components.tree import dimensions_of
from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.diagnostics.suggest import suggest
from ringwright.lang.kinds import NAMES, kind_of, made_kind
from ringwright.lang.kinds.kind import Kind
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes


class Report:
    """Errors as they are found."""

    def __init__(self) -> None:
        self.findings: list[Diagnostic] = []

    def say(
        self, code: str, message: str, span: Span, labels: tuple[Label, ...] = (), help: str = ""
    ) -> None:
        """Report an error."""
        self.findings.append(Diagnostic(code, "error", message, span, labels, help))

    def twice(self, name: str, span: Span, first: Span) -> None:
        """Report a name that has been given a value already."""
        self.say("given-twice", f"'{name}' is given twice", span, (Label(first, "first given here"),))

    def taken(self, name: str, span: Span, first: Span) -> None:
        """Report a name that another component has."""
        self.say(
            "name-taken",
            f"'{name}' is the name of another component here",
            span,
            (Label(first, "first used here"),),
            "give one of them another name",
        )


class Gathered(NamedTuple):
    """The statements of a block by sort; properties and named values by name."""

    properties: dict[str, nodes.Property]
    lets: dict[str, nodes.Let]
    components: list[nodes.Component | nodes.Make]
    requires: list[nodes.Require]
    givens: list[nodes.Given]
    accepts: list[nodes.Accept]
    tables: list[nodes.Table]


def gather(report: Report, statements: Iterable[nodes.Statement], kind: Kind | None) -> Gathered:
    """Sort the statements of a block, or of a file where there is no kind, and report those that may not stand in it."""
    found = Gathered({}, {}, [], [], [], [], [])
    known = {property.name for property in kind.properties} if kind else set()
    for statement in statements:
        if isinstance(statement, nodes.Component | nodes.Make):
            found.components.append(statement)
        elif isinstance(statement, nodes.Property):
            _property(report, statement, kind, known, found)
        elif isinstance(statement, nodes.Let):
            earlier = found.lets.get(statement.name)
            if earlier is not None:
                report.twice(statement.name, statement.name_span, earlier.name_span)
            else:
                found.lets[statement.name] = statement
        elif isinstance(statement, nodes.Require):
            found.requires.append(statement)
        elif isinstance(statement, nodes.Given):
            found.givens.append(statement)
        elif isinstance(statement, nodes.Accept):
            if kind is None:
                report.say(
                    "misplaced",
                    "'accept' stands inside the component whose warning is accepted",
                    statement.span,
                )
            else:
                found.accepts.append(statement)
        elif isinstance(statement, nodes.Use):
            if kind is not None:
                report.say(
                    "misplaced",
                    "'use' stands at the top of a file, not inside a component",
                    statement.span,
                )
        elif isinstance(statement, nodes.Table) and kind is not None and kind.columns:
            _table(report, statement, found)
        elif isinstance(statement, nodes.Table):
            where = f"a {kind.name}" if kind else "a file"
            report.say("no-table-here", f"{where} takes no table", statement.columns[0].span)
        elif kind is not None:
            report.say("misplaced", "a recipe stands at the top of a file", statement.name_span)
    return found


def _within(home: str) -> str:
    kind = kind_of(home)
    return "at the top of a file" if kind is None else f"in {kind.called}"


def kind_at(report: Report, node: nodes.Component, above: Kind | None) -> Kind | None:
    """Return the kind of a component, if there is such a kind and it may stand there; else None."""
    kind = kind_of(node.kind)
    if kind is None:
        near = suggest(node.kind, NAMES)
        report.say(
            "unknown-kind",
            f"no kind '{node.kind}'",
            node.kind_span,
            help=f"did you mean '{near}'?" if near else f"the kinds are {', '.join(NAMES)}",
        )
        return None
    where = above.name if above and above is not made_kind() else ""
    if where == "" and above is not None and kind.name in ("station", "model", "offsets", "formers", "body"):
        report.say("misplaced", f"{kind.called} stands in the file itself, not in a recipe", node.kind_span)
        return None
    if where not in kind.inside:
        *homes, last = [_within(home) for home in kind.inside]
        listed = f"{', '.join(homes)} or {last}" if homes else last
        report.say(
            "misplaced",
            f"{kind.called} stands {listed}, not {_within(where)}",
            node.kind_span,
        )
        return None
    return kind


def _property(
    report: Report, statement: nodes.Property, kind: Kind | None, known: set[str], found: Gathered
) -> None:
    if kind is None:
        report.say(
            "misplaced",
            f"'{statement.name} = …' stands outside any component",
            statement.name_span,
            help=f"write 'let {statement.name} = …' for a named value",
        )
    elif statement.name not in known:
        near = suggest(statement.name, sorted(known))
        if statement.name in dimensions_of(kind):
            report.say(
                "unknown-property",
                f"the '{statement.name}' of {kind.called} is found, not given",
                statement.name_span,
                help=f"to have it checked write require {statement.name} == …",
            )
            return
        names = ", ".join(sorted(known))
        report.say(
            "unknown-property",
            f"no property '{statement.name}' on {kind.called}",
            statement.name_span,
            help=f"did you mean '{near}'?" if near else f"{kind.called} takes {names or 'none'}",
        )
    elif statement.name in found.properties:
        report.twice(statement.name, statement.name_span, found.properties[statement.name].name_span)
    else:
        found.properties[statement.name] = statement


def _table(report: Report, statement: nodes.Table, found: Gathered) -> None:
    if found.tables:
        report.say(
            "given-twice",
            "this component has a table already",
            statement.columns[0].span,
            (Label(found.tables[0].columns[0].span, "the first begins here"),),
            "put the rows of both into one",
        )
        return
    faults = tuple(column_faults(statement))
    units = () if faults else tuple(unit_faults(statement))
    report.findings.extend((*faults, *units))
    table = as_meant(statement) if faults or units else statement
    if not any(column_faults(table)):
        found.tables.append(table)
