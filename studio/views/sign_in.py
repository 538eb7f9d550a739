"""Links that sign somebody in once, and the page on which the teacher makes them."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.forms import SetPasswordForm
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from studio import services
from studio.access import public, teacher_only
from studio.htmx import StudioRequest, page
from studio.models import Adult, Student
from studio.one_time_links import one_time_address, user_of_link
from studio.throttle import is_allowed


@never_cache
@require_http_methods(["GET", "POST"])
@public
def one_time_link(request: StudioRequest, token: str) -> HttpResponse:
    """Ask for one press, then sign in: a mail scanner that opens links must not use them up."""
    if not is_allowed(request, action="one-time-link", most=20, seconds=60):
        return page(request, "studio/link_spent.html", {"is_throttled": True}, status=429)
    user = user_of_link(token)
    if user is None:
        return page(request, "studio/link_spent.html", status=404)
    if request.method == "POST":
        login(request, user, backend="sesame.backends.ModelBackend")
        return redirect("studio:home")
    return page(request, "studio/link_use.html", {"person": user})


@require_http_methods(["GET", "POST"])
@teacher_only
def student_sign_in(request: StudioRequest, pk: int) -> HttpResponse:
    """Make a student's sign-in: a link for today, and a password if wished."""
    student = get_object_or_404(Student.objects.visible_to(request.user), pk=pk)
    now = timezone.now()
    user = student.user
    action = request.POST.get("action", "")
    form = None
    link = ""
    if request.method == "POST":
        user = services.account_for_student(student=student, by=request.user, now=now)
        if action == "password":
            form = SetPasswordForm(user, request.POST)
            if form.is_valid():
                services.password_set_by_teacher(
                    user=user, password=form.cleaned_data["new_password1"], by=request.user, now=now
                )
                messages.success(request, f"{student.first_name}'s new password is kept.")
                return redirect("studio:student_sign_in", pk)
        else:
            link = one_time_address(user)
    if form is None and user is not None:
        form = SetPasswordForm(user)
    context = {"student": student, "account": user, "link": link, "form": form}
    is_bad = form is not None and form.is_bound
    return page(request, "studio/student_sign_in.html", context, status=422 if is_bad else 200)


@require_http_methods(["GET", "POST"])
@teacher_only
def adult_sign_in(request: StudioRequest, pk: int) -> HttpResponse:
    """Mail an adult a link that signs them in."""
    adult = get_object_or_404(Adult.objects.visible_to(request.user), pk=pk)
    if request.method == "POST":
        try:
            services.adult_invite(adult=adult, by=request.user, now=timezone.now())
        except services.NoAddressToWriteTo as problem:
            return page(
                request,
                "studio/adult_sign_in.html",
                {"adult": adult, "problem": str(problem)},
                status=422,
            )
        messages.success(request, f"A link is on its way to {adult.email}.")
        return redirect("studio:family_detail", adult.family_id)
    return page(request, "studio/adult_sign_in.html", {"adult": adult})
