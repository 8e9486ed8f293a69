"""Pages that show the terms. Nothing is written here."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from survey.people.pages import open_page
from survey.people.permissions import Action
from survey.vocabulary.legend import legend_of, word_meanings
from survey.vocabulary.selectors import latest_vocabulary, vocabulary_of
from survey.vocabulary.words import CAUSES_NOTE, RULES


@require_GET
def terms(request: HttpRequest, wall: str) -> HttpResponse:
    """Show the legend and definitions of a wall's newest terms, by layer."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    row = latest_vocabulary(opened)
    vocabulary = vocabulary_of(row)
    return render(
        request,
        "vocabulary/terms.html",
        {
            "wall": opened,
            "version": row,
            "term_count": len(vocabulary.terms),
            "layers": legend_of(vocabulary),
            "words": word_meanings(vocabulary),
            "rules": RULES,
            "causes_note": CAUSES_NOTE,
        },
    )
