"""What an editor asks, handed to `lang/editing`, and the answers in the protocol's words. Nothing is worked out here."""

from lsprotocol import types
from pygls.exceptions import JsonRpcInvalidParams
from ringwright.lang.commands.protocol import Server, inward, outward, path_of, range_of
from ringwright.lang.editing import colours, fixes, inlays, named, outline
from ringwright.lang.editing.complete import completions
from ringwright.lang.editing.formatting import tidied
from ringwright.lang.editing.hover import hover
from ringwright.lang.editing.text import Text

_OFFERS = {
    "kind": types.CompletionItemKind.Class,
    "property": types.CompletionItemKind.Property,
    "word": types.CompletionItemKind.EnumMember,
    "unit": types.CompletionItemKind.Unit,
    "function": types.CompletionItemKind.Function,
    "component": types.CompletionItemKind.Module,
    "station": types.CompletionItemKind.Reference,
    "value": types.CompletionItemKind.Value,
    "statement": types.CompletionItemKind.Keyword,
    "code": types.CompletionItemKind.EnumMember,
    "file": types.CompletionItemKind.File,
}
_SYMBOLS = {
    "component": types.SymbolKind.Module,
    "station": types.SymbolKind.Key,
    "let": types.SymbolKind.Variable,
    "recipe": types.SymbolKind.Function,
    "file": types.SymbolKind.File,
}
# The protocol's own words for what our words are, which every editor has a colour for.
_TOKENS = {
    "kind": "type", "component": "namespace", "station": "enumMember", "property": "property", "value": "variable",
    "function": "function", "keyword": "keyword", "unit": "macro", "number": "number", "string": "string",
    "comment": "comment", "operator": "operator", "word": "enumMember",
}  # fmt: skip
TOKEN_TYPES = list(dict.fromkeys(_TOKENS.values()))
TOKEN_MODIFIERS = ["definition"]


def make_server() -> Server:
    """Return a server that knows every request."""
    server = Server()
    _texts(server)
    _words(server)
    _wholes(server)
    return server


def _texts(server: Server) -> None:
    """Texts as they are opened, edited and closed."""

    @server.feature(types.TEXT_DOCUMENT_DID_OPEN)
    def opened(ls: Server, params: types.DidOpenTextDocumentParams) -> None:
        item = params.text_document
        ls.opened(path_of(item.uri), item.text, item.version)

    @server.feature(types.TEXT_DOCUMENT_DID_CHANGE)
    def changed(ls: Server, params: types.DidChangeTextDocumentParams) -> None:
        ls.changed(params)

    @server.feature(types.TEXT_DOCUMENT_DID_CLOSE)
    def closed(ls: Server, params: types.DidCloseTextDocumentParams) -> None:
        ls.closed(path_of(params.text_document.uri))

    @server.feature(types.TEXT_DOCUMENT_DID_SAVE)
    def saved(ls: Server, params: types.DidSaveTextDocumentParams) -> None:
        ls.desk.disturb()
        ls.soon()

    @server.feature(types.WORKSPACE_DID_CHANGE_WATCHED_FILES)
    def disturbed(ls: Server, params: types.DidChangeWatchedFilesParams) -> None:
        ls.desk.disturb()
        ls.soon()


