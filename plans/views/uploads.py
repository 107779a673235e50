"""Handing in a file: look it over, or look it over and file it. What was handed in stays in the box."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.functional import Promise

from coaching import clock
from coaching.domain.errors import Problem, Refused
from plans.forms.uploads import UploadForm

MOST_SHOWN = 200
MOST_QUOTED = 90


@dataclass(frozen=True, slots=True)
class Upload:
    """One kind of file: its page's words, and the service that files it and says what it did."""

    title: str | Promise
    lead: str | Promise
    up: str | Promise
    up_name: str
    example: str
    file: Callable[..., str]


def upload_page(request: HttpRequest, upload: Upload) -> HttpResponse:
    """Show the form; on ``check`` say what the file would bring, on ``import`` bring it."""
    form = UploadForm(request.POST or None, request.FILES or None)
    problems: tuple[Problem, ...] = ()
    said = ""
    if request.method == "POST" and form.is_valid():
        check_only = "import" not in request.POST
        problems, said = _filed(request, form, upload, check_only=check_only)
        if not problems and not check_only:
            messages.success(request, said)
            return redirect(upload.up_name)
        form = UploadForm(initial={"text": form.cleaned_data["text"]})
    context = {"form": form, "upload": upload, "said": said, **problem_rows(problems, _text_of(form))}
    return render(request, "plans/upload.html", context)


def problem_rows(problems: tuple[Problem, ...], text: str) -> dict[str, Any]:
    """The first problems, each line's text with its first problem, and how many there are."""
    lines = text.split("\n")
    shown = []
    for problem, before in zip(problems[:MOST_SHOWN], (None, *problems), strict=False):
        is_new_line = before is None or before.line != problem.line
        shown.append({"problem": problem, "quoted": _quoted(lines, problem.line) if is_new_line else ""})
    return {"problem_rows": shown, "problem_count": len(problems)}


def _filed(
    request: HttpRequest, form: UploadForm, upload: Upload, *, check_only: bool
) -> tuple[tuple[Problem, ...], str]:
    if form.problems:
        return form.problems, ""
    try:
        said = upload.file(
            practice=request.member.practice,
            text=form.cleaned_data["text"],
            filename=form.cleaned_data["filename"],
            check_only=check_only,
            by=request.member.user,
            at=clock.now(),
        )
    except Refused as refused:
        return refused.problems, ""
    return (), said


def _text_of(form: UploadForm) -> str:
    return str(form["text"].value() or "")


def _quoted(lines: list[str], line: int) -> str:
    if not 0 < line <= len(lines):
        return ""
    said = lines[line - 1].strip()
    return said if len(said) <= MOST_QUOTED else f"{said[:MOST_QUOTED]}…"
