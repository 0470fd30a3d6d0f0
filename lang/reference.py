"""The reference of kinds, functions, units and messages, made from the code that they are.

python -m ringwright.lang.reference            rewrites reference.md
python -m ringwright.lang.reference --check    says whether it is stale; exit status 1 if so
"""

import sys
from collections.abc import Iterable, Iterator
from pathlib import Path

from ringwright.lang.diagnostics.catalogue import CATALOGUE
from ringwright.lang.kinds import FILES, kind_of
from ringwright.lang.kinds.kind import Kind, Property
from ringwright.lang.syntax.statements import STATEMENTS
from ringwright.lang.units import UNITS, with_article
from ringwright.lang.units import name as dimension_name
from ringwright.lang.values.functions import FUNCTIONS, Function

REFERENCE = Path(__file__).parent / "reference.md"

TAKES = {
    "place": "a length, or a station's name",
    "text": "a text in quotes",
    "flag": "`yes` or `no`",
    "count": "a whole number",
    "stock": "the name of a stock",
    "shape": "a shape",
    "point": "a point, `(…, …)`",
    "point3": "a point, `(x, y, z)`",
    "spot": "a point, `(…, …)`; in a bent wall `(x, angle)`",
    "element": "the name of an element of the same stack",
    "size": "`width by height`",
    "stations": "a range, `F1 to F8`, or a list of stations",
    "sections": "a list of formers, stations and `(place, shape)`, or a range",
    "arc": "`angle to angle`, or a line of the offsets `to` another",
    "edges": "`flush`, `tab(w)`, `tab(w, notched)` or `lap(w)`",
    "line": "a line of the offsets, `fuselage.longeron`",
    "scale": "a number or a %; two with `by`",
    "things": "the name of a component or a stock, or a list of them",
    "wing": "the name of a wing",
    "section": "the name of a section",
    "aerofoil": "`aerofoil(…)` or `aerofoil_file(…)`",
    "places": "a length, or a list of lengths",
    "money": "money, such as `2.40 EUR`",
}

WHERES = {
    "place": "a length or a station's name",
    "point": "a point, `(x, y, z)`",
    "range": "a range, `… to …`",
}

# Defaults that follow from another word of the text, by kind and property.
HABITS = {
    **{("stock", name): "the habit of its kind" for name in ("grain", "bend", "neutral", "min_radius")},
    **{("cutting", name): "the habit of the tool" for name in ("margin", "gap", "kerf")},
    **{(kind, "seam"): "the habit of the stock" for kind in ("stack", "barrel", "cone", "cones", "dome")},
    ("slot", "fit"): "the habit of the stock",
    ("dome", "tab"): "5 mm of card and paper, else none",
    ("balance", "density"): "that of its material",
    ("former", "outline"): "the section of the offsets where it stands",
    ("former", "inset"): "by the skins round it, else 0 mm",
    ("wrap", "seam"): "the habit of the stock",
    ("wrap", "grain"): "across",
    ("offsets", "power"): "2.5",
}


def reference() -> str:
    """Return the whole page."""
    kinds = [kind for kind in map(kind_of, FILES) if kind is not None]
    chapters = (
        _opening(kinds),
        _statements(),
        *(_kind(kind) for kind in kinds),
        _functions(),
        _units(),
        _messages(),
    )
    return "\n".join(line for chapter in chapters for line in chapter)


def _opening(kinds: list[Kind]) -> Iterator[str]:
    yield "# Reference"
    yield ""
    yield "Made from the code by `python -m ringwright.lang.reference`; change the code, then run it again."
    yield "How the language works is on [the language page](README.md)."
    yield ""
    yield "A property marked `@` may be measured on the plan; where the plan is stretched one way, it goes by"
    yield "the factor along the aircraft or across it, as the mark says. Where the default is 'found' the"
    yield "solver finds what is left out: it must follow from something else that is given. The habits stand"
    yield "on the language page."
    yield ""
    yield from _table(("kind", "what it is"), ((f"[{k.name}](#{k.name})", k.doc) for k in kinds))


def _statements() -> Iterator[str]:
    yield "## Statements"
    yield ""
    for statement in STATEMENTS:
        yield f"### {statement.word}"
        yield ""
        yield f"`{statement.form}`. {statement.doc}"
        yield ""
        yield from _fenced(statement.example)
    yield "The examples follow a model and the stocks board, card and ply."
    yield ""


def _fenced(example: str) -> Iterator[str]:
    yield from ("```", example.rstrip("\n"), "```", "")


def _kind(kind: Kind) -> Iterator[str]:
    yield f"## {kind.name}"
    yield ""
    yield f"{sentence(kind.doc)} {stands(kind)}"
    yield ""
    yield from _fenced(kind.example)
    if kind.columns:
        yield from _table(("column", "what stands in it"), ((f"`{name}`", doc) for name, doc in kind.columns))
    if kind.properties:
        yield from _properties(kind)
    found = [(f"`{s.name}`", s.doc, dimension_name(s.dimension)) for s in kind.solved]
    found += [
        (f"`{m.name}`", f"{m.doc}; from the finished part", dimension_name(m.dimension)) for m in kind.forward
    ]
    if found:
        yield f"Found for every {kind.article.removeprefix('a ') or kind.name}, beside its properties:"
        yield ""
        yield from _table(("name", "what it is", "a"), found)
    if kind.numbered:
        yield f"{of_each(kind, '`')}."
        yield ""


