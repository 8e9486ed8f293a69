"""What a chart of a computed quantity asks for: its columns as JSON, its values as CSV."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse, JsonResponse, StreamingHttpResponse
from django.views.decorators.http import require_GET

from survey.people.pages import open_page
from survey.people.permissions import Action
from survey.watch.climate import air_logger
from survey.watch.computed_series import COMPUTED, computed_series
from survey.watch.instruments import instrument_of_wall
from survey.watch.series_page import chart_from
from survey.watch.series_views import USUAL_COLUMNS, csv_of, span_asked, whole_asked


@require_GET
def computed_data(request: HttpRequest, wall: str, instrument: UUID) -> HttpResponse:
    """Return the columns of a computed quantity's chart."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    row = instrument_of_wall(opened, instrument)
    start, end = span_asked(request)
    found = air_logger(row)
    name = request.GET.get("channel", "")
    read = computed_series(found, name, start, end)
    columns = whole_asked(request.GET.get("columns", str(USUAL_COLUMNS)))
    return JsonResponse(
        chart_from(read, found, COMPUTED[name], start=start, end=end, columns=columns)
    )


@require_GET
def computed_csv(request: HttpRequest, wall: str, instrument: UUID) -> StreamingHttpResponse:
    """Hand over a computed quantity from then to then, in every unit that people use."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    row = instrument_of_wall(opened, instrument)
    start, end = span_asked(request)
    found = air_logger(row)
    name = request.GET.get("channel", "")
    read = computed_series(found, name, start, end)
    file_name = f"{found.code}-{name}-{start:%Y-%m-%d}-to-{end:%Y-%m-%d}.csv"
    return csv_of(read, COMPUTED[name], file_name=file_name)