def _words(server: Server) -> None:
    """What is asked of a word."""

    @server.feature(types.TEXT_DOCUMENT_HOVER)
    def hovered(ls: Server, params: types.HoverParams) -> types.Hover | None:
        path, offset = ls.offset(params.text_document.uri, params.position)
        found = hover(ls.desk, path, offset)
        text = ls.desk.text_at(path)
        if found is None or text is None:
            return None
        content = types.MarkupContent(types.MarkupKind.Markdown, found.text)
        return types.Hover(content, range_of(text, found.span.start, found.span.end))

    @server.feature(
        types.TEXT_DOCUMENT_COMPLETION, types.CompletionOptions(trigger_characters=[".", "=", "@", '"', "/"])
    )
    def completed(ls: Server, params: types.CompletionParams) -> types.CompletionList:
        path, offset = ls.offset(params.text_document.uri, params.position)
        text = ls.desk.text_at(path)
        items = []
        for number, offer in enumerate(completions(ls.desk, path, offset)):
            assert text is not None
            doc = types.MarkupContent(types.MarkupKind.PlainText, offer.doc) if offer.doc else None
            edit = types.TextEdit(range_of(text, offer.start, offset), offer.insert)
            kind = _OFFERS[offer.sort]
            items.append(
                types.CompletionItem(
                    offer.label, kind=kind, detail=offer.detail or None, documentation=doc, text_edit=edit,
                    sort_text=f"{number:04d}", filter_text=offer.label,
                )
            )  # fmt: skip
        return types.CompletionList(is_incomplete=False, items=items)

    @server.feature(types.TEXT_DOCUMENT_DEFINITION)
    def defined(ls: Server, params: types.DefinitionParams) -> types.Location | None:
        found = named.definition(ls.desk, *ls.offset(params.text_document.uri, params.position))
        return None if found is None else ls.location(found)

    @server.feature(types.TEXT_DOCUMENT_REFERENCES)
    def referred(ls: Server, params: types.ReferenceParams) -> list[types.Location]:
        path, offset = ls.offset(params.text_document.uri, params.position)
        found = named.references(ls.desk, path, offset, params.context.include_declaration)
        return [ls.location(place) for place in found]

    @server.feature(types.TEXT_DOCUMENT_DOCUMENT_HIGHLIGHT)
    def highlighted(ls: Server, params: types.DocumentHighlightParams) -> list[types.DocumentHighlight]:
        path, offset = ls.offset(params.text_document.uri, params.position)
        found = named.references(ls.desk, path, offset)
        return [types.DocumentHighlight(ls.location(place).range) for place in found if place.path == path]

    @server.feature(types.TEXT_DOCUMENT_PREPARE_RENAME)
    def may_be_renamed(ls: Server, params: types.PrepareRenameParams) -> types.Range | None:
        found = named.renamable(ls.desk, *ls.offset(params.text_document.uri, params.position))
        return None if found is None else ls.location(found).range

    @server.feature(types.TEXT_DOCUMENT_RENAME, types.RenameOptions(prepare_provider=True))
    def renamed(ls: Server, params: types.RenameParams) -> types.WorkspaceEdit:
        path, offset = ls.offset(params.text_document.uri, params.position)
        try:
            return ls.edits(named.renamed(ls.desk, path, offset, params.new_name))
        except named.NotRenamed as refused:
            raise JsonRpcInvalidParams(str(refused)) from None

    @server.feature(
        types.TEXT_DOCUMENT_CODE_ACTION,
        types.CodeActionOptions(
            code_action_kinds=[types.CodeActionKind.QuickFix, types.CodeActionKind.RefactorRewrite]
        ),
    )
    def acted(ls: Server, params: types.CodeActionParams) -> list[types.CodeAction]:
        return _actions(ls, params)


def _actions(ls: Server, params: types.CodeActionParams) -> list[types.CodeAction]:
    here = ls.here(params.text_document.uri)
    if here is None:
        return []
    analysis, name, text = here
    start, end = text.offset(inward(params.range.start)), text.offset(inward(params.range.end))
    actions = []
    for finding in ls.desk.findings(analysis):
        spans = [
            span for span in (finding.span, *(label.span for label in finding.labels)) if span is not None
        ]
        if not any(span.source == name and span.start <= end and start <= span.end for span in spans):
            continue
        for fix in fixes.fixes(analysis, finding):
            told = [ls.diagnostic(analysis, finding)]
            actions.append(
                types.CodeAction(
                    fix.title,
                    types.CodeActionKind.QuickFix,
                    told,
                    is_preferred=fix.sure,
                    edit=ls.edits(fix.edits),
                )
            )
    rewrite = fixes.solved_here(analysis, name, start)
    if rewrite is not None:
        kind = types.CodeActionKind.RefactorRewrite
        actions.append(types.CodeAction(rewrite.title, kind, edit=ls.edits(rewrite.edits)))
    only = params.context.only
    return [each for each in actions if not only or any(_is_within(each.kind, kind) for kind in only)]


