"""How a photograph whose place and light are known beforehand comes on record."""

from datetime import datetime

from survey.ledger.drafts import ALREADY_THERE, Receipt, Writer
from survey.photos.taking_in import Statement, take_in
from survey.record.models import Survey


def add_photograph(
    *,
    survey: Survey,
    data: bytes,
    name: str,
    mode: str,
    operator: str,
    bounds_in: tuple[float, float, float, float] | None = None,
    rectified: bool = False,
    role: str = "record",
    lamp_side: str = "",
    taken_at: datetime | None = None,
    note: str = "",
) -> Receipt:
    """Keep a picture and write its entry; the original bytes are never altered."""
    statement = Statement(
        mode=mode,
        lamp_side=lamp_side,
        role=role,
        note=note,
        bounds_in=bounds_in,
        rectified=rectified,
        taken_at=taken_at,
    )
    writer = Writer(name=operator, device="desk")
    taken = take_in(survey, data, name, statement=statement, writer=writer)
    return taken.receipt or Receipt(taken.photograph.head_id, ALREADY_THERE)
