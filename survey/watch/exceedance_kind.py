"""What must an exceedance say to be kept, and how does it become a row?

It names the limit and the version that it met. One that the corrected readings no longer bear out
is withdrawn with the reason: its entries stay in the logbook, its row goes.
"""

from collections.abc import Mapping, Sequence
from typing import Any, Final
from uuid import UUID

from survey.ledger.drafts import read_moment
from survey.ledger.kinds import History, Projection
from survey.ledger.models import Logbook
from survey.record import fields
from survey.record.bodies import check_reason
from survey.watch.instrument_kinds import instrument_of
from survey.watch.models import Exceedance

KIND, WITHDRAWN = "exceedance", "exceedance-withdrawn"
AMBER, RED = "amber", "red"
LEVELS: Final = (AMBER, RED)
ENDINGS: Final = ("back", "unknown", "last reading")
KNOWN: Final = frozenset(
    {
        "instrument", "channel", "limit", "limit_version", "level", "starts_at", "ends_at", "peak",
        "peak_at", "unit", "ratio", "frequency_hz", "duration_s", "vector_sum", "red_at",
        "sensor_health", "calibrated", "ended", "follows_unknown", "note",
    }
)  # fmt: skip
MOST = 1e9


def check_exceedance(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse an exceedance without instrument, limit, level or peak."""
    fields.refuse_unknown_keys(body, KNOWN)
    instrument_of(body, "instrument", logbook)
    fields.object_id(body.get("limit"), "limit")
    fields.whole_number(body, "limit_version", least=1, most=100_000)
    fields.needed_text(body, "channel", longest=40)
    fields.choice(body, "level", LEVELS)
    for name in ("starts_at", "peak_at"):
        read_moment(body.get(name), field=name)
    for name in ("ends_at", "red_at"):
        if body.get(name) is not None:
            read_moment(body[name], field=name)
    unit = fields.needed_text(body, "unit", longest=20)
    if body.get("peak") is None:
        fields.needed_text(body, "peak")
    for name in ("peak", "vector_sum"):
        fields.optional_number(body, name, least=-MOST, most=MOST, unit=unit)
    fields.optional_number(body, "duration_s", least=0.0, most=MOST, unit="s")
    fields.optional_number(body, "frequency_hz", least=0.0, most=100_000.0, unit="Hz")
    fields.optional_number(body, "ratio", least=0.0, most=MOST, unit="of the limit")
    fields.choice(body, "ended", ENDINGS)
    for name in ("calibrated", "follows_unknown"):
        fields.optional_flag(body, name)
    for name in ("sensor_health", "note"):
        fields.text(body, name, longest=fields.LONGEST_NOTE)


def _project(logbook: Logbook, histories: Sequence[History]) -> None:
    Exceedance.objects.filter(object_id__in=[one.object_id for one in histories]).delete()
    Exceedance.objects.bulk_create(_row(logbook, one) for one in histories if _stands(one))


def _stands(history: History) -> bool:
    return all(head.kind == KIND for head in history.heads)


def _row(logbook: Logbook, history: History) -> Exceedance:
    content = history.heads[-1].content
    ended = content.get("ends_at")
    return Exceedance(
        object_id=history.object_id,
        wall=logbook.wall,
        head=history.heads[-1],
        conflict=history.conflict,
        content=content,
        instrument_id=UUID(content["instrument"]),
        limit_id=UUID(content["limit"]),
        limit_version=content["limit_version"],
        channel=content["channel"],
        level=content["level"],
        starts_at=read_moment(content["starts_at"], field="starts_at"),
        ends_at=read_moment(ended, field="ends_at") if ended else None,
        peak=content["peak"],
    )


def _clear(logbook: Logbook) -> None:
    Exceedance.objects.filter(head__logbook=logbook).delete()


EXCEEDANCES = Projection(
    KIND,
    {KIND: check_exceedance, WITHDRAWN: check_reason},
    _project,
    _clear,
    replacing=frozenset({WITHDRAWN}),
)
