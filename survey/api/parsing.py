"""How the body of a request to the API is read: strict JSON, and refused in the one error shape."""

from collections.abc import Mapping
from typing import IO, Any

from rest_framework.exceptions import ParseError
from rest_framework.parsers import JSONParser


class JsonBody(JSONParser):
    """Strict JSON (no NaN, no infinities); what is nested without end is refused, not a crash."""

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        try:
            return super().parse(stream, media_type, parser_context)
        except RecursionError as error:
            raise ParseError("JSON parse error - it is nested too deeply.") from error
