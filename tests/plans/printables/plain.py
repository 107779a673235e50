"""Paper keeps numbers and units together with spaces that do not break; tests are easier to read without them."""

from dataclasses import fields, is_dataclass, replace


def plain(value):
    """The same text, tuple or facts with every space an ordinary one."""
    if isinstance(value, str):
        return value.replace("\u00a0", " ")
    if isinstance(value, tuple):
        return tuple(plain(one) for one in value)
    if is_dataclass(value):
        return replace(value, **{field.name: plain(getattr(value, field.name)) for field in fields(value)})
    return value
