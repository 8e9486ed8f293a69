"""How the body of a request to the API is read: never more of it than the limit, never in silence.

Django's own limit on the size of a body does not reach a body that is read as a stream.
"""

from collections.abc import Mapping
from typing import IO, Any

from django.conf import settings
from rest_framework.exceptions import APIException, ParseError
from rest_framework.parsers import JSONParser


class BodyTooLarge(APIException):
    """The body is larger than this server reads."""

    status_code = 413


class JsonBody(JSONParser):
    """Strict JSON (no NaN, no infinities) of at most DATA_UPLOAD_MAX_MEMORY_SIZE bytes."""

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        request = (parser_context or {}).get("request")
        size_bytes = int((request and request.META.get("CONTENT_LENGTH")) or 0)
        limit_bytes = settings.DATA_UPLOAD_MAX_MEMORY_SIZE
        if limit_bytes is not None and size_bytes > limit_bytes:
            raise BodyTooLarge(
                f"The body has {size_bytes:,} bytes; the limit is {limit_bytes:,}. "
                "Send fewer entries at once. Nothing was read."
            )
        try:
            return super().parse(stream, media_type, parser_context)
        except RecursionError as error:
            raise ParseError("JSON parse error - it is nested too deeply.") from error
