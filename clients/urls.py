"""People: new clients, households, check-ins, weeks, packets."""

from django.urls import path

from clients.views import (
    eater_foods,
    eaters,
    enrolments,
    households,
    instructions,
    intake,
    moving,
    packets,
    weeks,
)

urlpatterns = [
    path("clients/new/", intake.intake, name="intake"),
    path("clients/new/<uuid:pk>/review/", intake.intake_review, name="intake_review"),
    path("clients/new/<uuid:pk>/archive/", intake.intake_archive, name="intake_archive"),
    path("clients/new/<uuid:pk>/<slug:step>/", intake.intake_step, name="intake_step"),
    path("clients/<uuid:pk>/edit/", households.client_edit, name="client_edit"),
    path("clients/<uuid:pk>/access/", households.client_access, name="client_access"),
    path("households/", households.households, name="households"),
    path("households/<uuid:pk>/", households.household, name="household"),
    path("households/<uuid:pk>/edit/", households.household_edit, name="household_edit"),
    path("households/<uuid:pk>/kitchen/", households.kitchen_edit, name="kitchen_edit"),
    path("households/<uuid:pk>/archive/", households.household_archive, name="household_archive"),
    path("households/<uuid:pk>/eaters/add/", eaters.eater_add, name="eater_add"),
    path("eaters/<uuid:pk>/edit/", eaters.eater_edit, name="eater_edit"),
    path("eaters/<uuid:pk>/left-out/", eaters.eater_exclusions, name="eater_exclusions"),
    path("eaters/<uuid:pk>/screening/", eaters.eater_screening, name="eater_screening"),
    path("eaters/<uuid:pk>/sign-off/", eaters.eater_sign_off, name="eater_sign_off"),
    path("eaters/<uuid:pk>/foods/", eater_foods.eater_foods, name="eater_foods"),
    path("eaters/<uuid:pk>/instructions/", instructions.eater_instructions, name="eater_instructions"),
    path("instructions/<uuid:pk>/end/", instructions.instruction_end, name="instruction_end"),
    path("eaters/<uuid:pk>/protocol/", enrolments.enrolment_start, name="enrolment_start"),
    path("enrolments/<uuid:pk>/decide/", enrolments.enrolment_decide, name="enrolment_decide"),
    path("enrolments/<uuid:pk>/day-one/", enrolments.enrolment_day_one, name="enrolment_day_one"),
    path("protocols/<uuid:pk>/people/", moving.protocol_people, name="protocol_people"),
    path("protocols/<uuid:pk>/people/move/", moving.protocol_people_move, name="protocol_people_move"),
    path("households/<uuid:pk>/weeks/", weeks.weeks, name="weeks"),
    path("weeks/<uuid:pk>/", weeks.week, name="week"),
    path("households/<uuid:pk>/packets/", packets.packets, name="packets"),
    path("packets/<uuid:pk>/", packets.packet, name="packet"),
    path("packets/<uuid:pk>/file/", packets.packet_file, name="packet_file"),
]
