"""requirements.txt is whole: each package pinned, and each package that one of them needs pinned too.

Packages are installed without following what they ask for, so a gap here would be a gap on a coach's machine.
"""

import re
from importlib.metadata import requires, version

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.architecture.tree import ROOT

TEXT = (ROOT / "requirements.txt").read_text(encoding="utf-8")
TOOLS_BEGIN = "# Tests and tools"
PIN = re.compile(r"(?P<name>[A-Za-z0-9._-]+)==(?P<version>[0-9][\w.]*)")
INDEX_OPTION = re.compile(r"^\s*-|://", re.MULTILINE)


def pins(text: str) -> dict[str, str]:
    """Package name, normalised, to version; a line that is no pin fails."""
    found = {}
    for line in text.splitlines():
        if line and not line.startswith("#"):
            pin = PIN.fullmatch(line)
            assert pin, line
            found[canonicalize_name(pin["name"])] = pin["version"]
    return found


def missing(wanted: dict[str, str]) -> set[str]:
    """What the packages named ask for, on this machine and without extras, that is not among them."""
    asked = {
        canonicalize_name(requirement.name)
        for name in wanted
        for requirement in map(Requirement, requires(name) or [])
        if requirement.marker is None or requirement.marker.evaluate({"extra": ""})
    }
    return asked - set(wanted)


def test_every_line_is_a_pin_and_none_an_index() -> None:
    assert not INDEX_OPTION.search(TEXT)
    assert pins(TEXT)


def test_what_is_installed_is_what_is_pinned() -> None:
    wanted = pins(TEXT)
    assert {name: version(name) for name in wanted} == wanted


def test_nothing_that_a_package_needs_is_missing() -> None:
    assert missing(pins(TEXT)) == set()


def test_a_server_needs_only_the_part_above_the_tools() -> None:
    above, _, tools = TEXT.partition(TOOLS_BEGIN)
    assert tools
    assert missing(pins(above)) == set()
    assert not {"pytest", "ruff", "playwright"} & set(pins(above))
