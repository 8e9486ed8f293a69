"""Pages of exceedances and stops: the list, and one case with its log and the form of each step."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from gridmap.errors import InvalidInput, NotFound, PontataError
from gridmap.models import Wall
from survey.clock import moment
from survey.ledger.desk import object_of_form, writer_at_desk
from survey.ledger.drafts import new_id
from survey.people.pages import open_page
from survey.people.permissions import Action, may, require
from survey.people.selectors import signed_in
from survey.record.notices import notices_of
from survey.walls.form_fields import refuse
from survey.watch import cells_due
from survey.watch.models import Limit
from survey.watch.stop_forms import StepForm, form_of_step
from survey.watch.stop_services import put_down, withdraw_line
from survey.watch.stops import Case, case_of, cases

MOST_AMBER = 200


@require_GET
def exceedances(request: HttpRequest, wall: str) -> HttpResponse:
    """List what is open, what is closed, and the amber exceedances."""
    opened = open_page(request, wall, Action.SEE_LIMITS)
    every = cases(opened, amber=True)
    full = [case for case in every if case.full]
    amber = [case for case in every if not case.full]
    context = {
        "wall": opened,
        "notices": notices_of(opened, request.user),
        "open": [case for case in full if case.open],
        "closed": [case for case in full if not case.open],
        "amber": amber[:MOST_AMBER],
        "amber_left": max(len(amber) - MOST_AMBER, 0),
        "limits": Limit.objects.filter(wall=opened).exists(),
    }
    return render(request, "watch/exceedances.html", context)


@require_http_methods(["GET", "POST"])
def exceedance(request: HttpRequest, wall: str, case_id: UUID) -> HttpResponse:
    """Show one exceedance with its log; take a step of it down."""
    return _case_page(request, wall, case_id, of_deck=False)


@require_http_methods(["GET", "POST"])
def stop(request: HttpRequest, wall: str, case_id: UUID) -> HttpResponse:
    """Show a stop that was started on the deck; it takes the same way."""
    return _case_page(request, wall, case_id, of_deck=True)


def _case_page(request: HttpRequest, wall: str, case_id: UUID, *, of_deck: bool) -> HttpResponse:
    opened = open_page(request, wall, Action.SEE_LIMITS)
    if request.method == "POST":
        require(request.user, opened, Action.RECORD)
    case = case_of(opened, case_id)
    if (case.stop is not None) != of_deck:
        raise NotFound(f"There is no such exceedance or stop on {opened.name}.")
    choice = choice_of(case)
    refused: StepForm | None = None
    step = request.POST.get("step", "")
    if request.method == "POST" and "withdraw" in request.POST:
        _take_back(request, case)
        return redirect(request.path + "#log")
    if request.method == "POST":
        refused = _put_down(request, opened, case, choice, step)
        if refused is None:
            return redirect(request.path + "#log")
    context = {
        "wall": opened,
        "notices": notices_of(opened, request.user),
        "case": case,
        "choice": choice if not case.due_chosen else None,
        "time_for": cells_due.time_for(len(case.cells or choice.cells)),
        "needed_by": cells_due.deadline_words(case.started),
        "steps": _steps(request, opened, case, choice, refused=refused, step=step),
        "object_id": new_id(),
        "late": moment() > cells_due.look_needed_by(case.started) and bool(case.open_cells),
    }
    return render(request, "watch/case.html", context, status=400 if refused else 200)


def choice_of(case: Case) -> cells_due.Choice:
    """Return the proposal of cells for a case."""
    if not case.full:
        return cells_due.Choice((), "Amber asks for no look.", {})
    if case.stop is not None:
        named = case.stop.content.get("cells", [])
        return cells_due.choose_for_stop(case.wall, named, case.started)
    return cells_due.choose_for_exceedance(case.wall, case.instrument, case.started)


def _put_down(
    request: HttpRequest, wall: Wall, case: Case, choice: cells_due.Choice, step: str
) -> StepForm | None:
    """Write the step that was sent; return its form where it is refused."""
    account = signed_in(request.user)
    try:
        form = form_of_step(
            step, case, choice=choice, name=str(account), now=moment(), data=request.POST
        )
    except InvalidInput as error:
        messages.error(request, error.message)
        return None
    if not form.is_valid():
        return form
    try:
        put_down(
            case,
            step,
            form.body(),
            writer=writer_at_desk(account),
            object_id=object_of_form(request),
        )
    except PontataError as error:
        refuse(form, error)
        return form
    after = case_of(wall, case.id)
    if after.open:
        messages.success(request, f"It is on record. Still missing: {'; '.join(after.missing)}.")
    else:
        messages.success(request, "It is on record. Nothing is missing: the case is closed.")
    return None


def _take_back(request: HttpRequest, case: Case) -> None:
    """Withdraw a line of the log that was never so; it stays in the logbook with the reason."""
    shown = [line for step in case.steps for line in step.lines]
    line = next((one for one in shown if str(one.object_id) == request.POST["withdraw"]), None)
    if line is None:
        messages.error(request, "That line stands no more. Read the log again.")
        return
    writer = writer_at_desk(request.user)
    try:
        withdraw_line(line, reason=request.POST.get("reason", "").strip(), writer=writer)
    except PontataError as error:
        messages.error(request, error.message)
    else:
        messages.success(request, "The line is taken back; it stays in the logbook.")


def _steps(
    request: HttpRequest,
    wall: Wall,
    case: Case,
    choice: cells_due.Choice,
    *,
    refused: StepForm | None,
    step: str,
) -> list[dict[str, Any]]:
    """Return each step with its form, the next one open; without forms for who only reads."""
    writes = may(request.user, wall, Action.RECORD)
    name = str(request.user)
    following = next((one.key for one in case.steps if one.missing), "")
    found = []
    for one in case.steps:
        form = None
        if writes:
            form = refused if refused is not None and one.key == step else form_of_step(
                one.key, case, choice=choice, name=name, now=moment()
            )  # fmt: skip
        opened = step if refused is not None else following
        found.append({"step": one, "form": form, "opened": one.key == opened})
    return found
