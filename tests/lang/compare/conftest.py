"""What the tests of comparisons share: a workshop with a spec in a git repository, and sides from text alone."""

import os
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from ringwright.lang.commands.sides import side_of_spec
from ringwright.lang.compare.side import Side
from ringwright.lang.components.project import Refused
from ringwright.lang.pipeline import compile_spec

HERON = Path(__file__).parent / "heron"
STOCK = "workshop-stock.wright"


class Shop:
    """A folder with the Marsh Heron in a git repository, changed and committed as told."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.days = 0
        self.git("init", "--quiet", "--initial-branch=main", ".")

    def git(self, *arguments: str, check: bool = True) -> str:
        """Run git here with nobody's settings, at noon of so many days after the first of March 2026."""
        date = f"2026-03-{self.days + 1:02}T12:00:00+0000"
        environment = {k: v for k, v in os.environ.items() if not k.startswith("GIT_")} | {
            "GIT_CONFIG_NOSYSTEM": "1",
            "GIT_CONFIG_GLOBAL": os.devnull,
            "GIT_AUTHOR_DATE": date,
            "GIT_COMMITTER_DATE": date,
        }
        settings = [
            "-c",
            "user.name=Builder",
            "-c",
            "user.email=builder@example.org",
            "-c",
            "protocol.file.allow=always",
        ]
        done = subprocess.run(
            ["git", *settings, *arguments],
            cwd=self.folder,
            env=environment,
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0 or not check, done.stderr
        return done.stdout

    def edit(self, *changes: tuple[str, str], file: str = "heron.wright") -> None:
        """Put words in place of others, each of which stands once in the file."""
        path = self.folder / file
        text = path.read_text("utf-8")
        for old, new in changes:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        path.write_text(text, encoding="utf-8")

    def commit(self, message: str) -> None:
        """Commit all that is there, a day after the last commit."""
        self.days += 1
        self.git("add", "--all")
        self.git("commit", "--quiet", "--allow-empty", "--message", message)


@pytest.fixture
def bare_shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    """An empty repository to stand in."""
    if shutil.which("git") is None:
        pytest.skip("git is not here")
    monkeypatch.chdir(tmp_path)
    for name in [name for name in os.environ if name.startswith("GIT_")]:
        monkeypatch.delenv(name)
    return Shop(tmp_path)


@pytest.fixture
def shop(bare_shop: Shop) -> Shop:
    """The Marsh Heron, committed once."""
    for name in ("heron.wright", STOCK):
        shutil.copy(HERON / name, bare_shop.folder / name)
    bare_shop.commit("The Heron as it was drawn")
    return bare_shop


@pytest.fixture(scope="session")
def side_from() -> Callable[..., Side]:
    """Return a side from the text of a spec that stands by itself, or beside other files."""

    def make(text: str, **files: str) -> Side:
        texts = {f"{name}.wright": content for name, content in files.items()} | {"main.wright": text}

        def read(path: str) -> bytes:
            if path not in texts:
                raise Refused("missing-file", f"there is no file '{path}'")
            return texts[path].encode()

        compiled = compile_spec("main.wright", read)
        assert not compiled.failed, compiled.findings
        return side_of_spec(compiled, "main.wright")

    return make
