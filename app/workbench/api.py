"""The figures as JSON: the list, one figure worked out, and their OpenAPI description."""

from collections.abc import Mapping
from functools import cache
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Header, HTTPException, Request, Response
from fastapi.openapi.utils import get_openapi
from fastapi.responses import JSONResponse
from pydantic import ValidationError

from app.ground import people
from app.ground.acting import now
from app.ground.forms import Sent
from app.ground.gate import ANYONE, Page, Signed
from app.ground.words import local
from app.trade.problems import Problem, Refused
from app.trade.typed import Texts, Typed
from app.workbench import model, rules
from app.workbench.entry import Field, Figure
from app.workbench.registry import all_figures

router = APIRouter()
AT = "/api/figures"
NOT_AN_OBJECT = Problem("", "What was sent is not a JSON object", 'such as {"studs": 6}')


def known(key: str) -> Figure:
    """The figure of a key; 404 where there is none."""
    if key not in all_figures():
        raise HTTPException(404, "There is no such figure.")
    return all_figures()[key]


Known = Annotated[Figure, Depends(known)]


def with_token(who: Signed, x_token: Annotated[str, Header()] = "") -> None:
    """Let through what comes with the session's own token in the header `X-Token`; 403 otherwise."""
    if not people.same(x_token, who.form_token):
        raise HTTPException(403, "The header X-Token is not this session's. Open a page anew.")


async def body(request: Request) -> object:
    """The JSON that was sent, None where it is none."""
    try:
        return await request.json()
    except (ValueError, RecursionError):
        return None


@router.get(AT, dependencies=[Depends(ANYONE)])
def list_figures() -> model.ListJson:
    """All figures of the trade by key, with their titles."""
    return model.ListJson(figures=[model.figure_json(each) for each in all_figures().values()])


@router.get(f"{AT}/openapi.json", dependencies=[Depends(ANYONE)])
def openapi() -> Response:
    """The OpenAPI description of every figure."""
    return JSONResponse(described())


@router.get(f"{AT}/{{key}}", dependencies=[Depends(ANYONE)])
def ask_figure(figure: Known, request: Request, page: Page) -> Response:
    """What a figure asks for, as a JSON schema."""
    return _answered(figure, Sent(request.query_params.multi_items()), page)


@router.post(f"{AT}/{{key}}", dependencies=[Depends(ANYONE), Depends(with_token)])
def work_out_figure(figure: Known, sent: Annotated[object, Depends(body)], page: Page) -> Response:
    """A figure worked out from what was sent; 422 with each problem beside its field."""
    try:
        return _answered(figure, Texts(_texts(figure, sent)), page)
    except Refused as refused:
        return _refused(refused)


def _answered(figure: Figure, typed: Typed, page: Page) -> Response:
    try:
        found = rules.answer(figure, typed, local(now(), page.zone).date())
    except Refused as refused:
        return _refused(refused)
    told = [model.worked_json(each) for each in found.figures]
    answer = model.AnswerJson(key=figure.key, title=figure.title, figures=told)
    return JSONResponse(answer.model_dump(mode="json"))


def _refused(refused: Refused) -> Response:
    told = [model.problem_json(each) for each in refused.problems]
    return JSONResponse(model.ProblemsJson(problems=told).model_dump(mode="json"), 422)


def _texts(figure: Figure, sent: object) -> Mapping[str, str]:
    """What was sent as texts by field; raises Refused where it is not of the figure's model."""
    try:
        checked = model.model_of(figure.key, figure).model_validate(sent)
    except ValidationError as wrong:
        raise Refused(_problems(figure, wrong)) from None
    return model.texts_of(checked.model_dump(by_alias=True))


def _problems(figure: Figure, wrong: ValidationError) -> list[Problem]:
    """Each wrong field once, in words; what is wrong with the whole has no field."""
    named = {str(each["loc"][0]): each["type"] for each in wrong.errors() if each["loc"]}
    return [_problem(figure, name, why) for name, why in named.items()] or [NOT_AN_OBJECT]


def _problem(figure: Figure, name: str, why: str) -> Problem:
    field = figure.field_of(name)
    if field is None:
        says = "This figure has no such field" if why == "extra_forbidden" else "This is not of its kind"
        shown = model.text_of(name)[:60]
        return Problem(shown, says, ", ".join(each.name for each in figure.fields) or "no field")
    says = f"{field.label} is missing" if why == "missing" else "This is not of its kind"
    return Problem(name, says, f"{field.kind.value}: {field.accepts}")


# OpenAPI


@cache
def described() -> dict[str, Any]:
    """The OpenAPI description: every figure is a path of its own, with its model and its answers."""
    made = APIRouter()
    made.add_api_route(AT, list_figures, methods=["GET"], summary="All figures")
    for figure in all_figures().values():
        _describe(made, figure)
    return get_openapi(
        title="Figures of the workbench",
        version="1",
        description=(
            "Every figure of the trade by itself. Signed-in people only: the session's cookie, and for POST "
            "the session's form token in the header X-Token, from the same origin."
        ),
        routes=made.routes,
    )


def _describe(made: APIRouter, figure: Figure) -> None:
    path = f"{AT}/{figure.key}"
    told: dict[str, Any] = {
        "response_model": model.AnswerJson,
        "responses": {422: {"model": model.ProblemsJson, "description": "What is wrong, by field"}},
        "summary": figure.title,
        "description": figure.says,
        "tags": [figure.section],
    }
    queries = {"parameters": [parameter for each in figure.fields for parameter in _parameters(each)]}
    made.add_api_route(
        path, _nothing, methods=["GET"], operation_id=f"ask-{figure.key}", openapi_extra=queries, **told
    )
    made.add_api_route(path, _taking(figure), methods=["POST"], operation_id=f"work-out-{figure.key}", **told)


def _parameters(field: Field) -> list[dict[str, Any]]:
    schema: dict[str, Any] = {"type": "string"}
    if field.options:
        schema["enum"] = [value for value, _ in field.options]
    told = {"description": f"{field.label}: {field.accepts}", "example": field.example}
    found = [{"name": field.name, "in": "query", "required": field.needed, "schema": schema, **told}]
    if len(field.units) > 1:
        units = {"type": "string", "enum": list(field.units), "default": field.unit}
        found.append({"name": f"{field.name}-unit", "in": "query", "required": False, "schema": units})
    return found


def _nothing() -> None:
    """Stands for the route of a figure in the description."""


def _taking(figure: Figure) -> Any:  # noqa: ANN401 - a function whose annotation is made from the figure
    """A function that takes the figure's model and the token, for the description."""

    def take(sent: Any, x_token: Annotated[str, Header()]) -> None:  # noqa: ANN401 - set below
        """Stands for the route of a figure in the description."""

    take.__annotations__["sent"] = model.model_of(figure.key, figure)
    return take
