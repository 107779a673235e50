"""The doors for owed work on weeks and packets: each takes an id and calls one service."""

from typing import Any
from uuid import UUID

from clients.services.packets import packet_given_up, packet_make
from clients.services.weeks import week_given_up, week_plan
from coaching import clock
from coaching.outbox.handlers import Payload, handles


def _week_given_up(payload: Payload) -> None:
    week_given_up(week_id=UUID(payload["week"]), at=clock.now())


def _packet_given_up(payload: Payload) -> None:
    packet_given_up(packet_id=UUID(payload["packet"]), at=clock.now())


@handles("plan-week", given_up=_week_given_up)
def plan_week(payload: Payload) -> dict[str, Any]:
    """``{"week": id}``"""
    return {"state": week_plan(week_id=UUID(payload["week"]), at=clock.now())}


@handles("make-packet", given_up=_packet_given_up)
def make_packet(payload: Payload) -> dict[str, Any]:
    """``{"packet": id}``"""
    return {"state": packet_make(packet_id=UUID(payload["packet"]), at=clock.now())}
