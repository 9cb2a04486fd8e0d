"""`tankwright open`: the room as a live drawing in the browser."""

from __future__ import annotations

import gc
import sys
from pathlib import Path
from typing import NoReturn

import click

from tankwright.display import render_mistake
from tankwright.finding import Finding
from tankwright.plan.reading import LARGEST_FILE, read_plan_bytes
from tankwright.units import clip
from tankwright.web.access import Access, plan_secret
from tankwright.web.lan import Names, why_not_a_lan_name
from tankwright.web.serving import (
    DEFAULT_PORT,
    STOPPED_WITHIN,
    Bound,
    PortError,
    bind,
    serve,
    shielded,
    show_in_browser,
)
from tankwright.workspace.settings import SettingsBook

KEEPER = "keeper"
_TRIES = 3
_GARBAGE = (50_000, 20, 10)
"""How much is made before it is looked through for cycles. A hall's page makes some 200,000 things that stay for a
while; at Python's own 700 the looking took longer than the making."""


@click.command("open")
@click.argument("plan", type=click.Path(path_type=Path))
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    help=f"This port exactly; 0 for any free one. Else {DEFAULT_PORT}, or the next free one.",
)
@click.option("--no-browser", is_flag=True, help="Only print the address.")
@click.option(
    "--lan", is_flag=True, help="Let other devices on your network in, each with a name and a password."
)
@click.option(
    "--name", metavar="LAN_NAME", help="The name this machine has on your network; kept in the settings."
)
@click.option(
    "--password-file",
    type=click.Path(path_type=Path),
    help="With --lan: take the keeper's password from the first line of this file instead of asking.",
)
def command(
    plan: Path, port: int | None, no_browser: bool, lan: bool, name: str | None, password_file: Path | None
) -> None:
    """Serve PLAN as a live drawing in the browser, until Ctrl+C.

    A PLAN that is not there yet starts with a few questions. Without --lan only this machine can reach it.
    """
    mistake = why_not_a_plan(plan)
    if mistake:
        _stop(mistake)
    book = SettingsBook(plan)
    if name is not None:
        _keep_name(book, name)
    if lan:
        _see_to_a_password(book, password_file)
    try:
        bound = bind(port, lan=lan)
    except PortError as error:
        _stop(str(error))
    names = Names(bound.port, lan=lan, lan_name=lambda: book.current.lan_name)
    access = _access(book, plan) if lan else Access()
    _print_addresses(names, plan, lan=lan)
    _serve(plan, bound, names, access, no_browser=no_browser)
    click.echo("Stopped.")


def why_not_a_plan(plan: Path) -> str:
    """What keeps a file from being served, in words, or "". A plan that is not there, or has mistakes, is served.

    >>> why_not_a_plan(Path("cellar.txt"))
    'cellar.txt is no plan: the name of a plan ends in .toml'
    """
    try:
        if plan.is_dir():
            return f"{plan} is a folder; name the plan in it, such as {plan / 'room.toml'}"
        if plan.suffix.lower() != ".toml":
            return f"{plan} is no plan: the name of a plan ends in .toml"
        with plan.open("rb") as file:
            raw = file.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        return "" if plan.parent.is_dir() else f"{plan}: there is no folder {plan.parent}"
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "its name is none a file can have"
        return f"{clip(str(plan), 80)} cannot be read: {why}"
    if len(raw) <= LARGEST_FILE and b"\x00" not in raw:
        try:
            raw.decode("utf-8")
        except UnicodeDecodeError:
            pass
        else:
            return ""
    return render_mistake(read_plan_bytes(raw, plan.name).findings[0], plan.name)


def _keep_name(book: SettingsBook, name: str) -> None:
    mistake = why_not_a_lan_name(name)
    if mistake:
        _stop(mistake)
    kept = book.set_lan_name(name)
    if isinstance(kept, Finding):
        _stop(f"{kept.subject} {kept.text}")


def _see_to_a_password(book: SettingsBook, file: Path | None) -> None:
    """With somebody in the settings already nothing is asked; a file named on the command line counts again."""
    if book.trouble is not None:
        _stop(f"{book.trouble.subject} {book.trouble.text}. Mend it or take it away: nobody could log in.")
    if file is not None:
        wrong = _take_in(book, _first_line(file))
    elif any(one.role == "keeper" and one.password_hash for one in book.current.people):
        return
    elif not _has_terminal():
        _stop(
            "--lan wants a password, and there is no terminal to ask for one: name a file with --password-file."
        )
    else:
        click.echo(f'Other devices log in with a name and a password. Yours is "{KEEPER}".')
        for _ in range(_TRIES):
            typed = click.prompt("Password, at least 8 signs", hide_input=True, confirmation_prompt="Again")
            wrong = _take_in(book, str(typed))
            if not wrong:
                return
            click.echo(f"  {wrong}", err=True)
    if wrong:
        _stop(wrong)


def _has_terminal() -> bool:
    return sys.stdin.isatty()


def _take_in(book: SettingsBook, password: str) -> str:
    kept = book.set_password(KEEPER, password, "keeper")
    if isinstance(kept, Finding):
        return f"{kept.subject} {kept.text}" + (f": {kept.wanted}" if kept.wanted else "")
    return ""


def _first_line(file: Path) -> str:
    try:
        with file.open(encoding="utf-8") as text:
            return text.readline(4000).rstrip("\r\n")
    except (OSError, ValueError) as error:
        _stop(f"{file} cannot be read: {getattr(error, 'strerror', None) or 'it is not a UTF-8 text'}")


def _access(book: SettingsBook, plan: Path) -> Access:
    try:
        secret = plan_secret(book.folder)
    except OSError as error:
        _stop(
            f"The folder {book.folder.name} beside {plan.name} cannot be written: {error.strerror or error}"
        )
    access = Access(book, secret=secret, deeds=lambda role: _deeds(book, role))
    access.language = lambda: book.current.language
    return access


def _deeds(book: SettingsBook, role: str) -> frozenset[str]:
    return next(
        (frozenset[str](deeds) for part, deeds in book.current.deeds.items() if part == role), frozenset()
    )


def _print_addresses(names: Names, plan: Path, *, lan: bool) -> None:
    here, *elsewhere = names.urls()
    click.echo(f"{plan.name} is at {here}")
    if lan:
        for url in elsewhere:
            click.echo(f"  on your network: {url}")
        if not elsewhere:
            click.echo("  This machine has no address on a network; look again when it is connected.")
        click.echo("  Not encrypted: others on this network could read along. Keep it off the internet.")
    click.echo("Stop with Ctrl+C.")


def _serve(plan: Path, bound: Bound, names: Names, access: Access, *, no_browser: bool) -> None:
    from tankwright.web.app import create_app  # noqa: PLC0415 - the address is printed before the long load
    from tankwright.workspace.live import LivePlan  # noqa: PLC0415 - likewise

    app = shielded(create_app(LivePlan(plan), names.base_url), access, names, lan=bound.lan)

    def ready() -> None:
        gc.freeze()  # what is loaded stays; the commands go without looking for garbage, a server must not
        gc.set_threshold(*_GARBAGE)
        gc.enable()
        if not no_browser:
            show_in_browser(names.urls()[0])

    serve(app, bound, ready=ready, exit_after=STOPPED_WITHIN)


def _stop(words: str) -> NoReturn:
    click.echo(words, err=True)
    sys.exit(2)
