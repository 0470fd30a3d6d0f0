"""A report as text for a terminal, as Markdown, and as a page of HTML; nothing in it is obeyed by any of them."""

from collections.abc import Callable, Iterable, Mapping

from ringwright.lang.compare.sections import Report, Section
from ringwright.lang.diagnostics.text import escape
from ringwright.lang.solve.wording import aligned


def as_text(report: Report) -> str:
    """Return a report in columns."""
    lines = [escape(report.summary), *(f"note: {escape(note)}" for note in report.notes)]
    for section in _filled(report):
        lines += ["", escape(section.title)]
        rows = [tuple(map(escape, row)) for row in ((section.head,) if section.headed else ()) + section.rows]
        lines += [line.rstrip() for line in aligned([(f"  {row[0]}", *row[1:]) for row in rows])]
        lines += [f"  {escape(line)}" for line in section.after]
    return "".join(f"{line}\n" for line in lines)


def as_markdown(report: Report) -> str:
    """Return a report for a pull request or a note beside the spec."""
    lines = [f"**{_marked(report.title)}**: {_marked(report.summary)}", ""]
    for note in report.notes:
        lines += [f"> {_marked(note)}", ""]
    for section in _filled(report):
        lines += [f"### {_marked(section.title)}", ""]
        if section.rows:
            rows = [
                tuple(map(_marked, section.head)),
                tuple("---" for _ in section.head),
                *(map(_marked, row) for row in section.rows),
            ]
            lines += [f"| {' | '.join(row)} |" for row in rows] + [""]
        for line in section.after:
            lines += [_marked(line), ""]
    return "\n".join(lines).rstrip("\n") + "\n"


def as_html(report: Report) -> str:
    """Return a report as a page that refers to nothing outside itself."""
    from html import escape as quoted

    def cell(text: str) -> str:
        return quoted(escape(text))

    body = [f"<h1>{cell(report.title)}</h1>", f"<p>{cell(report.summary)}</p>"]
    body += [f'<p class="note">{cell(note)}</p>' for note in report.notes]
    for section in _filled(report):
        body.append(f"<h2>{cell(section.title)}</h2>")
        if section.rows:
            body.append(f"<table>\n<tr>{''.join(f'<th>{cell(name)}</th>' for name in section.head)}</tr>")
            body += [
                f"<tr>{''.join(f'<td>{cell(value)}</td>' for value in row)}</tr>" for row in section.rows
            ]
            body.append("</table>")
        body += [f"<p>{cell(line)}</p>" for line in section.after]
    return "\n".join((_HEAD.format(title=cell(report.title)), *body, "</body>", "</html>", ""))


_HEAD = """\
<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<title>{title}</title>
<style>
body {{ font: 16px sans-serif; margin: 2em; }}
table {{ border-collapse: collapse; }}
th, td {{ border: 1px solid #999; padding: 0.2em 0.6em; text-align: left; vertical-align: top; }}
.note {{ font-weight: bold; }}
</style>
</head>
<body>"""

RENDERERS: Mapping[str, Callable[[Report], str]] = {"text": as_text, "markdown": as_markdown, "html": as_html}


def _filled(report: Report) -> Iterable[Section]:
    return (section for section in report.sections if section.rows or section.after)


def _marked(text: str) -> str:
    """Return text of which Markdown makes nothing else."""
    return "".join(f"\\{letter}" if letter in "\\`*_{}[]<>()#+!|~&" else letter for letter in escape(text))
