"""The command line: one file per command, loaded only when it is called, so that each starts quickly."""

from __future__ import annotations

import gc
import importlib
import io
import keyword
import sys
from typing import Final

import click

from tankwright import __version__

COMMANDS: Final = {
    "basket": "what to buy where: the cheapest split over price lists of several shops",
    "book": "the build book as PDF: every sheet to build by, with tables and drawings as files",
    "build": "the build in order: what comes before what, a calendar, what can be done tonight",
    "cards": "the emergency card for the door and the absence sheet, each one page to print",
    "census": "what lives where, now or on a past day: by tank, by line or by stock",
    "chain": "what joins one pipe, hose or thread to another, from fittings that can be bought",
    "check": "work a plan out and say what holds and what does not",
    "cut": "cut pieces of pipe or timber from stock lengths: proved the best, or how far from it",
    "demo": "run the main job on a plan and write drawings and data into a folder",
    "draw": "draw the room to scale as SVG",
    "due": "what is due in the room, in the order of the round; as data or as a calendar",
    "explain": "open one number: formula, inputs, source",
    "expected": "what to measure where in the built room, what should come, and a sheet to fill in",
    "export": "the whole logbook as one file that can be brought in elsewhere, or as tables",
    "fault": "one fault as a story in time: what it does, when, what would mend it",
    "faults": "break everything that can break, and rank it by harm and time",
    "fit": "what fits in the room: arrangements of racks and tanks, the best proved or bounded",
    "fry": "tanks the fry will need week by week, the chance to run out, the day to decide",
    "formula": "the shelf of formulas: list, help, evaluate with units",
    "glass": "check every pane in full, with its holes and braces, and find where a hole does the least harm",
    "import": "bring the export of a logbook, or a table of your own, into a logbook",
    "lines": "the lines of the logbook: how inbred, how long they last, mates, a set tried before it is made",
    "log": "write down what happened at a tank: fish that came, died, moved, were counted, water tests",
    "measured": "readings of the built room against the plan: what is off, why, and the plan made true",
    "new": "write a commented plan to start from",
    "outage": "a power cut: what to keep on, with what battery, which tanks to serve first",
    "open": "serve the room as a live drawing in the browser",
    "year": "what the room takes in a year, and what each measure would save",
    "papers": "papers out of the logbook: strain sheet, breeding report, census, treatments, losses, packs",
    "parts": "count every part: what to buy, how to cut it, where each piece goes",
    "restore": "put a backup of the logbook back, or list those there are",
    "tests": "the water tests of the logbook: what is past a limit, what falls, what is to be tested again",
    "trace": "which tanks one could have reached since a day, or from where it could have it",
    "verify": "write the networks for EPANET and SWMM, and compare when they are installed",
}


class LazyCommands(click.Group):
    """Finds a command in the file of its name."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        gc.disable()  # a command lives a second or two: looking for garbage cycles costs more than it frees
        name = f"{cmd_name}_" if keyword.iskeyword(cmd_name) else cmd_name
        module = importlib.import_module(f"tankwright.cli.{name}")
        command: click.Command = module.command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(sorted(COMMANDS.items()))


@click.command(cls=LazyCommands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="tankwright")
def main() -> None:
    """From one plan of a fish room, work out whether it holds: what fits, what it weighs, whether every tank gets
    air and fresh water, and whether every drop that comes in can get out.

    \b
    Start:   tankwright new my_room.toml
    Then:    tankwright check my_room.toml
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a sign the terminal cannot show becomes a question mark


if __name__ == "__main__":
    main()
