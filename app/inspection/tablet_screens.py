"""What an open page of the walk-round asks by itself: what others saved, and the forms to keep for later."""

from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Path, Query, Response

from app.ground.book import reading
from app.ground.gate import ANYONE, Book, Page
from app.inspection import news, screens
from app.inspection.walking import SUM_UP

router = APIRouter()
Key = Annotated[int, Path(ge=1, lt=2**63)]
Station = Annotated[int, Path(ge=1, le=SUM_UP)]
Number = Annotated[int, Query(ge=0, lt=2**63)]
NO_WALK = "There is no such walk-round."


@router.get("/tablet/walks/{walk_id}/news", dependencies=[Depends(ANYONE)])
def news_of_walk(walk_id: Key, book: Book, page: Page, stands: Number = 0, station: Number = 0) -> Response:
    """The walk line and the newest looks; nothing (204) where the walk stands as the tablet has it."""
    with reading(book) as session:
        if stands and news.stands(session, walk_id) == stands:
            return Response(status_code=204)
        found = news.news_of(session, walk_id)
    if found is None:
        raise HTTPException(404, NO_WALK)
    return page.show("inspection/_news", it=found, station=station)


@router.get("/tablet/walks/{walk_id}/stations/{number}", dependencies=[Depends(ANYONE)])
def station_to_keep(walk_id: Key, number: Station, book: Book, page: Page) -> Response:
    """The page of a station, for a tablet to keep while it has the network."""
    return screens.station(walk_id, number, book, page)


@router.get("/tablet/findings/{finding_id}", dependencies=[Depends(ANYONE)])
def check_to_keep(finding_id: Key, book: Book, page: Page) -> Response:
    """The page of one check, for a tablet to keep while it has the network."""
    return screens.check(finding_id, book, page)
