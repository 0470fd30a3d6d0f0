"""What is said after a build: in full of one, in a line each of many."""

import math
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from ringwright.backends.cut_list import cut_list_table
from ringwright.geometry.numbers import short
from ringwright.lang.commands import balance_lines
from ringwright.lang.commands.balance_lines import INCH, Line
from ringwright.lang.commands.bill import bill
from ringwright.lang.commands.common import counted, nearby, plain

if TYPE_CHECKING:
    from ringwright.backends.record import BuildRecord
    from ringwright.lang.design.design import Design
    from ringwright.lang.pipeline import Compiled

CARE = "care    blades cut, hot glue burns, heated foam gives off fumes: see the README"


def summary(
    compiled: "Compiled", record: "BuildRecord", target: Path, files: int, laid: Sequence[str] = ()
) -> str:
    """Return what is said after a build. laid: of where parts lie."""
    design = compiled.design
    assert design is not None
    scale, lengths = design.scale, counted(design.scaled, "length")
    on_model = f"{short(100 * scale.along, 2)} mm"
    if scale.across != scale.along:
        on_model += f" along and {short(100 * scale.across, 2)} mm across"
    follow = "follows" if design.scaled == 1 else "follow"
    followed = f"{lengths} {follow} it" if design.scaled else "no length is marked '@' to follow it"
    lines = [
        cut_list_table(record).rstrip("\n"),
        "",
        f"plan    100 mm on the plan are {on_model} on the model; {followed}",
    ]
    for sheet in record.sheets:
        head = "sheets" if sheet is record.sheets[0] else ""
        lines.append(f"{head:<6}  {sheet.stock.name} {sheet.number}: {short(100 * sheet.used, 0)} % used")
    lines += [f"        {line}" for line in _bounds(design, record)]
    lines += [f"{'' if number else 'layout':<6}  {plain(line)}" for number, line in enumerate(laid)]
    lines += balance_lines.aligned(balance_lines.surfaces(design))
    weighed = design.weighed
    if weighed is not None and balance_lines.has_loads(weighed):
        lines += balance_lines.aligned(balance_lines.lines(design, weighed))
    lines += balance_lines.aligned(bill(design.shopping, record.sheets, design.on_hand, design.about.unit))
    lines += balance_lines.aligned(_left_over(design, record))
    unweighed = sorted({part.stock.name for part in record.parts if part.properties.mass is None})
    if unweighed:
        lines.append(f"mass    without {', '.join(unweighed)}: give the stock a mass, density or sheet_mass")
    warnings = sum(1 for finding in compiled.findings if finding.severity == "warning")
    accepted = sum(1 for finding in compiled.findings if finding.severity == "accepted")
    if warnings or accepted:
        also = f", {accepted} accepted" if accepted else ""
        lines.append(f"said    {counted(warnings, 'warning')}{also}")
    lines += [
        f"wrote   {counted(files, 'file')} in {plain(nearby(target))}",
        CARE,
    ]
    if weighed is not None:
        lines += balance_lines.aligned(line._replace(head="") for line in balance_lines.cares(weighed))
    lines.append("")
    return "\n".join(lines)


def _bounds(design: "Design", record: "BuildRecord") -> Iterator[str]:
    """Yield for each stock that takes several sheets how few could do, so that one knows when to stop looking."""
    for stock in dict.fromkeys(sheet.stock for sheet in record.sheets):
        whole = sum(1 for sheet in record.sheets if sheet.stock == stock and sheet.offcut is None)
        if whole < 2:
            continue
        from ringwright.geometry.nest.bound import least_sheets

        hand = design.on_hand.get(stock.name)
        least = least_sheets(stock, record.parts, record.cutting, () if hand is None else hand.offcuts)
        if least.sheets >= whole:
            yield f"{stock.name}: no layout takes fewer than {counted(whole, 'sheet')}, by {least.by}"
        else:
            yield f"{stock.name}: {counted(whole, 'sheet')}; fewer than {least.sheets} are ruled out by {least.by}"


def _left_over(design: "Design", record: "BuildRecord") -> "Iterator[Line]":
    """Yield what is worth keeping of each sheet once it is cut, as a line to paste into its stock."""
    from ringwright.backends.offcuts import left_over

    first = True
    names = {id: {offcut.name for offcut in hand.offcuts} for id, hand in design.on_hand.items()}
    for sheet in record.sheets:
        taken = names.setdefault(sheet.stock.name, set())
        for left, low, right, high in left_over(record, sheet):
            name = _new_name(design.about.name, taken)
            wide, tall = (_no_more_than(side, design.about.unit) for side in (right - left, high - low))
            line = f"offcut {name} {{ size = {wide} by {tall} }}  # of {sheet.stock.name} {sheet.number}"
            yield Line("keep" if first else "", line)
            first = False


def _no_more_than(length: float, unit: str) -> str:
    """Return a length as a spec says it, rounded down: an offcut is never said to be larger than it is."""
    if unit == "in":
        return f"{short(math.floor(length / INCH * 100 + 1e-6) / 100, 2)} in"
    return f"{short(math.floor(length + 1e-6), 0)} mm"


def _new_name(model: str, taken: set[str]) -> str:
    """Return a name that no offcut of the stock has, and take it."""
    number = 1
    while (name := f"{model}_{number}") in taken:
        number += 1
    taken.add(name)
    return name
