"""What the layout engine leaves out of a tagged file, put right afterwards.

PDF/UA-1 (ISO 14289-1) wants header cells to say which way they head, links to be printed and to say where they lead,
and a list within a list to sit in the item it belongs to. WeasyPrint 70 does none of the three.
"""

from collections.abc import Mapping
from io import BytesIO

from pikepdf import Array, Dictionary, Name, Object, Pdf, String

PRINT_FLAG = 4
"""Annotation flag 3, "print", ISO 32000-1, 12.5.3."""


def finished(drawn: bytes, titles: Mapping[str, str]) -> bytes:
    """The file with its tags completed; the same bytes for the same input. ``titles`` say where each anchor leads."""
    with Pdf.open(BytesIO(drawn)) as pdf:
        _walk(pdf.Root.StructTreeRoot)
        _label_links(pdf, titles)
        out = BytesIO()
        pdf.save(out, deterministic_id=True)
    return out.getvalue()


def _walk(element: Object, in_head: bool = False) -> None:
    """Scope for header cells, and lists within lists moved into their items; depth first."""
    role = element.get(Name.S)
    if role == Name.TH:
        element.A = Dictionary(O=Name.Table, Scope=Name.Column if in_head else Name.Row)
    if role == Name.L:
        _nest_lists(element, _children(element))
    for child in _children(element):
        _walk(child, in_head or role == Name.THead)


def _children(element: Object) -> list[Object]:
    kids = element.get(Name.K)
    if kids is None:
        return []
    listed = list(kids) if isinstance(kids, Array) else [kids]
    return [kid for kid in listed if isinstance(kid, Dictionary) and Name.S in kid]


def _nest_lists(outer: Object, children: list[Object]) -> None:
    """A list beside the items of another belongs into the item before it; with none before it, as when a list is set in
    columns, its items are the other's own."""
    kept: list[Object] = []
    for child in children:
        if child.get(Name.S) != Name.L:
            kept.append(child)
        elif (body := _body_of(kept[-1]) if kept else None) is not None and not _is_column(children):
            body.K = Array([*_as_list(body.get(Name.K)), child])
            child.P = body
        else:
            for item in _children(child):
                item.P = outer
                kept.append(item)
    if kept != children:
        outer.K = Array(kept)


def _is_column(children: list[Object]) -> bool:
    return all(child.get(Name.S) == Name.L for child in children)


def _body_of(item: Object) -> Object | None:
    return next((part for part in _children(item) if part.get(Name.S) == Name.LBody), None)


def _as_list(kids: Object | None) -> list[Object]:
    if kids is None:
        return []
    return list(kids) if isinstance(kids, Array) else [kids]


def _label_links(pdf: Pdf, titles: Mapping[str, str]) -> None:
    """Links are printed, and say in words where they lead."""
    for page in pdf.pages:
        for annotation in page.get(Name.Annots, Array()):
            if annotation.get(Name.Subtype) == Name.Link:
                annotation.F = int(annotation.get(Name.F, 0)) | PRINT_FLAG
                anchor = str(annotation.get(Name.Dest, ""))
                annotation.Contents = String(titles.get(anchor, anchor))
