"""`python -m generator` equals `heelwright`."""

from generator.commands.cli import main

if __name__ == "__main__":
    main()
