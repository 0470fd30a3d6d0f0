"""The files in `lang/editors/` that colour a spec without asking the compiler: made from its own words.

python -m ringwright.lang.editing.editors            makes them anew
python -m ringwright.lang.editing.editors --check    says whether they are stale
"""

import json
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any, NamedTuple

from ringwright.lang.components.tree import entries_of
from ringwright.lang.kinds import NAMES, kind_of
from ringwright.lang.syntax.node_builder import JOINING_WORDS, RESERVED, STATEMENT_WORDS
from ringwright.lang.units import UNITS
from ringwright.lang.values.functions import FUNCTIONS

FOLDER = Path(__file__).parents[1] / "editors"
CONSTANTS = tuple(sorted(word for word, why in RESERVED.items() if why == "is a constant"))


class Words(NamedTuple):
    """The words of the language by what they are, each sort in alphabetical order."""

    kinds: tuple[str, ...]
    statements: tuple[str, ...]
    joining: tuple[str, ...]
    constants: tuple[str, ...]
    functions: tuple[str, ...]
    properties: tuple[str, ...]
    choices: tuple[str, ...]
    units: tuple[str, ...]


def words() -> Words:
    """Return the words of the language as the compiler has them."""
    kinds = [kind for kind in map(kind_of, NAMES) if kind is not None]
    properties = {entry.name for kind in kinds for entry in entries_of(kind)}
    choices = {
        word for kind in kinds for each in kind.properties if each.type != "where" for word in each.choices
    } | {"butt", "lap", "flap", "strap", "flush", "tab", "notched"}
    return Words(
        tuple(sorted(NAMES)),
        tuple(sorted(STATEMENT_WORDS)),
        JOINING_WORDS,
        CONSTANTS,
        tuple(sorted(FUNCTIONS)),
        tuple(sorted(properties)),
        tuple(sorted(choices)),
        tuple(sorted(UNITS, key=lambda unit: (-len(unit), unit))),
    )


def files() -> Mapping[str, str]:
    """Return the files by their path below `lang/editors/`."""
    of = words()
    return {
        "wright.tmLanguage.json": _json(text_mate(of)),
        "language-configuration.json": _json(CONFIGURATION),
        "vim/syntax/wright.vim": vim_syntax(of),
        "vim/ftdetect/wright.vim": '" Specs are known by their ending.\nautocmd BufRead,BufNewFile *.wright setfiletype wright\n',
        "vim/ftplugin/wright.vim": VIM_PLUGIN,
        "vim/ftplugin/wright.lua": NEOVIM_PLUGIN,
        "emacs/wright-mode.el": emacs_mode(of),
    }


def _json(value: Any) -> str:
    return json.dumps(value, indent=2, ensure_ascii=False) + "\n"


def _any(listed: Iterable[str]) -> str:
    escaped = (word.replace("/", "\\/").replace("^", "\\^") for word in listed)
    return "|".join(escaped)


def text_mate(of: Words) -> dict[str, Any]:
    """Return the TextMate grammar: scopes are the usual ones, which every theme has a colour for."""
    lettered = [unit for unit in of.units if unit[0].isalpha()]
    number = r"[0-9]+(?:[ \t]+[0-9]+/[0-9]+|/[0-9]+(?=[ \t]*[A-Za-z])|\.[0-9]+)?(?:[eE][+-]?[0-9]+)?"
    patterns = [
        {"name": "comment.line.number-sign.wright", "match": "#.*$"},
        {"include": "#string"},
        {
            "name": "meta.table.wright",
            "begin": r"^\s*(?=\|)",
            "end": "$",
            "patterns": [
                {"name": "comment.line.number-sign.wright", "match": "#.*$"},
                {"name": "punctuation.separator.table.wright", "match": r"\|"},
                {"include": "#value"},
            ],
        },
        {
            "match": rf"^\s*({_any(of.statements)})\b",
            "captures": {"1": {"name": "keyword.control.wright"}},
        },
        {
            "comment": "kind name {",
            "match": rf"(?:^|(?<=[{{,}}]))\s*({_any(of.kinds)})\b(?!\s*[=.(\[])(?:\s+([A-Za-z]\w*))?(?=\s*(?:\{{|$))",
            "captures": {
                "1": {"name": "entity.name.type.wright"},
                "2": {"name": "entity.name.section.wright"},
            },
        },
        {
            "comment": "property = value",
            "match": rf"(?:^|(?<=[{{,}}]))\s*({_any(of.properties)})\b(?=\s*=(?!=))",
            "captures": {"1": {"name": "variable.other.property.wright"}},
        },
        {"include": "#value"},
    ]
    value = [
        {"include": "#string"},
        {
            "match": rf"({number})(?:[ \t]*((?:{_any(lettered)})(?![A-Za-z0-9_])|[%°]))?",
            "captures": {
                "1": {"name": "constant.numeric.wright"},
                "2": {"name": "keyword.other.unit.wright"},
            },
        },
        {
            "match": rf"(?<=[)\]])[ \t]*((?:{_any(lettered)})(?![A-Za-z0-9_])|[%°])",
            "captures": {"1": {"name": "keyword.other.unit.wright"}},
        },
        {"name": "support.function.wright", "match": rf"\b({_any(of.functions)})(?=[(\[])"},
        {"name": "constant.language.wright", "match": rf"\b({_any(of.constants)})\b"},
        {"name": "keyword.operator.word.wright", "match": rf"\b({_any(of.joining)})\b"},
        {"name": "keyword.operator.measured.wright", "match": "@"},
        {"name": "keyword.operator.wright", "match": r"±|\+/-|[=!<>]=|[-+*/^<>=]"},
        {
            "comment": "word = choice",
            "match": rf"(?<==)\s*({_any(of.choices)})\b(?!\s*[.(\[])",
            "captures": {"1": {"name": "constant.other.wright"}},
        },
    ]
    return {
        "name": "wright",
        "scopeName": "source.wright",
        "fileTypes": ["wright"],
        "patterns": patterns,
        "repository": {
            "string": {
                "patterns": [
                    {
                        "name": "string.quoted.double.wright",
                        "begin": '"',
                        "end": '"|$',
                        "patterns": [{"name": "constant.character.escape.wright", "match": r"\\[\"\\]"}],
                    }
                ]
            },
            "value": {"patterns": value},
        },
    }


