"""How does the invented wall come into the program? Through its services, once; invented demo data.

Loading again adds only what is missing, so that an interrupted load is finished by the next.
"""

from collections.abc import Callable

from demo_fixtures import INVENTED
from demo_fixtures.appending import append_missing
from demo_fixtures.deck_days import CODE as DECK_CODE
from demo_fixtures.deck_days import deck_days
from demo_fixtures.load_pictures import (
    ask_for_pairs,
    load_cell_frames,
    load_mosaics,
    load_postcard,
)
from demo_fixtures.load_watch import load_watch
from demo_fixtures.people import DEMO_PASSWORD, DEMO_PEOPLE, TELEPHONES
from demo_fixtures.phases import DEMO_PHASES
from demo_fixtures.photographs import DETAIL, MOSAIC, Picture, detail_pictures, mosaic_pictures
from demo_fixtures.plans import ROUNDS, SEARCH_LIST
from demo_fixtures.surveys import FLOOR_RECORD, FLOOR_RECORD_ON, survey_entries
from demo_fixtures.treatments import treatments
from demo_fixtures.truth import all_damage
from demo_fixtures.wall import SLUG, wall_description
from gridmap.models import Wall
from survey.ledger.services import open_logbook
from survey.people.models import Account, Role
from survey.people.services import create_account, give_role
from survey.photos.models import Photograph
from survey.photos.services import add_photograph
from survey.record.models import Survey
from survey.record.services import create_survey
from survey.walls.description import read_wall
from survey.walls.services import create_wall, set_phase
from survey.walls.telephones import add_contacts

Say = Callable[[str], object]


def load_demo(*, say: Say = print) -> None:
    """Fill the database with the invented wall where it is missing, saying how far it is."""
    wall = load_wall(say=say)
    surveys = load_surveys(wall)
    load_entries(surveys, say=say)
    digests = load_photographs(surveys, say=say)
    load_mosaics(surveys, say=say)
    load_cell_frames(surveys, say=say)
    load_postcard(surveys, say=say)
    ask_for_pairs(surveys, say=say)
    load_treatments(wall, digests, say=say)
    load_deck_days(surveys, say=say)
    load_watch(wall, say=say)


def load_wall(*, say: Say = print) -> Wall:
    """Make the accounts, the wall with its layout, the memberships and the phases."""
    accounts = {person.username: _account(person.username, person.name) for person in DEMO_PEOPLE}
    wall = Wall.objects.filter(slug=SLUG).first()
    if wall is None:
        say("  wall, accounts and phases")
        wall = create_wall(read_wall(wall_description()), lead=accounts["ines"], invented=True)
    elif not wall.contacts.exists():
        add_contacts(wall, TELEPHONES)
    for person in DEMO_PEOPLE:
        give_role(account=accounts[person.username], wall=wall, role=Role(person.role))
    if not wall.phases.exists():
        for phase in DEMO_PHASES:
            set_phase(
                wall=wall,
                number=phase.number,
                name=phase.name,
                starts_on=phase.starts_on,
                ends_on=phase.ends_on,
                works=phase.works,
                activities=[
                    {
                        "name": activity.name,
                        "from": activity.starts_on.isoformat(),
                        "to": activity.ends_on.isoformat(),
                    }
                    for activity in phase.activities
                ],
            )
    return wall


def _account(username: str, name: str) -> Account:
    found = Account.objects.filter(username=username).first()
    return found or create_account(username=username, password=DEMO_PASSWORD, display_name=name)


def load_surveys(wall: Wall) -> dict[str, Survey]:
    """Open the record from the floor and the four surveys where they are missing."""
    surveys = {survey.code: survey for survey in Survey.objects.filter(wall=wall)}
    if FLOOR_RECORD not in surveys:
        surveys[FLOOR_RECORD] = create_survey(
            wall=wall,
            code=FLOOR_RECORD,
            kind="before-phase",
            starts_on=FLOOR_RECORD_ON,
            ends_on=FLOOR_RECORD_ON,
            modes=["normal"],
            instruction="Photographs from the floor before the scaffold; no cell was examined.",
            method="Long lens from the floor, hall lights. Photographs only.",
        )
    for plan in ROUNDS:
        if plan.code not in surveys:
            surveys[plan.code] = create_survey(
                wall=wall,
                code=plan.code,
                kind=plan.kind,
                starts_on=plan.starts_on,
                ends_on=plan.ends_on,
                modes=list(plan.modes),
                search_list={mode: SEARCH_LIST[mode] for mode in plan.modes},
                instruction=plan.instruction,
                method=plan.method,
            )
    return surveys


def load_entries(surveys: dict[str, Survey], *, say: Say = print) -> None:
    """Write every survey's entries that are not in its logbook yet."""
    books = survey_entries({code: survey.id for code, survey in surveys.items()})
    for code, drafts in books.items():
        added = append_missing(drafts, surveys[code].logbook)
        if added:
            say(f"  survey {code}: {added} entries")


def load_treatments(wall: Wall, digests: dict[str, str], *, say: Say = print) -> None:
    """Write the treatment records into the wall's standing logbook."""
    added = append_missing(treatments(all_damage(), digests), open_logbook(wall))
    if added:
        say(f"  treatments: {added} records")


def load_deck_days(surveys: dict[str, Survey], *, say: Say = print) -> None:
    """Write what was noted on the deck into the open round's logbook."""
    added = append_missing(deck_days(), surveys[DECK_CODE].logbook)
    if added:
        say(f"  deck log of survey {DECK_CODE}: {added} entries")


def load_photographs(surveys: dict[str, Survey], *, say: Say = print) -> dict[str, str]:
    """Take and keep the photographs that are missing; return digests by picture key."""
    rows = Photograph.objects.filter(survey__in=surveys.values())
    digests = dict(rows.values_list("name", "blob_id"))
    for picture in (*mosaic_pictures(skip=digests), *detail_pictures(skip=digests)):
        survey = surveys[picture.survey]
        add_photograph(
            survey=survey,
            data=picture.jpeg,
            name=picture.key,
            mode=picture.mode,
            operator=picture.taken_by,
            bounds_in=picture.bounds_in,
            rectified=picture.purpose == MOSAIC,
            lamp_side=picture.lamp_side,
            taken_at=picture.taken_at,
            note=_note(picture),
        )
        say(f"  photograph {picture.key}: {len(picture.jpeg) / 1e6:.1f} MB")
    return dict(rows.values_list("name", "blob_id"))


def _note(picture: Picture) -> str:
    kind = "Single frame, not rectified" if picture.purpose == DETAIL else "Rectified mosaic"
    return f"{kind}; {picture.lamp}; {INVENTED}."
