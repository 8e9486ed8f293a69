"""What a presence entry must say, and how such statements become rows.

It says that a historical picture shows a thing, shows that it is not there, or cannot tell. It
holds no length and no area: nothing is measured on such a picture.
"""

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from gridmap.errors import InvalidInput
from survey.ledger.kinds import History, Projection
from survey.ledger.models import Logbook
from survey.photos.models import Photograph, PresenceStatement
from survey.record import fields
from survey.record.bodies import survey_of
from survey.record.models import Observation

KIND = "presence"
ANSWERS = {
    "present": "Present then",
    "absent": "Absent then",
    "cannot-tell": "Cannot tell",
}
_KEYS = frozenset({"photograph", "cell", "what", "observation", "answer", "note"})


def check_presence(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a statement about no historical picture of the survey, or about no place."""
    fields.refuse_unknown_keys(body, _KEYS)
    survey = survey_of(logbook)
    photograph = Photograph.objects.filter(
        pk=fields.object_id(body.get("photograph"), "photograph"), survey=survey
    ).first()
    if photograph is None:
        raise InvalidInput(
            f"photograph: survey {survey.code} has no such picture.", field="photograph"
        )
    if photograph.role != "historic":
        raise InvalidInput(
            f"{photograph.name} is no historical picture; what is seen on a photograph of the "
            "works is drawn as an outline.",
            field="photograph",
        )
    cell = fields.needed_text(body, "cell", longest=20)
    survey.layout.grid.position(cell)
    fields.needed_text(body, "what")
    fields.choice(body, "answer", tuple(ANSWERS))
    fields.text(body, "note", longest=fields.LONGEST_NOTE)
    if body.get("observation") is not None:
        named = UUID(fields.object_id(body["observation"], "observation"))
        if not Observation.objects.filter(pk=named, survey__wall=survey.wall).exists():
            raise InvalidInput("observation: this wall has no such outline.", field="observation")


def project_presences(logbook: Logbook, histories: Sequence[History]) -> None:
    """Write the statement of each history anew."""
    survey = survey_of(logbook)
    PresenceStatement.objects.filter(object_id__in=[h.object_id for h in histories]).delete()
    rows = []
    for history in histories:
        content = history.heads[-1].content
        rows.append(
            PresenceStatement(
                object_id=history.object_id,
                survey=survey,
                head=history.heads[-1],
                conflict=history.conflict,
                photograph_id=content["photograph"],
                observation_id=content.get("observation"),
                cell=content["cell"],
                what=content["what"],
                answer=content["answer"],
                note=content.get("note", ""),
            )
        )
    PresenceStatement.objects.bulk_create(rows)


PRESENCES = Projection(
    KIND,
    {KIND: check_presence},
    project_presences,
    lambda logbook: PresenceStatement.objects.filter(survey__logbook=logbook).delete() and None,
)
