"""What geometry refuses. No span here: whoever knows the text adds the place."""


class GeometryError(ValueError):
    """A shape or development that cannot be.

    code: the diagnostic's code (lower case, dashes), naming the fault. The message is one sentence for a
    builder, with the offending values and what would cure it, without a full stop.
    """

    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code = code
