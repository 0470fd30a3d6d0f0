"""Parts onto sheets, as a layout file beside the spec has them: read before, written after a build."""

import sys
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.nest.nest import Progress, area_of, nest
from ringwright.geometry.nest.verify import verify
from ringwright.geometry.part import Offcut, Sheet, Stock
from ringwright.lang.commands.common import LAYOUT, Spec, counted, nearby, plain
from ringwright.lang.diagnostics.diagnostic import Diagnostic
from ringwright.lang.layout.keep import Kept, keep, lays_of
from ringwright.lang.layout.layout_file import (
    EFFORTS,
    LARGEST,
    Layout,
    NoLayout,
    Spoiled,
    layout_text,
    read_layout,
)

if TYPE_CHECKING:
    from ringwright.lang.design.design import Design
    from ringwright.lang.source import Source

QUICK = EFFORTS[0]
PATIENCE = 0.5
"""Seconds of a search before a terminal shows how far it is."""


class Found(NamedTuple):
    """A layout file as it was found. data: its bytes, None where there is none. source: the same, for messages."""

    path: Path
    data: bytes | None
    layout: Layout
    spoiled: tuple[Spoiled, ...] = ()
    source: "Source | None" = None
    trouble: str = ""


class LaidOut(NamedTuple):
    """Sheets, what is to be written of them into the layout file (None: nothing), and what a build says of all that.

    wrong: what is wrong with the sheets, which would be a mistake of ours.
    """

    sheets: tuple[Sheet, ...]
    text: bytes | None
    said: tuple[str, ...]
    wrong: tuple[str, ...]


def found_layout(spec: Spec) -> Found:
    """Return the layout file of a spec; one that cannot be read says nothing, and why."""
    path = spec.layout
    if path.is_symlink():
        return Found(path, None, Layout(), trouble=f"'{nearby(path)}' is a link, which a build never follows")
    if not path.exists():
        return Found(path, None, Layout())
    from ringwright.lang.components.project import Refused, read_regular
    from ringwright.lang.source import source_of

    try:
        data = read_regular(path, nearby(path), LARGEST)
        layout, spoiled = read_layout(data)
    except Refused as refused:
        return Found(path, None, Layout(), trouble=str(refused))
    except NoLayout as none:
        return Found(path, None, Layout(), trouble=f"'{nearby(path)}' is no layout file of ours: {none}")
    name = PurePosixPath(spec.name).with_suffix(LAYOUT).as_posix()
    source = source_of(name, data.decode("utf-8").removeprefix("\ufeff"))
    return Found(path, data, layout, spoiled, source)


def sheets_as_kept(design: "Design", data: bytes | None) -> tuple[Sheet, ...]:
    """Return the sheets of a model with a layout file of that content, or without one. Raises GeometryError."""
    layout = Layout()
    if data is not None:
        with suppress(NoLayout):
            layout, _ = read_layout(data)
    return laid_out(design, Found(Path(), data, layout), "", False).sheets


def offcuts_of(design: "Design") -> dict[Stock, tuple[Offcut, ...]]:
    """Return the offcuts of each stock that something is cut from, the least useful first: the smallest."""
    if not design.on_hand:
        return {}
    stocks = dict.fromkeys(part.stock for part in design.parts)
    return {
        stock: tuple(sorted(design.on_hand[stock.name].offcuts, key=lambda one: (area_of(one), one.name)))
        for stock in stocks
        if stock.name in design.on_hand
    }


def laid_out_anew(design: "Design", effort: str) -> LaidOut:
    """Return some parts laid out with no regard to any layout file. Raises GeometryError."""
    sheets, stopped = _nested(design, effort or QUICK, offcuts_of(design), ())
    said = (_STOPPED,) if stopped else ()
    return LaidOut(sheets, None, said, verify(sheets, design.parts, design.cutting))


