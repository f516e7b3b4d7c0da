"""Letters on their way: each is given to the mail server beside the requests, which wait a moment at most."""

import logging
import threading
from dataclasses import replace

from sqlalchemy import Engine

from app.ground.acting import Act, now
from app.post.rules import Outcome, Told
from app.post.sending import deliver
from app.post.server import MailServer
from app.post.steps import end_mailing

MOMENT = 2.0  # seconds that a request waits for the mail server before it shows the letter as on its way
GOODBYE = 5.0  # seconds that a program which is stopped waits for them
LOG = logging.getLogger("castlenut")


class Outgoing:
    """The letters of one running program that are on their way.

    What was under way when the program was stopped stays in the book without an end: nobody knows.
    """

    def __init__(self, book: Engine, moment: float = MOMENT) -> None:
        self.moment = moment
        self._book = book
        self._lock = threading.Lock()
        self._threads: dict[int, threading.Thread] = {}

    def underway(self) -> frozenset[int]:
        """Keys of the mailings that are on their way; asked before the book is read."""
        with self._lock:
            return frozenset(self._threads)

    def give(self, act: Act, mailing_id: int, server: MailServer, receiver: str, message: bytes) -> None:
        """Give a message to the mail server, and wait a moment for what comes of it."""
        thread = threading.Thread(
            target=self._give, args=(act, mailing_id, server, receiver, message), daemon=True
        )
        with self._lock:
            self._threads[mailing_id] = thread
        thread.start()
        thread.join(self.moment)

    def _give(self, act: Act, mailing_id: int, server: MailServer, receiver: str, message: bytes) -> None:
        try:
            told = self._told(server, receiver, message)
            end_mailing(self._book, replace(act.part("end"), at=now()), mailing_id, told)
        except Exception:
            LOG.exception("what came of mailing %s was not kept", mailing_id)
        finally:
            with self._lock:
                del self._threads[mailing_id]

    def _told(self, server: MailServer, receiver: str, message: bytes) -> Told:
        try:
            return deliver(server, receiver, message)
        except Exception:
            LOG.exception("a letter met an error")
            return Told(Outcome.UNKNOWN, "the program met an error")

    def close(self) -> None:
        """Wait a little for what is on its way."""
        with self._lock:
            threads = list(self._threads.values())
        for thread in threads:
            thread.join(GOODBYE)
