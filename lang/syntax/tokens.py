"""What a token is to those who know nothing of lark."""


class Token(str):
    """A word of the text with its terminal's name and its place (end exclusive).

    Only a type: at run time these are lark's tokens, whose own type says that the offsets may be missing.
    """

    type: str
    start_pos: int
    end_pos: int
