"""`python -m tankwright` is the same as `tankwright`."""

from tankwright.cli.main import main

if __name__ == "__main__":
    main()
