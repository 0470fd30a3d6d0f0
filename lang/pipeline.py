"""The whole compile, in order: texts, components, equations, values, parts, checks. Pure: all reading is handed in."""

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.lang.components.planting import plant
from ringwright.lang.components.project import Parse, Project, Reader, gather
from ringwright.lang.components.tree import Component, Tree
from ringwright.lang.design import checks
from ringwright.lang.design.balancing import weighed
from ringwright.lang.design.cures import cured
from ringwright.lang.design.design import About, Design
from ringwright.lang.design.doubts import doubts
from ringwright.lang.design.elaborate import Elaborated, elaborate
from ringwright.lang.design.ledger import as_weighed
from ringwright.lang.design.making import Maker, Unsettled
from ringwright.lang.design.on_hand import on_hand
from ringwright.lang.design.parts import make, of_parts
from ringwright.lang.design.quarantine import sound_part
from ringwright.lang.design.shopping import pieces, shopping
from ringwright.lang.design.written_steps import written_steps
from ringwright.lang.diagnostics.diagnostic import Diagnostic
from ringwright.lang.diagnostics.suggest import suggest
from ringwright.lang.kinds.cutting import HABITS, cutting_of
from ringwright.lang.kinds.kind import no_parts
from ringwright.lang.solve.algebra import evaluate
from ringwright.lang.solve.faults import diagnose
from ringwright.lang.solve.solve import solve
from ringwright.lang.syntax.parse import parse
from ringwright.lang.units import LENGTH, Dimension
from ringwright.lang.units import name as dimension_name
from ringwright.lang.values.evaluate import Evaluator
from ringwright.lang.values.plan import PlanScale
from ringwright.lang.values.trouble import Trouble
from ringwright.lang.values.value import Amount, Pair, Value

if TYPE_CHECKING:
    from ringwright.lang.components.only import Narrowed
    from ringwright.lang.kinds.printing import Printing

LEAST_SCALE, MOST_SCALE = 0.01, 50.0


class Compiled(NamedTuple):
    """A compile's outcome. design is None where the text has mistakes that leave nothing to solve.

    aside: how many errors lie in what was not asked for.
    """

    project: Project
    design: Design | None
    findings: tuple[Diagnostic, ...]
    aside: int = 0

    @property
    def failed(self) -> bool:
        """Whether any finding is an error."""
        return any(finding.severity == "error" for finding in self.findings)


def no_letters(_text: str) -> Sequence[str]:
    """Of whom nobody knows what is drawn: nothing is missed."""
    return ()


