"""How does an instrument come to a secret of its own with which it pushes its readings?

The secret is shown once; only its digest is kept. A revoked one is refused at once.
"""

import secrets
from uuid import UUID

from gridmap.errors import NotFound, NotPermitted
from survey.clock import moment
from survey.ledger.canonical import digest_of
from survey.watch.models import Instrument, InstrumentKey

SECRET_BYTES = 32


def make_key(instrument: Instrument, *, by: str) -> tuple[InstrumentKey, str]:
    """Return a new key and its secret, which is never to be had again."""
    secret = secrets.token_urlsafe(SECRET_BYTES)
    key = InstrumentKey.objects.create(
        wall_id=instrument.wall_id,
        instrument_id=instrument.object_id,
        digest=digest_of(secret.encode()),
        made_by=by,
        made_at=moment(),
    )
    return key, secret


def revoke_key(instrument: Instrument, key_id: UUID) -> None:
    """Refuse a key from now on; a second time changes nothing. Raises NotFound."""
    keys = InstrumentKey.objects.filter(instrument_id=instrument.object_id, pk=key_id)
    if not keys.exists():
        raise NotFound(f"Instrument {instrument.code} has no such key.")
    keys.filter(revoked_at__isnull=True).update(revoked_at=moment())


def instrument_with_key(object_id: UUID, secret: str) -> Instrument:
    """Return the instrument that a secret opens and note that it was heard.

    Raises NotPermitted; the answer is the same whether instrument or secret is wrong.
    """
    key = InstrumentKey.objects.filter(
        instrument_id=object_id, digest=digest_of(secret.encode()), revoked_at__isnull=True
    ).first()
    found = Instrument.objects.filter(object_id=object_id).first() if key else None
    if key is None or found is None:
        raise NotPermitted("The key does not open this instrument. Ask the lead for a new one.")
    InstrumentKey.objects.filter(pk=key.pk).update(heard_at=moment())
    return found


def keys_of(instrument: Instrument) -> list[InstrumentKey]:
    """Return the keys of an instrument, the newest first."""
    return list(
        InstrumentKey.objects.filter(instrument_id=instrument.object_id).order_by("-made_at")
    )
