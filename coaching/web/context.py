"""What every page knows without asking for it."""

from django.http import HttpRequest


def site(request: HttpRequest) -> dict[str, object]:
    return {"member": getattr(request, "member", None), "request_id": getattr(request, "id", "")}
