"""manage.py measure: benchmarks against bare baselines. Uses made-up data only; the book is not touched."""

from django.core.management.base import BaseCommand, CommandError

from config.measure import GROUPS
from config.measure.row import as_table


class Command(BaseCommand):
    help = "Measures NAME (or everything): a table, or JSON lines: name, value, unit, baseline, ratio, aim, met."

    def add_arguments(self, parser):
        parser.add_argument("names", nargs="*", metavar="NAME", help=f"one of: {', '.join(GROUPS)}")
        parser.add_argument("--json", action="store_true", help="one JSON object a figure, as soon as it is known")
        parser.add_argument("--quick", action="store_true", help="one seed, small sizes: shows that it runs")

    def handle(self, **options):
        unknown = sorted(set(options["names"]) - set(GROUPS))
        if unknown:
            raise CommandError(f"There is nothing to measure called {', '.join(unknown)}. Known: {', '.join(GROUPS)}.")
        for name in options["names"] or GROUPS:
            rows = []
            for row in GROUPS[name](quick=options["quick"]):
                rows.append(row)
                if options["json"]:
                    self.stdout.write(row.as_json())
            if not options["json"]:
                self.stdout.write("\n".join([name, *as_table(rows)]))
