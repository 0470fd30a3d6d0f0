"""`ringwright explain`: what a code means, what a kind takes, how a function is called."""

import sys
from collections.abc import Callable, Iterable, Iterator
from textwrap import fill, indent
from typing import TYPE_CHECKING

from ringwright.lang.commands.common import Parser, complain
from ringwright.lang.commands.main import DONE
from ringwright.lang.components.tree import dimensions_of
from ringwright.lang.diagnostics.catalogue import CATALOGUE
from ringwright.lang.diagnostics.pages import Example, Page, first_sentence, pages
from ringwright.lang.kinds import NAMES, kind_of
from ringwright.lang.reference import call, default_of, gives, of_each, sentence, stands, takes
from ringwright.lang.syntax.statements import STATEMENTS, Statement
from ringwright.lang.units import UNITS
from ringwright.lang.units import name as dimension_name
from ringwright.lang.values.functions import FUNCTIONS

if TYPE_CHECKING:
    from ringwright.lang.kinds.kind import Kind

WIDTH = 79
AROUND = "The examples follow a model and the stocks board, card and ply."


def parser() -> Parser:
    """Return what the command takes."""
    parser = Parser(
        "explain",
        "Explains the code at the end of a message, with a wrong example and the right one;\n"
        "or what a kind of part takes; or what a property is; or how a statement is written or a function called.\n"
        "Alone it lists them all.",
        "ringwright explain under-determined",
    )
    parser.add_argument(
        "word",
        nargs="?",
        metavar="WORD",
        help="a code, a kind, a property, a statement or a function; 'functions', 'units'",
    )
    return parser


def run(arguments: list[str]) -> int:
    """Print the pages of a word; 2 where there are none."""
    word = parser().parse_args(arguments).word
    if word is None:
        sys.stdout.write(overview())
        return DONE
    found = [text() for text in _meanings(word.strip("[]"))]
    if not found:
        from ringwright.lang.diagnostics.suggest import suggest

        near = suggest(word, words())
        hint = f"did you mean '{near}'?" if near else "`ringwright explain` lists them all"
        return complain(
            "explain", f"there is no code, kind, property, statement or function {word!a}: {hint}"
        )
    sys.stdout.write("\n".join(found))
    return DONE


def words() -> tuple[str, ...]:
    """Return all words that can be explained, in order."""
    kinds = [kind for kind in map(kind_of, NAMES) if kind is not None]
    properties = [name for kind in kinds for name in dimensions_of(kind)]
    named = {*pages(), *CATALOGUE, *NAMES, *_statements(), *FUNCTIONS, *properties}
    return tuple(sorted({*named, "functions", "units"}))


def _meanings(word: str) -> Iterator[Callable[[], str]]:
    """Yield a function for each page that a word has: a kind and a function may have one name."""
    if word in pages():
        yield lambda: page_text(pages()[word])
    kind = kind_of(word)
    if kind is not None:
        yield lambda: kind_text(kind)
    if holders := _holders(word):
        yield lambda: property_text(word, holders)
    if word in _statements():
        yield lambda: statement_text(_statements()[word])
    if word in FUNCTIONS:
        yield lambda: functions_text((word,))
    if word == "functions":
        yield lambda: functions_text(FUNCTIONS)
    if word == "units":
        yield units_text


def _holders(word: str) -> "list[tuple[Kind, str, str]]":
    """Return the kinds that have a property, or a dimension that is found, of a name; with its text and an example."""
    found = []
    for kind in (each for each in map(kind_of, NAMES) if each is not None):
        found += [
            (kind, p.doc, f"; {takes(p)}; as in {p.example}") for p in kind.properties if p.name == word
        ]
        found += [(kind, s.doc, ", found") for s in (*kind.solved, *kind.forward) if s.name == word]
    return found


def property_text(word: str, holders: "Iterable[tuple[Kind, str, str]]") -> str:
    """Return in which kinds a property stands and what it is there."""
    alike: dict[str, list[str]] = {}
    for kind, doc, more in holders:
        alike.setdefault(f"{' '.join(doc.split())}{more}".replace("`", ""), []).append(kind.name)
    lines = [f"{word}, in the braces of a component:", ""]
    for text, kinds in alike.items():
        lines += [_filled(", ".join(kinds), "  "), _filled(text, " " * 6)]
    return "".join(f"{line}\n" for line in lines)


