"""Text to nodes: the grammar, the parser, and the words for what it did not expect."""

from ringwright.lang.syntax import light_lark

light_lark.load()
