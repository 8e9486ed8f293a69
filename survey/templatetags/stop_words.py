"""How templates print exceedances and stops; the wording lives in survey.watch.stop_words."""

from datetime import datetime

from django import template
from django.utils.dateformat import format as formatted

from survey.ledger.drafts import new_id
from survey.watch import stop_words
from survey.watch.models import LogLine
from survey.watch.stops import Case

register = template.Library()


@register.filter
def case_peak(case: Case) -> str:
    """Print an exceedance's peak in every unit that people use."""
    return stop_words.peak_in_words(case)


@register.filter
def case_channel(case: Case) -> str:
    """Print what the channel of an exceedance reads, and along which axis."""
    return stop_words.channel_in_words(case)


@register.filter
def response_words(case: Case) -> str:
    """Print how long it took until the first person was told."""
    return stop_words.response_in_words(case)


@register.filter
def line_words(line: LogLine) -> str:
    """Print a line of the log as a sentence."""
    return stop_words.line_in_words(line)


@register.filter
def moment_words(text: str, pattern: str) -> str:
    """Print a moment of an entry's body in UTC."""
    return formatted(datetime.fromisoformat(text), pattern)


@register.simple_tag
def case_url(case: Case) -> str:
    """Return the address of a case's page."""
    return stop_words.page_of(case)


@register.simple_tag
def fresh_id() -> str:
    """Return a new object id, so that a form sent twice is one line."""
    return str(new_id())
