"""The desk's pages: the way in, the board, the client's own pages, links in mail."""

from django.urls import path

from coaching.desk.views import (
    board,
    check_ins,
    house,
    mail,
    portal,
    portal_foods,
    portal_lead_in,
    portal_shopping,
    portal_today,
)

urlpatterns = [
    path("", house.home, name="home"),
    path("board/", board.board, name="board"),
    path("eaters/<uuid:pk>/check-ins/", check_ins.eater_check_ins, name="eater_check_ins"),
    path("eaters/<uuid:pk>/check-in/", check_ins.eater_check_in, name="eater_check_in"),
    path("red-flags/<uuid:pk>/", check_ins.red_flag, name="red_flag"),
    path("components/", house.components, name="components"),
    path("reminders/", mail.reminders, name="reminders"),
    path("reminders/<uuid:pk>/retry/", mail.retry_reminder, name="reminder_retry"),
    path("u/<str:token>/", mail.stop_mail, name="mail_stop"),
    path("me/", portal.portal, name="portal"),
    path("me/today/", portal_today.portal_today, name="portal_today"),
    path("me/foods/", portal_foods.portal_foods, name="portal_foods"),
    path("me/shopping/", portal_shopping.portal_shopping, name="portal_shopping"),
    path("me/shopping/<uuid:pk>/", portal_shopping.portal_shopping_week, name="portal_shopping_week"),
    path("me/shopping/<uuid:pk>/tick/", portal_shopping.portal_tick, name="portal_tick"),
    path("me/shopping/<uuid:pk>/untick/", portal_shopping.portal_untick, name="portal_untick"),
    path("me/shopping/house/", portal_shopping.portal_stores, name="portal_stores"),
    path("me/shopping/house/<uuid:pk>/", portal_shopping.portal_store_edit, name="portal_store_edit"),
    path(
        "me/shopping/house/<uuid:pk>/used-up/",
        portal_shopping.portal_store_used_up,
        name="portal_store_used_up",
    ),
    path("me/lead-in/", portal_lead_in.portal_lead_in, name="portal_lead_in"),
    path("me/lead-in/tick/", portal_lead_in.portal_lead_in_tick, name="portal_lead_in_tick"),
    path("me/lead-in/calendar/", portal_lead_in.portal_lead_in_calendar, name="portal_lead_in_calendar"),
    path("me/check-in/<uuid:pk>/", portal.check_in, name="check_in"),
    path("me/check-in/done/<uuid:pk>/", portal.check_in_done, name="check_in_done"),
    path("me/packets/<uuid:pk>/", portal.portal_packet, name="portal_packet"),
    path("c/<str:token>/", portal.check_in_by_link, name="check_in_by_link"),
    path("alive/", house.alive, name="alive"),
]
