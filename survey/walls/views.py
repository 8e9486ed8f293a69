"""Pages that list walls and set them up. Nothing is computed here."""

from typing import cast

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from gridmap.errors import Clash, InvalidInput, NotFound, PontataError
from gridmap.models import Layout, Wall
from survey.people.models import Account, Role
from survey.people.pages import open_page
from survey.people.permissions import Action, may
from survey.people.selectors import walls_of
from survey.walls import members
from survey.walls.description import WallDescription
from survey.walls.form_fields import BaseRows, refuse, with_another_row
from survey.walls.forms import (
    Activities,
    IdentityForm,
    MemberForm,
    NewAccountForm,
    NewWallForm,
    PhaseForm,
    activities_of,
    typed_activities,
    typed_identity,
    typed_phase,
)
from survey.walls.layout_forms import LayoutForms, typed_layout
from survey.walls.models import Phase, first_listed_activity
from survey.walls.needs import needs_of
from survey.walls.selectors import grid_summary, layout_as_typed, layout_facts
from survey.walls.services import (
    create_wall,
    describe_wall,
    next_phase_number,
    remove_phase,
    replace_layout,
    set_phase,
)


@require_GET
def start(request: HttpRequest) -> HttpResponse:
    """List my walls with what needs me on each."""
    walls = [
        {
            "wall": wall,
            "needs": [n for n in needs_of(wall) if may(request.user, wall, n.action)],
            **layout_facts(wall.layout),
        }
        for wall in walls_of(request.user)
    ]
    return render(request, "walls/start.html", {"walls": walls})


@require_http_methods(["GET", "POST"])
def new_wall(request: HttpRequest) -> HttpResponse:
    """Describe a wall that is not there yet; whoever does becomes its lead."""
    if request.method == "GET":
        return _new_wall_page(request, NewWallForm(), LayoutForms())
    if prefix := request.POST.get("another"):
        data = with_another_row(request.POST, prefix)
        return _new_wall_page(request, NewWallForm(data), LayoutForms(data))
    identity, forms = NewWallForm(request.POST), LayoutForms(request.POST)
    valid = all([identity.is_valid(), forms.is_valid()])
    layout = forms.description() if valid else None
    if layout is None:
        return _new_wall_page(request, identity, forms, status=400)
    try:
        wall = create_wall(
            WallDescription(
                slug=identity.cleaned_data["slug"],
                name=identity.cleaned_data["name"],
                base_above_floor_in=identity.cleaned_data["base_above_floor"],
                layout=layout,
                texts=identity.texts,
            ),
            lead=cast(Account, request.user),
        )
    except PontataError as error:
        refuse(identity, error, {"wall": "slug"})
        return _new_wall_page(request, identity, forms, status=400)
    messages.success(request, f"{wall.name} is described: {grid_summary(wall.layout).text}.")
    return redirect("walls:setup", wall.slug)


def _new_wall_page(
    request: HttpRequest, identity: NewWallForm, forms: LayoutForms, *, status: int = 200
) -> HttpResponse:
    context = {"identity": identity, "forms": forms, "refused": status != 200}
    return render(request, "walls/new.html", context, status=status)


@require_POST
def preview(request: HttpRequest) -> HttpResponse:
    """Draw the layout that is being typed, or say what is wrong with it; nothing is kept."""
    forms = LayoutForms(request.POST)
    identity = IdentityForm(request.POST)
    identity.is_valid()
    base_in = identity.cleaned_data.get("base_above_floor") or 0.0
    layout = forms.description() if forms.is_valid() else None
    if layout is None:
        return render(request, "walls/preview_wanting.html", {"forms": forms})
    drawn = layout_as_typed(layout, base_above_floor_in=base_in)
    return render(request, "walls/preview.html", layout_facts(drawn))


