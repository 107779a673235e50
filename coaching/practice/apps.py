from django.apps import AppConfig


class PracticeConfig(AppConfig):
    name = "coaching.practice"
    label = "practice"
