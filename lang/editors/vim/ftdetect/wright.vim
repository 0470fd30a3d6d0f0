" Specs are known by their ending.
autocmd BufRead,BufNewFile *.wright setfiletype wright