@require_GET
def set_up(request: HttpRequest, wall: str) -> HttpResponse:
    """Show everything that describes a wall, each part with the way to change it."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    return _set_up_page(request, opened)


def _set_up_page(
    request: HttpRequest,
    wall: Wall,
    *,
    member: MemberForm | None = None,
    account: NewAccountForm | None = None,
    status: int = 200,
) -> HttpResponse:
    context = {
        "wall": wall,
        **layout_facts(wall.layout),
        "layouts": wall.layouts.order_by("-version"),
        "phases": wall.phases.all(),
        "telephones": wall.contacts.all(),
        "works_began": first_listed_activity(wall),
        "members": members.members_of(wall),
        "roles": Role.choices,
        "member_form": member or MemberForm(prefix="member"),
        "account_form": account or NewAccountForm(prefix="account"),
        "can_set_up": may(request.user, wall, Action.SET_UP),
    }
    return render(request, "walls/set_up.html", context, status=status)


@require_http_methods(["GET", "POST"])
def identity(request: HttpRequest, wall: str) -> HttpResponse:
    """Change what identifies a wall."""
    opened = open_page(request, wall, Action.SET_UP)
    form = IdentityForm(request.POST or None, initial=typed_identity(opened))
    if request.method == "POST" and form.is_valid():
        try:
            describe_wall(
                opened,
                name=form.cleaned_data["name"],
                base_above_floor_in=form.cleaned_data["base_above_floor"],
                texts=form.texts,
            )
        except PontataError as error:
            refuse(form, error)
        else:
            messages.success(request, "The wall's identity is kept.")
            return redirect("walls:setup", opened.slug)
    status = 400 if form.is_bound else 200
    return render(request, "walls/identity.html", {"wall": opened, "form": form}, status=status)


@require_http_methods(["GET", "POST"])
def layout(request: HttpRequest, wall: str) -> HttpResponse:
    """Change the layout: what is typed becomes a new version."""
    opened = open_page(request, wall, Action.SET_UP)
    newest = opened.layout
    if request.method == "GET":
        forms = LayoutForms(initial=typed_layout(newest))
        return _layout_page(request, opened, forms, newest.version)
    seen_version = _whole(request.POST.get("seen_version"), newest.version)
    if prefix := request.POST.get("another"):
        forms = LayoutForms(with_another_row(request.POST, prefix))
        return _layout_page(request, opened, forms, seen_version)
    forms = LayoutForms(request.POST)
    described = forms.description() if forms.is_valid() else None
    if described is not None:
        try:
            made = replace_layout(
                opened, described, seen_version=seen_version, made_by=str(request.user)
            )
        except PontataError as error:
            refuse(forms.grid, error)
        else:
            messages.success(
                request,
                f"Layout version {made.version} is kept: {grid_summary(made).text}. Surveys that "
                "are there keep the version under which they were opened.",
            )
            return redirect("walls:setup", opened.slug)
    return _layout_page(request, opened, forms, seen_version, status=400)


def _layout_page(
    request: HttpRequest, wall: Wall, forms: LayoutForms, seen_version: int, *, status: int = 200
) -> HttpResponse:
    context = {
        "wall": wall,
        "forms": forms,
        "seen_version": seen_version,
        "survey_count": wall.surveys.count(),
        "base_above_floor_in": wall.base_above_floor_in,
        "refused": status != 200,
    }
    return render(request, "walls/layout.html", context, status=status)


def _whole(text: str | None, otherwise: int) -> int:
    return int(text) if text and text.isdigit() and len(text) < 8 else otherwise


@require_GET
def layout_version(request: HttpRequest, wall: str, version: int) -> HttpResponse:
    """Show one version of the layout, as it was made."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    row = Layout.objects.filter(wall=opened, version=version).first()
    if row is None:
        raise NotFound(f"{opened.name} has no layout version {version}.")
    surveys = opened.surveys.filter(layout=row)
    context = {"wall": opened, "surveys": surveys, **layout_facts(row)}
    return render(request, "walls/layout_version.html", context)


