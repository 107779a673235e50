"""What is written of a draft: a version nobody follows yet, edited step by step until it is published.

Every edit keeps what it took out and put in, so it can be taken back. ``seen`` is the digest of the draft the editor
showed: an edit made on what has changed meanwhile is refused, so nothing another window did is lost.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Max
from django.utils.translation import gettext as _

from coaching.domain.errors import Problem, Refused
from coaching.practice.models import Practice, User
from coaching.practice.services import audit
from plans.domain import book
from plans.domain.filing.protocols import protocol_problems, read_row, row_cells
from plans.domain.gaps import mistakes
from plans.domain.records import (
    digest_of,
    protocol_from_record,
    protocol_record,
    rule_from_record,
    rule_record,
)
from plans.domain.splices import applied, reverse, splices
from plans.domain.table import Cell, Table, Target, cell_of
from plans.domain.vocabulary import Allowance
from plans.models import DraftEdit, Protocol, ProtocolVersion
from plans.selectors import draft_of, foods_of, newest_published, protocol_of

MOST_CELLS = 5_000
_TASTE = frozenset(("start", "step", "every_days", "most"))
_BELONGS = {
    Allowance.NOT_YET: frozenset(("note",)),
    Allowance.FLAVOUR_ONLY: frozenset(("note",)),
    Allowance.FIRST_TASTES: frozenset(("note", "forms")) | _TASTE,
    Allowance.AS_PREPARED: frozenset(("note", "forms")),
    Allowance.FREELY: frozenset(("note",)),
}
"""What a cell keeps of the row that held there when only its allowance is set."""


@transaction.atomic
def draft_begin(*, protocol: Protocol, by: User | None, at: datetime) -> ProtocolVersion:
    """The protocol's draft: the open one, or a new one that says what the newest published version says."""
    Protocol.objects.select_for_update().get(pk=protocol.pk)
    held = draft_of(protocol)
    if held is not None:
        return held
    basis = newest_published(protocol)
    draft = ProtocolVersion.objects.create(
        protocol=protocol,
        number=basis.number + 1,
        document=basis.document,
        digest=basis.digest,
        basis=basis,
    )
    _note(draft, "draft begun", by, at)
    return draft


@transaction.atomic
def protocol_begin(
    *, practice: Practice, head: Mapping[str, Any], like: ProtocolVersion, by: User | None, at: datetime
) -> ProtocolVersion:
    """The draft of a new protocol, begun as a copy of a version of another one. ``head`` names it: its record's head.

    Raises Refused when the practice has a protocol with this key.
    """
    if Protocol.objects.filter(practice=practice, key=head["key"]).exists():
        problem = Problem(
            0, "title", _("There is a protocol with this title already."), _("Choose another title.")
        )
        raise Refused(problem)
    protocol = Protocol.objects.create(practice=practice, key=head["key"], title=head["title"])
    document = {**like.document, **head}
    draft = ProtocolVersion.objects.create(
        protocol=protocol, number=1, document=document, digest=digest_of(document), basis=like
    )
    _note(draft, "draft begun", by, at)
    return draft


@transaction.atomic
def cells_set(
    *,
    draft: ProtocolVersion,
    seen: str,
    cells: Sequence[str],
    values: Mapping[str, str],
    by: User | None,
    at: datetime,
) -> ProtocolVersion:
    """Set cells of the rules table, such as ``food:carrot@settle``, to typed values named as in a file.

    A field that is not among the values keeps what holds in each cell, as far as it belongs to the allowance. Raises
    Refused with every problem, each said once for all the cells it is about.
    """
    held = _locked(draft, seen)
    foods = foods_of(held.protocol.practice)
    protocol = protocol_of(held)
    table = Table(protocol, foods)
    stages = [stage.key for stage in protocol.stages]
    rows: dict[tuple[Target, str], book.Rule | None] = {}
    problems: dict[tuple[str, str, str], list[str]] = {}
    for cell in _cells(table, cells):
        record, found = read_row("rule", _typed(cell, values), stages, foods.values())
        for problem in found:
            about = problems.setdefault((problem.field, problem.message, problem.fix), [])
            about.append(f"{table.name(cell.target)}, {protocol.stage(cell.stage).title}")
        rows[cell.target, cell.stage] = rule_from_record(record) if record else None
    if problems:
        raise Refused(*_said_once(problems, many=len(rows) > 1))
    return _saved(held, protocol_record(table.with_rows(rows)), by, at)


@transaction.atomic
def cells_clear(
    *, draft: ProtocolVersion, seen: str, cells: Sequence[str], by: User | None, at: datetime
) -> ProtocolVersion:
    """Take the rows out of these cells, so that what held before them, or what the group says, holds again."""
    held = _locked(draft, seen)
    table = Table(protocol_of(held), foods_of(held.protocol.practice))
    cleared = {(cell.target, cell.stage): None for cell in _cells(table, cells)}
    return _saved(held, protocol_record(table.with_rows(cleared)), by, at)


@transaction.atomic
def draft_rewrite(
    *, draft: ProtocolVersion, seen: str, document: Mapping[str, Any], by: User | None, at: datetime
) -> ProtocolVersion:
    """Give the draft another document, a record whose rows have been read, as one edit that can be taken back."""
    return _saved(_locked(draft, seen), protocol_record(protocol_from_record(document)), by, at)


@transaction.atomic
def draft_undo(*, draft: ProtocolVersion, seen: str, by: User | None, at: datetime) -> ProtocolVersion:
    """Take the last edit back. Raises Refused when there is none."""
    held = _locked(draft, seen)
    edit = held.edits.filter(undone_at__isnull=True).order_by("-place").first()
    if edit is None:
        raise Refused(
            Problem(0, "", _("There is nothing to take back."), _("Every edit was taken back already."))
        )
    DraftEdit.objects.filter(pk=edit.pk).update(undone_at=at)
    return _put(held, applied(held.document, reverse(edit.splices)))


