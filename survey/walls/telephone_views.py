"""Pages on which the lead writes down whom to ring about a wall."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from gridmap.errors import NotFound, PontataError
from gridmap.models import Wall
from survey.people.pages import open_page
from survey.people.permissions import Action
from survey.walls.form_fields import refuse
from survey.walls.forms import TelephoneForm, typed_contact
from survey.walls.models import Contact
from survey.walls.telephones import add_contact, change_contact, next_place, remove_contact


@require_http_methods(["GET", "POST"])
def telephone(request: HttpRequest, wall: str, number: int | None = None) -> HttpResponse:
    """Write down a telephone number of the wall, or change one."""
    opened = open_page(request, wall, Action.SET_UP)
    kept = _contact_of(opened, number) if number is not None else None
    initial = typed_contact(kept) if kept else {"order": next_place(opened)}
    typed = request.POST if request.method == "POST" else None
    form = TelephoneForm(typed, initial=initial)
    if form.is_valid():
        try:
            made = (
                change_contact(kept, **form.cleaned_data)
                if kept
                else add_contact(opened, **form.cleaned_data)
            )
        except PontataError as error:
            refuse(form, error)
        else:
            messages.success(
                request,
                f"The number of {made} is kept. Tablets show it once they are prepared again.",
            )
            return redirect(f"{reverse('walls:setup', args=[opened.slug])}#telephones")
    context = {"wall": opened, "contact": kept, "form": form}
    status = 400 if form.is_bound else 200
    return render(request, "walls/telephone.html", context, status=status)


@require_POST
def telephone_removal(request: HttpRequest, wall: str, number: int) -> HttpResponse:
    """Take a telephone number off the wall's list."""
    opened = open_page(request, wall, Action.SET_UP)
    found = _contact_of(opened, number)
    remove_contact(found)
    messages.success(request, f"The number of {found} is removed.")
    return redirect(f"{reverse('walls:setup', args=[opened.slug])}#telephones")


def _contact_of(wall: Wall, number: int) -> Contact:
    found = wall.contacts.filter(pk=number).first()
    if found is None:
        raise NotFound(f"{wall.name} has no such telephone number.")
    return found
