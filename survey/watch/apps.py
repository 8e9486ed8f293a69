"""Names this room to Django and makes its kinds of entry known to the logbook's door."""

from django.apps import AppConfig


class WatchConfig(AppConfig):
    name = "survey.watch"
    label = "watch"

    def ready(self) -> None:
        from survey.ledger.kinds import register
        from survey.record import notices
        from survey.walls import needs
        from survey.watch.applies_kind import PROJECTION as APPLIES
        from survey.watch.bodies import PROJECTIONS
        from survey.watch.exceedance_kind import EXCEEDANCES
        from survey.watch.finding import heard_of
        from survey.watch.importing import on_readings
        from survey.watch.instrument_kinds import EVENT_LINES
        from survey.watch.instrument_needs import needs_of_instruments
        from survey.watch.limit_kinds import LIMITS
        from survey.watch.reading_rows import IMPORTS, INSTRUMENTS
        from survey.watch.register_kinds import PROJECTIONS as REGISTER
        from survey.watch.register_needs import needs_of_register
        from survey.watch.stop_kinds import LINES
        from survey.watch.stop_notices import needs_of_stops, stops_open

        # instruments before imports: a rebuild makes an import's readings by its instrument
        for projection in (*PROJECTIONS, APPLIES, INSTRUMENTS, IMPORTS, EVENT_LINES, *REGISTER):
            register(projection)
        for projection in (LIMITS, EXCEEDANCES, *LINES):
            register(projection)
        on_readings("exceedances", heard_of)
        needs.register("instruments", needs_of_instruments)
        notices.register("watched stops", stops_open, everywhere=True)
        needs.register("watched stops", needs_of_stops)
        needs.register("site register", needs_of_register)
