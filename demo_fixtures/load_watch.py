"""How does the invented watch come into the program? By its importer, as any logger's file would.

Loading again adds only what is missing. Invented demo data.
"""

from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta
from uuid import UUID

from demo_fixtures import INVENTED, incident
from demo_fixtures.appending import append_missing
from demo_fixtures.drafts import object_id
from demo_fixtures.hand_readings import HAND_READ, hand_readings
from demo_fixtures.instrument_days import instrument_days
from demo_fixtures.instruments import INSTRUMENTS, DemoInstrument, logger_files
from demo_fixtures.people import NAMES
from demo_fixtures.plans import SEARCH_LIST
from demo_fixtures.site_register import register_id, register_lines
from demo_fixtures.watch_limits import limit_id, watch_limits
from demo_fixtures.watch_log import (
    CELLS_LOOKED_AT,
    log_of_amber,
    log_of_event,
    log_of_stop,
)
from gridmap.models import Wall
from survey.ledger.drafts import Writer
from survey.ledger.models import Entry
from survey.record.models import Survey
from survey.record.services import create_survey
from survey.watch.cells_due import choose_for_exceedance, choose_for_stop
from survey.watch.exceedance_kind import AMBER, RED
from survey.watch.importing import import_file, import_readings
from survey.watch.instruments import instrument_by_code, keep_instrument, log_event
from survey.watch.limits import keep_limit
from survey.watch.log_lines import say as put_line
from survey.watch.logger_text import How
from survey.watch.models import LogLine, ReadingsImport
from survey.watch.reading_kinds import HAND
from survey.watch.stop_services import put_down
from survey.watch.stops import Case, cases

Say = Callable[[str], object]
DESK = Writer(name=NAMES["tomas"], device="demo")
FIT_AFTER = timedelta(minutes=73)  # when the scaffold was found fit and the first cell looked at
LEAD = Writer(name=NAMES["ines"], device="demo")


def load_watch(wall: Wall, *, say: Say = print) -> None:
    """Put the instruments on record, read their files in, and write down what was done then."""
    load_measured(wall, say=say)
    load_logs(wall, say=say)
    load_register(wall)


def load_measured(wall: Wall, *, say: Say = print) -> None:
    """Put instruments, limits and readings on record, and what befell the instruments."""
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
        if not Entry.objects.filter(object_id=limit_id(key)).exists():  # or taken back since
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


def load_logs(wall: Wall, *, say: Say = print) -> None:
    """Write what was logged about exceedances and the stop, with the looks that closed them.

    Only about those of the story: what whoever tries the demo has found since stays open.
    """
    there = set(LogLine.objects.filter(wall=wall).values_list("object_id", flat=True))
    for case in reversed(cases(wall, amber=True)):
        if not _of_the_story(case):
            continue
        if case.level == AMBER:
            lines = log_of_amber(case.name, case.started)
        elif case.level == RED:
            choice = choose_for_exceedance(wall, case.instrument, case.started)
            lines = log_of_event(case.name, case.started, choice.cells, choice.words)
            cells = choice.cells[:CELLS_LOOKED_AT]
            if load_incident(wall, cells, first_at=case.started + FIT_AFTER):
                say(f"  red event of {case.started:%d %B}: {len(cells)} cells looked at")
        else:
            named = case.stop.content["cells"] if case.stop else []
            lines = log_of_stop(
                case.started, named, choose_for_stop(wall, named, case.started).words
            )
        for line in lines:
            about = UUID(line.object_id)
            if about not in there:
                put_down(case, line.kind, line.body, writer=LEAD, object_id=about)


def _of_the_story(case: Case) -> bool:
    """Whether the demo's own readings passed the demo's own limit, or its own deck stopped."""
    if case.exceedance is None:
        return case.stop is not None and case.stop.head.device == DESK.device
    agreed = {UUID(limit_id(key)) for key in watch_limits()}
    if case.exceedance.limit_id not in agreed or case.exceedance.limit_version != 1:
        return False
    spanning = ReadingsImport.objects.filter(
        instrument_id=case.exceedance.instrument_id,
        first_at__lte=case.started,
        last_at__gte=case.started,
    )
    devices = set(spanning.values_list("head__device", flat=True))
    return devices == {DESK.device}


def load_register(wall: Wall) -> None:
    """Write site register, plant list and lamp book."""
    there = set(LogLine.objects.filter(wall=wall).values_list("object_id", flat=True))
    for line in register_lines():
        if UUID(line.object_id) not in there:
            body = {**line.body, "about": register_id(line.about)} if line.about else line.body
            put_line(wall, line.kind, body, writer=DESK, object_id=UUID(line.object_id))


def load_incident(wall: Wall, cells: Sequence[str], *, first_at: datetime) -> int:
    """Write the survey of the cells due after the red event; return how much of it was new."""
    survey = Survey.objects.filter(wall=wall, code=incident.CODE).first() or create_survey(
        wall=wall,
        code=incident.CODE,
        kind=incident.KIND,
        starts_on=incident.ON,
        ends_on=incident.ON,
        modes=[incident.MODE],
        search_list={incident.MODE: SEARCH_LIST[incident.MODE]},
        instruction=incident.INSTRUCTION,
        method=incident.METHOD,
    )
    drafts = incident.incident_entries(survey.id, cells, first_at=first_at)
    return append_missing(drafts, survey.logbook)


def _iso(at_s: float) -> str:
    return datetime.fromtimestamp(at_s, UTC).isoformat()
