"""Text to nodes: the grammar, the parser, and the words for what it did not expect."""
