"""The desk's doors for owed work: each takes ids, and calls one service."""

from datetime import datetime
from typing import Any
from uuid import UUID

from coaching import clock
from coaching.desk.services.letters import (
    coach_tell,
    coach_tell_given_up,
    invitation_given_up,
    invitation_send,
)
from coaching.desk.services.reminders import reminder_given_up, reminder_send, reminders_queue
from coaching.outbox.handlers import Payload, handles, schedules


def _reminder_given_up(payload: Payload) -> None:
    reminder_given_up(reminder_id=UUID(payload["reminder"]))


def _invitation_given_up(payload: Payload) -> None:
    invitation_given_up(user_id=UUID(payload["user"]), at=clock.now())


def _coach_tell_given_up(payload: Payload) -> None:
    coach_tell_given_up(household_id=UUID(payload["household"]), at=clock.now())


@handles("send-reminder", given_up=_reminder_given_up)
def send_reminder(payload: Payload) -> dict[str, Any]:
    """``{"reminder": id}``"""
    return reminder_send(reminder_id=UUID(payload["reminder"]), at=clock.now())


@handles("send-invitation", given_up=_invitation_given_up)
def send_invitation(payload: Payload) -> None:
    """``{"user": id}``: the link that sets a password, for someone who has none yet."""
    invitation_send(user_id=UUID(payload["user"]), work_id=UUID(payload["work"]), at=clock.now())


@handles("tell-coach", given_up=_coach_tell_given_up)
def tell_coach(payload: Payload) -> None:
    """``{"household": id}``: something on the board cannot wait."""
    coach_tell(household_id=UUID(payload["household"]), work_id=UUID(payload["work"]), at=clock.now())


@schedules
def reminders(now: datetime) -> int:
    """Writes down the reminders of the next day."""
    return reminders_queue(now=now).total()