def overview() -> str:
    """Return the list of all codes, by subject, and of all kinds and functions."""
    lines = ["Messages, by the code at their end:", ""]
    lines += _columns([(page.code, _meaning(page)) for page in pages().values()])
    lines += ["", "Kinds of component:", ""]
    lines += _columns([(kind.name, kind.doc) for kind in map(kind_of, NAMES) if kind is not None])
    lines += ["", "Statements:", "", *_columns([(of.word, of.form) for of in STATEMENTS])]
    lines += ["", "Functions:", "", _filled(", ".join(FUNCTIONS), "  ")]
    lines += ["", "`ringwright explain WORD` says more; 'functions' and 'units' are words, too."]
    return "".join(f"{line}\n" for line in lines)


def _meaning(page: Page) -> str:
    return CATALOGUE[page.code].meaning if page.code in CATALOGUE else first_sentence(page).removesuffix(".")


def page_text(page: Page) -> str:
    """Return the page of a code for a terminal."""
    severity = CATALOGUE[page.code].severity if page.code in CATALOGUE else "error"
    blocks = [f"{page.code} ({severity})"]
    blocks += [_filled(paragraph) for paragraph in page.says.split("\n\n")]
    for title, example in (("Wrong:", page.wrong), ("Right:", page.right)):
        if example is not None:
            blocks += [title, *_example(example)]
    if page.wrong is not None and not page.wrong.alone:
        blocks.append(AROUND)
    return "\n\n".join(blocks) + "\n"


def _example(example: Example) -> Iterator[str]:
    yield indent(example.spec, "    ")
    for path, text in example.files.items():
        yield f"and {path}:"
        yield indent(text.rstrip("\n"), "    ")


def kind_text(kind: "Kind") -> str:
    """Return what a kind takes and what is found for it, from the table that the reference is made from."""
    lines = [_filled(f"{kind.name}: {sentence(kind.doc)} {stands(kind)}".replace("`", "")), ""]
    lines.append(indent(kind.example.rstrip("\n"), "    "))
    if kind.columns:
        lines += ["", "Columns of its table:", "", *_columns(kind.columns)]
    if kind.properties:
        lines += ["", "Properties:", ""]
    for property in kind.properties:
        lines += _columns([(property.name, property.doc)], 14)
        default = default_of(kind, property).strip("*`")
        by_default = "" if default == "–" else ", required" if property.required else f"; left out: {default}"
        more = f"{takes(property)}{by_default}; as in {property.example}"
        lines.append(_filled(more.replace("`", ""), " " * 18))
    found = [(s.name, f"{s.doc} ({dimension_name(s.dimension)})") for s in kind.solved]
    measured = "from the finished part"
    found += [(m.name, f"{m.doc} ({dimension_name(m.dimension)}), {measured}") for m in kind.forward]
    if found:
        lines += ["", f"Found for every {kind.name}, beside its properties:", "", *_columns(found)]
    if kind.numbered:
        lines += ["", _filled(of_each(kind) + ".")]
    return "".join(f"{line}\n" for line in lines)


def statement_text(statement: Statement) -> str:
    """Return how a statement is written and what it means."""
    blocks = [statement.form, _filled(statement.doc.replace("`", ""))]
    blocks += [*_example(Example(statement.example.rstrip("\n"), dict(statement.files), False)), AROUND]
    return "\n\n".join(blocks) + "\n"


def _statements() -> dict[str, Statement]:
    return {statement.word: statement for statement in STATEMENTS}


def functions_text(names: Iterable[str]) -> str:
    """Return how functions are called and what they give."""
    lines = []
    for function in (FUNCTIONS[name] for name in names):
        lines += [f"{call(function)} gives {gives(function.gives)}", _filled(sentence(function.doc), "    ")]
    return "".join(f"{line}\n" for line in lines)


def units_text() -> str:
    """Return all units, by what they measure."""
    measured = dict.fromkeys(unit.dimension for unit in UNITS.values())
    rows = [
        (dimension_name(of), ", ".join(unit.name for unit in UNITS.values() if unit.dimension == of))
        for of in measured
    ]
    lines = [*_columns(rows), "", "Three capitals are a currency, by its ISO 4217 code: 2.40 EUR."]
    return "".join(f"{line}\n" for line in lines)


def _columns(rows: Iterable[tuple[str, str]], least: int = 0) -> list[str]:
    """Return rows of a name and a text, the texts below one another."""
    kept = list(rows)
    width = max((len(name) for name, _ in kept), default=0)
    width = max(width, least)
    return [_wrapped(text, f"  {name:<{width}}  ", " " * (width + 4)) for name, text in kept]


def _filled(text: str, before: str = "") -> str:
    return _wrapped(text, before, before)


def _wrapped(text: str, first: str, others: str) -> str:
    return fill(
        " ".join(text.split()),
        WIDTH,
        initial_indent=first,
        subsequent_indent=others,
        break_on_hyphens=False,
        break_long_words=False,
    )
