"""Terms in the words of a spec, with no more brackets than they need."""

from collections.abc import Callable, Iterable

from ringwright.lang.solve.algebra import nodes_of
from ringwright.lang.solve.terms import Apply, Constant, Term

BINDING = {"+": 1, "-": 1, "*": 2, "/": 2, "neg": 3, "^": 4}
"""How tightly operations hold; calls and names hold tightest."""

TIGHTEST = 5


def plain(number: float) -> str:
    """Return a bare number to at most six digits, without an exponent where that is readable."""
    return f"{number + 0.0:.6g}"


def words(term: Term, leaf: Callable[[Term], str]) -> str:
    """Return a term as text; `leaf` words all that is neither an operation nor a constant."""
    done: list[tuple[str, int]] = []
    for node in reversed(nodes_of(term)):
        if type(node) is Apply:
            count = len(node.arguments)
            arguments = done[-count:]
            del done[-count:]
            done.append(_joined(node.op, arguments))
        elif type(node) is Constant:
            done.append((plain(node.value), TIGHTEST if node.value >= 0 else BINDING["neg"]))
        else:
            text = leaf(node)
            done.append((text, _binding_of(text)))
    return done[0][0]


def _binding_of(text: str) -> int:
    """Return how tightly a leaf's words hold: '34 mm * 120 %' as a product does, '-36 mm' as what has a sign."""
    if " * " in text:
        return BINDING["*"]
    return BINDING["neg"] if text.startswith("-") else TIGHTEST


def _joined(op: str, arguments: list[tuple[str, int]]) -> tuple[str, int]:
    binding = BINDING.get(op)
    if binding is None:
        return f"{op}({', '.join(text for text, _ in arguments)})", TIGHTEST
    if op == "neg":
        return "-" + _bracketed(arguments[0], binding), binding
    first, *others = arguments
    # a - (b + c) and a / (b * c) need their brackets, a + (b - c) does not.
    least = binding if op in "+*" else binding + 1
    texts = [_bracketed(first, binding + 1 if op == "^" else binding)]
    # A minus sign never stands behind another sign: 5 mm - (-104 mm).
    texts.extend(_bracketed(other, TIGHTEST + 1 if other[0].startswith("-") else least) for other in others)
    return (" ^ " if op == "^" else f" {op} ").join(texts), binding


def _bracketed(argument: tuple[str, int], least: int) -> str:
    text, binding = argument
    return f"({text})" if binding < least else text


def is_plain_sum(term: Term) -> bool:
    """Say whether a term only adds, subtracts, and scales by constants: one unit throughout."""
    for node in nodes_of(term):
        if type(node) is Apply:
            if node.op == "*":
                if sum(type(argument) is not Constant for argument in node.arguments) > 1:
                    return False
            elif node.op == "/":
                if type(node.arguments[1]) is not Constant:
                    return False
            elif node.op not in ("+", "-", "neg") or any(type(a) is Constant for a in node.arguments):
                return False
    return True


def aligned(lines: Iterable[tuple[str, ...]], gap: str = "  ") -> list[str]:
    """Return rows of cells as lines with their columns under each other, the last column ragged."""
    rows = list(lines)
    columns = max((len(row) for row in rows), default=0)
    widths = [max(len(row[i]) if i < len(row) else 0 for row in rows) for i in range(columns)]
    return [
        gap.join(cell.ljust(width) for cell, width in zip(row, widths, strict=False)).rstrip() for row in rows
    ]
