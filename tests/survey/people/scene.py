"""On which wall does every address of the project lead somewhere? One that holds one of everything."""

from datetime import date
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pyvips
from django.urls import URLPattern, get_resolver, reverse

from survey.jobs.models import Job
from survey.ledger.blobs import keep_blob
from survey.ledger.devices import take_from_device
from survey.ledger.drafts import Draft, Writer, new_id
from survey.ledger.services import append, open_logbook
from survey.people.models import Role
from survey.photos.models import PicturePair
from survey.photos.tile_writing import write_pyramid
from survey.report.models import IssuedReport
from survey.tablet.services import enrol
from survey.treatments.models import Treatment
from survey.walls.services import set_phase
from survey.walls.telephones import add_contact
from survey.watch.importing import import_readings
from survey.watch.instruments import keep_instrument
from survey.watch.keys import make_key
from survey.watch.limits import keep_limit
from survey.watch.models import Exceedance
from tests.support.factories import (
    make_account,
    make_member,
    make_observation,
    make_survey,
    make_wall,
)
from tests.support.register import FACING, put
from tests.survey.api.drafts import RING


@cache
def tiles_of_a_mosaic():
    """Return the stored file of a mosaic of one tile."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "tiles.zip"
        write_pyramid(pyvips.Image.black(288, 168, bands=3).copy(interpretation="srgb"), path)
        return path.read_bytes()


class Scene:
    """A wall on which everything that an address can name is there."""

    def __init__(self, slug="booking-hall", name="Booking hall"):
        self.wall = make_wall(wall=slug, name=name, lead=make_account())
        self.survey = make_survey(self.wall, "B1")
        make_survey(
            self.wall, "P1", kind="round", starts_on=date(2026, 6, 15), ends_on=date(2026, 6, 19)
        )
        self.item = make_observation(self.survey)
        set_phase(
            wall=self.wall,
            number=7,
            name="Floor",
            starts_on=date(2026, 11, 2),
            ends_on=date(2027, 2, 26),
        )
        self.contact = add_contact(
            self.wall, name="Gil Alder", role="Site manager", number="555-0142"
        )
        blob = keep_blob(f"picture of {slug}".encode(), mime="image/png", wall=self.wall)
        self.digest = blob.digest
        self.tablet = enrol(survey=self.survey, name="Deck 1", account=make_account())
        carrier = Writer(name="Priya Lund", device=self.tablet.device)
        take_from_device([{}], logbook=self.survey.logbook, writer=carrier)
        self.aside = self.survey.logbook.set_aside.get()
        self.treatment = self._treatment()
        self.photograph = self._photograph("record", "C17.png")
        self.statement = self._statement()
        self.mosaic = self._mosaic()
        self.pair = self._pair()
        self.job = Job.objects.create(
            wall=self.wall, kind="report", title="Report", result={"pdf": blob.digest}
        )
        IssuedReport.objects.create(
            wall=self.wall,
            number=1,
            version=1,
            kind="condition",
            survey=self.survey,
            pdf=blob,
            data=blob,
            issued_by="Ines Fallow",
            issued_at=self.item.head.made_at,
        )
        self.instrument = self._instrument()
        self.readings = import_readings(
            self.instrument,
            [["2026-03-02T09:00:00Z", "air", 14.0]],
            source="hand",
            writer=Writer(name="Ines Fallow", device="desk"),
        ).row
        self.key, _ = make_key(self.instrument, by="Ines Fallow")
        self.limit = self._limit()
        self.exceedance = Exceedance.objects.get(wall=self.wall)
        self.stop = self._write(
            "stop",
            {"noticed_at": "2026-03-03T09:00:00Z", "activity": "Breaker", "state": "open"},
            self.survey.logbook,
        )
        self._write(
            "notice",
            {
                "about": str(self.exceedance.object_id),
                "at": "2026-03-03T10:00:00Z",
                "number": 1,
                "to": "Gil Alder",
                "pdf": self.digest,
                "sent": "to hand over",
                "by": "Ines Fallow",
            },
            open_logbook(self.wall),
        )
        self.line = put(self.wall, "protection", FACING)
        self.member = make_member(self.wall, Role.READER)

    def _write(self, kind, body, logbook):
        draft = Draft(
            kind=kind,
            body=body,
            object_id=new_id(),
            made_at=self.item.head.made_at,
            observed_by="Ines Fallow",
        )
        append([draft], logbook=logbook, writer=Writer(name="Ines Fallow", device="desk"))
        return draft.object_id

    def _treatment(self):
        body = {
            "term": "cleaned-area",
            "geometry": {"type": "Polygon", "coordinates": [RING]},
            "reason": "soot",
            "decided_by": "Ines Fallow",
            "condition_before": "soiled",
            "method": "dry sponge",
            "result": "even",
            "operators": ["Ines Fallow"],
            "started_at": "2026-06-22T08:30:00Z",
            "photographs": {"before": [self.digest]},
        }
        object_id = self._write("treatment", body, open_logbook(self.wall))
        return Treatment.objects.get(pk=object_id)

    def _photograph(self, role, name, **more):
        body = {
            "digest": self.digest,
            "name": name,
            "mode": "normal",
            "role": role,
            "width_px": 10,
            "height_px": 8,
            **more,
        }
        return self._write("photograph", body, self.survey.logbook)

    def _statement(self):
        dated = {
            "date_words": "about 1951",
            "date_certainty": "probable",
            "source": "a postcard",
            "source_certainty": "certain",
        }
        picture = self._photograph("historic", "card.png", historic=dated)
        said = {"photograph": str(picture), "cell": "A01", "what": "crack", "answer": "absent"}
        return self._write("presence", said, self.survey.logbook)

    def _mosaic(self):
        tiles = keep_blob(tiles_of_a_mosaic(), mime="application/zip", wall=self.wall)
        body = {
            "mode": "normal",
            "lamp_side": "",
            "version": 1,
            "source": "imported",
            "pyramid": tiles.digest,
            "bounds_in": [0, 0, 288, 168],
            "px_per_in": 1.0,
            "width_px": 288,
            "height_px": 168,
            "tile_px": 512,
            "levels": 1,
            "error_in": 0.5,
        }
        return self._write("mosaic", body, self.survey.logbook)

    def _instrument(self):
        body = {
            "code": "A1",
            "name": "Air logger",
            "channels": [{"name": "air", "quantity": "air-temperature", "unit": "°C"}],
            "time": {"offset_min": 0},
            "from_on": "2026-02-23",
        }
        writer = Writer(name="Ines Fallow", device="desk")
        return keep_instrument(wall=self.wall, body=body, writer=writer)

    def _limit(self):
        body = {
            "quantity": "air-temperature",
            "unit": "°C",
            "direction": "above",
            "red": 12.0,
            "place": {"what": "wall", "name": ""},
            "source": "Protocol",
            "label": "agreed-on-site",
            "agreed_by": "Ines Fallow",
            "valid_from": "2026-02-23",
        }
        writer = Writer(name="Ines Fallow", device="desk")
        return keep_limit(wall=self.wall, body=body, writer=writer)[0]

    def _pair(self):
        picture = {
            "kind": "copy",
            "id": str(self.photograph),
            "name": "C17.png",
            "mode": "normal",
            "lamp_side": "",
            "operator": "",
            "taken_on": "2026-06-15",
            "taken_on_certain": True,
            "error_in": 0.01,
            "px_per_in": 40.0,
        }
        return PicturePair.objects.create(
            id=new_id(),
            wall=self.wall,
            before_survey=self.survey,
            after_survey=self.wall.surveys.get(code="P1"),
            mode="normal",
            cell="A01",
            bounds_in=[0, 0, 24, 24],
            before=picture,
            after=picture,
            state="refused",
            reason="Too little detail.",
            px_per_in=40.0,
        )

    def address(self, name):
        """Return the address of that name, with what it names on this wall."""
        known = {
            "wall": self.wall.slug,
            "code": "B1",
            "before": "B1",
            "after": "P1",
            "item": self.item.pk,
            "treatment": self.treatment.pk,
            "tablet": self.tablet.pk,
            "digest": self.digest,
            "photograph": self.photograph,
            "statement": self.statement,
            "mosaic": self.mosaic,
            "pair": self.pair.pk,
            "key": "hint",
            "instrument": self.instrument.pk,
            "readings": self.readings.pk,
            "key_id": self.key.pk,
            "what": "salt-cycles",
            "z": 0,
            "x": 0,
            "y": 0,
            "account": self.member.pk,
            "limit_id": self.limit.object_id,
            "case_id": self.stop if name == "watch:stop" else self.exceedance.object_id,
            "version": 1,
            "entry": "deck-book",
            "line": self.line.object_id,
        }
        numbers = {
            "walls:phase": 7,
            "walls:phase_removal": 7,
            "walls:telephone": self.contact.pk,
            "walls:telephone_removal": self.contact.pk,
            "tablets:settle": self.aside.pk,
            "tablets:raw": self.aside.pk,
            "report:pdf": 1,
            "report:notice_pdf": 1,
        }
        known["number"] = numbers.get(name, self.job.pk)
        return reverse(name, kwargs={key: known[key] for key in parameters(name)})


def parameters(name, patterns=None, namespace="", taken=()):
    for pattern in get_resolver().url_patterns if patterns is None else patterns:
        own = (*taken, *pattern.pattern.converters)
        if isinstance(pattern, URLPattern):
            if f"{namespace}{pattern.name}" == name:
                return own
        else:
            inner = f"{pattern.namespace}:" if pattern.namespace else ""
            found = parameters(name, pattern.url_patterns, namespace + inner, own)
            if found is not None:
                return found
    return None
