"""`make bench`: everything that must be fast, beside what a user would run instead."""

from benchmarks import app, networks, whole

if __name__ == "__main__":
    networks.run()
    print()
    whole.run()
    print()
    app.run()
