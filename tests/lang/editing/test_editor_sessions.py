"""Real editors, driven as a builder would: open a spec, see a finding, apply its fix, hover, rename, lay out, save.

Set up by the lines that the README gives, with `ringwright` on the PATH.
"""

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from ringwright.lang.tidy.tidy import laid_out

README = Path(__file__).parents[3] / "README.md"
STOCK = "stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm, mass = 410 g/m2 }\n"
SPEC = """\
use "stock.wright"
model t { title = "𝄞 T" }
stack cowl {
    stock = board
    overall = 60 mm
    barrel drum { diameter = 106 ± 0.5 mm }
    cone lip { end = 74 mm, lenght = 20 mm }
}
require cowl.drum.length > 10 mm
"""


@pytest.fixture
def session(tmp_path: Path) -> tuple[Path, dict[str, str]]:
    """A folder with a spec that has a mistake, and an environment in which `ringwright` is on the PATH."""
    (tmp_path / "bin").mkdir()
    program = tmp_path / "bin" / "ringwright"
    program.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m ringwright.lang "$@"\n', "utf-8")
    program.chmod(0o755)
    home = tmp_path / "home"
    home.mkdir()
    folder = tmp_path / "model"
    folder.mkdir()
    (folder / "stock.wright").write_text(STOCK, "utf-8")
    (folder / "t.wright").write_text(SPEC, "utf-8")
    path = f"{tmp_path / 'bin'}{os.pathsep}{os.environ['PATH']}"
    return folder, {**os.environ, "PATH": path, "HOME": str(home), "XDG_CONFIG_HOME": str(home / ".config")}


def block(language: str) -> str:
    """The lines in a language that the README gives."""
    found = re.search(rf"```{language}\n(.*?)```", README.read_text("utf-8"), re.DOTALL)
    assert found is not None
    return found[1]


NEOVIM = """
local out = {}
local function say(name, value) out[name] = value end
local function wait(what) assert(vim.wait(30000, what, 20), "waited in vain") end
local function ask(method, params)
  for _, answer in pairs(vim.lsp.buf_request_sync(0, method, params, 30000) or {}) do
    assert(not answer.error, vim.inspect(answer.error))
    return answer.result
  end
end
local function go(words)
  vim.fn.cursor(1, 1)
  assert(vim.fn.search(words) > 0, words)
end
local function params() return vim.lsp.util.make_position_params(0, "utf-16") end

vim.cmd("edit t.wright")
wait(function() return #vim.diagnostic.get(0) > 0 end)
local finding = vim.diagnostic.get(0)[1]
say("finding", { finding.lnum, finding.code, finding.message })

go("lenght")
local range = vim.lsp.util.make_range_params(0, "utf-16")
range.context = { diagnostics = {} }
local actions = ask("textDocument/codeAction", range)
say("fix", actions[1].title)
vim.lsp.util.apply_workspace_edit(actions[1].edit, "utf-16")
wait(function() return #vim.diagnostic.get(0) == 0 end)

go("drum.length")
vim.cmd("normal! 6l")
say("hover", ask("textDocument/hover", params()).contents.value)

go("board")
local renaming = params()
renaming.newName = "white"
vim.lsp.util.apply_workspace_edit(ask("textDocument/rename", renaming), "utf-16")
wait(function() return vim.fn.search("white", "nw") > 0 end)

local options = { textDocument = { uri = vim.uri_from_bufnr(0) }, options = { tabSize = 4, insertSpaces = true } }
vim.lsp.util.apply_text_edits(ask("textDocument/formatting", options), 0, "utf-16")
vim.cmd("wall!")
vim.fn.writefile({ vim.fn.json_encode(out) }, "out.json")
vim.cmd("qall!")
"""

