"""``python -m walkgrade`` is the command `walkgrade`."""

import sys

from walkgrade.cli.main import run

if __name__ == "__main__":
    sys.exit(run())
