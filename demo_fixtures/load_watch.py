"""How does the invented watch come into the program? By its importer, as any logger's file would.

Loading again adds only what is missing. Invented demo data.
"""

from collections.abc import Callable
from datetime import UTC, datetime
from uuid import UUID

from demo_fixtures import INVENTED
from demo_fixtures.drafts import object_id
from demo_fixtures.hand_readings import HAND_READ, hand_readings
from demo_fixtures.instrument_days import instrument_days
from demo_fixtures.instruments import INSTRUMENTS, DemoInstrument, logger_files
from demo_fixtures.people import NAMES
from demo_fixtures.watch_limits import limit_id, watch_limits
from gridmap.models import Wall
from survey.ledger.drafts import Writer
from survey.watch.importing import import_file, import_readings
from survey.watch.instruments import instrument_by_code, keep_instrument, log_event
from survey.watch.limits import keep_limit
from survey.watch.logger_text import How
from survey.watch.models import Limit, LogLine
from survey.watch.reading_kinds import HAND

Say = Callable[[str], object]
DESK = Writer(name=NAMES["tomas"], device="demo")
LEAD = Writer(name=NAMES["ines"], device="demo")


def load_watch(wall: Wall, *, say: Say = print) -> None:
    """Put the instruments on record, read their files in, and write down what happened."""
    load_instruments(wall)
    load_instrument_days(wall)  # before the readings: an exceedance names the last test alarm
    load_limits(wall)
    load_files(wall, say=say)
    load_hand_readings(wall)


def load_instruments(wall: Wall) -> None:
    """Put every instrument on record that is not there yet."""
    for body in (*(one.body for one in INSTRUMENTS), *HAND_READ):
        about = UUID(object_id(f"instrument:{body['code']}"))
        keep_instrument(wall=wall, body=body, writer=DESK, object_id=about)


def load_limits(wall: Wall) -> None:
    """Put the limits on record that the people of the story agreed on."""
    for key, body in watch_limits().items():
        if not Limit.objects.filter(object_id=limit_id(key)).exists():
            keep_limit(wall=wall, body=body, writer=LEAD, object_id=UUID(limit_id(key)))


def load_files(wall: Wall, *, say: Say = print) -> None:
    """Read the loggers' files in; a file that is here already changes nothing."""
    taken = refused = 0
    for instrument, file in logger_files():
        imported = import_file(
            instrument_by_code(wall, instrument.code),
            file.data,
            file_name=file.name,
            how=_how(instrument),
            writer=DESK,
        )
        if imported.new:
            taken += imported.row.accepted
            refused += imported.row.refused
    if taken:
        say(f"  watch: {taken:,} readings of {len(INSTRUMENTS)} instruments, {refused} refused")


def _how(instrument: DemoInstrument) -> How:
    return How(columns=instrument.mapping, day_first=instrument.day_first)


def load_hand_readings(wall: Wall) -> None:
    """Write down what was read by hand."""
    for body, readings in hand_readings():
        code = str(body["code"])
        import_readings(
            instrument_by_code(wall, code),
            [(_iso(at), channel, value) for at, channel, value in readings],
            source=HAND,
            writer=DESK,
            note=INVENTED,
            object_id=UUID(object_id(f"readings:{code}")),
        )


def load_instrument_days(wall: Wall) -> None:
    """Write down what happened to the instruments."""
    there = set(LogLine.objects.filter(wall=wall).values_list("object_id", flat=True))
    for event in instrument_days():
        if UUID(event.object_id) not in there:
            log_event(
                instrument_by_code(wall, event.code),
                event.body,
                writer=DESK,
                object_id=UUID(event.object_id),
            )


def _iso(at_s: float) -> str:
    return datetime.fromtimestamp(at_s, UTC).isoformat()
