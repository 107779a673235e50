"""Readies the database for ``make run`` and says where to go.

One process does it all, since each start of Django costs about a second.
"""

import logging
import os
import sys
from pathlib import Path

import django
from django.conf import settings
from django.core.management import call_command

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "coaching.settings")
django.setup()
logging.disable(logging.INFO)  # the audit trail of the demo is for the database, not for the screen

call_command("migrate", verbosity=0, interactive=False)
if not settings.WHITENOISE_USE_FINDERS:
    call_command("collectstatic", verbosity=0, interactive=False)
call_command("load_demo", "--if-empty")
sys.stdout.write(f"\nLadlework opens at {os.environ['SITE_URL']}/   (Ctrl-C stops it)\n\n")
call_command("load_demo", "--sign-ins")
sys.stdout.write("\n")
