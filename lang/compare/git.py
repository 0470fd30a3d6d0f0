"""Reads a project as it was at a revision, out of git's objects. No checkout is touched, nothing of a repository runs.

Only plumbing that hands out objects and lists of commits is called. The program's own environment is cleared of what
steers git, hooks, pagers, watchers and transports are turned off, so that a missing object is never fetched, and what
a command line says reaches git as its input or after `--`, never as an option.
"""

import os
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from ringwright.lang.components.project import LARGEST_FILE, Reader, Refused, resolve

PATIENCE = 60.0
"""Seconds after which git is given up."""

_LARGEST = 256_000_000
_QUIET = (
    "core.fsmonitor=false",
    f"core.hooksPath={os.devnull}",
    "core.pager=cat",
    "core.askPass=",
    "credential.helper=",
    "protocol.allow=never",
    "diff.external=",
)


class GitTrouble(Exception):
    """Something that git cannot give; the message is a sentence without a full stop."""


class Revision(NamedTuple):
    """A commit. id: its full number. date: of the commit, YYYY-MM-DD in UTC. tags: its names, ascending."""

    id: str
    date: str
    tags: tuple[str, ...]

    @property
    def name(self) -> str:
        """What people call it: its tags, else the beginning of its number."""
        return ", ".join(self.tags) or self.id[:10]


