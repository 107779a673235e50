"""Handing out private files: always as a download, never cached, never by a guessable address."""

from django.db.models.fields.files import FieldFile
from django.http import FileResponse, Http404


def private_file(file: FieldFile, *, name: str, content_type: str = "application/pdf") -> FileResponse:
    """The stored file as an attachment called ``name``. Raises Http404 when there is none (any more)."""
    if not file or not file.storage.exists(file.name):
        raise Http404
    response = FileResponse(file.open("rb"), as_attachment=True, filename=name, content_type=content_type)
    response["Cache-Control"] = "no-store"
    response["X-Content-Type-Options"] = "nosniff"
    return response