def of_each(kind: Kind, quote: str = "") -> str:
    """Return what is known of each of the pieces that a kind is made as, in a sentence."""
    names = [f"{quote}{measure.name}{quote}" for measure in kind.numbered]
    return (
        f"Of each piece, behind its number ({quote}1.{kind.numbered[0].name}{quote}): {_either(names, 'and')}"
    )


def _properties(kind: Kind) -> Iterator[str]:
    yield from _table(
        ("property", "what it is", "takes", "default", "example"),
        ((f"`{p.name}`", p.doc, takes(p), default_of(kind, p), f"`{p.example}`") for p in kind.properties),
    )


def stands(kind: Kind) -> str:
    """Return where a kind stands and what may stand in it, in whole sentences."""
    places = ["by itself" if home is None else f"in {home.called}" for home in map(kind_of, kind.inside)]
    words = f"Stands {_either(places, 'or')}."
    if kind.children:
        words += f" May hold {_either([f'`{name}`' for name in kind.children], 'and')}."
    if kind.alone:
        words += " There is one at most, and its name may be left out."
    return words


def takes(property: Property) -> str:
    """Return what a property takes, in words."""
    axis = "along and across" if property.axis == "plane" else property.axis
    mark = f", `@` {axis}" if axis else ""
    if property.type == "amount":
        words = " or ".join(dimension_name(each) for each in (property.dimension, *property.also))
        return f"{with_article(words)}{mark}"
    if property.type in ("word", "bearing"):
        words = _either([f"`{choice}`" for choice in property.choices], "or")
        return words if property.type == "word" else f"{words.replace(' or ', ', ')} or an angle"
    if property.type == "component":
        return (
            " or ".join(f"the name of {kind.called}" for name in property.choices if (kind := kind_of(name)))
            + mark
        )
    if property.type == "where":
        return _either([WHERES[form] for form in property.choices], "or") + mark
    if property.type == "seam":
        seams = ("strap", *property.choices) if property.choices else ("lap", "flap", "strap")
        return _either(["`butt`", *(f"`{word}(w)`" for word in seams)], "or") + mark
    return TAKES[property.type] + mark


def default_of(kind: Kind, property: Property) -> str:
    """Return what a property is where it is left out."""
    if property.required:
        return "**required**"
    if property.shown:
        return f"`{property.shown}`"
    if (kind.name, property.name) in HABITS:
        return HABITS[kind.name, property.name]
    if property.type in ("amount", "place") and not property.optional:
        return "found"
    return "–"


def _functions() -> Iterator[str]:
    yield "## Functions"
    yield ""
    yield "Shapes lie in the plane of drawing; their points are (y, z) in a section, (x, z) from the side and"
    yield "(x, y) from the top. What is 'one way only' is worked out forward and never solved backward."
    yield ""
    yield from _table(
        ("function", "gives", "what it is"),
        ((f"`{call(f)}`", gives(f.gives), f.doc) for f in FUNCTIONS.values()),
    )


def call(function: Function) -> str:
    """Return how a function is called."""
    if function.listed:
        return f"{function.name}[(…, …), …]"
    names = (f"{p.name} = …" if p.optional else p.name for p in function.parameters)
    return f"{function.name}({', '.join(names)})"


def gives(sort: str) -> str:
    """Return what a function gives, in words."""
    return {"amount": "a quantity", "shape": "a shape", "point": "a point"}[sort]


def _units() -> Iterator[str]:
    yield "## Units"
    yield ""
    measured = dict.fromkeys(unit.dimension for unit in UNITS.values())
    yield from _table(
        ("of", "written"),
        (
            (
                dimension_name(dimension),
                ", ".join(f"`{unit.name}`" for unit in UNITS.values() if unit.dimension == dimension),
            )
            for dimension in measured
        ),
    )
    yield "Three capitals are a currency, by its ISO 4217 code: `2.40 EUR`. Money is added, never converted."
    yield ""


def _messages() -> Iterator[str]:
    yield "## Messages"
    yield ""
    yield "The code in brackets at the end of a message, and what it means. A warning can be accepted by it."
    yield ""
    yield from _table(
        ("code", "severity", "meaning"),
        ((f"`{code}`", entry.severity, entry.meaning) for code, entry in sorted(CATALOGUE.items())),
    )


def _table(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> Iterator[str]:
    yield f"| {' | '.join(head)} |"
    yield f"|{' --- |' * len(head)}"
    for row in rows:
        yield f"| {' | '.join(cell.replace('|', chr(92) + '|') for cell in row)} |"
    yield ""


def sentence(text: str) -> str:
    """Return words as a sentence."""
    return f"{text[0].upper()}{text[1:]}."


def _either(words: list[str], last: str) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {last} {words[-1]}"


def main(arguments: list[str]) -> int:
    """Rewrite the page and the files for editors, or say with `--check` whether any is stale."""
    from ringwright.lang.editing.editors import FOLDER, files

    made = {REFERENCE: reference(), **{FOLDER / name: text for name, text in files().items()}}
    stale = [path for path, text in made.items() if not path.exists() or path.read_text("utf-8") != text]
    for path in stale:
        if "--check" in arguments:
            sys.stderr.write(f"{path.name} is stale: run python -m ringwright.lang.reference\n")
        else:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(made[path], encoding="utf-8", newline="\n")
    return int("--check" in arguments and bool(stale))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
