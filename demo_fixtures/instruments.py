"""Which instruments watch the invented wall, and what have they written down? Invented demo data.

Each instrument is the body of its entry, the head of every column by channel, and its files as its
own make of logger would write them. Air logger A2 has a gap, A1 keeps local time and lives through
the end of summer time, T2 fell silent, and two lines of A2 are garbled.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

import numpy as np

from demo_fixtures import climate, shaking
from demo_fixtures.climate import DAY_S, Floats, moment_s
from demo_fixtures.clock import DEMO_NOW
from demo_fixtures.logger_text import Column, Dialect, logger_text
from demo_fixtures.phases import DEMO_PHASES, VIBRATION_EVENT

LOCAL_ZONE = "Europe/London"
NOW_S = DEMO_NOW.timestamp()
DECKS_FROM = date(2026, 2, 23)  # the Monday after the scaffold was up
BATTERY_FLAT_S = (moment_s(date(2026, 6, 8), 14.2), moment_s(date(2026, 6, 11), 9.5))
SILENT_FROM_S = moment_s(date(2026, 11, 13), 11.7)
OUTAGE_S = (moment_s(date(2026, 10, 14), 9.0), moment_s(date(2026, 10, 14), 15.0))
CRACK_STEP_MM = 0.045  # what the red event left behind; the rest is breath
CRACK_PER_K_MM = -0.0108  # −0.006 mm/°F
GARBLED = (4001, 4002)

Body = dict[str, object]


@dataclass(frozen=True)
class LoggerFile:
    """One file as it was read out, with its name."""

    name: str
    data: bytes


@dataclass(frozen=True)
class DemoInstrument:
    """The body of an instrument's entry and, by column head, the channel that it fills."""

    body: Body
    mapping: dict[str, str]
    dialect: Dialect
    day_first: bool | None = None  # None where the dates cannot be mistaken

    @property
    def code(self) -> str:
        """Return the code on its label."""
        return str(self.body["code"])


def _channel(name: str, quantity: str, unit: str, **more: object) -> Body:
    return {"name": name, "quantity": quantity, "unit": unit, **more}


def _calibrated(number: int, until: str = "2027-01-31") -> Body:
    return {"on": "2026-01-19", "until": until, "certificate": f"MT-26-{number:03}"}


AIR = [
    _channel("air", "air-temperature", "°C", error=0.5),
    _channel("rh", "relative-humidity", "%", error=3.0),
]
VELOCITIES = [
    *(_channel(f"ppv-{axis}", "particle-velocity", "in/s", axis=axis) for axis in shaking.AXES),
    _channel("pvs", "particle-velocity", "in/s", axis="sum"),
    _channel("hz", "dominant-frequency", "Hz"),
]
_VELOCITY_HEADS = {
    **{f"Peak {axis.upper()} (in/s)": f"ppv-{axis}" for axis in shaking.AXES},
    "Vector sum (in/s)": "pvs",
    "Frequency (Hz)": "hz",
}