def compile_spec(
    main: str,
    read: Reader,
    only: Sequence[str] = (),
    change: Callable[[Tree], Tree] | None = None,
    parse: Parse = parse,
    assembled: bool = False,
    undrawable: Callable[[str], Sequence[str]] = no_letters,
) -> Compiled:
    """Compile the spec at `main`, a path for `read`; with `only`, just those components or parts and what they lean on.

    change: what is tried on the components before anything is worked out. parse: what reads a text, where some of it has
    been read before. assembled: the parts are held against each other as they sit in the aircraft. undrawable:
    which letters of a text the lettering of sheets lacks. Raises
    project.Refused where the spec itself cannot be read, NoSuchName where there is none of those in `only`.
    """
    project, findings = gather(main, read, parse)
    tree, planted = plant(project)
    if any(finding.severity == "error" for finding in findings):
        # A statement that could not be read may have named what seems missing: only what stands there is judged.
        planted = tuple(finding for finding in planted if finding.code not in checks.MISSING)
    if any(finding.code == "unclosed-brace" for finding in findings):
        planted = ()  # what stands in what cannot be told before the brace is there
    if change is not None:
        tree = change(tree)
    aside = 0
    if only:
        narrowed, only = _narrowed(tree, only)
        tree = narrowed.tree
        concerned = tuple(finding for finding in (*findings, *planted) if narrowed.concerns(finding))
        aside = sum(1 for f in (*findings, *planted) if f.severity == "error" and f not in concerned)
        findings, planted = concerned, ()
    too_many = any(finding.code == "too-many-components" for finding in planted)
    if too_many or any(finding.severity == "error" for finding in findings):
        return Compiled(project, None, checks.once((*findings, *planted)), aside)
    evaluator, scale, troubles = _scaled_evaluator(tree)
    elaborated = elaborate(tree, evaluator, _Measure(tree, evaluator))
    broken = {*elaborated.broken, *checks.misspelt(tree, planted)}
    solution = solve(sound_part(elaborated.system, broken))
    about = _about(tree, evaluator)
    show = _Shower(about, elaborated)
    faults = tuple(cured(tree, fault, diagnose(fault, show), show) for fault in solution.faults)
    cutting = cutting_of(_only(tree, "cutting"), solution.values)
    maker = Maker(tree, evaluator, solution.values, cutting, about.revision, (about.unit, about.fraction))
    parts, measured, dimensions, refused, unmade = make(tree, maker)
    refusals = {(finding.code, finding.message) for finding in refused}
    # What a part could not be made for is said once, at the part, not again for each measure of it.
    faults = tuple(fault for fault in faults if (fault.code, fault.message) not in refusals)
    found = (*findings, *planted, *troubles, *elaborated.findings, *faults, *refused, *maker.findings)
    whole = None
    steps: Mapping[str, Dimension] = {}
    if not only and not any(finding.severity == "error" for finding in (*found, *unmade)):
        whole = weighed(tree, maker, parts, about, elaborated.afterwards)
        solution = solution.extended(whole.found)
        dimensions |= whole.dimensions
        steps = whole.steps
        found = (*found, *doubts(tree, maker, parts, whole, about, bool(elaborated.late)))
        if assembled:
            from ringwright.lang.design.assembly import assembly

            found = (*found, *assembly(tree, maker, parts, found))
    values = {**_named(solution.values, elaborated, dimensions), **measured}
    found = (
        *found,
        *checks.requirements(elaborated, {**solution.values, **measured}, about),
        *checks.mixed_marks(tree, evaluator),
        *checks.model(tree),
        *checks.letters(tree, undrawable),
    )
    if not any(finding.severity == "error" for finding in found):
        found = (*found, *unmade)
    elif planted:
        follows = set(checks.consequences(project, tree, planted, found))
        found = tuple(finding for finding in found if finding not in follows)
    empty = set(checks.hollow(found))
    found = tuple(finding for finding in found if finding not in empty)
    design = Design(
        tree, about, scale, len(evaluator.scaled), solution, values, {**elaborated.dimensions, **steps, **dimensions}, parts, cutting,
        tuple(sorted({**dict(elaborated.defaults), **maker.defaults}.items())), whole, shopping(tree, maker), pieces(tree, maker),
        _printing(tree, maker), on_hand(tree, maker), written_steps(tree, maker),
        _colours(tree, maker),
    )  # fmt: skip
    if only:
        design = design._replace(parts=tuple(part for part in parts if is_asked(part.id, only)))
    return Compiled(project, design, checks.accepted(tree, checks.once(found), not only, assembled), aside)


def is_asked(part: str, only: Sequence[str]) -> bool:
    """Whether a part is asked for: by its own id, or by that of something it belongs to."""
    return any(part == name or part.startswith(name + ".") for name in only)


class NoSuchName(Exception):
    """A name that is asked for and that nothing in the spec has.

    near: the most like it, or None. known: of those that parts are made for, the outermost.
    """

    def __init__(self, name: str, near: str | None, known: tuple[str, ...] = ()) -> None:
        super().__init__(name)
        self.name = name
        self.near = near
        self.known = known


def _narrowed(tree: Tree, only: Sequence[str]) -> "tuple[Narrowed, tuple[str, ...]]":
    """Return what is asked for with all that it leans on, and its names, those of a group's formers among them."""
    from ringwright.lang.components.only import component_of, narrow, with_members

    for name in only:
        if component_of(tree, name) is None:
            made = (
                id
                for id, c in tree.components.items()
                if c.kind.parts is not no_parts or c.kind.name == "stack"
            )
            known = tuple(dict.fromkeys(id.partition(".")[0] for id in made))
            raise NoSuchName(name, suggest(name, sorted(tree.components)), known)
    only = with_members(tree, only)
    return narrow(tree, only), only