EMACS = r"""
(setq eglot-autoreconnect nil eglot-confirm-server-initiated-edits nil make-backup-files nil create-lockfiles nil)
;; Without a window nobody can be asked whether other files may be edited, too.
(fset 'y-or-n-p (lambda (&rest _) t))
(defun wait-for (what)
  (let ((left 1500))
    (while (and (> left 0) (not (funcall what)))
      (accept-process-output nil 0.02)
      (setq left (1- left)))
    (unless (> left 0) (error "waited in vain"))))
(defun go (words) (goto-char (point-min)) (search-forward words) (goto-char (match-beginning 0)))
(find-file "t.wright")
(unless (eglot-current-server)
  (apply #'eglot--connect (eglot--guess-contact)))
(wait-for #'eglot-current-server)
(unless (bound-and-true-p flymake-mode) (flymake-mode 1))
(wait-for (lambda () (flymake-start) (flymake-diagnostics)))
(setq out (list (cons "finding" (flymake-diagnostic-text (car (flymake-diagnostics))))))
(go "lenght")
(let* ((server (eglot-current-server))
       (actions (jsonrpc-request server :textDocument/codeAction
                  (list :textDocument (eglot--TextDocumentIdentifier)
                        :range (list :start (eglot--pos-to-lsp-position) :end (eglot--pos-to-lsp-position))
                        :context (list :diagnostics [])))))
  (push (cons "fix" (plist-get (aref actions 0) :title)) out)
  (eglot--apply-workspace-edit (plist-get (aref actions 0) :edit)))
(go "drum.length")
(forward-char 6)
(eglot--signal-textDocument/didChange)
(let ((hover (jsonrpc-request (eglot-current-server) :textDocument/hover (eglot--TextDocumentPositionParams))))
  (push (cons "hover" (plist-get (plist-get hover :contents) :value)) out))
(go "board")
(eglot-rename "white")
(eglot-format-buffer)
(save-some-buffers t)
(let ((json-encoding-pretty-print nil)) (require 'json) (write-region (json-encode out) nil "out.json"))
"""


def check(folder: Path) -> None:
    """Look at what a session has seen and done."""
    out = json.loads((folder / "out.json").read_text("utf-8"))
    assert "no property 'lenght' on a cone" in str(out["finding"])
    assert out["fix"] == "write 'length'"
    assert "**cowl.drum.length** = 40 mm" in out["hover"]
    mended = SPEC.replace("lenght", "length").replace("= board", "= white")
    assert (folder / "t.wright").read_text("utf-8") == laid_out(mended)
    assert (folder / "stock.wright").read_text("utf-8") == STOCK.replace("stock board", "stock white")


def test_a_session_in_neovim(session: tuple[Path, dict[str, str]]) -> None:
    program = shutil.which("nvim")
    if program is None:
        pytest.skip("nvim is not installed")
    folder, environment = session
    (folder.parent / "init.lua").write_text(block("lua"), "utf-8")
    (folder.parent / "session.lua").write_text(NEOVIM, "utf-8")
    done = subprocess.run(
        [program, "--headless", "-u", "../init.lua", "-S", "../session.lua", "-c", "cquit"],
        cwd=folder, env=environment, capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert (folder / "out.json").exists(), done.stderr
    check(folder)


def test_a_session_in_emacs(session: tuple[Path, dict[str, str]]) -> None:
    program = shutil.which("emacs")
    if program is None:
        pytest.skip("emacs is not installed")
    folder, environment = session
    has = subprocess.run(
        [program, "--batch", "--eval", "(kill-emacs (if (require 'eglot nil t) 0 1))"],
        env=environment, capture_output=True, timeout=60, check=False,
    )  # fmt: skip
    if has.returncode:
        pytest.skip("emacs has no eglot")
    (folder.parent / "init.el").write_text(block("elisp"), "utf-8")
    (folder.parent / "session.el").write_text(EMACS, "utf-8")
    done = subprocess.run(
        [program, "--batch", "-l", "../init.el", "-l", "../session.el"],
        cwd=folder, env=environment, capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert (folder / "out.json").exists(), done.stderr
    check(folder)
