#!/usr/bin/env python3
"""Where every command of Pontata starts: `python3 manage.py demo`, `test`, `serve` and the others.

On first use it builds a virtual environment from the lock files and runs itself there. This file
must stay readable by Pythons far older than the one that the project needs, to say so in words.
"""

import sys

LEAST_PYTHON = (3, 11)


def main():
    if sys.version_info < LEAST_PYTHON:
        sys.exit(
            "Pontata needs Python 3.11 or newer; %s is Python %d.%d.\n"
            "Start it with a newer one, for example: python3.12 manage.py demo"
            % (sys.executable or "this", sys.version_info[0], sys.version_info[1])
        )
    from survey.bootstrap import run

    sys.exit(run(sys.argv[1:]))


if __name__ == "__main__":
    main()
