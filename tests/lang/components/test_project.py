"""Texts of a project: which are read, from where, and what is refused."""

import os

import pytest
from ringwright.lang.components.project import LARGEST_FILE, MOST_FILES, Refused, gather, reader, root_of


def gathered(texts):
    def read(path):
        if path not in texts:
            raise Refused("missing-file", f"there is no file '{path}'", tuple(texts))
        return texts[path].encode()

    return gather("main.wright", read)


def codes(texts):
    return [finding.code for finding in gathered(texts)[1]]


def test_paths_are_relative_to_the_file_that_uses_them():
    project, found = gathered(
        {
            "main.wright": 'use "lib/a.wright"',
            "lib/a.wright": 'use "b.wright"\nuse "../c.wright"',
            "lib/b.wright": "",
            "c.wright": "",
        }
    )
    assert not found
    assert list(project.sources) == ["main.wright", "lib/a.wright", "lib/b.wright", "c.wright"]
    assert project.used_by_main == {"lib/a.wright"}


def test_two_ways_to_one_file_are_one_file():
    project, found = gathered({"main.wright": 'use "lib/../a.wright"\nuse "./a.wright" as x', "a.wright": ""})
    assert not found
    assert list(project.files) == ["main.wright", "a.wright"]


@pytest.mark.parametrize(
    "name", ["../a.wright", "/etc/passwd", "lib/../../a.wright", "C:/a.wright", "a\\\\b.wright"]
)
def test_what_lies_outside_is_refused_without_being_read(name):
    assert codes({"main.wright": f'use "{name}"'}) == ["outside-project"]


def test_a_file_without_a_name():
    assert codes({"main.wright": 'use ""'}) == ["missing-file"]


def test_a_circle_is_shown_whole():
    _, (finding,) = gathered(
        {"main.wright": 'use "a.wright"', "a.wright": 'use "b.wright"', "b.wright": 'use "a.wright"'}
    )
    assert finding.code == "use-cycle"
    assert "a.wright → b.wright → a.wright" in finding.message
    assert finding.span.source == "b.wright"
    assert codes({"main.wright": 'use "main.wright"'}) == ["use-cycle"]


def test_a_near_name_is_suggested():
    _, (finding,) = gathered({"main.wright": 'use "stocks.wright"', "stock.wright": ""})
    assert finding.code == "missing-file"
    assert finding.help == "did you mean 'stock.wright'?"
    assert finding.span.start == 4


def test_one_alias_stands_for_one_file():
    assert codes(
        {"main.wright": 'use "a.wright" as x\nuse "b.wright" as x', "a.wright": "", "b.wright": ""}
    ) == ["name-taken"]


def test_there_is_an_end_to_files():
    texts = {"main.wright": "\n".join(f'use "f{i}.wright"' for i in range(MOST_FILES + 3))}
    texts |= {f"f{i}.wright": "" for i in range(MOST_FILES + 3)}
    project, found = gathered(texts)
    assert {finding.code for finding in found} == {"too-many-files"}
    assert len(project.files) == MOST_FILES


def test_a_file_that_is_no_utf8_is_said_and_not_read_on():
    project, (finding,) = gather("main.wright", lambda path: b'model heron { title = "\xff" }')
    assert finding.code == "not-utf8"
    assert project.files["main.wright"].statements == ()


def test_the_projects_folder_is_the_nearest_with_a_git(tmp_path):
    (tmp_path / ".git").mkdir()
    spec = tmp_path / "models" / "heron" / "heron.wright"
    spec.parent.mkdir(parents=True)
    spec.write_text("")
    assert root_of(spec) == tmp_path.resolve()
    (spec.parent / ".git").write_text("gitdir: elsewhere")
    assert root_of(spec) == spec.parent.resolve()


def refusal(root, path):
    with pytest.raises(Refused) as caught:
        reader(root)(path)
    return caught.value.code


def test_a_reader_reads_regular_files_inside_only(tmp_path):
    home = tmp_path / "home"
    home.mkdir()
    (tmp_path / "secret.wright").write_text("let a = 1 mm")
    (home / "ok.wright").write_bytes(b"let b = 2 mm")
    (home / "inside.wright").symlink_to(home / "ok.wright")
    (home / "out.wright").symlink_to(tmp_path / "secret.wright")
    (home / "loop.wright").symlink_to(home / "loop.wright")
    os.mkfifo(home / "pipe.wright")
    assert reader(home)("ok.wright") == b"let b = 2 mm"
    assert reader(home)("inside.wright") == b"let b = 2 mm"
    assert refusal(home, "out.wright") == "outside-project"
    assert refusal(home, "loop.wright") in ("unreadable-file", "missing-file")
    assert refusal(home, "pipe.wright") == "unreadable-file"
    assert refusal(home, ".") == "unreadable-file"
    assert refusal(home, "none.wright") == "missing-file"
    assert refusal(home, "ok.wright/below.wright") in ("unreadable-file", "missing-file")
    assert refusal(home, "a" * 5000) == "unreadable-file"


def test_a_file_has_a_largest_size(tmp_path):
    (tmp_path / "big.wright").write_bytes(b"#" * (LARGEST_FILE + 1))
    assert refusal(tmp_path, "big.wright") == "file-too-large"
