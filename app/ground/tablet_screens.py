"""What a tablet asks for: who is signed in, the worker that reloads pages offline, the authority to trust."""

from fastapi import APIRouter, Depends, HTTPException, Response
from fastapi.responses import JSONResponse

from app.ground.gate import ANYONE, Set, Signed
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


@router.get("/authority.crt")
def authority(settings: Set) -> Response:
    """The shop's own authority, trusted by a tablet before anybody signs in on it; 404 without one."""
    file = settings.certificates / "authority.crt"
    if not file.is_file():
        raise HTTPException(404, "The shop has no authority of its own")
    return Response(file.read_bytes(), media_type="application/x-x509-ca-cert")
