"""Which exceedances do new readings, or a new limit, bring on record?

Called when readings came in and when a limit was put down. What is on record already is kept, and
corrected where more is known; what corrected readings no longer bear out is withdrawn with the
reason, unless somebody has logged something about it. The instrument's siren is the alarm: this is
the log.
"""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction

from survey.clock import moment
from survey.ledger.drafts import Draft, Writer
from survey.ledger.services import append, open_logbook
from survey.watch.climate import air_loggers
from survey.watch.computed_series import channels_with_computed
from survey.watch.episodes import Met, episodes_of
from survey.watch.exceedance_kind import AMBER, KIND, RED, WITHDRAWN
from survey.watch.governing import rank_of
from survey.watch.hours import moment_of
from survey.watch.limited_channels import held_by
from survey.watch.models import Exceedance, Instrument, Limit, LogLine, ReadingsImport

FINDER = Writer(name="Found in the readings", device="readings")
PAD = timedelta(hours=25)  # a day's range looks back 24 h
NO_LONGER = "The readings as they stand now no longer reach the limit."
TEST_ALARM = "test-alarm"
SURFACE = "surface-temperature"


def find(instrument_id: UUID, first_at: datetime, last_at: datetime) -> int:
    """Search an instrument's readings between two moments; return how many were newly found."""
    instrument = Instrument.objects.filter(object_id=instrument_id).first()
    if instrument is None:
        return 0
    limits = list(Limit.objects.filter(wall=instrument.wall_id))
    return _search(instrument, limits, first_at, last_at)


def heard_of(instrument: Instrument, row: ReadingsImport) -> None:
    """Search what an import brought, and what the import that it replaces had brought.

    A surface's readings also change the margin to condensation of the air loggers beside it.
    """
    rows = [row]
    if row.content.get("replaces"):
        rows += ReadingsImport.objects.filter(object_id=UUID(row.content["replaces"]))
    moments = [at for one in rows for at in (one.first_at, one.last_at) if at is not None]
    if not moments:
        return
    find(instrument.object_id, min(moments), max(moments))
    if any(channel["quantity"] == SURFACE for channel in instrument.channels):
        beside = [one for one in air_loggers(instrument.wall) if one.deck == instrument.deck]
        for one in beside:
            if one.object_id != instrument.object_id:
                find(one.object_id, min(moments), max(moments))


def find_for_limit(limit: Limit) -> int:
    """Search the readings that are on record already by a limit; return how many were found."""
    found = 0
    limits = list(Limit.objects.filter(wall=limit.wall_id))
    for instrument in Instrument.objects.filter(wall=limit.wall_id):
        if rank_of(limit, instrument) is None:
            continue
        channels = channels_with_computed(instrument)
        if all(channel["quantity"] != limit.quantity for channel in channels):
            continue
        rows = ReadingsImport.objects.filter(
            instrument_id=instrument.object_id, replaced_by__isnull=True, first_at__isnull=False
        )
        moments = [at for pair in rows.values_list("first_at", "last_at") for at in pair if at]
        if moments:
            found += _search(instrument, limits, min(moments), max(moments))
    return found


@transaction.atomic
def _search(
    instrument: Instrument, limits: Sequence[Limit], first_at: datetime, last_at: datetime
) -> int:
    known = _known(instrument, first_at - PAD, last_at + PAD)
    start = min([first_at - PAD, *(row.starts_at for row in known)])
    end = max([last_at + PAD, *(row.ends_at for row in known if row.ends_at)])
    met = [
        one
        for held in held_by(instrument, limits, start, end)
        for one in episodes_of(instrument, held)
    ]
    drafts, new, left = _drafts(instrument, met, known)
    drafts += _withdrawals(left, {limit.object_id: limit.version for limit in limits})
    if drafts:
        append(drafts, logbook=open_logbook(instrument.wall), writer=FINDER)
    return new


def _known(instrument: Instrument, start: datetime, end: datetime) -> list[Exceedance]:
    rows = Exceedance.objects.filter(instrument_id=instrument.object_id, starts_at__lte=end)
    return [
        row for row in rows.select_related("head") if row.ends_at is None or row.ends_at >= start
    ]


def _drafts(
    instrument: Instrument, met: Iterable[Met], known: Sequence[Exceedance]
) -> tuple[list[Draft], int, list[Exceedance]]:
    """Return what is to be written, how much of it is new, and what was met no more."""
    left, drafts, new = list(known), [], 0
    tests = _test_alarms(instrument)
    for one in met:
        body = _body(instrument, one, tests)
        row = next((row for row in left if _same(row, one)), None)
        if row is None and any(_same(row, one) and _stands(row, body) for row in known):
            continue  # a part of what an earlier version of the limit had found
        if row is None:
            new += 1
            named = f"{one.channel}:{one.limit.object_id}:{body['starts_at']}"
            drafts.append(_draft(KIND, body, uuid5(instrument.object_id, named)))
            continue
        left.remove(row)
        body = _grown(row, body) if _stands(row, body) else body
        if row.content != body:
            drafts.append(_draft(KIND, body, row.object_id, parent=row.head_id))
    return drafts, new, left


