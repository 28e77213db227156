"""How pages stand a register a hundred times as large.

    python -m tests.benchmarks.scale [--quick] [--database URL] [--clients N] [--rounds N] [--only WORD]

Writes two test databases, the second N times the first one's 10 clients, fetches every page from both turn about, and
prints tables in Markdown. --quick is a smoke run.
"""

import argparse
import os

import django


def asked() -> argparse.Namespace:
    """Return what the command line says."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--quick", action="store_true", help="the small set beside itself, each page once")
    parser.add_argument("--database", help="address of the database server; as DATABASE_URL")
    parser.add_argument("--clients", type=int, default=1000, help="clients of the large register (1000)")
    parser.add_argument("--rounds", type=int, default=5, help="times that each page is fetched from either (5)")
    parser.add_argument("--only", default="", help="only pages whose address holds this pattern")
    parser.add_argument("--shown", type=int, default=25, help="lines of the table of pages (25)")
    parser.add_argument("--beside", action="store_true", help="compare with bare statements, the admin, a workbook")
    parser.add_argument("--keep", action="store_true", help="leave both databases there")
    parser.add_argument("--kept", action="store_true", help="use those that an earlier run kept")
    parser.add_argument("--sql", action="store_true", help="show the slowest query of each page that is too slow")
    parser.add_argument("--load", type=int, default=0, metavar="SECONDS", help="load two workers for so long as well")
    return parser.parse_args()


def main() -> None:
    """Set Django up for the database that is asked for, then measure."""
    options = asked()
    if options.database:
        os.environ["DATABASE_URL"] = options.database
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    django.setup()
    from tests.benchmarks.scale.measuring import measure

    measure(options)


if __name__ == "__main__":
    main()
