"""How errors reach a person: one shape over HTTP, one page in the browser."""

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.core.exceptions import PermissionDenied, RequestDataTooBig
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from rest_framework import exceptions as api_errors
from rest_framework.response import Response

from gridmap.errors import Clash, InvalidInput, NotFound, NotPermitted, PontataError

_STATUS: list[tuple[type[PontataError], int]] = [
    (InvalidInput, 400),
    (NotPermitted, 403),
    (NotFound, 404),
    (Clash, 409),
]


def status_of(error: PontataError) -> int:
    """Return the HTTP status that says the same as the error."""
    return next((status for kind, status in _STATUS if isinstance(error, kind)), 400)


def error_body(message: str, field: str | None = None) -> dict[str, str | None]:
    """Return the one shape in which every error leaves the API."""
    return {"message": message, "field": field}


def errors_to_json(error: Exception, context: dict[str, Any]) -> Response | None:
    """Turn any refusal of an API view into the one shape (Django REST framework's hook)."""
    if isinstance(error, PontataError):
        return Response(error_body(error.message, error.field), status=status_of(error))
    if isinstance(error, Http404):
        return Response(error_body("There is nothing at this address."), status=404)
    if isinstance(error, PermissionDenied):
        return Response(error_body(str(error) or "Not permitted."), status=403)
    if isinstance(error, RequestDataTooBig):
        limit_bytes = settings.DATA_UPLOAD_MAX_MEMORY_SIZE
        message = f"The body is above the limit of {limit_bytes:,} bytes; send fewer entries."
        return Response(error_body(message), status=413)
    if isinstance(error, api_errors.NotAuthenticated | api_errors.AuthenticationFailed):
        return Response(error_body("Sign in first."), status=401)
    if isinstance(error, api_errors.APIException):
        return Response(error_body(*_first_detail(error.detail)), status=error.status_code)
    return None


def _first_detail(detail: Any, field: str | None = None) -> tuple[str, str | None]:
    if isinstance(detail, dict) and detail:
        name, inner = next(iter(detail.items()))
        return _first_detail(inner, name if field is None else f"{field}.{name}")
    if isinstance(detail, list) and detail:
        return _first_detail(detail[0], field)
    return str(detail), field


class ErrorsToPages:
    """Middleware that shows a refusal as a page, or as JSON below the API's root."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        return _refusal(request, error) if isinstance(error, PontataError) else None


def nothing_here(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer an address that leads nowhere (Django's handler404)."""
    return _refusal(request, NotFound("There is nothing at this address."))


def _refusal(request: HttpRequest, error: PontataError) -> HttpResponse:
    status = status_of(error)
    if request.path.startswith("/api/"):
        return JsonResponse(error_body(error.message, error.field), status=status)
    # A page that had opened its wall keeps the wall's links, so that one can go on from here.
    context = {"error": error, "status": status, "wall": getattr(request, "wall", None)}
    return render(request, "refused.html", context, status=status)