CONFIGURATION = {
    "comments": {"lineComment": "#"},
    "brackets": [["{", "}"], ["[", "]"], ["(", ")"]],
    "autoClosingPairs": [
        {"open": "{", "close": "}"},
        {"open": "[", "close": "]"},
        {"open": "(", "close": ")"},
        {"open": '"', "close": '"', "notIn": ["string", "comment"]},
    ],
    "surroundingPairs": [["{", "}"], ["[", "]"], ["(", ")"], ['"', '"']],
    "wordPattern": "[A-Za-z][A-Za-z0-9_]*|[0-9]+(?:\\.[0-9]+)?",
    "indentationRules": {
        "increaseIndentPattern": "[\\{\\[\\(]\\s*(#.*)?$",
        "decreaseIndentPattern": "^\\s*[\\}\\]\\)]",
    },
}

VIM_PLUGIN = """\
" What an editor of the vi family does in a spec.
if exists("b:did_ftplugin")
  finish
endif
let b:did_ftplugin = 1
setlocal commentstring=#\\ %s comments=:# expandtab shiftwidth=4 softtabstop=4
let b:undo_ftplugin = "setlocal commentstring< comments< expandtab< shiftwidth< softtabstop<"
"""


NEOVIM_PLUGIN = """\
-- Neovim starts the language server for a spec; one serves all specs of a folder.
if vim.fn.executable("ringwright") == 0 then
  vim.notify_once("ringwright is not on the PATH: specs are coloured, and no more", vim.log.levels.WARN)
  return
end
local here = vim.fn.expand("%:p:h")
local config = { name = "ringwright", cmd = { "ringwright", "serve" }, root_dir = here }
if vim.lsp.start then
  vim.lsp.start(config)
else -- before 0.8
  wright_clients = wright_clients or {}
  if not wright_clients[here] or vim.lsp.client_is_stopped(wright_clients[here]) then
    wright_clients[here] = vim.lsp.start_client(config)
  end
  vim.lsp.buf_attach_client(0, wright_clients[here])
  vim.bo.omnifunc = "v:lua.vim.lsp.omnifunc"
end
if vim.lsp.inlay_hint then
  pcall(vim.lsp.inlay_hint.enable, true, { bufnr = 0 })
end
"""