def _scaled_evaluator(tree: Tree) -> tuple[Evaluator, PlanScale, tuple[Diagnostic, ...]]:
    """Return an evaluator that knows the plan scale, which it must be able to read from the model alone."""
    model = _only(tree, "model")
    plain = PlanScale(1.0, 1.0)
    if model is None or "plan_scale" not in model.properties:
        return Evaluator(tree, plain), plain, ()
    try:
        value = Evaluator(tree, plain).property(model, "plan_scale")
    except Trouble:
        return Evaluator(tree, plain), plain, ()  # reported when the model's properties are stated
    found = (
        [_plain_number(part) for part in (value.first, value.second)]
        if isinstance(value, Pair)
        else [_plain_number(value)]
    )
    numbers = [number for number in found if number is not None]
    if len(numbers) < len(found) or not all(LEAST_SCALE <= number <= MOST_SCALE for number in numbers):
        message = "plan_scale must be a number between 1 % and 5000 % that needs no solving, such as 145 % or 812 mm / 560 mm"
        span = model.properties["plan_scale"].value.span
        return Evaluator(tree, plain), plain, (Diagnostic("plan-scale", "error", message, span),)
    scale = PlanScale(numbers[0], numbers[-1])
    return Evaluator(tree, scale), scale, ()


def _plain_number(value: Value | None) -> float | None:
    if not isinstance(value, Amount):
        return None
    try:
        return evaluate(value.term, {})
    except KeyError:
        return None


def _about(tree: Tree, evaluator: Evaluator) -> About:
    model = _only(tree, "model")
    if model is None:
        stem = tree.main.rsplit("/", 1)[-1].removesuffix(".wright")
        return About(stem, stem, "", "mm", None)
    reader = Maker(tree, evaluator, {}, HABITS["knife"])
    try:
        return About(
            model.name,
            reader.text(model, "title") or model.name,
            reader.text(model, "revision"),
            reader.word(model, "units"),
            reader.count(model, "fraction"),
        )
    except Unsettled:
        return About(model.name, model.name, "", "mm", None)


class _Measure:
    """Gives a forward measure of a component from the values so far."""

    def __init__(self, tree: Tree, evaluator: Evaluator) -> None:
        self.tree = tree
        self.evaluator = evaluator

    def __call__(self, id: str, name: str, values: Mapping[str, float]) -> float:
        """Return the measure. Raises GeometryError."""
        component = self.tree.components[id]
        maker = Maker(self.tree, self.evaluator, values, cutting_of(_only(self.tree, "cutting"), values))
        try:
            found = component.kind.measures(maker, component)
            if name not in found:
                parts = tuple(component.kind.parts(maker, component))
                found = of_parts(as_weighed(maker, component, parts))
        except Unsettled as unsettled:
            raise GeometryError(
                "not-known", f"'{id}.{name}' needs '{unsettled}', which nothing says"
            ) from None
        if name not in found:
            raise GeometryError("not-known", f"nothing says the '{name}' of '{id}'")
        return found[name]


def _named(
    values: Mapping[str, float], elaborated: Elaborated, more: Mapping[str, Dimension]
) -> dict[str, float]:
    """Return the values that have a name in the text: the pools of shares have none."""
    return {name: value for name, value in values.items() if name in elaborated.dimensions or name in more}


class _Shower:
    """Shows a number of a dimension as the model's units want it."""

    def __init__(self, about: About, elaborated: Elaborated) -> None:
        self.about = about
        self.dimensions = {
            dimension_name(dimension): dimension for dimension in elaborated.dimensions.values()
        }

    def __call__(self, dimension: str, value: float) -> str:
        """Return the number with its unit."""
        return self.about.shown(value, self.dimensions.get(dimension, LENGTH))


def _colours(tree: Tree, maker: Maker) -> tuple[tuple[str, str], ...]:
    """Return the layers that have a colour for the cutter; what is wrong with one has been said."""
    from ringwright.lang.kinds.cutting import colours_of

    try:
        return colours_of(maker, _only(tree, "cutting"))
    except Unsettled:
        return ()


def _printing(tree: Tree, maker: Maker) -> "Printing | None":
    """Return what the spec says of printing; what is wrong with it has been said."""
    component = _only(tree, "printing")
    if component is None:
        return None
    from ringwright.lang.kinds.printing import printing_of

    try:
        return printing_of(maker, component)
    except (GeometryError, Unsettled):
        return None


def _only(tree: Tree, kind: str) -> Component | None:
    """Return the one component of a kind, that of the main file first."""
    found = [component for component in tree.components.values() if component.kind.name == kind]
    return min(found, key=lambda component: (component.file != tree.main, component.file), default=None)
