"""What the container files promise: nothing runs as root, nothing secret has a default, everything says if it is well.

The settings of Redis follow its own manual on persistence and eviction: append-only file synced each second, and no
eviction, since a queue is not a cache.
"""

import re
from typing import Any

import pytest
import yaml

from tests.architecture.tree import ROOT

COMPOSE_TEXT = (ROOT / "docker-compose.yml").read_text(encoding="utf-8")
SERVICES: dict[str, dict[str, Any]] = yaml.safe_load(COMPOSE_TEXT)["services"]
DOCKERFILE = (ROOT / "Dockerfile").read_text(encoding="utf-8")
OURS = ("web", "worker", "scheduler", "migrate")
SECRETS = ("SECRET_KEY", "POSTGRES_PASSWORD", "REDIS_PASSWORD", "EMAIL_URL")


def instructions(name: str) -> list[str]:
    """The arguments of one Dockerfile instruction, continued lines joined, in the order they stand."""
    joined = re.sub(r"\\\n\s*", " ", DOCKERFILE)
    return re.findall(rf"^{name}\s+(.+)$", joined, re.MULTILINE)


def command(service: str) -> str:
    """The words a service is started with, as one line."""
    return " ".join(SERVICES[service]["command"])


def test_the_services_are_those_of_the_house() -> None:
    assert set(SERVICES) == {*OURS, "postgres", "redis"}


@pytest.mark.parametrize("name", SECRETS)
def test_a_secret_must_be_set_and_has_no_default(name: str) -> None:
    uses = re.findall(rf"\$\{{{name}(.*?)\}}", COMPOSE_TEXT)
    assert uses
    assert [use for use in uses if not use.startswith(":?")] == []


def test_no_secret_is_written_out() -> None:
    for service, options in SERVICES.items():
        for name, value in options["environment"].items():
            if re.search(r"KEY|PASSWORD|AUTH|_URL$", name):
                assert "${" in value, f"{service}: {name}"


@pytest.mark.parametrize("service", [name for name in SERVICES if name not in {"web", "migrate"}])
def test_a_service_says_if_it_is_well(service: str) -> None:
    assert SERVICES[service]["healthcheck"]["test"]


def test_the_web_pages_say_if_they_are_well() -> None:
    assert len(instructions("HEALTHCHECK")) == 1
    assert "healthcheck" not in SERVICES["web"]


@pytest.mark.parametrize("service", OURS)
def test_our_services_hold_no_rights_they_do_not_need(service: str) -> None:
    options = SERVICES[service]
    assert options["read_only"] is True
    assert options["cap_drop"] == ["ALL"]
    assert "no-new-privileges:true" in options["security_opt"]
    assert "user" not in options
    assert "privileged" not in options


def test_the_image_does_not_run_as_root() -> None:
    assert instructions("USER")[-1] not in {"root", "0"}
    assert DOCKERFILE.index("\nUSER ") < DOCKERFILE.index("\nCMD ")


def test_the_image_keeps_no_key() -> None:
    assert [
        line for line in instructions("ENV") + instructions("ARG") if "KEY" in line or "PASSWORD" in line
    ] == []


def test_databases_are_not_reachable_from_outside() -> None:
    assert "ports" not in SERVICES["postgres"]
    assert "ports" not in SERVICES["redis"]
    assert all(port.startswith("127.0.0.1:") for port in SERVICES["web"]["ports"])


def test_what_must_last_lies_in_a_volume() -> None:
    for service in ("web", "postgres", "redis"):
        assert SERVICES[service]["volumes"]


def test_redis_keeps_its_queue_over_a_restart() -> None:
    for option in (
        "--requirepass",
        "--appendonly yes",
        "--appendfsync everysec",
        "--maxmemory-policy noeviction",
    ):
        assert option in command("redis")


def test_worker_processes_are_renewed() -> None:
    assert re.search(r"--max-tasks-per-child \d+", command("worker"))
    assert re.search(r"--max-memory-per-child \d+", command("worker"))


def test_our_services_wait_for_their_databases_and_for_the_migrations() -> None:
    for service in ("web", "worker", "scheduler"):
        waits = {name: wait["condition"] for name, wait in SERVICES[service]["depends_on"].items()}
        assert waits == {
            "migrate": "service_completed_successfully",
            "postgres": "service_healthy",
            "redis": "service_healthy",
        }


def test_only_what_the_image_runs_is_copied_in() -> None:
    rules = (ROOT / ".dockerignore").read_text(encoding="utf-8").splitlines()
    assert "*" in rules
    for needless in (".git", "tests", "var", ".venv", ".env"):
        assert not any(rule.lstrip("!").startswith(needless) for rule in rules), needless
