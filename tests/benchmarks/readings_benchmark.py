"""How long do a year's readings take from file to record and back, against what Python has itself?

A year at 5 minutes of six channels (105,120 lines, 630,720 readings). Reading: the same bytes by
the csv module, `float` and `datetime.strptime` into lists, which checks nothing. Storing: blocks
against one row per reading by `bulk_create`, in a table made for it. Then a channel's year is read
back from both, the whole import runs with its entry, and a chart is drawn from ten million readings.
SQLite in a folder of its own, or the server that DATABASE_URL names.

Run: python tests/benchmarks/readings_benchmark.py [--million 10]
"""

import argparse
import csv
import io
import os
import statistics
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

import numpy as np  # noqa: E402

LINES, CHANNELS = 105_120, "abcdef"
START = datetime(2025, 1, 1, tzinfo=UTC)
SEED, ROUNDS = 1936, 5
STAMP = "%Y-%m-%d %H:%M:%S"


def the_file():
    """Return the bytes of a year's file, its times [µs] and its values by channel."""
    rng = np.random.default_rng(SEED)
    moments = [START + timedelta(minutes=5 * n) for n in range(LINES)]
    values = np.clip(rng.normal(20.0, 5.0, (len(CHANNELS), LINES)), 1.0, 60.0).round(1)
    columns = [[f"{value:.1f}" for value in row.tolist()] for row in values]
    stamps = [at.strftime(STAMP) for at in moments]
    lines = [",".join(row) for row in zip(stamps, *columns, strict=True)]
    text = "\r\n".join(["Logger 40117", "", "Time," + ",".join(CHANNELS), *lines, ""])
    times = np.array([round(at.timestamp() * 1e6) for at in moments], dtype=np.int64)
    return text.encode(), times, dict(zip(CHANNELS, values, strict=True))


def by_the_csv_module(data):
    """Read the file as one does without help: lists of moments and of floats."""
    rows = list(csv.reader(io.StringIO(data.decode())))[3:]
    moments = [datetime.strptime(row[0], STAMP).replace(tzinfo=UTC).timestamp() for row in rows]
    return moments, [[float(row[n]) for row in rows] for n in range(1, len(CHANNELS) + 1)]


def seconds_of(work, rounds=ROUNDS):
    """Return the median time of some rounds [s] and the last result."""
    taken = []
    for _ in range(rounds):
        began = time.perf_counter()
        result = work()
        taken.append(time.perf_counter() - began)
    return statistics.median(taken), result


def measure_reading(data, times, values):
    from survey.watch.logger_text import How, read_logger

    channels = [{"name": one, "quantity": "air-temperature", "unit": "°C"} for one in CHANNELS]
    how = How({one: one for one in CHANNELS})
    ours, read = seconds_of(
        lambda: read_logger(data, channels=channels, clock={"offset_min": 0}, how=how)
    )
    theirs, _ = seconds_of(lambda: by_the_csv_module(data), rounds=3)
    for name in CHANNELS:
        assert np.array_equal(read.channels[name][0], times), "a time was lost"
        assert np.array_equal(read.channels[name][1], values[name]), "a reading was lost"
    say("read and check the file", ours, "csv, strptime, float", theirs)


