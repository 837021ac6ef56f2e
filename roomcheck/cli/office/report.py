"""roomcheck report JOB: every document that the job allows."""

from __future__ import annotations

import argparse

from roomcheck.cli.office.verify import add_compare_anyway
from roomcheck.cli.progress import opened
from roomcheck.cli.terminal import Subparsers, add_command, show, show_json
from roomcheck.errors import RoomcheckError

_SCENE = "scene"
"""What `--only` calls the room in space; it is made by itself."""


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "report",
        run,
        what="the documents and result files that the job allows, and what is missing for the rest",
        example="roomcheck report harbour-room",
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument(
        "--plan", type=int, metavar="N", help="to draw (default: the signed one, else the target's)"
    )
    parser.add_argument(
        "--only",
        metavar="NAME",
        action="append",
        default=[],
        help="only this document: proposal, quote, before-and-after, …; or scene: the room in "
        "space as glTF, for programs that show such files; may be given again",
    )
    parser.add_argument(
        "--for",
        dest="audience",
        choices=("client", "architect", "shop"),
        help="only what a client decides on, what an architect checks (with the values as tables), "
        "or what the shop builds by",
    )
    parser.add_argument(
        "--source",
        action="store_true",
        help="keep each document's source (Typst) beside it, for changing it by hand",
    )
    add_compare_anyway(parser)


def run(args: argparse.Namespace) -> int:
    if args.only == [_SCENE]:
        return _scene(args)
    only = tuple(name.removesuffix(".pdf") for name in args.only)
    _check_names(only)
    chain = opened(args.job, args.plan, compare_anyway=args.compare_anyway)
    if only or args.audience or args.source:
        from roomcheck.report import Choice

        choice = Choice(only=only, audience=args.audience, source=args.source)
        documents = chain.documents_of(choice)
    else:
        documents = chain.documents
    if args.json:
        return show_json(documents)
    from roomcheck.report import files_written

    show(files_written(documents.files, documents.lacking))
    return 0


def _check_names(only: tuple[str, ...]) -> None:
    """Refuse what no job has a document of, before anything is worked out."""
    from roomcheck.report import DOCUMENTS

    for name in only:
        if name == _SCENE:
            raise RoomcheckError(
                f"--only {_SCENE} stands alone; ask for the documents by themselves"
            )
        if name not in DOCUMENTS:
            raise RoomcheckError(
                f"no document is called {name!r}; choose among {', '.join((*DOCUMENTS, _SCENE))}"
            )


def _scene(args: argparse.Namespace) -> int:
    """Write the room with the pieces of its plan as a file for other programs."""
    from roomcheck.report import files_written, scene_glb, write_files
    from roomcheck.scene import scene

    chain = opened(args.job, args.plan)
    planned = chain.agreement is not None or chain.has_takes("before")
    built = scene(chain.job, chain.plan.pieces if planned else ())
    data = scene_glb(built, chain.job.title)
    files = write_files(chain.job.folder, [("documents/room-in-space.glb", data)])
    if args.json:
        return show_json({"files": files})
    show(files_written(files, ()))
    return 0
