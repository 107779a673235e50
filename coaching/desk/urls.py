"""The desk's pages: the way in, the board, the client's own pages, links in mail."""

from django.urls import path

from coaching.desk.views import board, check_ins, house, mail, portal, portal_foods

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
    path("me/foods/", portal_foods.portal_foods, name="portal_foods"),
    path("me/check-in/<uuid:pk>/", portal.check_in, name="check_in"),
    path("me/check-in/done/<uuid:pk>/", portal.check_in_done, name="check_in_done"),
    path("me/packets/<uuid:pk>/", portal.portal_packet, name="portal_packet"),
    path("c/<str:token>/", portal.check_in_by_link, name="check_in_by_link"),
    path("alive/", house.alive, name="alive"),
]