def _same(row: Exceedance, one: Met) -> bool:
    """Whether an exceedance on record and one met share time, limit and kind of channel."""
    if row.limit_id != one.limit.object_id:
        return False
    ends = row.ends_at.timestamp() if row.ends_at else float("inf")
    return row.starts_at.timestamp() <= one.episode.end_s and ends >= one.episode.start_s


def _stands(row: Exceedance, body: dict[str, Any]) -> bool:
    """Whether what an earlier version of the limit found stands: it was so when it was passed.

    Only a version by which it is red makes an amber one anew: no correction closes a stop.
    """
    earlier = row.limit_version < body["limit_version"]
    return earlier and not (row.level == AMBER and body["level"] == RED)


def _grown(row: Exceedance, body: dict[str, Any]) -> dict[str, Any]:
    """Return an earlier version's finding; one that lasted at the last reading takes its end."""
    if row.ends_at is not None:
        return row.content
    ends = {key: body[key] for key in ("ends_at", "ended", "duration_s") if key in body}
    return {**row.content, **ends}


def _withdrawals(left: Iterable[Exceedance], versions: dict[UUID, int]) -> list[Draft]:
    """Return withdrawals of what was found by a limit as it stands and is met no more.

    One found by an earlier version of its limit stands: the limit was so when it was passed. One
    about which somebody logged something stays, with a note, until that person's case is closed.
    """
    rows = [row for row in left if versions.get(row.limit_id) == row.limit_version]
    spoken = set(
        LogLine.objects.filter(about__in=[row.object_id for row in rows]).values_list(
            "about", flat=True
        )
    )
    drafts = []
    for row in rows:
        if row.object_id not in spoken:
            drafts.append(
                _draft(WITHDRAWN, {"reason": NO_LONGER}, row.object_id, parent=row.head_id)
            )
        elif row.content.get("note") != NO_LONGER:
            body = {**row.content, "note": NO_LONGER}
            drafts.append(_draft(KIND, body, row.object_id, parent=row.head_id))
    return drafts


def _draft(kind: str, body: dict[str, Any], object_id: UUID, parent: UUID | None = None) -> Draft:
    return Draft(
        kind=kind,
        body=body,
        object_id=object_id,
        made_at=moment(),
        observed_by=FINDER.name,
        parents=(parent,) if parent else (),
    )


def _body(instrument: Instrument, one: Met, tests: Sequence[datetime]) -> dict[str, Any]:
    episode = one.episode
    started = moment_of(episode.start_s)
    body: dict[str, Any] = {
        "instrument": str(instrument.object_id),
        "channel": one.channel,
        "limit": str(one.limit.object_id),
        "limit_version": one.limit.version,
        "level": episode.level,
        "starts_at": started.isoformat(),
        "peak": one.peak,
        "peak_at": moment_of(episode.peak_at_s).isoformat(),
        "unit": one.limit.unit,
        "duration_s": episode.duration_s,
        "ended": episode.ended,
        "follows_unknown": episode.follows_unknown,
        "sensor_health": _health(instrument, started, episode.follows_unknown, tests),
        "calibrated": _calibrated(instrument, started),
    }
    if episode.ended != "last reading":
        body["ends_at"] = moment_of(episode.end_s).isoformat()
    if episode.red_s is not None:
        body["red_at"] = moment_of(episode.red_s).isoformat()
    for name in ("ratio", "frequency_hz", "vector_sum"):
        if getattr(one, name) is not None:
            body[name] = getattr(one, name)
    return body


def _calibrated(instrument: Instrument, at: datetime) -> bool:
    until = instrument.calibrated_until
    return until is not None and until >= at.date()


def _health(
    instrument: Instrument, at: datetime, follows_unknown: bool, tests: Sequence[datetime]
) -> str:
    """Say what is known of the sensor at a moment."""
    until = instrument.calibrated_until
    if until is None:
        said = ["no calibration on record"]
    elif until >= at.date():
        said = [f"calibrated until {until.day} {until:%b %Y}"]
    else:
        said = [f"calibration ran out on {until.day} {until:%b %Y}"]
    if follows_unknown:
        said.append("silent just before, so it may have begun earlier")
    test = max((test for test in tests if test <= at), default=None)
    said.append(
        f"last test alarm {test.day} {test:%b %Y}" if test else "no test alarm on record before"
    )
    text = "; ".join(said)
    return f"{text[0].upper()}{text[1:]}."


def _test_alarms(instrument: Instrument) -> list[datetime]:
    rows = LogLine.objects.filter(
        about=instrument.object_id, kind="instrument-event", withdrawn_because=""
    )
    return [row.at for row in rows if row.content["what"] == TEST_ALARM]