def measure_storing(times, values):
    from django.db import connection, models, transaction

    from survey.ledger.drafts import new_id
    from survey.watch.blocks import pack, store, unpack
    from survey.watch.models import ReadingBlock

    class Row(models.Model):
        channel = models.CharField(max_length=40)
        at_us = models.BigIntegerField()
        value = models.FloatField()

        class Meta:
            app_label = "watch"
            db_table = "benchmark_row"
            indexes = (models.Index(fields=["channel", "at_us"], name="benchmark_row_at"),)

        def __str__(self):
            return f"{self.channel} {self.at_us}"

    with connection.schema_editor() as editor:
        editor.create_model(Row)
    instrument = new_id()

    def packed():
        with transaction.atomic():
            held = new_id()
            for name in CHANNELS:
                store(
                    pack(
                        instrument=instrument, readings_import=held, channel=name,
                        times_us=times, values=values[name],
                    )
                )  # fmt: skip
        return held

    def row_by_row():
        with transaction.atomic():
            for name in CHANNELS:
                pairs = zip(times.tolist(), values[name].tolist(), strict=True)
                rows = (Row(channel=name, at_us=at, value=value) for at, value in pairs)
                Row.objects.bulk_create(rows, batch_size=5000)

    ours, held = seconds_of(packed, rounds=3)
    theirs, _ = seconds_of(row_by_row, rounds=1)
    say("store a year", ours, "one row per reading", theirs)

    def channel_back():
        rows = ReadingBlock.objects.filter(import_id=held, channel="c").order_by("month")
        parts = [unpack(*one) for one in rows.values_list("times", "values")]
        return np.concatenate([part[1] for part in parts])

    def rows_back():
        rows = Row.objects.filter(channel="c").order_by("at_us")
        return np.array(rows.values_list("value", flat=True))

    ours, back = seconds_of(channel_back)
    theirs, _ = seconds_of(rows_back, rounds=3)
    assert np.array_equal(back, values["c"]), "a reading was lost"
    say("a channel's year back", ours, "one row per reading", theirs)
    with connection.schema_editor() as editor:
        editor.delete_model(Row)


def measure_importing(data):
    from survey.ledger.drafts import Writer
    from survey.watch.importing import import_file
    from survey.watch.instruments import keep_instrument
    from survey.watch.logger_text import How
    from tests.support.factories import make_wall

    writer = Writer(name="Ines Fallow", device="desk")
    channels = [{"name": one, "quantity": "air-temperature", "unit": "°C"} for one in CHANNELS]
    body = {
        "code": "A1", "name": "Air logger", "channels": channels, "time": {"offset_min": 0},
        "from_on": "2025-01-01", "interval_s": 300,
    }  # fmt: skip
    instrument = keep_instrument(wall=make_wall(), body=body, writer=writer)
    began = time.perf_counter()
    made = import_file(
        instrument, data, file_name="year.csv", how=How({one: one for one in CHANNELS}),
        writer=writer,
    )  # fmt: skip
    taken = time.perf_counter() - began
    print(f"  the whole import, file to entry: {taken:.2f} s for {made.row.accepted:,} readings")
    return instrument


def measure_chart(instrument, million):
    from survey.watch.blocks import moment_of_us, pack, store
    from survey.watch.models import ReadingBlock, ReadingsImport
    from survey.watch.series_page import chart_of

    held = ReadingsImport.objects.get(instrument_id=instrument.object_id)
    count = round(million * 1e6)
    times = 1_600_000_000_000_000 + np.arange(count, dtype=np.int64) * 15_000_000
    values = np.random.default_rng(SEED).normal(20.0, 1.0, count)
    ReadingBlock.objects.filter(import_id=held.object_id, channel="a").delete()
    blocks = pack(
        instrument=instrument.object_id, readings_import=held.object_id, channel="a",
        times_us=times, values=values,
    )  # fmt: skip
    store(blocks)
    start, end = moment_of_us(int(times[0])), moment_of_us(int(times[-1]))
    first, chart = seconds_of(
        lambda: chart_of(instrument, "a", start=start, end=end, columns=1200), rounds=1
    )
    again, _ = seconds_of(
        lambda: chart_of(instrument, "a", start=start, end=end, columns=1200), rounds=3
    )
    assert max(chart["most"]) >= (values.max() * 1.8 + 32) * 0.9999, "a peak was lost"
    print(f"  a chart of {count:,} readings: first {first:.2f} s, again {again:.2f} s")


def say(what, ours, peer, theirs):
    print(f"  {what}: {ours:.3f} s; {peer}: {theirs:.2f} s; {theirs / ours:.0f} times")


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--million", type=float, default=10.0)
    chosen = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="pontata-readings-") as folder:
        os.environ["PONTATA_DATA"] = folder
        os.environ["DJANGO_SETTINGS_MODULE"] = "survey.settings"
        import django

        django.setup()
        from survey.installation import make_ready

        make_ready()
        data, times, values = the_file()
        print(f"{LINES:,} lines of {len(CHANNELS)} channels, {len(data):,} bytes")
        measure_reading(data, times, values)
        measure_storing(times, values)
        instrument = measure_importing(data)
        measure_chart(instrument, chosen.million)


if __name__ == "__main__":
    main()
