"""How is a notice issued: numbered, printed, kept by its digest, logged, and sent where asked?"""

import re
from typing import Any
from uuid import UUID

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction

from gridmap.errors import InvalidInput, NotFound
from gridmap.models import Wall
from survey.clock import moment
from survey.ledger.blobs import keep_blob
from survey.ledger.drafts import Writer
from survey.ledger.models import Entry, Logbook
from survey.ledger.services import open_logbook
from survey.report.notice_paper import NoticeSheet, build_notice
from survey.watch.models import LogLine
from survey.watch.notice_text import NoticeText, plain_text
from survey.watch.stop_kinds import NOTICE
from survey.watch.stop_services import put_down
from survey.watch.stops import Case

MIME = "application/pdf"
BY_HAND, SENT = "to hand over", "sent by e-mail"
_ADDRESS = re.compile(r"[^@\s,;<>]+@[^@\s,;<>]+\.[^@\s,;<>]+")
LONGEST_TO = 300


def mail_is_set() -> bool:
    """Say whether a mail server is set, so that a notice can go by e-mail."""
    return bool(settings.EMAIL_HOST)


def issue_notice(
    case: Case, text: NoticeText, *, to: str, address: str, writer: Writer, object_id: UUID
) -> int:
    """Issue a notice and return its number; with an address it also goes by e-mail.

    Nothing is logged as sent that the mail server did not take. Sent twice (the form came again
    with the same object id) it is issued once. Raises InvalidInput.
    """
    known = LogLine.objects.filter(object_id=object_id, kind=NOTICE).first()
    if known is not None:
        return int(known.content["number"])
    to = to.strip()
    if not 1 <= len(to) <= LONGEST_TO:
        raise InvalidInput(
            f"To is {len(to)} characters long; name the reader in 1 to {LONGEST_TO}.", field="to"
        )
    _refuse_bad_address(address)
    with transaction.atomic():
        book = open_logbook(case.wall)
        Logbook.objects.select_for_update().get(pk=book.pk)  # two desks, two numbers
        number = _next_number(case.wall)
        sheet = sheet_of(text, number=number, to=to, by=writer.name)
        pdf = build_notice(sheet)
        digest = keep_blob(pdf, mime=MIME, wall=case.wall).digest
        sent = f"{SENT} to {address}" if address else BY_HAND
        body: dict[str, Any] = {
            "at": sheet.made_at.isoformat(),
            "number": number,
            "to": to,
            "pdf": digest,
            "sent": sent,
            "by": writer.name,
        }
        put_down(case, NOTICE, body, writer=writer, object_id=object_id)
        if address:
            _send(sheet, text, pdf, address)
    return number


def sheet_of(text: NoticeText, *, number: int, to: str, by: str) -> NoticeSheet:
    """Return a notice as it is printed now."""
    return NoticeSheet(
        number=number,
        to=to,
        by=by,
        made_at=moment(),
        title=text.title,
        lead=text.lead,
        work=text.work,
        facts=text.facts,
        cells=text.cells,
        cells_words=text.cells_words,
        missing=text.missing,
        log=text.log,
        cautions=text.cautions,
    )


def notice_digest(wall: Wall, number: int) -> str:
    """Return the digest of an issued notice's PDF; raises NotFound."""
    row = LogLine.objects.filter(wall=wall, kind=NOTICE, content__number=number).first()
    if row is None:
        raise NotFound(f"There is no notice N-{number} on {wall.name}.")
    return str(row.content["pdf"])


def _next_number(wall: Wall) -> int:
    """Return the next number; withdrawn notices keep theirs."""
    rows = Entry.objects.filter(logbook__wall=wall, kind=NOTICE)
    return max((row.content["number"] for row in rows), default=0) + 1


def _refuse_bad_address(address: str) -> None:
    if not address:
        return
    if not mail_is_set():
        raise InvalidInput(
            "No mail server is set here, so nothing can be sent. Leave the address empty and hand "
            "the PDF over, or let who runs this program set PONTATA_MAIL_HOST.",
            field="address",
        )
    if not _ADDRESS.fullmatch(address):
        raise InvalidInput(
            f"address is {address!r}; write one address such as site@example.org.", field="address"
        )


def _send(sheet: NoticeSheet, text: NoticeText, pdf: bytes, address: str) -> None:
    """Send the notice; a server that does not take it is told and nothing is kept as sent."""
    message = EmailMessage(
        subject=f"N-{sheet.number} {text.title}, {text.work}"[:200].replace("\n", " "),
        body=plain_text(text),
        to=[address],
        attachments=[(f"notice-N-{sheet.number}.pdf", pdf, MIME)],
    )
    try:
        message.send()
    except OSError as error:  # smtplib's errors are OSError, too
        raise InvalidInput(
            f"The mail server did not take the message: {error}. Nothing is issued; try again, or "
            "leave the address empty and hand the PDF over.",
            field="address",
        ) from error
