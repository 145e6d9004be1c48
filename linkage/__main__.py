"""Run the command line by ``python -m linkage``."""

from linkage.cli import main

if __name__ == "__main__":
    main()
