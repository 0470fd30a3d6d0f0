"""`ringwright new`: a first spec and a stock file to start from."""

import sys
from pathlib import Path

from ringwright.lang.commands.common import Parser, complain
from ringwright.lang.commands.main import DONE

STOCK_FILE = "workshop-stock.wright"
# Names in the two files, which a model cannot have as well.
TAKEN = ("board", "card", "cowl", "F1", "firewall", "nose", "station")

SPEC = """\
# {title}: measurements as taken off the plan are marked @; everything else is full size.
use "workshop-stock.wright"

model {name} {{
    title      = "{title}"
    revision   = "A"
    plan_scale = 100 %              # model over plan
}}

station firewall {{ x = @0 mm }}     # x runs aft along the datum line
station nose     {{ x = @-90 mm }}

# A cowl that the plan carves from a block, rebuilt in sheet. Lengths left out are found.
stack cowl {{
    from  = firewall
    to    = nose
    stock = board

    plate  back  {{ }}                                        # caps the firewall end
    barrel drum  {{ diameter = @110 mm, length = @40 mm }}
    cone   lip   {{ end = @84 mm }}
    plate  front {{
        seat = inside                                       # sits in the lip, flush with its rim
        hole inlet {{ diameter = 36 mm }}
    }}
}}

former F1 {{
    at      = firewall
    stock   = board
    outline = @half[(0, 52), (34, 44), (46, 18), (46, -26), (30, -50), (0, -50)] mm
    inset   = card.thickness                                # room for the skin that goes round it
    hole pushrod {{ diameter = 6 mm, at = (14 mm, -18 mm) }}
}}

require cowl.lip.length > 20 mm else "too short to bend"
"""

STOCK = """\
# The sheets on the shelf. Measure yours: board sold as 5 mm is often thinner, and every blank depends on it.
stock board {
    kind      = foamboard
    title     = "white board"
    thickness = 4.8 mm
    sheet     = 762 mm by 508 mm
    mass      = 410 g/m2            # weigh a sheet and divide
}

stock card {
    kind      = card
    thickness = 0.4 mm
    sheet     = 297 mm by 210 mm
    mass      = 300 g/m2
}
"""


def parser() -> Parser:
    """Return what the command takes."""
    parser = Parser(
        "new",
        "Makes a folder NAME with a first spec NAME.wright and a stock file, both with\ncomments, to change into your own.",
        "ringwright new heron",
    )
    parser.add_argument("name", metavar="NAME", help="letters, digits, _ and -, beginning with a letter")
    return parser


def run(arguments: list[str]) -> int:
    """Write the two files into a folder of the model's name; nothing is overwritten."""
    name = str(parser().parse_args(arguments).name)
    if not (name.isascii() and name[:1].isalpha() and all(c.isalnum() or c in "_-" for c in name)):
        return complain(
            "new", f"{name!a} cannot name a model: use letters, digits, _ and -, beginning with a letter"
        )
    folder = Path(name)
    files = {
        folder / f"{name}.wright": SPEC.format(name=_identifier(name), title=_title(name)),
        folder / STOCK_FILE: STOCK,
    }
    try:
        folder.mkdir(exist_ok=True)
        for path in files:
            if path.exists() and path.name != STOCK_FILE:
                return complain("new", f"'{path}' is there already; nothing was written")
        for path, text in files.items():
            if not path.exists():
                with path.open("x", encoding="utf-8", newline="\n") as file:
                    file.write(text)
    except OSError as problem:
        return complain("new", f"'{folder}' cannot be written: {problem.strerror or problem}")
    spec = next(iter(files))
    sys.stdout.write("".join(f"wrote {path}\n" for path in files) + f"next: ringwright build {spec}\n")
    return DONE


def _identifier(name: str) -> str:
    from ringwright.lang.syntax.node_builder import RESERVED

    word = name.replace("-", "_")
    return f"{word}_model" if word in RESERVED or word in TAKEN else word


def _title(name: str) -> str:
    return name.replace("-", " ").replace("_", " ").capitalize()
