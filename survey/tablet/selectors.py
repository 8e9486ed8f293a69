"""What a tablet takes up to the deck, and what it reads of the logbook when it is back."""

from collections.abc import Collection, Mapping, Sequence
from typing import Any
from uuid import UUID

from django.db.models import Q
from django.urls import reverse

from gridmap.errors import NotFound
from gridmap.models import Wall
from survey.clock import moment
from survey.ledger.canonical import canonical_bytes, digest_of
from survey.ledger.models import EntryParent
from survey.ledger.selectors import entries_after, head_seq
from survey.people.models import Account, Membership
from survey.people.permissions import ALLOWED, Action, may
from survey.record.boot import survey_boot
from survey.record.models import Standing, Survey, SurveyState
from survey.record.selectors import outlines_of, previous_survey
from survey.tablet.models import Tablet
from survey.tablet.pictures import picture_sizes, pictures_to_take
from survey.tablet.services import installation
from survey.tablet.walk import walking_order
from survey.walls.telephones import telephones_of
from survey.watch.due import after_stops, reasons_by_cell

CONTRACT = 1
MOST_PULLED = 200
MOST_PULLED_BYTES = 1_000_000


def open_tablet(tablet_id: UUID) -> Tablet:
    """Return a tablet with its wall and survey; raises NotFound."""
    rows = Tablet.objects.select_related("wall", "survey__wall", "survey__logbook")
    tablet = rows.filter(pk=tablet_id).first()
    if tablet is None:
        raise NotFound("This tablet is not enrolled here. Prepare it again on the deck page.")
    return tablet


def choices_for(account: Account) -> list[dict[str, Any]]:
    """Return the walls with open surveys in which the account may record."""
    walls = Wall.objects.filter(memberships__account=account).order_by("name")
    lines = []
    for wall in walls:
        if not may(account, wall, Action.RECORD):
            continue
        surveys = wall.surveys.filter(state=SurveyState.OPEN).order_by("-starts_on")
        lines.append(
            {
                "slug": wall.slug,
                "name": wall.name,
                "surveys": [
                    {
                        "code": survey.code,
                        "kind": survey.get_kind_display(),
                        "state": survey.state,
                        "starts_on": survey.starts_on.isoformat(),
                    }
                    for survey in surveys
                ],
            }
        )
    return lines


def pack_bytes(tablet: Tablet, account: Account) -> bytes:
    """Return everything that the tablet needs on the deck but the pictures' bytes, as JSON.

    Its key `pack` is the SHA-256 of the canonical form (RFC 8785) of all the other keys, so that a
    pack that was cut off or changed on the way is told.
    """
    survey = tablet.survey
    boot = survey_boot(survey, account)
    shown = pictures_to_take(boot["pictures"])
    previous = previous_survey(survey)
    content = {
        "contract": CONTRACT,
        "made_at": moment().isoformat(),
        "epoch": str(installation().epoch),
        "head": head_seq(survey.logbook),
        "tablet": {"id": str(tablet.pk), "name": tablet.name},
        "boot": {
            **boot,
            "pictures": shown,
            "telephones": telephones_of(survey.wall),
            "members": _recorders(survey.wall),
            "outlines": outlines_of(survey),
            "previous_outlines": outlines_of(previous) if previous else [],
            "examinations": [row.to_json() for row in survey.examinations.select_related("head")],
            **_standing(survey),
        },
        "due": _due(survey, [one.cell for one in after_stops(survey.wall)]),
        "due_because": reasons_by_cell(survey.wall, moment()),
        "pictures": _pictures(tablet, shown),
    }
    canonical = canonical_bytes(content)
    return b'{"pack":"%s",%s' % (digest_of(canonical).encode(), canonical[1:])


def _recorders(wall: Wall) -> list[str]:
    """Return the names of those who record on the wall."""
    rows = Membership.objects.filter(wall=wall).select_related("account")
    recording = [row for row in rows if Action.RECORD in ALLOWED[row.role]]
    return sorted(str(row.account) for row in recording)


def _standing(survey: Survey) -> dict[str, Any]:
    """Return the heads of every object, what is withdrawn, and what has no table of its own."""
    withdrawn = survey.observations.filter(standing=Standing.WITHDRAWN)
    kept: dict[str, list[dict[str, Any]]] = {"sessions": [], "stops": []}
    lists = {"session": "sessions", "stop": "stops"}
    heads: dict[str, list[str]] = {}
    replaced = EntryParent.objects.filter(parent__logbook=survey.logbook).values("parent_id")
    for entry in survey.logbook.entries.exclude(pk__in=replaced).order_by("seq"):
        heads.setdefault(str(entry.object_id), []).append(str(entry.pk))
        if entry.kind in lists:
            line = {**entry.content, "id": str(entry.object_id), "entry": str(entry.pk)}
            kept[lists[entry.kind]].append(line)
    return {
        "heads": heads,
        "withdrawn": {str(row.pk): str(row.head_id) for row in withdrawn},
        **kept,
    }


def _due(survey: Survey, first: Collection[str]) -> list[str]:
    """Return the cells that a stop waits for, then those neither done nor stated as not examined.

    Each in walking order. A cell that was done before the stop is due again.
    """
    mode = survey.modes[0]
    settled = set(
        survey.examinations.filter(mode=mode)
        .filter(Q(done=True) | Q(state="not-examined"))
        .values_list("cell", flat=True)
    )
    layout = survey.layout
    order = walking_order(layout.grid, layout.deck_bands)
    others = [cell for cell in order if cell not in settled and cell not in first]
    return [*(cell for cell in order if cell in first), *others]


def _pictures(tablet: Tablet, shown: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """Return the pictures that go up with the sizes in which each can be had, as one file each."""
    pictures = []
    for picture in shown:
        address = reverse("api:tablet_picture", args=[tablet.pk, picture["digest"]])
        sizes = [
            {**size, "url": f"{address}?width={size['width_px']}"}
            for size in picture_sizes(picture)
        ]
        named = {key: picture[key] for key in ("digest", "mode", "bounds_in", "survey", "taken_on")}
        # A picture whose error of place is known; outlines drawn over it state both.
        known = ("id", "error_in", "version")
        named |= {key: picture[key] for key in known if key in picture}
        pictures.append({**named, "sizes": sizes})
    return pictures


def pulled(tablet: Tablet, *, after: int, limit: int) -> dict[str, Any]:
    """Return the entries behind a place of the survey's logbook, at most 200 and about 1 MB."""
    logbook = tablet.survey.logbook
    lines: list[dict[str, Any]] = []
    size = 0
    head = head_seq(logbook)
    for entry in entries_after(logbook, after)[: min(limit, MOST_PULLED)]:
        size += len(entry.body)
        if lines and size > MOST_PULLED_BYTES:
            break
        lines.append(
            {
                **entry.statement,
                "seq": entry.seq,
                "digest": entry.digest,
                "carried_by": entry.carried_by,
                "device": entry.device,
                "device_seq": entry.device_seq,
                "received_at": entry.received_at.isoformat(),
            }
        )
    return {"head": head, "entries": lines}
