"""Where the watch over a wall is read and written."""

from django.urls import path

from survey.watch import (
    climate_views,
    computed_views,
    due_views,
    import_views,
    instrument_views,
    limit_views,
    other_views,
    overview_views,
    register_views,
    series_views,
    stop_views,
)

app_name = "watch"

_WALL = "walls/<slug:wall>/"
_ONE = f"{_WALL}instruments/<uuid:instrument>/"
_IMPORT = f"{_ONE}imports/<uuid:readings>/"

urlpatterns = [
    path(f"{_WALL}watch/", overview_views.overview, name="overview"),
    path(f"{_WALL}climate/", climate_views.climate, name="climate"),
    path(f"{_WALL}climate/applies/<slug:what>/", climate_views.applies, name="applies"),
    path(f"{_WALL}vibration/", other_views.vibration, name="vibration"),
    path(f"{_WALL}cracks/", other_views.cracks, name="cracks"),
    path(f"{_WALL}colour/", other_views.colour, name="colour"),
    path(f"{_WALL}dust/", other_views.dust, name="dust"),
    path(f"{_WALL}instruments/", instrument_views.instruments, name="instruments"),
    path(f"{_WALL}instruments/new/", instrument_views.new_instrument, name="new_instrument"),
    path(_ONE, instrument_views.instrument, name="instrument"),
    path(f"{_ONE}change/", instrument_views.change_instrument, name="change_instrument"),
    path(f"{_ONE}event/", instrument_views.instrument_event, name="instrument_event"),
    path(f"{_ONE}keys/", instrument_views.new_key, name="new_key"),
    path(f"{_ONE}keys/<uuid:key_id>/revoke/", instrument_views.key_revocation, name="revoke_key"),
    path(f"{_ONE}import/", import_views.import_page, name="import_readings"),
    path(f"{_ONE}readings/new/", import_views.hand_readings, name="hand_readings"),
    path(f"{_IMPORT}refused.csv", import_views.refused_lines, name="refused_lines"),
    path(f"{_IMPORT}withdraw/", import_views.import_withdrawal, name="withdraw_import"),
    path(f"{_ONE}series.json", series_views.series_data, name="series_data"),
    path(f"{_ONE}computed.json", computed_views.computed_data, name="computed_data"),
    path(f"{_ONE}computed.csv", computed_views.computed_csv, name="computed_csv"),
    path(f"{_ONE}series.csv", series_views.series_csv, name="series_csv"),
    path(f"{_WALL}limits/", limit_views.limits, name="limits"),
    path(f"{_WALL}limits/new/", limit_views.new_limit, name="new_limit"),
    path(f"{_WALL}limits/<uuid:limit_id>/", limit_views.limit, name="limit"),
    path(
        f"{_WALL}limits/<uuid:limit_id>/withdrawal/", limit_views.withdraw, name="limit_withdrawal"
    ),
    path(f"{_WALL}exceedances/", stop_views.exceedances, name="exceedances"),
    path(f"{_WALL}exceedances/<uuid:case_id>/", stop_views.exceedance, name="exceedance"),
    path(f"{_WALL}stops/<uuid:case_id>/", stop_views.stop, name="stop"),
    path(f"{_WALL}due/", due_views.due, name="due"),
    path(f"{_WALL}site/", register_views.site, name="site"),
    path(f"{_WALL}site/new/<slug:entry>/", register_views.new_line, name="new_line"),
    path(f"{_WALL}site/lines/<uuid:line>/", register_views.withdraw_line, name="withdraw_line"),
    path(f"{_WALL}plant/", register_views.plant, name="plant"),
    path(f"{_WALL}light/", register_views.light, name="light"),
]