class Repository:
    """A git repository, as seen from a folder in it."""

    def __init__(self, folder: Path) -> None:
        """Find the repository that a folder lies in. Raises GitTrouble."""
        self._folder = folder
        self._git = _program()
        found = self._run(
            "rev-parse", "--show-prefix", what=f"'{folder}' lies in no git repository that can be read"
        )
        self.prefix = found.decode("utf-8", "surrogateescape").removesuffix("\n")
        # From here on at the top, where paths of a pathspec and of a tree are the same.
        self._folder = folder.joinpath(*(".." for _ in self.prefix.strip("/").split("/") if self.prefix))

    def commit(self, name: str) -> str:
        """Return the number of the commit that a revision names. Raises GitTrouble."""
        if not name or not name.isprintable() or name.startswith("-"):
            raise GitTrouble(f"{name!a} is no name of a revision")
        for sort in ("commit", "tree"):
            found = self._run("cat-file", "--batch-check", input=f"{name}^{{{sort}}}\n".encode()).decode(
                "utf-8", "replace"
            )
            words = found.split()
            if len(words) == 3 and words[1] == sort:
                if sort == "tree":
                    raise GitTrouble(f"{name!a} names files, no commit")
                return words[0]
        raise GitTrouble(f"there is no revision {name!a} in this repository{self._shallow()}")

    def path(self, written: str) -> str:
        """Return where a path leads, from the top of the repository; './' and '../' count from where one stands.

        Raises GitTrouble.
        """
        start = f"{self.prefix}x" if written.startswith(("./", "../")) else "x"
        found = resolve(start, written)
        if found is None or not found.isprintable():
            raise GitTrouble(f"{written!a} leads outside the repository, or names no file in it")
        return found

    def reader(self, commit: str) -> Reader:
        """Return a reader of the files of a commit, by their paths from the top; links within it are followed."""

        def read(path: str) -> bytes:
            return self.read(commit, path, LARGEST_FILE)

        return read

    def read(self, commit: str, path: str, largest: int = _LARGEST) -> bytes:
        """Return a file of a commit. Raises Refused as a reader of files does."""
        if "\n" in path or "\0" in path:
            raise Refused("missing-file", f"there is no file {path!a}")
        asked = f"{commit}:{path}\n".encode("utf-8", "surrogateescape")
        try:
            head = self._run(
                "cat-file", "--follow-symlinks", "--batch-check=%(objecttype) %(objectsize)", input=asked
            )
            sort, _, rest = head.decode("utf-8", "replace").partition(" ")
            size = rest.strip()
            if sort == "symlink":
                raise Refused("outside-project", f"'{path}' leads outside the project's folder")
            if sort in ("loop", "dangling", "notdir") or not size.isdigit():
                raise Refused(
                    "missing-file", f"there is no file '{path}' in that revision", self._beside(commit, path)
                )
            if sort != "blob":
                raise Refused("unreadable-file", f"'{path}' is not a file")
            if int(size) > largest:
                raise Refused("file-too-large", f"'{path}' is larger than {largest // 1024 // 1024} MB")
            found = self._run("cat-file", "--follow-symlinks", "--batch=", input=asked)
        except GitTrouble as trouble:
            raise Refused("unreadable-file", f"'{path}' cannot be read: {trouble}") from None
        return found[1 : 1 + int(size)]

    def is_folder(self, commit: str, path: str) -> bool:
        """Whether a path is a folder at a commit."""
        asked = f"{commit}:{path}\n".encode("utf-8", "surrogateescape")
        return self._run("cat-file", "--batch-check=%(objecttype)", input=asked).startswith(b"tree\n")

    def touching(self, commit: str, paths: Sequence[str]) -> tuple[Revision, ...]:
        """Return the commits up to one that changed any of these files, the oldest first."""
        return self._listed(commit, "--", *paths)

    def tagged(self, commit: str) -> tuple[Revision, ...]:
        """Return the commits up to one that have a tag, the oldest first."""
        return tuple(found for found in self._listed(commit) if found.tags)

    def _listed(self, commit: str, *more: str) -> tuple[Revision, ...]:
        names = self._tags()
        found = self._run("rev-list", "--timestamp", "--reverse", "--topo-order", commit, *more).decode()
        rows = (line.split() for line in found.splitlines())
        return tuple(Revision(id, _day(int(seconds)), names.get(id, ())) for seconds, id in rows)

    def _tags(self) -> dict[str, tuple[str, ...]]:
        form = "--format=%(refname:strip=2) %(objectname) %(*objectname)"
        found: dict[str, tuple[str, ...]] = {}
        for row in self._run("for-each-ref", form, "refs/tags").decode("utf-8", "replace").splitlines():
            name, *ids = row.split(" ")
            for id in ids[-2:]:
                if id:
                    found[id] = tuple(sorted((*found.get(id, ()), name)))
        return found

    def _beside(self, commit: str, path: str) -> tuple[str, ...]:
        """Return the names beside a file that is missing, for a suggestion."""
        folder = path.rpartition("/")[0]
        try:
            found = self._run("ls-tree", "--name-only", "-z", f"{commit}:{folder}")
        except GitTrouble:
            return ()
        return tuple(found.decode("utf-8", "replace").split("\0"))[:1000]

    def _shallow(self) -> str:
        cut = self._run("rev-parse", "--is-shallow-repository") == b"true\n"
        return ", which holds only the last part of its history" if cut else ""

    def _run(self, *arguments: str, input: bytes = b"", what: str = "") -> bytes:
        import subprocess

        quiet = [word for setting in _QUIET for word in ("-c", setting)]
        command = [
            self._git, "--no-pager", "--no-optional-locks", "--no-replace-objects", "--literal-pathspecs", *quiet, *arguments,
        ]  # fmt: skip
        try:
            done = subprocess.run(
                command,
                input=input,
                capture_output=True,
                cwd=self._folder,
                env=_environment(),
                timeout=PATIENCE,
                check=False,
            )
        except subprocess.TimeoutExpired:
            raise GitTrouble(f"git did not answer within {PATIENCE:.0f} s") from None
        except (OSError, ValueError) as problem:
            raise GitTrouble(f"git cannot be run: {getattr(problem, 'strerror', None) or problem}") from None
        if done.returncode:
            said = done.stderr.decode("utf-8", "replace").strip().splitlines()
            reason = said[0].removeprefix("fatal: ") if said else f"exit code {done.returncode}"
            raise GitTrouble(f"{what}: {reason}" if what else f"git says: {reason}")
        return done.stdout


def named(argument: str) -> tuple[str, str] | None:
    """Return revision and path of 'REV:path', None where an argument is no such thing."""
    revision, colon, path = argument.partition(":")
    return (revision, path) if colon and revision and path else None


def _program() -> str:
    """Return where git is. Raises GitTrouble."""
    from shutil import which

    found = which("git")
    # Where an empty folder name stands in PATH, or on Windows, a git could lie in the project itself.
    if found is None or not os.path.isabs(found):
        raise GitTrouble("git is not installed, or not on the PATH")
    return found


def _environment() -> dict[str, str]:
    """Return our environment without anything that steers git, and with what keeps it to itself."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("GIT_")}
    return kept | {
        "GIT_ALLOW_PROTOCOL": "none",
        "GIT_NO_LAZY_FETCH": "1",
        "GIT_NO_REPLACE_OBJECTS": "1",
        "GIT_OPTIONAL_LOCKS": "0",
        "GIT_TERMINAL_PROMPT": "0",
        "LC_ALL": "C",
    }


def _day(seconds: int) -> str:
    from datetime import UTC, datetime

    return datetime.fromtimestamp(seconds, UTC).date().isoformat()