def _is_within(kind: str | None, wanted: str) -> bool:
    given, asked = (str(getattr(each, "value", each)) for each in (kind or "", wanted))
    return given == asked or given.startswith(asked + ".") or not asked


def _wholes(server: Server) -> None:
    """What is asked of a whole text, or of all of them."""

    @server.feature(types.TEXT_DOCUMENT_DOCUMENT_SYMBOL)
    def outlined(ls: Server, params: types.DocumentSymbolParams) -> list[types.DocumentSymbol]:
        here = ls.here(params.text_document.uri)
        if here is None:
            return []
        analysis, name, text = here
        return [_symbol(text, each) for each in outline.symbols(analysis.compiled.project.files[name])]

    @server.feature(types.WORKSPACE_SYMBOL)
    def looked_for(ls: Server, params: types.WorkspaceSymbolParams) -> list[types.WorkspaceSymbol]:
        found = []
        for each in outline.all_symbols(ls.desk.analyses(), params.query):
            place = named.Place(each.path, each.symbol.span.start, each.symbol.span.end)
            kind = _SYMBOLS[each.symbol.sort]
            found.append(
                types.WorkspaceSymbol(ls.location(place), each.symbol.name, kind, container_name=each.inside)
            )
        return found

    @server.feature(types.TEXT_DOCUMENT_FOLDING_RANGE)
    def folded(ls: Server, params: types.FoldingRangeParams) -> list[types.FoldingRange]:
        here = ls.here(params.text_document.uri)
        if here is None:
            return []
        analysis, name, text = here
        found = outline.folds(analysis.compiled.project.files[name], text.text, text.starts)
        kinds = {True: types.FoldingRangeKind.Comment, False: types.FoldingRangeKind.Region}
        return [types.FoldingRange(fold.first, fold.last, kind=kinds[fold.remark]) for fold in found]

    @server.feature(types.TEXT_DOCUMENT_FORMATTING)
    def formatted(ls: Server, params: types.DocumentFormattingParams) -> list[types.TextEdit]:
        path = path_of(params.text_document.uri)
        text = ls.desk.text_at(path)
        if text is None:
            return []
        return [types.TextEdit(range_of(text, e.start, e.end), e.text) for e in tidied(path.name, text.text)]

    legend = types.SemanticTokensLegend(TOKEN_TYPES, TOKEN_MODIFIERS)

    @server.feature(types.TEXT_DOCUMENT_SEMANTIC_TOKENS_FULL, legend)
    def coloured(ls: Server, params: types.SemanticTokensParams) -> types.SemanticTokens:
        here = ls.here(params.text_document.uri)
        if here is None:
            return types.SemanticTokens([])
        analysis, name, text = here
        data: list[int] = []
        line = column = 0
        for each in colours.colours(analysis, name, text.text):
            start, end = text.position(each.start), text.position(each.end)
            across = start.column - (column if start.line == line else 0)
            kind = TOKEN_TYPES.index(_TOKENS[each.sort])
            data += [start.line - line, across, end.column - start.column, kind, int(each.defines)]
            line, column = start.line, start.column
        return types.SemanticTokens(data)

    @server.feature(types.TEXT_DOCUMENT_INLAY_HINT)
    def shown(ls: Server, params: types.InlayHintParams) -> list[types.InlayHint]:
        here = ls.here(params.text_document.uri)
        if here is None:
            return []
        analysis, name, text = here
        start, end = text.offset(inward(params.range.start)), text.offset(inward(params.range.end))
        return [
            types.InlayHint(
                outward(text.position(each.offset)), each.text, padding_left=False,
                tooltip=f"{each.name}: the last good value, before the mistake" if each.old else each.name,
            )
            for each in inlays.inlays(analysis, name, start, end)
        ]  # fmt: skip


def _symbol(text: Text, symbol: outline.Symbol) -> types.DocumentSymbol:
    return types.DocumentSymbol(
        symbol.name,
        _SYMBOLS[symbol.sort],
        range_of(text, symbol.whole.start, symbol.whole.end),
        range_of(text, symbol.span.start, symbol.span.end),
        symbol.detail,
        children=[_symbol(text, child) for child in symbol.children],
    )
