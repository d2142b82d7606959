"""`python -m experiments.cli`: the command line without an installed script."""

import sys

from experiments.cli.app import main

if __name__ == "__main__":
    sys.exit(main())
