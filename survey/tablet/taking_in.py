"""How is a tablet's work file taken in at the desk: through the door of every push, in batches?"""

from collections import Counter
from dataclasses import dataclass, field
from typing import Any

from django.db import transaction

from gridmap.errors import InvalidInput
from gridmap.models import Wall
from survey.ledger.blobs import has_arrived, keep_blob
from survey.ledger.drafts import (
    ALREADY_THERE,
    SET_ASIDE,
    STORED,
    STORED_AS_CONFLICT,
    Receipt,
)
from survey.people.models import Account
from survey.photos.projection import show_arrived
from survey.tablet.models import Tablet
from survey.tablet.services import take_push
from survey.tablet.work_file import FilePhotograph, WorkFile, photographs_in

BATCH = 200
STATUSES = (STORED, ALREADY_THERE, STORED_AS_CONFLICT, SET_ASIDE)


@dataclass(frozen=True)
class Line:
    """What became of one entry of the file."""

    number: str
    kind: str
    receipt: Receipt


@dataclass
class WorkTaken:
    """What became of everything in a work file."""

    tablet: Tablet
    made_at: str
    drafts: int = 0
    lines: list[Line] = field(default_factory=list)
    photographs: list[tuple[str, str]] = field(default_factory=list)

    @property
    def counts(self) -> list[tuple[str, int]]:
        """How many entries met each fate, those that did not happen left out."""
        counted = Counter(line.receipt.status for line in self.lines)
        return [(status, counted[status]) for status in STATUSES if counted[status]]

    @property
    def wanting(self) -> list[Line]:
        """The entries that need a person."""
        return [
            line for line in self.lines if line.receipt.status in {STORED_AS_CONFLICT, SET_ASIDE}
        ]


def take_work_file(wall: Wall, work: WorkFile, *, account: Account) -> WorkTaken:
    """Take the work of an enrolled tablet in; raises InvalidInput for a file of another wall.

    Photographs come first, so that the entries that name them find them. Sent twice, the file
    changes nothing the second time.
    """
    tablet = _tablet_of(wall, work)
    taken = WorkTaken(tablet, work.made_at, drafts=work.drafts)
    for photograph in photographs_in(work):
        taken.photographs.append((photograph.digest, _keep(photograph, wall)))
    kept = sum(became in {STORED, ALREADY_THERE} for _, became in taken.photographs)
    for start in range(0, max(len(work.entries), 1), BATCH):
        batch = work.entries[start : start + BATCH]
        # The file is all that the tablet held, so it counts as a contact that left nothing over.
        receipts = take_push(
            tablet,
            batch,
            account=account,
            unsent=len(work.entries) - start,
            photographs_unsent=len(taken.photographs) - kept,
        )
        for value, receipt in zip(batch, receipts, strict=True):
            taken.lines.append(Line(_said(value, "device_seq"), _said(value, "kind"), receipt))
    return taken


def _tablet_of(wall: Wall, work: WorkFile) -> Tablet:
    if work.wall != wall.slug:
        raise InvalidInput(
            f"The file is of the wall {work.wall!r}, and this is {wall.slug!r}. Take it in on the "
            "Tablets page of that wall. Nothing was taken in."
        )
    tablet = Tablet.objects.select_related("survey__logbook").filter(pk=work.device).first()
    if tablet is None or tablet.wall_id != wall.pk:
        raise InvalidInput(
            f"The file comes from the device {work.device}, which is not enrolled on this wall. "
            "Look whether it belongs to another installation. Nothing was taken in."
        )
    if tablet.survey.code != work.survey:
        raise InvalidInput(
            f"The file is of survey {work.survey!r}, and {tablet.name} is enrolled for survey "
            f"{tablet.survey.code}. Nothing was taken in."
        )
    return tablet


def _keep(photograph: FilePhotograph, wall: Wall) -> str:
    """Keep a photograph's bytes for the wall and say what became of them."""
    if photograph.wrong:
        return f"not taken in. {photograph.wrong}"
    if has_arrived(photograph.digest, wall):
        return ALREADY_THERE
    with transaction.atomic():
        keep_blob(photograph.data, mime=photograph.mime, wall=wall)
        show_arrived(photograph.digest, wall)
    return STORED


def _said(value: Any, key: str) -> str:
    said = value.get(key) if isinstance(value, dict) else None
    return str(said)[:60] if isinstance(said, str | int) else ""
