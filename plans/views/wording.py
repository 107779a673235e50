"""What handing in a file did, in a sentence; for pages and commands alike."""

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from plans.services.protocols import FiledProtocol
from plans.services.putting import Filed


def filed_words(filed: Filed) -> str:
    """How many foods or recipes are new, change, stay."""
    added, changed, same = (len(keys) for keys in (filed.added, filed.changed, filed.unchanged))
    if not added and not changed:
        return _("Nothing changes: the book says the same already.")
    return _("%(added)s, %(changed)s, %(same)s.") % {
        "added": ngettext("%d is new", "%d are new", added) % added,
        "changed": ngettext("%d changes", "%d change", changed) % changed,
        "same": ngettext("%d stays as it is", "%d stay as they are", same) % same,
    }


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
