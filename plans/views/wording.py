"""What handing in a file did, in a sentence; for pages and commands alike."""

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from plans.services.protocols import FiledProtocol
from plans.services.putting import Filed

MOST_LIKE = 5


def filed_words(filed: Filed) -> str:
    """How many foods or recipes are new, change, stay."""
    added, changed, same = (len(keys) for keys in (filed.added, filed.changed, filed.unchanged))
    if not added and not changed:
        return _("Nothing changes: the book says the same already.")
    counted = _("%(added)s, %(changed)s, %(same)s.") % {
        "added": ngettext("%d is new", "%d are new", added) % added,
        "changed": ngettext("%d changes", "%d change", changed) % changed,
        "same": ngettext("%d stays as it is", "%d stay as they are", same) % same,
    }
    return " ".join((counted, *_like_words(filed.like)))


def filed_protocol_words(filed: FiledProtocol) -> str:
    """Which version a protocol became, or could become."""
    title = filed.protocol.title
    if filed.version is None:
        facts = {"title": title, "stages": len(filed.protocol.stages), "rules": len(filed.protocol.rules)}
        return _("“%(title)s” can be published: %(stages)d stages, %(rules)d rules.") % facts
    facts = {"title": title, "number": filed.version.number}
    if not filed.is_new:
        return _("Nothing changes: version %(number)d of “%(title)s” says the same already.") % facts
    return _("“%(title)s” is published as version %(number)d.") % facts


def _like_words(like: tuple[tuple[str, str], ...]) -> list[str]:
    """Which new ones may be in the book already: the first few by name, and how many more."""
    if not like:
        return []
    pairs = [
        _("“%(new)s” is much like “%(held)s”") % {"new": new, "held": held} for new, held in like[:MOST_LIKE]
    ]
    more = len(like) - len(pairs)
    rest = [ngettext("%d more is like one of the book", "%d more are like some of the book", more) % more]
    return [
        _("Perhaps in the book already: %(pairs)s.") % {"pairs": "; ".join(pairs + (rest if more else []))}
    ]
