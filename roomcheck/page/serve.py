"""Start the server on this computer alone, open the browser, end with Ctrl-C."""

from __future__ import annotations

import contextlib
import socket
import threading
import webbrowser
from collections.abc import Callable
from pathlib import Path

from roomcheck.errors import RoomcheckError
from roomcheck.page.base.folder import Folder
from roomcheck.page.base.guard import Keys
from roomcheck.page.server import Server

HOST = "127.0.0.1"


def serve(
    folder: Path | str = ".",
    *,
    port: int = 0,
    browser: bool = True,
    tell: Callable[[str, str], None] = lambda _address, text: print(text),
) -> None:
    """Show a job, or the jobs of a folder, in a browser until somebody stops it.

    Parameters
    ----------
    folder : Path or str
        A job's folder, or one that holds jobs.
    port : int
        On 127.0.0.1; 0 for any that is free.
    browser : bool
        Open the system's browser.
    tell : callable
        Gets the address, and a text that says what to do with it.

    Raises
    ------
    RoomcheckError
        The folder is none, or the port is taken.
    """
    import uvicorn

    path = Path(folder).absolute()
    if not path.is_dir():
        raise RoomcheckError(f"{path}: there is no such folder; make it first, or name another")
    listening = _listen(port)
    keys = Keys(port=listening.getsockname()[1])
    server = Server(Folder(path), keys)
    config = uvicorn.Config(
        server.app(), log_level="error", access_log=False, server_header=False, lifespan="on",
        timeout_graceful_shutdown=1,
    )  # fmt: skip
    address = f"http://{HOST}:{keys.port}/key/"
    printed = f"{address}{keys.address}"
    tell(
        printed,
        f"{path.name} is open at {printed}\n"
        "Keep this window open while you work; end with Ctrl-C. Everything is saved as you go.",
    )
    if browser:
        opened = f"{address}{keys.launch}"
        threading.Timer(0.2, lambda: _open(opened)).start()
    with contextlib.suppress(KeyboardInterrupt):
        uvicorn.Server(config).run(sockets=[listening])


def _open(address: str) -> None:
    with contextlib.suppress(webbrowser.Error):
        webbrowser.open(address)


def _listen(port: int) -> socket.socket:
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((HOST, port))
    except OSError as problem:
        listening.close()
        raise RoomcheckError(
            f"port {port} cannot be used ({problem.strerror}); leave --port out and a free one "
            "is taken"
        ) from problem
    listening.listen(256)
    return listening