@require_http_methods(["GET", "POST"])
def phase(request: HttpRequest, wall: str, number: int | None = None) -> HttpResponse:
    """Write down a phase of works, or change one."""
    opened = open_page(request, wall, Action.SET_UP)
    kept = _phase_of(opened, number) if number is not None else None
    if request.method == "GET":
        initial = typed_phase(kept) if kept else {"number": next_phase_number(opened)}
        rows = typed_activities(kept) if kept else None
        activities = Activities(prefix="activities", initial=rows)
        return _phase_page(request, opened, kept, PhaseForm(initial=initial), activities)
    data = request.POST
    if prefix := data.get("another"):
        data = with_another_row(data, prefix)
        activities = Activities(data, prefix="activities")
        return _phase_page(request, opened, kept, PhaseForm(data), activities)
    form, activities = PhaseForm(data), Activities(data, prefix="activities")
    if all([form.is_valid(), activities.is_valid()]) and _may_stand(form, opened, kept):
        made = set_phase(wall=opened, activities=activities_of(activities), **form.cleaned_data)
        messages.success(request, f"{made} is kept.")
        return redirect("walls:setup", opened.slug)
    return _phase_page(request, opened, kept, form, activities, status=400)


def _phase_of(wall: Wall, number: int) -> Phase:
    found = wall.phases.filter(number=number).first()
    if found is None:
        raise NotFound(f"{wall.name} has no phase {number}.")
    return found


def _may_stand(form: PhaseForm, wall: Wall, kept: Phase | None) -> bool:
    """Refuse a number under which another phase stands already."""
    number = form.cleaned_data["number"]
    if kept is not None and number != kept.number:
        form.add_error("number", f"This is phase {kept.number}; its number does not change.")
    elif kept is None and wall.phases.filter(number=number).exists():
        form.add_error("number", f"There is a phase {number} already. Choose another number.")
    return not form.errors


def _phase_page(
    request: HttpRequest,
    wall: Wall,
    kept: Phase | None,
    form: PhaseForm,
    activities: BaseRows,
    *,
    status: int = 200,
) -> HttpResponse:
    context = {"wall": wall, "phase": kept, "form": form, "activities": activities}
    return render(request, "walls/phase.html", context, status=status)


@require_POST
def phase_removal(request: HttpRequest, wall: str, number: int) -> HttpResponse:
    """Take back a phase that was written down by mistake."""
    opened = open_page(request, wall, Action.SET_UP)
    found = _phase_of(opened, number)
    remove_phase(found)
    messages.success(request, f"{found} is removed.")
    return redirect("walls:setup", opened.slug)


@require_POST
def member_addition(request: HttpRequest, wall: str) -> HttpResponse:
    """Give an account that exists a role on the wall."""
    opened = open_page(request, wall, Action.SET_UP)
    form = MemberForm(request.POST, prefix="member")
    if form.is_valid():
        try:
            added = members.add_member(wall=opened, **form.cleaned_data)
        except PontataError as error:
            refuse(form, error)
        else:
            messages.success(request, f"{added}.")
            return redirect("walls:setup", opened.slug)
    return _set_up_page(request, opened, member=form, status=400)


@require_POST
def account_creation(request: HttpRequest, wall: str) -> HttpResponse:
    """Make an account with a role on the wall."""
    opened = open_page(request, wall, Action.SET_UP)
    form = NewAccountForm(request.POST, prefix="account")
    if form.is_valid():
        try:
            added = members.create_member(wall=opened, **form.cleaned_data)
        except PontataError as error:
            refuse(form, error)
        else:
            messages.success(request, f"{added}. Hand over the password in person.")
            return redirect("walls:setup", opened.slug)
    return _set_up_page(request, opened, account=form, status=400)


@require_POST
def member_change(request: HttpRequest, wall: str, account: int) -> HttpResponse:
    """Give a member another role, or take the role away."""
    opened = open_page(request, wall, Action.SET_UP)
    try:
        if request.POST.get("do") == "remove":
            left = members.remove_member(wall=opened, account_id=account)
            messages.success(request, f"{left} has no role on {opened.name} any more.")
        else:
            changed = members.change_role(
                wall=opened, account_id=account, role=request.POST.get("role", "")
            )
            messages.success(request, f"{changed}.")
    except (Clash, InvalidInput) as error:
        messages.error(request, error.message)
        return _set_up_page(request, opened, status=409)
    if not may(request.user, opened, Action.SEE_RECORD):
        return redirect("walls:start")
    return redirect("walls:setup", opened.slug)
