"""Which errors can a person be told about?

Every error that reaches a person derives from `PontataError`. Nothing here knows of HTTP.
"""


class PontataError(Exception):
    """Something that a person can be told: what, where, and what to do."""

    def __init__(self, message: str, *, field: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.field = field


class InvalidInput(PontataError):
    """A value that a person gave is wrong; the message names field, value and limit."""


class NotPermitted(PontataError):
    """The account may not do this on this wall."""


class NotFound(PontataError):
    """The thing asked for does not exist, or is not for this account to see."""


class Clash(PontataError):
    """The request contradicts what is already on record."""