def laid_out(design: "Design", found: Found, effort: str, relayout: bool) -> LaidOut:
    """Return all parts of a model where its layout file has them, and the rest where there is room. Raises GeometryError.

    effort: as asked for, '' where it was not.
    """
    offcuts = offcuts_of(design)
    old = found.layout
    kept = Kept((), ()) if relayout or not old.lays else keep(old.lays, design.parts, design.cutting, offcuts)
    missing = kept.missing(design.parts)
    wanted = effort or QUICK
    stopped = False
    if missing:
        sheets, stopped = _nested(design, wanted, offcuts, kept.sheets)
        wrong = verify(sheets, design.parts, design.cutting)
    else:
        # Kept means measured: what is all kept has been looked at already.
        sheets, wrong = kept.sheets, ()
    effort_used = Layout(wanted, stopped) if not kept.sheets else Layout(old.effort, old.stopped)
    new = effort_used._replace(lays=lays_of(sheets, design.parts), built=old.built)
    text = layout_text(new).encode()
    said = [*_said(found.path, kept, old, missing, relayout)]
    if stopped:
        said.append(_STOPPED)
    elif not missing and effort and EFFORTS.index(effort) > EFFORTS.index(old.effort):
        said.append(f"found with {old.effort}; `--relayout --effort {effort}` looks for a better one")
    # What is not ours is never overwritten.
    kept_as = None if found.trouble or text == found.data else text
    return LaidOut(sheets, kept_as, tuple(said), wrong)


_STOPPED = "the search was stopped: this is the best layout that it had found"


def _nested(
    design: "Design", effort: str, offcuts: Mapping[Stock, Sequence[Offcut]], kept: Sequence[Sheet]
) -> tuple[tuple[Sheet, ...], bool]:
    """Return the sheets, and whether the search for them was stopped."""
    shown = _Shown(sys.stderr.isatty())
    try:
        sheets = nest(design.parts, design.cutting, effort, offcuts, kept, shown)  # type: ignore[arg-type]
    finally:
        shown.clear()
    # Offcuts by name, not by size: as a layout that was kept has them.
    return tuple(sorted(sheets, key=lambda sheet: sheet.place)), shown.stopped


def out_of_date(design: "Design", found: Found) -> tuple[Diagnostic, ...]:
    """Return what is wrong with a layout file: lines that say nothing, places that do not hold, parts without one."""
    from ringwright.lang.layout import report

    if found.source is None:
        said = f"the layout file says nothing: {found.trouble}" if found.trouble else ""
        return (Diagnostic("layout-spoiled", "warning", said, None),) if said else ()
    kept = keep(found.layout.lays, design.parts, design.cutting, offcuts_of(design))
    return (
        *report.spoiled_lines(found.source, found.spoiled),
        *report.out_of_date(found.source, kept, kept.missing(design.parts)),
    )


def _said(
    path: Path, kept: Kept, old: Layout, missing: Sequence[tuple[str, int]], relayout: bool
) -> list[str]:
    """Return what a build says of where parts lie: nothing where all lie as they did."""
    if relayout:
        return ["laid out afresh"] if old.lays else []
    if not old.lays or not (kept.lost or missing):
        return []
    staying = sum(len(sheet.placements) for sheet in kept.sheets)
    verb = "stays where it lies" if staying == 1 else "stay where they lie"
    lines = [f"{counted(staying, 'piece')} of {nearby(path)} {verb}"]
    moved = {(one.lay.part, one.lay.copy) for one in kept.lost}
    for one in kept.lost:
        copy = f" copy {one.lay.copy}" if one.lay.copy > 1 else ""
        lines.append(f"{one.lay.part}{copy} {'is gone' if one.gone else 'moves'}: {one.why}")
    new = dict.fromkeys(part for part, copy in missing if (part, copy) not in moved)
    if new:
        lines.append(f"new: {', '.join(new)}")
    return lines


class _Shown:
    """Shows on a terminal how far a search is, and keeps whether it was stopped."""

    def __init__(self, terminal: bool) -> None:
        self.stopped = False
        self._terminal = terminal
        self._began = 0.0
        self._wide = 0

    def __call__(self, progress: Progress) -> None:
        if self.stopped and not progress.stopped:
            raise KeyboardInterrupt  # the search for one stock was stopped: so are those for the others
        self.stopped = self.stopped or progress.stopped
        if not self._terminal:
            return
        from time import monotonic

        now = monotonic()
        self._began = self._began or now
        if now - self._began < PATIENCE:
            return
        text = (
            f"laying out {plain(progress.stock)}: {100 * progress.step // max(progress.steps, 1)} %, "
            f"{counted(progress.sheets, 'sheet')}, the last used to {progress.height:.0f} mm; Ctrl-C takes this one"
        )
        sys.stderr.write(f"\r{text:<{self._wide}}")
        sys.stderr.flush()
        self._wide = len(text)

    def clear(self) -> None:
        """Leave no trace on the terminal."""
        if self._wide:
            sys.stderr.write(f"\r{'':<{self._wide}}\r")
            sys.stderr.flush()
            self._wide = 0
