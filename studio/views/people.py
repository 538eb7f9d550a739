"""Families, their adults and students."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from studio import services
from studio.access import teacher_only
from studio.forms import AdultForm, FamilyEditForm, FamilyForm, StudentForm
from studio.geocoder import is_geocoder_set
from studio.htmx import StudioRequest, page
from studio.models import Adult, Family, Student
from studio.place_changes import place_changed
from studio.selectors import families_for_list, students_for_list
from studio.views.looking_up import is_looking_up, looked_up


def _search(request: StudioRequest) -> str:
    return request.GET.get("search", "").replace("\x00", "")[:80]


@require_GET
@teacher_only
def family_list(request: StudioRequest) -> HttpResponse:
    """List the families."""
    search = _search(request)
    families = families_for_list(user=request.user, search=search)
    return page(
        request,
        "studio/family_list.html",
        {"families": families, "search": search},
        fragment="family-rows",
    )


@require_http_methods(["GET", "POST"])
@teacher_only
def family_create(request: StudioRequest) -> HttpResponse:
    """Write down a family that rang."""
    if is_looking_up(request):
        filled, said = looked_up(request, FamilyForm.base_fields)
        said |= {"form": FamilyForm(initial=filled), "is_geocoder_set": is_geocoder_set()}
        return page(request, "studio/family_form.html", said)
    form = FamilyForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        data = form.cleaned_data
        students = [(data["first_student"], data["first_birth_year"])]
        if data["second_student"]:
            students.append((data["second_student"], data["second_birth_year"]))
        family = services.family_create(
            name=data["name"],
            adult_name=data["adult_name"],
            adult_email=data["adult_email"],
            adult_phone=data["adult_phone"],
            address=data["address"],
            position=data["position"],
            students=students,
            by=request.user,
            now=timezone.now(),
        )
        messages.success(request, f"{family.name} is written down.")
        if data["position"]:
            for words in place_changed(family.home, now=timezone.now()):
                messages.info(request, words)
        return redirect("studio:family_detail", family.pk)
    context = {"form": form, "is_geocoder_set": is_geocoder_set()}
    return page(request, "studio/family_form.html", context, status=422 if form.is_bound else 200)


@require_GET
@teacher_only
def family_detail(request: StudioRequest, pk: int) -> HttpResponse:
    """Show a family: road, people, lessons, money."""
    family = get_object_or_404(
        Family.objects.visible_to(request.user).select_related("home"), pk=pk
    )
    return page(
        request,
        "studio/family_detail.html",
        {
            "family": family,
            "students": family.students.by_name(),
            "adults": family.adults.order_by("pk"),
        },
    )


@require_http_methods(["GET", "POST"])
@teacher_only
def family_edit(request: StudioRequest, pk: int) -> HttpResponse:
    """Change a family's name or note."""
    family = get_object_or_404(Family.objects.visible_to(request.user), pk=pk)
    form = FamilyEditForm(request.POST or None, instance=family)
    if request.method == "POST" and form.is_valid():
        form.save()
        return redirect("studio:family_detail", pk)
    context = {"form": form, "heading": family.name, "back": ("studio:family_detail", pk)}
    return page(request, "studio/one_form.html", context, status=422 if form.is_bound else 200)


@require_http_methods(["GET", "POST"])
@teacher_only
def adult_create(request: StudioRequest, pk: int) -> HttpResponse:
    """Add an adult to a family."""
    family = get_object_or_404(Family.objects.visible_to(request.user), pk=pk)
    return _person_form(request, AdultForm, Adult(family=family), "Another adult")


@require_http_methods(["GET", "POST"])
@teacher_only
def adult_edit(request: StudioRequest, pk: int) -> HttpResponse:
    """Change an adult's details."""
    adult = get_object_or_404(Adult.objects.visible_to(request.user), pk=pk)
    return _person_form(request, AdultForm, adult, adult.name)


@require_http_methods(["GET", "POST"])
@teacher_only
def student_create(request: StudioRequest, pk: int) -> HttpResponse:
    """Add a student to a family."""
    family = get_object_or_404(Family.objects.visible_to(request.user), pk=pk)
    return _person_form(request, StudentForm, Student(family=family), "Another student")


@require_http_methods(["GET", "POST"])
@teacher_only
def student_edit(request: StudioRequest, pk: int) -> HttpResponse:
    """Change a student's details."""
    student = get_object_or_404(Student.objects.visible_to(request.user), pk=pk)
    return _person_form(request, StudentForm, student, student.name)


def _person_form(
    request: StudioRequest,
    form_class: type[AdultForm] | type[StudentForm],
    person: Adult | Student,
    heading: str,
) -> HttpResponse:
    form = form_class(request.POST if request.method == "POST" else None, instance=person)
    if form.is_valid():
        form.save()
        return redirect("studio:family_detail", person.family_id)
    context = {
        "form": form,
        "heading": heading,
        "back": ("studio:family_detail", person.family_id),
    }
    return page(request, "studio/one_form.html", context, status=422 if form.is_bound else 200)


@require_GET
@teacher_only
def student_list(request: StudioRequest) -> HttpResponse:
    """List the students."""
    search = _search(request)
    students = students_for_list(user=request.user, search=search)
    return page(
        request,
        "studio/student_list.html",
        {"students": students, "search": search},
        fragment="student-rows",
    )


@require_GET
@teacher_only
def student_detail(request: StudioRequest, pk: int) -> HttpResponse:
    """Show a student: this week's work, tempo curves, lessons, notes."""
    student = get_object_or_404(
        Student.objects.visible_to(request.user).select_related("family__home", "user"), pk=pk
    )
    return page(request, "studio/student_detail.html", {"student": student})
