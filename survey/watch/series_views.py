"""What a chart of readings asks for: its columns as JSON, and the readings behind it as CSV."""

import csv
from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse, JsonResponse, StreamingHttpResponse
from django.views.decorators.http import require_GET

from gridmap.errors import InvalidInput
from survey.ledger.drafts import read_moment
from survey.people.pages import open_page
from survey.people.permissions import Action
from survey.watch.blocks import moment_of_us
from survey.watch.instruments import instrument_of_wall
from survey.watch.quantities import quantity_of
from survey.watch.series import Series, channel_of, series
from survey.watch.series_page import chart_of, in_unit

USUAL_COLUMNS = 800


@require_GET
def series_data(request: HttpRequest, wall: str, instrument: UUID) -> HttpResponse:
    """Return the columns of one channel's chart from then to then."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    found = instrument_of_wall(opened, instrument)
    start, end = span_asked(request)
    name = request.GET.get("channel", "")
    columns = whole_asked(request.GET.get("columns", str(USUAL_COLUMNS)))
    return JsonResponse(chart_of(found, name, start=start, end=end, columns=columns))


@require_GET
def series_csv(request: HttpRequest, wall: str, instrument: UUID) -> StreamingHttpResponse:
    """Hand over one channel's readings from then to then, in every unit that people use."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    found = instrument_of_wall(opened, instrument)
    start, end = span_asked(request)
    name = request.GET.get("channel", "")
    channel = channel_of(found, name)
    read = series(found, name, start, end)
    file_name = f"{found.code}-{name}-{start:%Y-%m-%d}-to-{end:%Y-%m-%d}.csv"
    return csv_of(read, channel, file_name=file_name)


def csv_of(read: Series, channel: Mapping[str, Any], *, file_name: str) -> StreamingHttpResponse:
    """Return a series as a CSV file, line by line, in every unit that people use."""
    units = list(quantity_of(channel["quantity"]).shown_in)
    columns = [in_unit(read.values, channel, unit).tolist() for unit in units]

    def rows() -> Iterator[list[Any]]:
        yield ["read at (UTC)", *(f"{channel['quantity']} [{unit}]" for unit in units)]
        for at_us, *values in zip(read.times_us.tolist(), *columns, strict=True):
            said = ["" if value != value else f"{value:.9g}" for value in values]  # NaN: no number
            yield [moment_of_us(at_us).isoformat().replace("+00:00", "Z"), *said]

    writer = csv.writer(_Echo())
    response = StreamingHttpResponse(
        (writer.writerow(row) for row in rows()), content_type="text/csv; charset=utf-8"
    )
    response["Content-Disposition"] = f'attachment; filename="{file_name}"'
    return response


class _Echo:
    """A file that hands every line back instead of keeping it."""

    def write(self, line: str) -> str:
        return line


def span_asked(request: HttpRequest) -> tuple[datetime, datetime]:
    """Return from when to when; raises InvalidInput."""
    start = read_moment(request.GET.get("from"), field="from")
    end = read_moment(request.GET.get("to"), field="to")
    if end <= start:
        raise InvalidInput(f"To {end} is not after from {start}; exchange the two.", field="to")
    return start, end


def whole_asked(text: str) -> int:
    """Return how many columns; raises InvalidInput."""
    if not text.isdigit():
        raise InvalidInput(f"columns is {text!r}; write a whole number.", field="columns")
    return int(text)
