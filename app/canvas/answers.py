"""How a form of the canvas room is answered: by the page it leads to, or its own page with what was typed."""

from collections.abc import Callable

from fastapi import Response

from app.ground.forms import Filled, Sent, again
from app.ground.pages import Pages
from app.ground.receipts import Stale
from app.trade.problems import Refused

Step = Callable[[], object]
Show = Callable[[Filled, int], Response]


def answered(
    page: Pages, typed: Sent, step: Step, show: Show, too_late: Callable[[Stale], Filled], to: str
) -> Response:
    """Do one act and go on to the page `to`.

    `show`: the form's page with the form as given and a status. What was refused stays in the form with what
    is wrong beside each field (422); what came too late becomes the form of `too_late` (409).
    """
    try:
        step()
    except Refused as refused:
        return show(again(typed, refused.problems), 422)
    except Stale as stale:
        return show(too_late(stale), 409)
    return page.go(to)
