"""How a refused write is shown: beside the field it is about, or at the top of the next page."""

from collections.abc import Iterable

from django import forms
from django.contrib import messages
from django.http import HttpRequest

from coaching.domain.errors import Problem


def tell(request: HttpRequest, problems: Iterable[Problem]) -> None:
    """Shows why something was refused at the top of the next page."""
    for problem in problems:
        messages.error(request, sentence(problem))


def show_on(form: forms.Form, problems: Iterable[Problem]) -> None:
    """Shows why something was refused on the form; a problem of no field of it stands above all fields."""
    for problem in problems:
        form.add_error(problem.field if problem.field in form.fields else None, sentence(problem))


def sentence(problem: Problem) -> str:
    """What is wrong and how to put it right, without the field's name."""
    return f"{problem.message} {problem.fix}".strip()
