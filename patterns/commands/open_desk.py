"""The verb that opens the desk: a design folder as a page in the user's own browser."""

from __future__ import annotations

import shlex
from pathlib import Path

import click

from patterns.commands.options import FOLDER
from patterns.errors import RequestError

__all__ = ["desk"]


@click.command()
@click.argument("folder", type=FOLDER, required=False)
@click.option("--no-browser", is_flag=True, help="Print the address only.")
def desk(folder: Path | None, no_browser: bool) -> None:
    """Type the table and see its lines drawn.

    The page shows the table, the lines drawn from it, and every offset that the batten doubts, while you type. Each
    cell is written to the folder at once. The page comes from this computer alone and needs no network. Without a
    folder, the folder you are in is opened, or the design that was opened last.

    \b
    Examples:
      scrieve desk my_boat
      scrieve desk
    """
    from patterns.desk.opened import last_opened, opened

    room = Path(click.get_app_dir("scrieve")) / "desks"
    if folder is None:
        folder = Path() if (Path() / "design.toml").is_file() else last_opened(room)
    if folder is None:
        raise RequestError("name a design folder; a new one is made by scrieve start my_boat")
    if not (folder / "design.toml").is_file():
        named = shlex.quote(str(folder))
        raise RequestError(f"{folder}: holds no design.toml; a new design is made by scrieve start {named}")

    def show(address: str, *, running: bool) -> None:
        is_open = "is open already" if running else "is open"
        click.echo(f"The desk of {folder} {is_open}: {address}")
        if not running:
            click.echo("Keep this address to yourself. Ctrl-C closes the desk.")
        if not no_browser:
            import webbrowser

            webbrowser.open(address)

    opened(folder, room=room, show=show)
