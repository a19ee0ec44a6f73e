"""`python -m generator` equals `heelwright`."""

from generator.cli import main

if __name__ == "__main__":
    main()
