"""The deck page, its manifest and its worker: a shell that holds no data, open to anybody."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.http import require_GET

from survey.tablet.shell import current_shell, page_context

GROUND = "#14100C"  # the lamp theme's ground


@login_not_required
@require_GET
def deck_page(request: HttpRequest) -> HttpResponse:
    """Show the shell; every datum comes by the API after sign-in."""
    response = render(request, "deck/deck.html", page_context())
    response.headers["Cache-Control"] = "no-cache"
    response.headers["Permissions-Policy"] = "camera=(self), screen-wake-lock=(self)"
    return response


@login_not_required
@require_GET
def manifest(request: HttpRequest) -> JsonResponse:
    """Say how the page is installed (W3C Web Application Manifest)."""
    deck = reverse("tablet:deck")
    icons = [
        {"src": static(f"img/mark-{size}.png"), "sizes": f"{size}x{size}", "type": "image/png"}
        for size in (192, 512)
    ]
    maskable = [{**icon, "purpose": "maskable"} for icon in icons[1:]]
    return JsonResponse(
        {
            "name": "Pontata deck",
            "short_name": "Pontata",
            "description": "Condition survey on the scaffold deck, without network.",
            "id": deck,
            "start_url": deck,
            "scope": deck,
            "display": "standalone",
            "orientation": "any",
            "background_color": GROUND,
            "theme_color": GROUND,
            "icons": icons + maskable,
        },
        content_type="application/manifest+json",
    )


@login_not_required
@require_GET
def worker(request: HttpRequest) -> HttpResponse:
    """Give the service worker of the current shell; its path sets its scope."""
    response = render(
        request,
        "deck/worker.js",
        {"shell": current_shell()},
        content_type="text/javascript; charset=utf-8",
    )
    response.headers["Cache-Control"] = "no-cache"
    return response
