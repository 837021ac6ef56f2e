"""Start the server on this computer, open the browser, end with Ctrl-C; telephones on request."""

from __future__ import annotations

import asyncio
import contextlib
import io
import logging
import socket
import sys
import tempfile
import threading
import webbrowser
from collections.abc import Callable
from pathlib import Path
from typing import Any

from roomcheck.errors import RoomcheckError
from roomcheck.page.base.folder import Folder
from roomcheck.page.base.guard import Keys, new_key
from roomcheck.page.server import Server

HOST = "127.0.0.1"
TURN_S = 0.0005
"""After so long the interpreter goes on with another answer. An answer gives its turn away at every
file that it opens, dozens of times: at Python's own 5 ms it waits that long each time. [s]"""


def serve(
    folder: Path | str = ".",
    *,
    port: int = 0,
    browser: bool = True,
    phone: bool = False,
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
    phone : bool
        Listen on the local network too, over TLS: a telephone that scans the code may measure.
    tell : callable
        Gets the address, and a text that says what to do with it.

    Raises
    ------
    RoomcheckError
        The folder is none, the port is taken, or there is no network for a telephone.
    """
    path = Path(folder).absolute()
    if not path.is_dir():
        raise RoomcheckError(f"{path}: there is no such folder; make it first, or name another")
    sys.setswitchinterval(TURN_S)
    logging.getLogger("uvicorn.error").addFilter(_no_end_of_a_stream)
    with contextlib.ExitStack() as stack:
        own = stack.enter_context(_listen(HOST, port))
        keys = Keys(port=own.getsockname()[1], phone=new_key() if phone else None)
        server = Server(Folder(path), keys)
        servers = [(_config(server.app()), own)]
        text = _invitation(path, keys)
        if phone:
            config, listening, more = _for_phones(server, stack)
            servers.append((config, listening))
            text = f"{text}\n{more}"
        tell(f"http://{HOST}:{keys.port}/key/{keys.address}", text)
        if browser:
            opened = f"http://{HOST}:{keys.port}/key/{keys.launch}"
            threading.Timer(0.2, lambda: _open(opened)).start()
        with contextlib.suppress(KeyboardInterrupt):
            asyncio.run(_run(servers))


def _no_end_of_a_stream(record: logging.LogRecord) -> bool:
    """Drop what is logged where the server's end cuts off a window that listens."""
    cut = record.exc_info is not None and record.exc_info[0] is asyncio.CancelledError
    return not cut and "graceful shutdown" not in record.getMessage()


def _invitation(path: Path, keys: Keys) -> str:
    return (
        f"{path.name} is open at http://{HOST}:{keys.port}/key/{keys.address}\n"
        "Keep this window open while you work; end with Ctrl-C. Everything is saved as you go."
    )


def _config(app: Any, **more: Any) -> Any:
    import uvicorn

    return uvicorn.Config(
        app, log_level="error", access_log=False, server_header=False, lifespan="auto",
        timeout_graceful_shutdown=1, **more,
    )  # fmt: skip


def _for_phones(server: Server, stack: contextlib.ExitStack) -> tuple[Any, socket.socket, str]:
    """The second door, over TLS, and what is said of it."""
    import segno

    from roomcheck.page.base.certificate import local_address, make_certificate

    address = local_address()
    if address is None:
        raise RoomcheckError(
            "there is no local network for a telephone; join one, or make the telephone's own "
            "hotspot, then start again"
        )
    listening = stack.enter_context(_listen(address, 0))
    port = listening.getsockname()[1]
    folder = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="roomcheck-")))
    made = make_certificate(address, folder)
    server.phone_root, server.fingerprint = f"https://{address}:{port}", made.fingerprint
    app = server.app(frozenset({f"{address}:{port}"}), phones=True)
    config = _config(app, ssl_certfile=str(made.certificate), ssl_keyfile=str(made.key))
    drawn = io.StringIO()
    segno.make(server.phone_address(), error="l").terminal(out=drawn, compact=True)
    text = (
        f"{drawn.getvalue()}"
        "Scan this with a telephone in the same network: it may measure, answer and stop, tick "
        "what is done, and type what was found; it can sign nothing, change no money, and play "
        "nothing louder.\n"
        "Its browser warns once, because nobody vouches for this computer. Go on only where the "
        f"certificate's SHA-256 fingerprint is\n{made.fingerprint}"
    )
    return config, listening, text


async def _run(servers: list[tuple[Any, socket.socket]]) -> None:
    """Serve at all doors until the first one ends; then close the others."""
    import uvicorn

    running = [uvicorn.Server(config) for config, _ in servers]
    tasks = [
        asyncio.create_task(one.serve(sockets=[listening]))
        for one, (_, listening) in zip(running, servers, strict=True)
    ]
    await asyncio.wait(tasks, return_when=asyncio.FIRST_COMPLETED)
    for one in running:
        one.should_exit = True
    await asyncio.gather(*tasks)


def _open(address: str) -> None:
    with contextlib.suppress(webbrowser.Error):
        webbrowser.open(address)


def _listen(host: str, port: int) -> socket.socket:
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, port))
    except OSError as problem:
        listening.close()
        raise RoomcheckError(
            f"port {port} cannot be used ({problem.strerror}); leave --port out and a free one "
            "is taken"
        ) from problem
    listening.listen(256)
    return listening
