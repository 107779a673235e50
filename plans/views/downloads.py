"""Handing out the book's texts as files."""

from django.http import Http404, HttpResponse

TYPES = {
    "yaml": "application/yaml; charset=utf-8",
    "csv": "text/csv; charset=utf-8",
    "jsonld": "application/ld+json",
}


def text_file(text: str, *, name: str, kind: str) -> HttpResponse:
    """A text as a download called ``name.kind``; a CSV begins with the mark by which spreadsheets know UTF-8."""
    content = f"\ufeff{text}" if kind == "csv" else text
    return HttpResponse(
        content.encode(),
        content_type=TYPES[kind],
        headers={"Content-Disposition": f'attachment; filename="{name}.{kind}"', "Cache-Control": "no-store"},
    )


def writer_for(kind: str, **writers):
    """The writer of this kind of file. Raises Http404."""
    if kind not in writers:
        raise Http404
    return writers[kind]
