"""`make bench`: everything that must be fast, beside what a user would run instead."""

from benchmarks import (
    app,
    arranging,
    basket,
    book,
    contacts,
    cutting,
    faults,
    fry,
    heat,
    logbook,
    networks,
    oxygen,
    pedigree,
    plates,
    waters,
    whole,
    year,
)

if __name__ == "__main__":
    networks.run()
    print()
    heat.run()
    print()
    year.run()
    print()
    oxygen.run()
    print()
    faults.run()
    print()
    cutting.run()
    print()
    plates.run()
    print()
    arranging.run()
    print()
    fry.run()
    print()
    pedigree.run()
    print()
    waters.run()
    print()
    whole.run()
    print()
    app.run()
    print()
    basket.run()
    print()
    book.run()
    print()
    logbook.run()
    print()
    contacts.run()
