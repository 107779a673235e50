"""Every page of the house, room by room."""

from django.urls import include, path

urlpatterns = [
    path("", include("coaching.desk.urls")),
    path("", include("clients.urls")),
    path("", include("plans.urls")),
    path("practice/", include("coaching.practice.urls")),
    path("accounts/", include("allauth.urls")),
]

handler400 = "coaching.web.views.bad_request"
handler403 = "coaching.web.views.permission_denied"
handler404 = "coaching.web.views.page_not_found"
handler500 = "coaching.web.views.server_error"