A1 = DemoInstrument(
    {
        "code": "A1", "name": "Air logger, deck 1", "channels": AIR, "deck": "1", "cell": "F20",
        "height_in": 100.0, "serial": "40117", "interval_s": 900, "silence_s": 86_400,
        "time": {"zone": LOCAL_ZONE}, "calibration": _calibrated(11), "from_on": "2026-02-23",
    },
    {"Temperature (°C)": "air", "Rel. humidity (%)": "rh"},
    Dialect(
        "Date and time", "%d.%m.%Y %H:%M", delimiter=";", decimal=",", zone=LOCAL_ZONE,
        preamble=("Logger 40117", "Interval;15 min", "Clock;local time with summer time", ""),
    ),
    day_first=True,
)  # fmt: skip
A2 = DemoInstrument(
    {
        "code": "A2", "name": "Air and corner logger, deck 2", "deck": "2", "cell": "B38",
        "channels": [
            _channel("air", "air-temperature", "°F", error=0.9),
            _channel("rh", "relative-humidity", "%", error=3.0),
            _channel("corner", "surface-temperature", "°F", error=0.9),
        ],
        "height_in": 232.0, "place": "Probe on plain plaster beside the paint, coldest corner",
        "serial": "40118", "interval_s": 900, "silence_s": 86_400, "time": {"offset_min": 0},
        "calibration": _calibrated(12), "from_on": "2026-02-23",
    },
    {"Temp (°F)": "air", "RH (%)": "rh", "Probe (°F)": "corner"},
    Dialect(
        "Time", "%m/%d/%Y %I:%M %p",
        preamble=("Logger 40118,deck 2", "Clock,UTC"),
    ),
    day_first=False,
)  # fmt: skip
T2 = DemoInstrument(
    {
        "code": "T2", "name": "Surface probe behind the lamps", "deck": "2", "cell": "B17",
        "channels": [_channel("lit", "surface-temperature", "°C", error=0.3)],
        "height_in": 236.0, "place": "Plain plaster in a loss, held by a spring, nothing glued",
        "serial": "2209", "interval_s": 600, "silence_s": 86_400, "time": {"offset_min": 0},
        "calibration": _calibrated(13), "from_on": "2026-02-23",
    },
    {"Surface [°C]": "lit"},
    Dialect("Time UTC", "%Y-%m-%d %H:%M:%S", delimiter="\t", newline="\n"),
)  # fmt: skip
O1 = DemoInstrument(
    {
        "code": "O1", "name": "Weather shelter, north yard", "channels": AIR,
        "place": "Outdoors, 30 ft from the hall", "serial": "40102", "interval_s": 3600,
        "silence_s": 604_800, "time": {"offset_min": 0}, "from_on": "2026-02-09",
        "calibration": _calibrated(9, "2026-10-31"),
    },
    {"Air °C": "air", "Humidity %": "rh"},
    Dialect("UTC", "%Y-%m-%dT%H:%MZ"),
)  # fmt: skip
V1 = DemoInstrument(
    {
        "code": "V1", "name": "Vibration, top of the wall", "channels": VELOCITIES, "deck": "2",
        "cell": "A16", "height_in": 258.0, "place": "Bolted into brick through a loss; none in paint",
        "serial": "771", "interval_s": 900, "silence_s": 3600, "time": {"offset_min": 0},
        "calibration": _calibrated(21), "from_on": "2026-02-16",
        "limits_note": "Its siren is the alarm: red at 0.08 in/s on any axis.",
    },
    _VELOCITY_HEADS,
    Dialect(
        "UTC", "%Y-%m-%dT%H:%M:%SZ",
        preamble=("Serial 771", "Peak of 15 min; above 0.045 in/s the peak of each second", ""),
    ),
)  # fmt: skip
V2 = DemoInstrument(
    {
        **V1.body, "code": "V2", "name": "Vibration, base of the wall", "deck": "1", "cell": "G17",
        "height_in": 99.0, "serial": "772", "calibration": _calibrated(22),
    },
    _VELOCITY_HEADS,
    Dialect(V1.dialect.time_head, V1.dialect.time_format, preamble=("Serial 772", *V1.dialect.preamble[1:])),
)  # fmt: skip
K2 = DemoInstrument(
    {
        "code": "K2", "name": "Crack gauge, column 16", "deck": "2", "cell": "C16",
        "channels": [
            _channel("width", "crack-width", "mm", error=0.05),
            _channel("wall", "surface-temperature", "°F", error=0.5),
        ],
        "height_in": 214.0, "place": "Across the crack on bare plaster, nothing glued to paint",
        "silence_s": 864_000, "time": {"zone": LOCAL_ZONE}, "from_on": "2026-02-23",
        "note": "Read by eye with the wall's temperature: daily before the works, then three times a week.",
    },
    {"Width mm": "width", "Wall °F": "wall"},
    Dialect("Read at", "%d/%m/%Y %H:%M", delimiter=";", decimal=",", zone=LOCAL_ZONE, newline="\n"),
    day_first=True,
)  # fmt: skip
L1 = DemoInstrument(
    {
        "code": "L1", "name": "Light logger, column 17", "deck": "2", "cell": "C17",
        "channels": [_channel("light", "illuminance", "lx", error=20.0),
                     _channel("uv", "uv", "µW/lm")],
        "height_in": 212.0, "serial": "3051", "interval_s": 600, "silence_s": 172_800,
        "time": {"offset_min": 0}, "calibration": _calibrated(31), "from_on": "2026-02-23",
    },
    {"Illuminance lx": "light", "UV µW/lm": "uv"},
    Dialect("Time UTC", "%Y-%m-%d %H:%M", delimiter="|"),
)  # fmt: skip
INSTRUMENTS = (A1, A2, T2, O1, V1, V2, K2, L1)


def logger_files() -> Iterator[tuple[DemoInstrument, LoggerFile]]:
    """Yield every file of every instrument, in the order in which they were read out."""
    yield from _air_files()
    yield T2, _file(T2, *_lit_bay())
    yield O1, _file(O1, *_outdoors())
    for instrument, code in ((V1, shaking.TOP), (V2, shaking.BASE)):
        yield instrument, _file(instrument, *_shaken(code))
    yield K2, _file(K2, *_crack())
    yield L1, _file(L1, *_light())


def _file(
    instrument: DemoInstrument,
    times_s: Floats,
    values: list[tuple[Floats, int]],
    *,
    part: str = "",
    garbled: tuple[int, ...] = (),
) -> LoggerFile:
    columns = [
        Column(head, column, digits)
        for head, (column, digits) in zip(instrument.mapping, values, strict=True)
    ]
    data = logger_text(instrument.dialect, times_s, columns, garbled=garbled)
    suffix = "txt" if instrument.dialect.delimiter in "\t|" else "csv"
    return LoggerFile(f"{instrument.code}{part}.{suffix}", data)


