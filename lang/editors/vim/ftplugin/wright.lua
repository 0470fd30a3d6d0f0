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
