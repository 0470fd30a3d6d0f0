"""One file a kind of component."""