@transaction.atomic
def draft_redo(*, draft: ProtocolVersion, seen: str, by: User | None, at: datetime) -> ProtocolVersion:
    """Make the edit again that was taken back last. Raises Refused when there is none."""
    held = _locked(draft, seen)
    edit = held.edits.filter(undone_at__isnull=False).order_by("place").first()
    if edit is None:
        raise Refused(Problem(0, "", _("There is nothing to make again."), _("No edit was taken back.")))
    DraftEdit.objects.filter(pk=edit.pk).update(undone_at=None)
    return _put(held, applied(held.document, edit.splices))


@transaction.atomic
def draft_publish(*, draft: ProtocolVersion, seen: str, by: User | None, at: datetime) -> ProtocolVersion:
    """Publish the draft; from now on it never changes. Enrolments stay on the versions they follow.

    Raises Refused while something is to be mended, or when nothing was changed.
    """
    held = _locked(draft, seen)
    foods = foods_of(held.protocol.practice)
    protocol = protocol_of(held)
    newest = newest_published(held.protocol)
    if newest is not None and newest.digest == held.digest:
        problem = Problem(
            0,
            "",
            _("The draft says what the published version says."),
            _("Change something first, or discard the draft."),
        )
        raise Refused(problem)
    open_mistakes = len(mistakes(protocol, foods))
    if open_mistakes:
        message = _("Rows to be mended: %(count)d.") % {"count": open_mistakes}
        raise Refused(Problem(0, "", message, _("Mend them first; the check lists each.")))
    problems = protocol_problems(protocol, foods.values())
    if problems:
        raise Refused(*problems)
    held.published_at = at
    held.save(update_fields=["published_at"])
    held.edits.all().delete()
    Protocol.objects.filter(pk=held.protocol_id).update(title=protocol.title)
    _note(held, "protocol published", by, at)
    return held


@transaction.atomic
def draft_discard(*, draft: ProtocolVersion, seen: str, by: User | None, at: datetime) -> None:
    """Throw the draft away, and its protocol with it when no version was ever published."""
    held = _locked(draft, seen)
    _note(held, "draft discarded", by, at)
    protocol = held.protocol
    held.delete()
    if not protocol.versions.exists():
        protocol.delete()


def _locked(draft: ProtocolVersion, seen: str) -> ProtocolVersion:
    """The draft under a lock, if it is still the one that was shown. Raises Refused."""
    held = (
        ProtocolVersion.objects.select_for_update(of=("self",))
        .select_related("protocol__practice")
        .filter(pk=draft.pk, published_at__isnull=True)
        .first()
    )
    if held is None or held.digest != seen:
        problem = Problem(
            0,
            "seen",
            _("The draft was changed in another window."),
            _("Load the page again; then make this change once more."),
        )
        raise Refused(problem)
    return held


def _cells(table: Table, cells: Iterable[str]) -> list[Cell]:
    """The cells these texts name, each once. Raises Refused for one the table does not have."""
    unknown = Problem(0, "cells", _("The table has no such cell."), _("Load the page again."))
    groups = {food.group for food in table.foods.values()}
    found: dict[str, Cell] = {}
    for text in cells:
        try:
            cell = table.cell(*cell_of(text))
        except (KeyError, ValueError) as error:
            raise Refused(unknown) from error
        if not table.knows(cell.target, groups) and not table.line(cell.target).has_own:
            raise Refused(unknown)
        found[text] = cell
    if not found or len(found) > MOST_CELLS:
        raise Refused(Problem(0, "cells", _("No cell is chosen."), _("Choose the cells to change.")))
    return list(found.values())


def _typed(cell: Cell, values: Mapping[str, str]) -> dict[str, str]:
    """The row a cell gets, as typed: what holds there, with the values in its place."""
    kept = row_cells("rule", rule_record(cell.holds)) if cell.holds else {}
    allowance = values.get("allowance", kept.get("allowance", ""))
    if allowance != kept.get("allowance"):
        belongs = next((_BELONGS[word] for word in Allowance if word.word == allowance), frozenset())
        kept = {name: text for name, text in kept.items() if name in belongs}
    about = {"food": "", "group": "", cell.target.kind: cell.target.key, "stage": cell.stage}
    return {**kept, **values, **about}


def _said_once(problems: Mapping[tuple[str, str, str], list[str]], *, many: bool) -> Iterable[Problem]:
    for (name, message, fix), about in problems.items():
        yield Problem(0, name, f"{'; '.join(about[:6])}: {message}" if many else message, fix)


def _saved(held: ProtocolVersion, document: dict[str, Any], by: User | None, at: datetime) -> ProtocolVersion:
    """Keep an edit and what it made of the draft. One that changes nothing leaves no trace."""
    edit = splices(held.document, document)
    if not edit:
        return held
    held.edits.filter(undone_at__isnull=False).delete()
    last = held.edits.aggregate(last=Max("place"))["last"] or 0
    DraftEdit.objects.create(version=held, place=last + 1, splices=edit, by=by, made_at=at)
    return _put(held, document)


def _put(held: ProtocolVersion, document: dict[str, Any]) -> ProtocolVersion:
    held.document, held.digest = document, digest_of(document)
    held.save(update_fields=["document", "digest"])
    return held


def _note(draft: ProtocolVersion, action: str, by: User | None, at: datetime) -> None:
    audit(
        practice=draft.protocol.practice,
        user=by,
        action=action,
        subject=str(draft.pk),
        facts={"protocol": str(draft.protocol_id), "number": draft.number},
        at=at,
    )