def _noise(code: str) -> np.random.Generator:
    return np.random.default_rng((1936, *code.encode()))


def _every(interval_s: float, first: date, until_s: float = NOW_S) -> Floats:
    return np.arange(moment_s(first), until_s, interval_s)


def _air_files() -> Iterator[tuple[DemoInstrument, LoggerFile]]:
    """Yield what the two deck loggers held, read out between the phases."""
    cut_s = moment_s(date(2026, 6, 15), 8.0)
    times = _every(900.0, DECKS_FROM, NOW_S - 600)
    for instrument, deck in ((A1, 1), (A2, 2)):
        noise = _noise(instrument.code)
        air = climate.air_c(times, deck) + noise.normal(0, 0.06, times.size)
        humidity = climate.air_rh_pct(times, deck) + noise.normal(0, 0.35, times.size)
        values = [(air, 1), (humidity, 1)]
        kept = np.ones(times.size, bool)
        if deck == 2:
            corner = climate.cold_corner_c(times) + noise.normal(0, 0.05, times.size)
            values = [(_f(air), 1), (humidity, 1), (_f(corner), 1)]
            kept = (times <= BATTERY_FLAT_S[0]) | (times >= BATTERY_FLAT_S[1])
        for part, inside in (("-to-June", times < cut_s), ("-from-June", times >= cut_s)):
            chosen = inside & kept
            columns = [(column[chosen], digits) for column, digits in values]
            garbled = GARBLED if deck == 2 and part == "-from-June" else ()
            found = _file(instrument, times[chosen], columns, part=part, garbled=garbled)
            yield instrument, found


def _lit_bay() -> tuple[Floats, list[tuple[Floats, int]]]:
    times = _every(600.0, DECKS_FROM, SILENT_FROM_S)
    surface = climate.lit_bay_c(times) + _noise("T2").normal(0, 0.05, times.size)
    return times, [(surface, 2)]


def _outdoors() -> tuple[Floats, list[tuple[Floats, int]]]:
    times = _every(3600.0, date(2026, 2, 9))
    noise = _noise("O1")
    return times, [
        (climate.outdoor_c(times) + noise.normal(0, 0.1, times.size), 1),
        (np.minimum(climate.outdoor_rh_pct(times) + noise.normal(0, 0.5, times.size), 100.0), 0),
    ]


def _shaken(code: str) -> tuple[Floats, list[tuple[Floats, int]]]:
    rows = shaking.shaking(code, first_s=moment_s(date(2026, 2, 16)), last_s=NOW_S)
    kept = np.ones(rows.times_s.size, bool)
    if code == shaking.TOP:  # its mains lead was pulled while steel was carried past
        kept = (rows.times_s < OUTAGE_S[0]) | (rows.times_s >= OUTAGE_S[1])
    axes = [(row[kept], 4) for row in rows.peaks_in_s]
    others = [(rows.sum_in_s[kept], 4), (rows.frequency_hz[kept], 1)]
    return rows.times_s[kept], [*axes, *others]


def _crack() -> tuple[Floats, list[tuple[Floats, int]]]:
    """Return gauge K2's readings: it breathes with the wall and stepped at the red event."""
    days = np.arange(moment_s(DECKS_FROM), NOW_S, DAY_S)
    weekday = (np.floor(days / DAY_S).astype(int) + 3) % 7
    noise = _noise("K2")
    minutes = noise.integers(0, 25, days.size) * 60.0
    before = (days < moment_s(DEMO_PHASES[0].starts_on)) & (weekday < 5)  # every working day
    times = (days + 8.1 * 3600.0 + minutes)[before | np.isin(weekday, (0, 2, 4))]
    times = times[times < NOW_S - DAY_S / 2]
    wall_c = climate.cold_corner_c(times) + 1.6 * np.sin(0.9 * times / DAY_S)  # the sun outside
    stepped = CRACK_STEP_MM * (times > moment_s(VIBRATION_EVENT.on, 10.7))
    width = 0.425 + CRACK_PER_K_MM * (wall_c - 15.6) + stepped
    width = width + noise.normal(0, 0.006, times.size)
    return times, [(np.round(width, 2), 2), (_f(wall_c), 1)]


def _light() -> tuple[Floats, list[tuple[Floats, int]]]:
    times = _every(600.0, DECKS_FROM, NOW_S - 3000)
    light = np.round(climate.illuminance_lx(times) * _noise("L1").normal(1.0, 0.01, times.size))
    return times, [(light, 0), (np.where(light > 5, 8.0 + 30.0 * (light < 200), np.nan), 0)]


def _f(temperature_c: Floats) -> Floats:
    return temperature_c * 1.8 + 32.0
