"""Words of the text, and what is raised where one cannot be read."""


class Token(str):
    """A word of the text with its terminal's name and its place (end exclusive)."""

    __slots__ = ("end_pos", "start_pos", "type")
    type: str
    start_pos: int
    end_pos: int


def make_token(kind: str, text: str, start: int, end: int) -> Token:
    """Return a token of a terminal's name that stands from `start` to `end`."""
    token = Token(text)
    token.type, token.start_pos, token.end_pos = kind, start, end
    return token


class UnexpectedToken(Exception):
    """A token that cannot stand where it stands."""

    def __init__(self, token: Token) -> None:
        super().__init__()
        self.token = token


class UnexpectedCharacter(Exception):
    """A place in the text at which no token begins."""

    def __init__(self, offset: int) -> None:
        super().__init__()
        self.offset = offset
