"""Pages that a script asks for in part."""

from django.http import HttpRequest


def wants_part(request: HttpRequest) -> bool:
    """Whether htmx asks for the changing part of a page only. A boosted link asks for the whole."""
    return bool(request.htmx) and not request.htmx.boosted
