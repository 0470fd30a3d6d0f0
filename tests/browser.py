"""A real browser for tests of pages: Chromium without a window, told what to do over its debugging protocol."""

import base64
import itertools
import json
import shutil
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

PATIENCE = 30.0
PROGRAMS = ("chromium", "chromium-browser", "google-chrome")
KEYS = {
    "ArrowLeft": 37,
    "ArrowUp": 38,
    "ArrowRight": 39,
    "ArrowDown": 40,
    "Escape": 27,
    "Tab": 9,
    "Enter": 13,
    " ": 32,
}


def program() -> str | None:
    """The browser, None where there is none."""
    return next(filter(None, map(shutil.which, PROGRAMS)), None)


class Page:
    """A page that is open. said: what went wrong on it, in its own words; asked: every address that it asked for."""

    def __init__(self, socket: Any) -> None:
        self._socket = socket
        self._numbers = itertools.count(1)
        self.said: list[str] = []
        self.asked: list[str] = []
        for domain in ("Page", "Runtime", "Log", "Network"):
            self.tell(f"{domain}.enable")

    def tell(self, method: str, **given: Any) -> dict[str, Any]:
        """One command of the protocol, and its answer."""
        number = next(self._numbers)
        self._socket.send(json.dumps({"id": number, "method": method, "params": given}))
        while True:
            answer = json.loads(self._socket.recv(timeout=PATIENCE))
            if answer.get("id") == number:
                assert "error" not in answer, answer["error"]
                return dict(answer["result"])
            self._heard(answer)

    def _heard(self, event: dict[str, Any]) -> None:
        given = event.get("params", {})
        if event["method"] == "Runtime.exceptionThrown":
            self.said.append(given["exceptionDetails"].get("exception", {}).get("description", "exception"))
        elif event["method"] == "Runtime.consoleAPICalled" and given["type"] in (
            "error",
            "warning",
            "assert",
        ):
            self.said.append(str([each.get("value") for each in given["args"]]))
        elif event["method"] == "Log.entryAdded" and given["entry"]["level"] in ("error", "warning"):
            self.said.append(given["entry"]["text"])
        elif event["method"] == "Network.requestWillBeSent":
            self.asked.append(given["request"]["url"])

    def open(self, path: Path) -> None:
        """Open a file and wait until it is there."""
        self.tell("Page.navigate", url=path.resolve().as_uri())
        self.wait_for("document.readyState === 'complete'")

    def value(self, script: str) -> Any:
        """What a piece of script comes to on the page."""
        found = self.tell("Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True)
        assert "exceptionDetails" not in found, found["exceptionDetails"]
        return found["result"].get("value")

    def wait_for(self, script: str) -> None:
        """Wait until a piece of script is true."""
        end = time.monotonic() + PATIENCE
        while not self.value(script):
            assert time.monotonic() < end, f"never true: {script}"
            time.sleep(0.02)

    def settle(self) -> None:
        """Wait until the next picture has been drawn."""
        self.value("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done(1))))")

    def press(self, key: str, shift: bool = False) -> None:
        """Press a key on what has the focus."""
        text = key if len(key) == 1 else ""
        given = {
            "key": key,
            "windowsVirtualKeyCode": KEYS.get(key, ord(key[0].upper())),
            "modifiers": 8 * shift,
        }
        self.tell("Input.dispatchKeyEvent", type="keyDown", **given, **({"text": text} if text else {}))
        self.tell("Input.dispatchKeyEvent", type="keyUp", **given)
        self.settle()

    def drag(self, start: tuple[float, float], end: tuple[float, float]) -> None:
        """Press at one place of the window, move to another and let go; a click where both are one."""
        at = {"button": "left", "clickCount": 1}
        self.tell("Input.dispatchMouseEvent", type="mousePressed", x=start[0], y=start[1], buttons=1, **at)
        for share in (0.25, 0.5, 0.75, 1.0) if start != end else ():
            x, y = (a + share * (b - a) for a, b in zip(start, end, strict=True))
            self.tell("Input.dispatchMouseEvent", type="mouseMoved", x=x, y=y, button="left", buttons=1)
        self.tell("Input.dispatchMouseEvent", type="mouseReleased", x=end[0], y=end[1], **at)
        self.settle()

    def dark(self, wanted: bool = True) -> None:
        """Say that the reader likes pages dark."""
        feature = {"name": "prefers-color-scheme", "value": "dark" if wanted else "light"}
        self.tell("Emulation.setEmulatedMedia", features=[feature])
        self.settle()

    def picture(self) -> bytes:
        """What is seen, as PNG."""
        return base64.b64decode(self.tell("Page.captureScreenshot")["data"])


@contextmanager
def opened(home: Path, size: tuple[int, int] = (1200, 900)) -> Iterator[Page]:
    """A browser with one empty page, its files below `home`."""
    from websockets.sync.client import connect

    found = program()
    assert found is not None
    command = [
        found, "--headless", "--no-sandbox", "--disable-gpu-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader",
        "--hide-scrollbars", "--no-first-run", "--disable-extensions", "--disable-background-networking",
        f"--window-size={size[0]},{size[1]}", f"--user-data-dir={home}", "--remote-debugging-port=0", "about:blank",
    ]  # fmt: skip
    with subprocess.Popen(
        command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    ) as browser:
        try:
            port = _port(home / "DevToolsActivePort", browser)
            with connect(_page(port), max_size=None, proxy=None) as socket:
                yield Page(socket)
        finally:
            browser.terminate()


def _port(file: Path, browser: "subprocess.Popen[bytes]") -> str:
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end:
        assert browser.poll() is None, "the browser ended at once"
        if file.exists() and (lines := file.read_text().split()):
            return lines[0]
        time.sleep(0.05)
    raise AssertionError("the browser never said where to talk to it")


def _page(port: str) -> str:
    from urllib.request import ProxyHandler, build_opener

    opener = build_opener(ProxyHandler({}))
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end:
        with opener.open(f"http://127.0.0.1:{port}/json", timeout=PATIENCE) as answer:
            for target in json.load(answer):
                if target["type"] == "page":
                    return str(target["webSocketDebuggerUrl"])
        time.sleep(0.05)
    raise AssertionError("the browser opened no page")
