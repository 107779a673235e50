"""``load_demo``: the demo practice, once."""

from django.core.management.base import BaseCommand, CommandError, CommandParser

from coaching import clock
from coaching.desk.demo.load import demo_load
from coaching.desk.demo.scenario import CLIENT_SIGN_IN, PASSWORD, PRACTICE, STAFF
from coaching.practice.models import Practice


class Command(BaseCommand):
    help = "Loads the demo practice with a dozen invented households. Never touches a practice that is there."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--practice", default=PRACTICE["slug"], metavar="SLUG", help="the demo practice's slug"
        )
        parser.add_argument("--if-empty", action="store_true", help="do nothing when any practice exists")
        parser.add_argument(
            "--sign-ins", action="store_true", help="print the demo sign-ins and nothing else"
        )

    def handle(self, *args, **options) -> None:
        if options["practice"] != PRACTICE["slug"]:
            raise CommandError(f"The demo practice is called {PRACTICE['slug']}; leave --practice out.")
        if options["sign_ins"]:
            if Practice.objects.filter(slug=PRACTICE["slug"]).exists():
                self.sign_ins()
            return
        if options["if_empty"] and Practice.objects.exists():
            return
        practice = demo_load(at=clock.now(), today=clock.today_in(PRACTICE["time_zone"]))
        if practice is None:
            self.stdout.write("The demo practice is already there; nothing was changed.")
        else:
            self.stdout.write(f"Loaded {practice.name}.")

    def sign_ins(self) -> None:
        people = [*STAFF, ("client", CLIENT_SIGN_IN, "Nell Marsh")]
        self.stdout.write("Demo sign-ins (one password for all):")
        for role, email, name in people:
            self.stdout.write(f"  {role:<10} {email:<32} {name}")
        self.stdout.write(f"  password   {PASSWORD}")
