"""How surveys begin and end, and how drafts reach their logbooks."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from uuid import uuid4

from django.db import transaction

from gridmap.errors import Clash, InvalidInput, NotPermitted
from gridmap.models import Wall
from survey.clock import moment
from survey.ledger.drafts import Draft, Receipt, Writer
from survey.ledger.models import Logbook
from survey.ledger.services import append, open_logbook
from survey.record.models import Mode, Observation, Survey, SurveyKind, SurveyState
from survey.vocabulary.selectors import latest_vocabulary, vocabulary_of

LONGEST_CODE = 20
CLOSED_TO = (
    "observation",
    "examination",
    "survey-closed",
    "session",
    "daily-check",
    "spot-reading",
    "fragment",
)


@transaction.atomic
def create_survey(
    *,
    wall: Wall,
    code: str,
    kind: str,
    starts_on: date,
    ends_on: date,
    modes: Sequence[str] = ("normal",),
    search_list: Mapping[str, Sequence[str]] | None = None,
    instruction: str = "",
    method: str = "",
) -> Survey:
    """Open a survey under the newest layout and vocabulary of its wall.

    Raises InvalidInput naming the field, Clash when the code is taken.
    """
    _check_survey(wall, code, kind, starts_on, ends_on, modes)
    vocabulary = latest_vocabulary(wall)
    terms = vocabulary_of(vocabulary)
    for mode, codes in (search_list or {}).items():
        if mode not in modes:
            raise InvalidInput(
                f"The search list has {mode!r}, which is not a mode of the survey.",
                field="search_list",
            )
        for term in codes:
            terms.term(term)
    return Survey.objects.create(
        id=uuid4(),
        wall=wall,
        code=code,
        kind=kind,
        starts_on=starts_on,
        ends_on=ends_on,
        modes=list(modes),
        search_list={mode: list(codes) for mode, codes in (search_list or {}).items()},
        layout=wall.layout,
        vocabulary=vocabulary,
        logbook=open_logbook(wall, code),
        instruction=instruction,
        method=method,
    )


def _check_survey(
    wall: Wall, code: str, kind: str, starts_on: date, ends_on: date, modes: Sequence[str]
) -> None:
    if not code or len(code) > LONGEST_CODE or not code.replace("-", "").isalnum():
        raise InvalidInput(
            f"The code {code!r} must be 1 to {LONGEST_CODE} letters, digits and hyphens, "
            "such as B1.",
            field="code",
        )
    if Survey.objects.filter(wall=wall, code=code).exists():
        raise Clash(f"There is a survey {code!r} on {wall.name} already.", field="code")
    if kind not in SurveyKind.values:
        raise InvalidInput(
            f"The kind {kind!r} must be one of: {', '.join(SurveyKind.values)}.", field="kind"
        )
    if ends_on < starts_on:
        raise InvalidInput(
            f"The survey ends on {ends_on}, before it starts on {starts_on}.", field="ends_on"
        )
    if not modes:
        raise InvalidInput("Choose at least one mode.", field="modes")
    for mode in modes:
        if mode not in Mode.values:
            raise InvalidInput(
                f"The mode {mode!r} must be one of: {', '.join(Mode.values)}.", field="modes"
            )


def append_to_survey(survey: Survey, drafts: Sequence[Draft], *, writer: Writer) -> list[Receipt]:
    """Write drafts into a survey's logbook.

    A closed survey still takes corrections, withdrawals, decisions and opinions, but nothing new
    that was seen: raises NotPermitted for that. What is there already may be sent again.
    """
    with transaction.atomic():
        return append(
            drafts, logbook=survey.logbook, writer=writer, refuse=newly_seen_refused(survey)
        )


def newly_seen_refused(survey: Survey) -> Callable[[Draft], None]:
    """Return what refuses to put newly seen things into the survey if it is no longer open.

    Call it under a transaction that goes on to append: it locks the logbook, so that the survey
    is not closed in between.
    """
    Logbook.objects.select_for_update().get(pk=survey.logbook_id)
    survey.refresh_from_db(fields=["state"])
    closed = survey.state != SurveyState.OPEN

    def refuse(draft: Draft) -> None:
        if closed and draft.kind in CLOSED_TO and not draft.parents:
            raise NotPermitted(
                f"Survey {survey.code} is {survey.get_state_display().lower()}: it takes "
                "corrections and decisions, but nothing newly seen. Open a new survey."
            )

    return refuse


def close_survey(survey: Survey, *, by: str, note: str = "") -> Receipt:
    """Write the closing entry of a survey; its outlines stay open to correction only."""
    draft = Draft(
        kind="survey-closed",
        body={"note": note} if note else {},
        object_id=survey.id,
        made_at=moment(),
        observed_by=by,
    )
    return append_to_survey(survey, [draft], writer=Writer(name=by, device="desk"))[0]


def next_item_label(survey: Survey, letters: str) -> str:
    """Return the first free label of the wall such as Pl17, given a term's two letters."""
    taken = set(
        Observation.objects.filter(survey__wall=survey.wall, item__startswith=letters).values_list(
            "item", flat=True
        )
    )
    number = len(taken) + 1
    while f"{letters}{number}" in taken:
        number += 1
    return f"{letters}{number}"
