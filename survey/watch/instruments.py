"""How do instruments come on record and change, and which one is meant?

A channel with readings keeps its quantity and unit: numbers must not change their meaning.
"""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.db import transaction

from gridmap.errors import Clash, InvalidInput, NotFound
from gridmap.models import Wall
from survey.ledger.drafts import Writer, new_id
from survey.watch.log_lines import say
from survey.watch.models import Instrument, ReadingBlock

KIND, EVENT = "instrument", "instrument-event"


def keep_instrument(
    *,
    wall: Wall,
    body: Mapping[str, Any],
    writer: Writer,
    object_id: UUID | None = None,
    seen: UUID | None = None,
) -> Instrument:
    """Put an instrument on record, or with `seen` correct what stands there.

    Raises InvalidInput naming the field, Clash where somebody changed it meanwhile.
    """
    object_id = object_id or new_id()
    known = Instrument.objects.filter(object_id=object_id).first()
    if known is not None and seen is None:
        return known  # a form sent twice
    with transaction.atomic():
        _refuse_code_of_another(wall, str(body.get("code", "")).strip(), object_id)
        if known is not None:
            _refuse_changed_channels(known, body)
        say(wall, KIND, body, writer=writer, object_id=object_id, seen=seen)
    return Instrument.objects.get(object_id=object_id)


def log_event(
    instrument: Instrument,
    body: Mapping[str, Any],
    *,
    writer: Writer,
    object_id: UUID | None = None,
) -> None:
    """Write down what happened to an instrument: moved, battery, test alarm …"""
    about = {**body, "about": str(instrument.object_id)}
    say(instrument.wall, EVENT, about, writer=writer, object_id=object_id)


def instrument_of_wall(wall: Wall, object_id: UUID) -> Instrument:
    """Return an instrument; raises NotFound."""
    found = Instrument.objects.filter(wall=wall, object_id=object_id).first()
    if found is None:
        raise NotFound(f"There is no such instrument on {wall.name}.")
    return found


def instrument_by_code(wall: Wall, code: str) -> Instrument:
    """Return an instrument by the code on its label; raises NotFound naming those there are."""
    found = Instrument.objects.filter(wall=wall, code=code.strip()).first()
    if found is None:
        codes = ", ".join(Instrument.objects.filter(wall=wall).values_list("code", flat=True))
        raise NotFound(
            f"There is no instrument {code!r} on {wall.name}; there are: {codes or 'none yet'}."
        )
    return found


def _refuse_code_of_another(wall: Wall, code: str, object_id: UUID) -> None:
    other = Instrument.objects.filter(wall=wall, code=code).exclude(object_id=object_id).first()
    if other is not None:
        raise Clash(
            f"Code {code} belongs to {other.name} on this wall; a code is used once, also after "
            "the instrument was taken away.",
            field="code",
        )


def _refuse_changed_channels(known: Instrument, body: Mapping[str, Any]) -> None:
    read = set(
        ReadingBlock.objects.filter(instrument_id=known.object_id)
        .order_by()
        .values_list("channel", flat=True)
        .distinct()
    )
    listed = body.get("channels")
    now = {
        one.get("name"): (one.get("quantity"), one.get("unit"))
        for one in (listed if isinstance(listed, list) else [])
        if isinstance(one, Mapping)
    }
    for channel in known.channels:
        name = channel["name"]
        if name in read and now.get(name) != (channel["quantity"], channel["unit"]):
            raise InvalidInput(
                f"Channel {name} holds readings of {channel['quantity']} in {channel['unit']}; it "
                "keeps its name, quantity and unit. Add a new channel instead.",
                field="channels",
            )
