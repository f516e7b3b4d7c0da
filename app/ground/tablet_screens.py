"""What a tablet asks by itself: who is signed in, and the worker that reloads pages without the network."""

from fastapi import APIRouter, Depends, Response
from fastapi.responses import JSONResponse

from app.ground.gate import ANYONE, Signed
from app.ground.settings import folder
from app.ground.sheets import ASK

router = APIRouter()


@router.get("/tablet/me", dependencies=[Depends(ANYONE)])
def me(who: Signed) -> Response:
    """Who is signed in, with the token for forms that waited on the tablet."""
    return JSONResponse({"person": who.id, "name": who.name, "token": who.form_token})


@router.get("/tablet-worker.js")
def worker() -> Response:
    """The service worker: it may answer for the whole shop, so it stands at the root."""
    script = (folder("static") / "js" / "tablet-worker.js").read_text()
    return Response(script, media_type="text/javascript", headers={"Cache-Control": ASK})
