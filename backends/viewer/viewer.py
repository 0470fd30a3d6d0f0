"""The viewer as HTML: a fragment for any page, and a page of its own. Nothing in it asks for the network."""

import html
import json
import os
from collections.abc import Mapping
from typing import Any

MODEL = "The model in 3-D"


def style() -> str:
    """The viewer's style sheet."""
    return _text("viewer.css")


def script() -> str:
    """The viewer's script: starts on every `.viewer` of the page that holds a scene; `ringwrightViewer(root, scene)`
    starts one by hand.
    """
    return _text("viewer.js")


def fragment(scene: Mapping[str, Any], still: str = "", caption: str = "") -> str:
    """The viewer's place in a page, with what it shows: style and script must be in the page as well, the script after
    it.

    scene: of `scene_of`. still: a picture as an SVG element, shown where there is no 3-D or no script.
    """
    picture = (
        f'<figure class="still">{still}<figcaption>{html.escape(caption)}</figcaption></figure>'
        if still
        else ""
    )
    return (
        f'<section class="viewer" aria-label="{MODEL}">{picture}'
        f'<script type="application/json">{as_json(scene)}</script></section>'
    )


def page(scene: Mapping[str, Any], still: str = "") -> str:
    """A whole page with nothing but the viewer."""
    title = html.escape(str(scene["title"]))
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{title}</title>\n<style>\nbody {{ margin: 1rem; }}\n@media (prefers-color-scheme: dark) {{ body {{ background: #15191d; color: #e8ecef; }} }}\n"
        f"{style()}</style>\n</head>\n<body>\n<h1>{title}</h1>\n{fragment(scene, still, 'isometric view')}\n"
        f"<script>\n{script()}</script>\n</body>\n</html>\n"
    )


def as_json(scene: Mapping[str, Any]) -> str:
    """A scene as JSON that may stand in a page: no text in it ends a script."""
    text = json.dumps(scene, ensure_ascii=False, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")


def _text(name: str) -> str:
    with open(os.path.join(os.path.dirname(__file__), name), encoding="utf-8") as file:
        return file.read()
