"""The language server as an editor meets it: every request over the protocol, on standard input and output."""

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import pytest_lsp
from lsprotocol import types
from pytest_lsp import ClientServerConfig, LanguageClient, client_capabilities

STOCK = "stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm, mass = 410 g/m2 }\n"
SPEC = """\
use "stock.wright"

model t { title = "𝄞 test", plan_scale = 125 % }

let wide = 2 * 30 mm

station F1 { x = 0 mm }
station nose { x = @-83 mm }

# A remark over
# two lines.
stack cowl {
    from = F1
    to = nose
    stock = board
    barrel drum { diameter = @106 ± 0.5 mm, length = auto }
    cone lip { end = @74 mm, length = @20 mm }
}
panel p { /*𝄞*/ }
panel q { outline = rect(wide, 20 mm), stock = board }
require cowl.drum.length > 10 mm
""".replace("panel p { /*𝄞*/ }\n", "")


@pytest_lsp.fixture(
    config=ClientServerConfig(server_command=[sys.executable, "-m", "ringwright.lang", "serve"]),
    scope="module",
)
async def client(lsp_client: LanguageClient) -> Any:
    """An editor that has started the server."""
    await lsp_client.initialize_session(
        types.InitializeParams(capabilities=client_capabilities("visual-studio-code"), root_uri=None)
    )
    yield
    await lsp_client.shutdown_session()


