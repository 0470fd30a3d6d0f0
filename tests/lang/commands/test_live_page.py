"""The live page: refused to all but its reader, and used in Chromium as a person would."""

import base64
import http.client
import io
import os
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

HERON = Path(__file__).parents[3] / "specs" / "marsh-heron"
PATIENCE = 40.0
HOSTILE = '<img src=x onerror=alert(1)></script><script>document.title=\\"owned\\"</script>'


class Served:
    """The command under way, and the address of its page."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.spec = folder / "marsh-heron.wright"
        self.text = self.spec.read_text("utf-8").replace(
            'title      = "Marsh Heron, parasol sport model"', f'title = "{HOSTILE}"'
        )
        self.spec.write_text(self.text, "utf-8")
        self.log = folder.parent / "log"
        with self.log.open("wb") as out:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "ringwright.lang", "watch", self.spec.name, "--page"],
                cwd=folder, stdout=out, stderr=subprocess.STDOUT, start_new_session=True,
                env={**os.environ, "PYTHONUNBUFFERED": "1"},
            )  # fmt: skip
        end = time.monotonic() + PATIENCE
        while not (found := re.search(r"http://127\.0\.0\.1:(\d+)/([\w-]+)/", self.log.read_text("utf-8"))):
            assert time.monotonic() < end, self.log.read_text("utf-8")
            time.sleep(0.05)
        self.url, self.port, self.token = found[0], int(found[1]), found[2]
        while b'"sheets"' not in self.ask(f"/{self.token}/state")[1]:
            assert time.monotonic() < end, self.log.read_text("utf-8")
            time.sleep(0.05)

    def ask(self, path: str, host: str = "", **more: str) -> tuple[int, bytes, dict[str, str]]:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=20)
        connection.putrequest("GET", path, skip_host=True)
        connection.putheader("Host", host or f"127.0.0.1:{self.port}")
        for name, value in more.items():
            connection.putheader(name.replace("_", "-"), value)
        connection.endheaders()
        answer = connection.getresponse()
        body = answer.read()
        connection.close()
        return answer.status, body, dict(answer.getheaders())

    def save(self, old: str, new: str) -> None:
        assert old in self.text
        beside = self.spec.with_suffix(".new")
        beside.write_text(self.text.replace(old, new), "utf-8")
        os.replace(beside, self.spec)


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("live") / "heron"
    folder.mkdir()
    for name in ("marsh-heron.wright", "workshop-stock.wright"):
        shutil.copy(HERON / name, folder)
    found = Served(folder)
    yield found
    found.process.send_signal(signal.SIGINT)
    assert found.process.wait(PATIENCE) == 0


def test_who_does_not_know_the_token_is_refused(served: Served) -> None:
    assert served.ask(f"/{served.token}/")[0] == 200
    for path in (
        "/",
        "/state",
        f"/{served.token}",
        f"/{served.token[:-1]}/",
        f"/{served.token}x/state",
        "/favicon.ico",
    ):
        assert served.ask(path)[0] == 404, path


def test_another_host_name_or_another_site_is_refused(served: Served) -> None:
    path = f"/{served.token}/state"
    assert served.ask(path, f"localhost:{served.port}")[0] == 200
    for host in (
        "example.org",
        f"example.org:{served.port}",
        "127.0.0.1",
        f"127.0.0.1.example.org:{served.port}",
    ):
        assert served.ask(path, host)[0] == 421, host
    assert served.ask(path, Sec_Fetch_Site="cross-site")[0] == 403
    assert served.ask(path, Sec_Fetch_Site="same-origin")[0] == 200


def test_nothing_outside_the_build_folder_is_to_be_had(served: Served) -> None:
    build = served.folder / "build" / "heron"
    (build / "note.txt").write_text("mine", "utf-8")
    (build / "out").symlink_to(served.folder)
    try:
        assert served.ask(f"/{served.token}/build/note.txt")[1] == b"mine"
        outside = (
            "../../marsh-heron.wright", "%2e%2e/%2e%2e/marsh-heron.wright", "..%2f..%2fmarsh-heron.wright",
            "/etc/passwd", "%2fetc/passwd", "out/marsh-heron.wright", "sheets/../../../marsh-heron.wright",
            "..%5c..%5cmarsh-heron.wright", "note.txt%00", "sheets", "", ".",
        )  # fmt: skip
        for path in outside:
            assert served.ask(f"/{served.token}/build/{path}")[0] == 404, path
    finally:
        (build / "out").unlink()
        (build / "note.txt").unlink()


def test_no_answer_may_run_or_ask_for_anything_else(served: Served) -> None:
    status, body, heads = served.ask(f"/{served.token}/")
    assert status == 200
    policy = heads["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert heads["Referrer-Policy"] == "no-referrer"
    assert heads["X-Content-Type-Options"] == "nosniff"
    assert not re.search(rb"(src|href)=\"(https?:)?//", body)


def test_it_listens_on_the_loopback_address_alone(served: Served) -> None:
    table = Path("/proc/net/tcp")
    if not table.exists():
        pytest.skip("no /proc/net/tcp here")
    listening = [line.split()[1] for line in table.read_text().splitlines()[1:] if line.split()[3] == "0A"]
    assert [at for at in listening if at.endswith(f":{served.port:04X}")] == [f"0100007F:{served.port:04X}"]


def test_the_page_in_a_browser(served: Served, browser: Any) -> None:
    page = browser
    page.said.clear()
    page.asked.clear()
    page.dark(False)
    try:
        page.tell("Page.navigate", url=served.url)
        page.wait_for("document.querySelector('#stage svg .hit') !== null")
        page.wait_for("document.querySelector('#model canvas') !== null")

        def text(id: str) -> str:
            return str(page.value(f"document.getElementById('{id}').textContent"))

        # A hostile title is text.
        assert text("title").startswith("<img src=x onerror=alert(1)>")
        assert page.value("document.querySelectorAll('header img, header script').length") == 0
        assert page.value("document.title").startswith("<img src=x")
        assert "mass" in text("weight")
        assert "balance" in text("weight")

        # Picked by a click on the sheet: its lines under it, the model shows it.
        box = page.value(
            "(() => { const b = document.querySelector('#stage .hit[data-part=\"cowl.drum\"]').getBoundingClientRect();"
            " return [b.x + b.width / 2, b.y + b.height / 2] })()"
        )
        page.drag(tuple(box), tuple(box))
        assert text("picked") == "cowl.drum"
        assert "barrel drum { diameter = @106" in text("lines")
        assert (
            page.value("document.querySelector('#model select').selectedOptions[0].textContent")
            == "cowl.drum"
        )

        # By keys, and picked in the model.
        page.value("document.getElementById('stage').focus()")
        for key in ("+", "+", "ArrowRight"):
            page.press(key)
        page.press("n")
        assert text("picked") == "cowl.front"
        page.press("p")
        assert text("picked") == "cowl.drum"
        page.value("(() => { const s = document.querySelector('#model select');"
                   " s.value = [...s.options].find((o) => o.textContent === 'F3').value; s.dispatchEvent(new Event('change')) })()")  # fmt: skip
        assert text("picked") == "F3"

        # Step by step.
        page.value("document.getElementById('on').click()")
        assert text("step").startswith("1 of ")
        page.value("document.getElementById('all').click()")
        assert text("step") == "all of it"

        # A save: what it changed is drawn over what was, and view, zoom and selection stay.
        kept = "[document.querySelector('#stage svg.sheet').getAttribute('viewBox'), document.getElementById('picked').textContent]"
        before = page.value(kept)
        page.value("window.blank = 0; new MutationObserver(() => { if (!document.querySelector('#stage svg .hit')) window.blank += 1 })"
                   ".observe(document.getElementById('stage'), { childList: true })")  # fmt: skip
        served.save("end = @93", "end = @96")
        page.wait_for("document.querySelectorAll('#stage path.was').length > 0")
        assert page.value(kept) == before
        assert page.value("window.blank") == 0
        assert "recut  cowl.mid" in text("said")
        changed = "[...document.querySelectorAll('#stage .hit.changed')].map((path) => path.dataset.part)"
        # Those of them that lie on the sheet that is shown.
        assert {*page.value(changed)} <= {"cowl.front", "cowl.lip", "cowl.mid"}
        assert page.value(changed)
        page.value("document.getElementById('was').click()")
        assert page.value("document.querySelectorAll('#stage path.was').length") == 0
        page.value("document.getElementById('was').click()")

        # A mistake: told, and the last good build stays.
        served.save("end = @93", "edn = @96")
        page.wait_for("document.getElementById('status').classList.contains('broken')")
        assert "did you mean 'end'?" in text("findings")
        assert page.value("document.querySelectorAll('#stage .hit').length") > 10
        served.save("end = @93", "end = @93")
        page.wait_for("!document.getElementById('status').classList.contains('broken')")

        # True size on paper, from the page that is as large as the sheet.
        page.value("dispatchEvent(new Event('beforeprint'))")
        paper = page.tell("Page.printToPDF", preferCSSPageSize=True, printBackground=True)["data"]
        page.value("dispatchEvent(new Event('afterprint'))")
        sheet = PdfReader(io.BytesIO(base64.b64decode(paper)))
        assert len(sheet.pages) == 1
        wide, high = (float(side) * 25.4 / 72 for side in sheet.pages[0].mediabox[2:])
        assert wide == pytest.approx(762, abs=1)
        assert high == pytest.approx(508, abs=1)

        # Light and dark.
        ground = "getComputedStyle(document.body).backgroundColor"
        light = page.value(ground)
        page.dark()
        assert page.value(ground) != light

        assert page.said == []
        assert all(address.startswith((served.url, "data:")) for address in page.asked), page.asked
    finally:
        page.dark(False)
        page.tell("Page.navigate", url="about:blank")


def test_many_pages_and_those_that_go_away_do_no_harm(served: Served) -> None:
    import socket

    for _ in range(30):
        with socket.create_connection(("127.0.0.1", served.port), timeout=20) as line:
            ask = f"GET /{served.token}/events HTTP/1.1\r\nHost: 127.0.0.1:{served.port}\r\n\r\n"
            line.sendall(ask.encode())
            assert line.recv(20).startswith(b"HTTP/1.1 200")
    assert served.ask(f"/{served.token}/state")[0] == 200
    for junk in (
        b"\r\n\r\n",
        b"GET\r\n\r\n",
        b"POST / HTTP/1.1\r\n\r\n",
        b"\x00" * 50 + b"\r\n\r\n",
        b"GET / HTTP/9.9\r\n\r\n",
    ):
        with socket.create_connection(("127.0.0.1", served.port), timeout=20) as line:
            line.sendall(junk)
            line.shutdown(socket.SHUT_WR)
            line.recv(4000)
    assert served.ask(f"/{served.token}/state")[0] == 200
