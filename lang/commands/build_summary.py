"""What is said after a build: in full of one, in a line each of many."""

from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from ringwright.backends.cut_list import cut_list_table
from ringwright.geometry.numbers import short
from ringwright.lang.commands import balance_lines
from ringwright.lang.commands.bill import bill
from ringwright.lang.commands.common import counted, nearby, plain

if TYPE_CHECKING:
    from ringwright.backends.record import BuildRecord
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
        lines.append(f"{head:<6}  {sheet.stock.name} {sheet.index}: {short(100 * sheet.used, 0)} % used")
    lines += [f"{'' if number else 'layout':<6}  {plain(line)}" for number, line in enumerate(laid)]
    lines += balance_lines.aligned(balance_lines.surfaces(design))
    weighed = design.weighed
    if weighed is not None and balance_lines.has_loads(weighed):
        lines += balance_lines.aligned(balance_lines.lines(design, weighed))
    sheets = Counter(sheet.stock.name for sheet in record.sheets)
    lines += balance_lines.aligned(bill(design.shopping, sheets))
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