class Opened:
    """A spec with its stock in a folder, open in the editor."""

    def __init__(self, client: LanguageClient, folder: Path, text: str) -> None:
        self.client, self.text, self.version = client, text, 1
        folder.joinpath("stock.wright").write_text(STOCK, "utf-8")
        self.path = folder / "t.wright"
        self.path.write_text(text, "utf-8")
        self.uri = self.path.resolve().as_uri()
        self.document = types.TextDocumentIdentifier(self.uri)

    async def open(self) -> list[types.Diagnostic]:
        item = types.TextDocumentItem(self.uri, "wright", self.version, self.text)
        self.client.text_document_did_open(types.DidOpenTextDocumentParams(item))
        return await self.answered()

    async def answered(self) -> list[types.Diagnostic]:
        """Wait until the findings of the text as it stands have come."""
        while True:
            told = await self.client.wait_for_notification("textDocument/publishDiagnostics")
            if told.uri == self.uri and told.version == self.version:
                return self.findings()

    async def replace(self, old: str, new: str) -> list[types.Diagnostic]:
        """Replace some words, told as an edit of a range in UTF-16 places."""
        at = self.text.index(old)
        where = types.Range(self.place(at), self.place(at + len(old)))
        self.text = self.text[:at] + new + self.text[at + len(old) :]
        self.version += 1
        self.client.text_document_did_change(
            types.DidChangeTextDocumentParams(
                types.VersionedTextDocumentIdentifier(self.version, self.uri),
                [types.TextDocumentContentChangePartial(where, new)],
            )
        )
        return await self.answered()

    def findings(self) -> list[types.Diagnostic]:
        return list(self.client.diagnostics.get(self.uri, []))

    def place(self, offset: int) -> types.Position:
        before = self.text[:offset]
        line = before.rpartition("\n")[2]
        return types.Position(before.count("\n"), len(line.encode("utf-16-le")) // 2)

    def at(self, words: str, into: int = 1) -> dict[str, Any]:
        return {"text_document": self.document, "position": self.place(self.text.index(words) + into)}

    def words(self, where: types.Range, text: str | None = None) -> str:
        """The words in a range."""
        lines = (text if text is not None else self.text).splitlines(keepends=True)

        def offset(place: types.Position) -> int:
            line = lines[place.line] if place.line < len(lines) else ""
            inside = line.encode("utf-16-le")[: 2 * place.character].decode("utf-16-le")
            return sum(map(len, lines[: place.line])) + len(inside)

        return "".join(lines)[offset(where.start) : offset(where.end)]

    def with_edits(self, edits: Any) -> str:
        """The text with edits made."""
        text = self.text
        lines = text.splitlines(keepends=True)

        def offset(place: types.Position) -> int:
            line = lines[place.line] if place.line < len(lines) else ""
            inside = line.encode("utf-16-le")[: 2 * place.character].decode("utf-16-le")
            return sum(map(len, lines[: place.line])) + len(inside)

        placed = sorted(
            ((offset(e.range.start), offset(e.range.end), e.new_text) for e in edits), reverse=True
        )
        for start, end, new in placed:
            text = text[:start] + new + text[end:]
        return text


@pytest.mark.asyncio(loop_scope="module")
async def test_a_finding_comes_as_one_types_and_its_fix_mends_it(
    client: LanguageClient, tmp_path: Path
) -> None:
    spec = Opened(client, tmp_path, SPEC)
    assert await spec.open() == []
    found = await spec.replace("length = @20 mm", "lenght = @20 mm")
    (finding,) = [each for each in found if each.code == "unknown-property"]
    assert spec.words(finding.range) == "lenght"
    assert finding.severity == types.DiagnosticSeverity.Error
    assert "did you mean 'length'?" in finding.message
    actions = await client.text_document_code_action_async(
        types.CodeActionParams(spec.document, finding.range, types.CodeActionContext([finding]))
    )
    assert actions is not None
    best = next(each for each in actions if isinstance(each, types.CodeAction) and each.is_preferred)
    assert best.edit is not None
    assert best.edit.changes is not None
    assert spec.with_edits(best.edit.changes[spec.uri]) == SPEC
    assert await spec.replace("lenght", "length") == []


@pytest.mark.asyncio(loop_scope="module")
async def test_places_are_counted_in_utf_16(client: LanguageClient, tmp_path: Path) -> None:
    spec = Opened(client, tmp_path, SPEC)
    await spec.open()
    found = await spec.replace('"𝄞 test", plan_scale', '"𝄞\t𝄞", paln_scale')
    (finding,) = found
    assert spec.words(finding.range) == "paln_scale"
    assert finding.range.start.character == spec.text.splitlines()[2].index("paln_scale") + 2


@pytest.mark.asyncio(loop_scope="module")
async def test_related_places_are_told(client: LanguageClient, tmp_path: Path) -> None:
    spec = Opened(client, tmp_path, SPEC)
    await spec.open()
    (finding,) = await spec.replace("length = @20 mm", "end = @20 mm, length = @20 mm")
    assert finding.code == "given-twice"
    assert finding.related_information is not None
    assert finding.related_information[0].message == "first given here"
    assert finding.related_information[0].location.uri == spec.uri


@pytest.mark.asyncio(loop_scope="module")
async def test_hover_gives_the_value_its_unit_its_spread_and_its_sum(
    client: LanguageClient, tmp_path: Path
) -> None:
    spec = Opened(client, tmp_path, SPEC)
    await spec.open()
    told = await client.text_document_hover_async(types.HoverParams(**spec.at("drum.length", 6)))
    assert told is not None
    assert isinstance(told.contents, types.MarkupContent)
    # 83 mm and 20 mm on the plan, at 125 %: 103.75 - 25.
    assert "**cowl.drum.length** = 78.75 mm" in told.contents.value
    assert "cowl.overall - cowl.lip.length" in told.contents.value
    told = await client.text_document_hover_async(types.HoverParams(**spec.at("diameter = @106")))
    assert told is not None
    assert isinstance(told.contents, types.MarkupContent)
    assert "132.5 mm ± 0.625 mm" in told.contents.value
    assert "measured" in told.contents.value


@pytest.mark.asyncio(loop_scope="module")
async def test_a_broken_text_keeps_the_last_good_values_shown_as_such(
    client: LanguageClient, tmp_path: Path
) -> None:
    spec = Opened(client, tmp_path, SPEC)
    await spec.open()
    assert await spec.replace("station F1 {", "station F1 {{")
    told = await client.text_document_hover_async(types.HoverParams(**spec.at("drum.length", 6)))
    assert told is not None
    assert isinstance(told.contents, types.MarkupContent)
    assert "78.75 mm" in told.contents.value
    assert "last value that was good" in told.contents.value
    whole = types.Range(types.Position(0, 0), types.Position(99, 0))
    hints = await client.text_document_inlay_hint_async(types.InlayHintParams(spec.document, whole))
    assert any("78.75 mm (old)" in str(hint.label) for hint in hints or ())


@pytest.mark.asyncio(loop_scope="module")
async def test_completion_offers_what_fits(client: LanguageClient, tmp_path: Path) -> None:
    spec = Opened(client, tmp_path, SPEC)
    await spec.open()

    async def offered(old: str, new: str) -> list[str]:
        await spec.replace(old, new.replace("|", ""))
        at = spec.place(spec.text.index(new.replace("|", "")) + new.index("|"))
        found = await client.text_document_completion_async(types.CompletionParams(spec.document, at))
        await spec.replace(new.replace("|", ""), old)
        assert isinstance(found, types.CompletionList)
        return [item.label for item in found.items]

    offers = await offered("end = @74", "st|, end = @74")
    assert "start" in offers
    assert "wall" not in offers
    assert "length" not in offers
    assert (await offered("stock = board\n", "stock = |\n"))[0] == "board"
    assert (await offered("from = F1", "from = |"))[:2] == ["F1", "nose"]
    assert (await offered("length = @20 mm", "length = @20 |"))[:3] == ["mm", "cm", "m"]
    assert "bevel" in await offered("cowl.drum.length >", "cowl.drum.| >")
    assert "barrel" in await offered("    barrel drum", "    ba|\n    barrel drum")
    assert await offered('use "stock.wright"', 'use "|"') == ["stock.wright"]


@pytest.mark.asyncio(loop_scope="module")
async def test_definition_and_references_go_across_files(client: LanguageClient, tmp_path: Path) -> None:
    spec = Opened(client, tmp_path, SPEC)
    await spec.open()
    found = await client.text_document_definition_async(types.DefinitionParams(**spec.at("= board", 3)))
    assert isinstance(found, types.Location)
    assert found.uri.endswith("/stock.wright")
    assert spec.words(found.range, STOCK) == "board"
    found = await client.text_document_definition_async(types.DefinitionParams(**spec.at('"stock.', 3)))
    assert isinstance(found, types.Location)
    assert found.uri.endswith("/stock.wright")
    places = await client.text_document_references_async(
        types.ReferenceParams(context=types.ReferenceContext(True), **spec.at("= board", 3))
    )
    assert places is not None
    assert [place.uri.rpartition("/")[2] for place in places] == ["stock.wright", "t.wright", "t.wright"]
    marked = await client.text_document_document_highlight_async(
        types.DocumentHighlightParams(**spec.at("wide"))
    )
    assert [spec.words(each.range) for each in marked or ()] == ["wide", "wide"]


@pytest.mark.asyncio(loop_scope="module")
async def test_rename_reaches_all_files_and_refuses_a_name_that_is_taken(
    client: LanguageClient, tmp_path: Path
) -> None:
    spec = Opened(client, tmp_path, SPEC)
    await spec.open()
    where = await client.text_document_prepare_rename_async(
        types.PrepareRenameParams(**spec.at("= board", 3))
    )
    assert isinstance(where, types.Range)
    assert spec.words(where) == "board"
    assert (
        await client.text_document_prepare_rename_async(types.PrepareRenameParams(**spec.at("diameter")))
        is None
    )
    edit = await client.text_document_rename_async(
        types.RenameParams(new_name="white", **spec.at("= board", 3))
    )
    assert edit is not None
    assert edit.changes is not None
    assert {uri.rpartition("/")[2]: len(made) for uri, made in edit.changes.items()} == {
        "stock.wright": 1,
        "t.wright": 2,
    }
    assert spec.with_edits(edit.changes[spec.uri]) == SPEC.replace("= board", "= white")
    for taken, why in (("wide", "taken"), ("mm", "unit"), ("let", "word of the language"), ("2x", "no name")):
        with pytest.raises(Exception, match=why):
            await client.text_document_rename_async(
                types.RenameParams(new_name=taken, **spec.at("cowl.drum", 1))
            )


@pytest.mark.asyncio(loop_scope="module")
async def test_symbols_of_a_text_and_of_the_project(client: LanguageClient, tmp_path: Path) -> None:
    spec = Opened(client, tmp_path, SPEC)
    await spec.open()
    found = await client.text_document_document_symbol_async(types.DocumentSymbolParams(spec.document))
    assert found is not None
    cowl = next(each for each in found if each.name == "cowl")
    assert isinstance(cowl, types.DocumentSymbol)
    assert [child.name for child in cowl.children or ()] == ["drum", "lip"]
    everywhere = await client.workspace_symbol_async(types.WorkspaceSymbolParams("brd"))
    assert [each.name for each in everywhere or () if str(tmp_path.name) in each.location.uri] == ["board"]


@pytest.mark.asyncio(loop_scope="module")
async def test_folding(client: LanguageClient, tmp_path: Path) -> None:
    spec = Opened(client, tmp_path, SPEC)
    await spec.open()
    found = await client.text_document_folding_range_async(types.FoldingRangeParams(spec.document))
    lines = SPEC.splitlines()
    shown = [(lines[fold.start_line], lines[fold.end_line]) for fold in found or ()]
    assert shown == [
        ("# A remark over", "# two lines."),
        ("stack cowl {", "    cone lip { end = @74 mm, length = @20 mm }"),
    ]


@pytest.mark.asyncio(loop_scope="module")
async def test_formatting_is_that_of_tidy(client: LanguageClient, tmp_path: Path) -> None:
    from ringwright.lang.tidy.tidy import laid_out

    spec = Opened(client, tmp_path, SPEC)
    await spec.open()
    edits = await client.text_document_formatting_async(
        types.DocumentFormattingParams(spec.document, types.FormattingOptions(4, True))
    )
    assert edits
    assert spec.with_edits(edits) == laid_out(SPEC) != SPEC


@pytest.mark.asyncio(loop_scope="module")
async def test_semantic_tokens_say_what_words_are(client: LanguageClient, tmp_path: Path) -> None:
    spec = Opened(client, tmp_path, SPEC)
    await spec.open()
    found = await client.text_document_semantic_tokens_full_async(types.SemanticTokensParams(spec.document))
    assert found is not None
    from ringwright.lang.commands.answers import TOKEN_TYPES

    line = column = 0
    told: dict[str, str] = {}
    for i in range(0, len(found.data), 5):
        down, across, length, kind, _ = found.data[i : i + 5]
        line, column = line + down, across if down else column + across
        where = types.Range(types.Position(line, column), types.Position(line, column + length))
        told.setdefault(spec.words(where), TOKEN_TYPES[kind])
    assert told["stack"] == "type"
    assert told["cowl"] == "namespace"
    assert told["wide"] == "variable"
    assert told["let"] == "keyword"
    assert told["mm"] == "macro"
    assert told['"𝄞 test"'] == "string"
    assert told["diameter"] == "property"
    assert told["rect"] == "function"
    assert told["# A remark over"] == "comment"


@pytest.mark.asyncio(loop_scope="module")
async def test_inlay_hints_show_what_was_found(client: LanguageClient, tmp_path: Path) -> None:
    spec = Opened(client, tmp_path, SPEC)
    await spec.open()
    whole = types.Range(types.Position(0, 0), types.Position(99, 0))
    hints = await client.text_document_inlay_hint_async(types.InlayHintParams(spec.document, whole))
    shown = {}
    for hint in hints or ():
        line = spec.text.splitlines()[hint.position.line][: hint.position.character]
        shown[line.split()[-1]] = str(hint.label).strip()
    assert shown["auto"] == "= 78.75 mm"
    assert shown["cowl"] == "overall 103.75 mm"
    assert shown["30"] if "30" in shown else shown["mm"] == "= 60 mm"


def test_a_missing_package_is_told_with_a_way_out(tmp_path: Path) -> None:
    code = (
        "import sys; sys.modules['pygls'] = None; sys.modules['pygls.lsp'] = None; sys.modules['pygls.lsp.server'] = None\n"
        "from ringwright.lang.commands.main import main\n"
        "sys.exit(main(['serve']))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=tmp_path, check=False
    )
    assert done.returncode == 2
    assert "pip install 'pygls" in done.stderr
