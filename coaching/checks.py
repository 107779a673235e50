"""System checks that guard what settings alone cannot."""

from django.conf import settings
from django.core.checks import Error, register


@register()
def times_are_kept_in_utc(app_configs, **kwargs) -> list[Error]:
    """Every stored moment is UTC; wall clocks exist only at the edge."""
    if settings.TIME_ZONE != "UTC" or not settings.USE_TZ:
        return [Error("TIME_ZONE must be UTC and USE_TZ on.", id="ladlework.E001")]
    return []