def vim_syntax(of: Words) -> str:
    """Return the syntax file for Vim and Neovim."""
    number = r"\v<\d+%(\s+\d+\/\d+|\/\d+\ze\s*\a|\.\d+)?%([eE][+-]?\d+)?"
    units = "|".join(_for_vim(unit) for unit in of.units)
    lines = [
        "\" Colours of a spec for Vim and Neovim, made by lang/editing/editors.py from the compiler's own words.",
        'if exists("b:current_syntax")',
        "  finish",
        "endif",
        "syntax case match",
        "",
        f"syntax keyword wrightStatement {' '.join(of.statements)}",
        f"syntax keyword wrightJoining {' '.join(of.joining)}",
        f"syntax keyword wrightConstant {' '.join(of.constants)}",
        rf"syntax match wrightProperty /\v<%({'|'.join(of.properties)})>\ze\s*\=[^=]/",
        rf"syntax match wrightChoice /\v\=\s*\zs<%({'|'.join(of.choices)})>/",
        rf"syntax match wrightFunction /\v<%({'|'.join(of.functions)})>\ze[(\[]/",
        rf"syntax match wrightKind /\v%(^|[{{,}}])\s*\zs<%({'|'.join(of.kinds)})>\ze%(\s+\h\w*)?\s*\{{/",
        rf"syntax match wrightUnit /\v%([0-9)\]]\s*)@<=%({units})\w@!/",
        f"syntax match wrightNumber /{number}/",
        r"syntax match wrightMark /\v\@|±|\+\/-/",
        r"syntax match wrightBar /\v^\s*\||\|/",
        r'syntax region wrightText start=/"/ skip=/\\["\\]/ end=/"\|$/ oneline',
        "syntax match wrightRemark /#.*/ contains=@Spell",
        "syntax region wrightBlock start=/{/ end=/}/ transparent fold",
        "",
        "highlight default link wrightStatement Statement",
        "highlight default link wrightJoining Keyword",
        "highlight default link wrightConstant Constant",
        "highlight default link wrightProperty Identifier",
        "highlight default link wrightChoice Constant",
        "highlight default link wrightFunction Function",
        "highlight default link wrightKind Type",
        "highlight default link wrightUnit Special",
        "highlight default link wrightNumber Number",
        "highlight default link wrightMark Operator",
        "highlight default link wrightBar Delimiter",
        "highlight default link wrightText String",
        "highlight default link wrightRemark Comment",
        "",
        'let b:current_syntax = "wright"',
    ]
    return "\n".join(lines) + "\n"


def _for_vim(unit: str) -> str:
    return "".join(f"\\{letter}" if letter in "/^%" else letter for letter in unit)


def emacs_mode(of: Words) -> str:
    """Return a major mode for Emacs, which starts the language server where the package eglot is there."""

    def listed(of_sort: Iterable[str]) -> str:
        return " ".join(json.dumps(word, ensure_ascii=False) for word in of_sort)

    return f""";;; wright-mode.el --- Build specs of model aircraft  -*- lexical-binding: t; -*-
;; Made by lang/editing/editors.py from the compiler's own words.

;;; Code:
(defvar wright-mode-syntax-table
  (let ((table (make-syntax-table)))
    (modify-syntax-entry ?# "<" table)
    (modify-syntax-entry ?\\n ">" table)
    (modify-syntax-entry ?_ "w" table)
    table))

(defconst wright-mode-font-lock
  (list
   (cons (regexp-opt '({listed(of.statements)}) 'words) 'font-lock-keyword-face)
   (cons (regexp-opt '({listed(of.joining)}) 'words) 'font-lock-keyword-face)
   (cons (regexp-opt '({listed(of.constants)}) 'words) 'font-lock-constant-face)
   (list (concat (regexp-opt '({listed(of.properties)}) 'words) "[ \\t]*=[^=]") 1 'font-lock-variable-name-face)
   (list (concat "=[ \\t]*" (regexp-opt '({listed(of.choices)}) 'words)) 1 'font-lock-constant-face)
   (list (concat (regexp-opt '({listed(of.functions)}) 'words) "[[(]") 1 'font-lock-function-name-face)
   (list (concat "\\\\(?:^\\\\|[{{,}}]\\\\)[ \\t]*" (regexp-opt '({listed(of.kinds)}) 'words) "\\\\(?:[ \\t]+[A-Za-z][A-Za-z0-9_]*\\\\)?[ \\t]*{{") 1 'font-lock-type-face)
   (list (concat "[0-9)][ \\t]*" (regexp-opt '({listed(of.units)}) t) "\\\\_>") 1 'font-lock-builtin-face)))

;;;###autoload
(define-derived-mode wright-mode prog-mode "Wright"
  "Build specs of model aircraft."
  (setq-local comment-start "# ")
  (setq-local indent-tabs-mode nil)
  (setq-local font-lock-defaults '(wright-mode-font-lock)))

;;;###autoload
(add-to-list 'auto-mode-alist '("\\\\.wright\\\\'" . wright-mode))

(with-eval-after-load 'eglot
  (add-to-list 'eglot-server-programs '(wright-mode . ("ringwright" "serve"))))

(defun wright-mode-serve ()
  "Start the language server where it and the package eglot are installed."
  (when (and (executable-find "ringwright") (require 'eglot nil t))
    (eglot-ensure)))
(add-hook 'wright-mode-hook #'wright-mode-serve)

(provide 'wright-mode)
;;; wright-mode.el ends here
"""
