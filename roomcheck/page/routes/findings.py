"""What is wrong, and the documents."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from roomcheck.page.base.guard import paper_policy
from roomcheck.page.base.work import TASKS, Task
from roomcheck.page.routes.asked import home_of, visit_of, wants_part
from roomcheck.page.routes.host import JOB, Host


@dataclass(frozen=True)
class FindingsRoutes:
    """The reading page of a visit, long work, and the documents."""

    host: Host

    def routes(self) -> list[Route]:
        return [
            Route(f"{JOB}/findings", self.findings),
            Route(f"{JOB}/task/{{task}}", self.work, methods=["POST"]),
            Route(f"{JOB}/documents/{{file}}", self.document),
        ]

    def findings(self, request: Request) -> Response:
        from roomcheck.chain import open_job
        from roomcheck.page.places.findings import findings_page

        name, folder = self.host.name_and_folder(request)
        visit = visit_of(request)
        chain = open_job(folder)
        page = self.host.memory.of(
            ("findings", name, visit), folder, lambda: findings_page(chain, visit)
        )
        works = self.host.works
        task: Task = "findings-after" if visit == "after" else "findings-before"
        problem = works.problems.get(f"{name} {task}", "")
        if not page.ready and chain.has_takes(visit) and not problem:
            works.start(name, folder, task)
        return self.host.show_place(
            request,
            "findings",
            chain.job,
            page=page,
            visit=visit,
            task=task,
            has_takes=chain.has_takes(visit),
            doing=works.doing(name),
            problem=problem,
            documents=documents_of(folder),
        )

    def work(self, request: Request) -> Response:
        """Begin a long task, or the same again after a problem."""
        name, folder = self.host.name_and_folder(request)
        task = request.path_params["task"]
        if task not in TASKS:
            return self.host.nothing(request)
        self.host.works.start(name, folder, task)
        if wants_part(request):
            return JSONResponse({"started": task})
        return RedirectResponse(f"{home_of(name)}/findings", 303)

    def document(self, request: Request) -> Response:
        """One of the job's documents, by its name in the list, never by a path."""
        _, folder = self.host.name_and_folder(request)
        listed_files = {path.name: path for path in papers_in(folder)}
        path = listed_files.get(request.path_params["file"])
        if path is None:
            return self.host.nothing(request)
        policy = _own_policy() if path.suffix == ".html" else {}
        way = "attachment" if "save" in request.query_params else "inline"
        return FileResponse(path, headers=policy, content_disposition_type=way, filename=path.name)


def documents_of(folder: Path) -> tuple[Path, ...]:
    """The documents that lie in the job's folder, to be printed."""
    return tuple(sorted((folder / "documents").glob("*.pdf")))


def papers_in(folder: Path) -> tuple[Path, ...]:
    """The same, and each as a page by itself."""
    return (*documents_of(folder), *sorted((folder / "documents").glob("*.html")))


def _own_policy() -> dict[str, str]:
    """What a document's page may do: play its own sounds, and nothing else."""
    from roomcheck.report import player_script

    return {"Content-Security-Policy": paper_policy(f"\n{player_script()}")}
