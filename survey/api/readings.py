"""Readings that an instrument pushes over HTTP, with a key of its own."""

import uuid
from typing import Any
from uuid import UUID

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gridmap.errors import InvalidInput
from survey.clock import moment
from survey.errors import error_body
from survey.ledger.canonical import canonical_bytes, digest_of
from survey.ledger.drafts import Writer, read_moment
from survey.watch.importing import import_readings
from survey.watch.keys import instrument_with_key
from survey.watch.models import Instrument
from survey.watch.plausible import CLOCK_ALLOWANCE_S
from survey.watch.reading_kinds import MOST_READINGS, PUSH, refusal_of

SCHEME = "bearer "


class InstrumentReadings(APIView):
    """Readings of one instrument, sent by itself."""

    authentication_classes = ()
    permission_classes = (AllowAny,)

    @extend_schema(
        request=OpenApiTypes.OBJECT,
        responses={201: OpenApiTypes.OBJECT, 200: OpenApiTypes.OBJECT, 400: OpenApiTypes.OBJECT},
        description=(
            "A list of [moment with zone, channel, value] with Authorization: Bearer and the "
            "instrument's key. What was sent before changes nothing. With 400 the refused readings "
            "are named by their place, and all the others are kept."
        ),
    )
    def post(self, request: Request, instrument: UUID) -> Response:
        header = request.headers.get("Authorization", "")
        if not header.lower().startswith(SCHEME):
            return Response(error_body("Send the instrument's key: Authorization: Bearer …"), 401)
        found = instrument_with_key(instrument, header[len(SCHEME) :].strip())
        readings = _list_of(request.data)
        good, refused = _parted(readings, found)
        new = False
        if good:
            object_id = _id_of(found, good)
            writer = Writer(name=found.code, device=f"instrument {found.code}"[:80])
            new = import_readings(
                found, good, source=PUSH, writer=writer, object_id=object_id, refused=refused
            ).new
        answer = {"kept": len(good), "new": new, "refused": refused}
        if refused:
            said = error_body(
                f"{len(refused)} of {len(readings)} readings were refused; the others are kept.",
                "readings",
            )
            return Response({**said, **answer}, status=400)
        return Response(answer, status=201 if new else 200)


def _list_of(data: Any) -> list[Any]:
    readings = data.get("readings") if isinstance(data, dict) else data
    if not isinstance(readings, list) or not 1 <= len(readings) <= MOST_READINGS:
        raise InvalidInput(
            f"Send a list of 1 to {MOST_READINGS:,} readings: [moment, channel, value].",
            field="readings",
        )
    return readings


def _parted(
    readings: list[Any], instrument: Instrument
) -> tuple[list[list[Any]], list[dict[str, Any]]]:
    """Return readings that can be kept, and the others with their place and the reason."""
    latest = moment().timestamp() + CLOCK_ALLOWANCE_S
    good, refused = [], []
    for place, reading in enumerate(readings, 1):
        reason = refusal_of(reading, instrument)
        if not reason and _seconds(reading[0]) > latest:
            reason = f"{reading[0]} is yet to come; check the instrument's clock."
        if reason:
            text = repr(reading)[:80]
            refused.append({"line": place, "column": "", "text": text, "reason": reason})
        else:
            good.append(list(reading))
    return good, refused


def _seconds(text: str) -> float:
    return read_moment(text, field="at").timestamp()


def _id_of(instrument: Instrument, readings: list[list[Any]]) -> UUID:
    """Return the id of these readings: the same ones sent again come under the same."""
    return uuid.uuid5(instrument.object_id, digest_of(canonical_bytes({"readings": readings})))
