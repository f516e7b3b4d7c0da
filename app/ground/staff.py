"""What changes about the people here: role, sessions ended, leaving, coming back, a new passphrase."""

from datetime import datetime

from sqlalchemy import Engine
from sqlmodel import Session, col, select

from app.ground import people, receipts
from app.ground.acting import Act
from app.ground.book import reading, writing
from app.ground.people import Role
from app.ground.tables import Person, SignIn
from app.trade.problems import Problem, Refused


def end_sessions(book: Engine, act: Act, person_id: int) -> int:
    """Key of the person who is now signed out on every device.

    The same act again changes nothing. Raises NoResultFound where there is no such person.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        person = session.get_one(Person, person_id)
        return receipts.sign(session, act, "end sessions", person, *_ended(session, person, act.at))


def give_role(book: Engine, act: Act, person_id: int, role: Role) -> int:
    """Key of the person who now works as `role`; signed out nowhere, since each page asks for the role anew.

    What they signed before stays as it was signed. Raises Refused where it would leave the shop without a
    lead, Stale, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        person = _changed(session, act, person_id)
        if role != Role.LEAD and _last_lead(session, person):
            raise Refused([Problem("role", f"{person.name} is the only lead here", "another lead first")])
        person.role = role
        return receipts.sign(session, act, "give role", person)


def let_go(book: Engine, act: Act, person_id: int) -> int:
    """Key of the person who no longer works here: signed out everywhere, and no sign-in until taken back.

    What they recorded stays under their name. Raises Refused for the last lead, Stale, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        person = _changed(session, act, person_id)
        if _last_lead(session, person):
            raise Refused([Problem("", f"{person.name} is the only lead here", "another lead first")])
        person.active = False
        return receipts.sign(session, act, "let go", person, *_ended(session, person, act.at))


def take_back(book: Engine, act: Act, person_id: int) -> int:
    """Key of the person who works here again, with the passphrase of before. Raises Stale, NoResultFound."""
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        person = _changed(session, act, person_id)
        person.active = True
        return receipts.sign(session, act, "take back", person)


def give_passphrase(book: Engine, act: Act, person_id: int, passphrase: str) -> int:
    """Key of the person whose passphrase a lead has set anew; signed out everywhere, and no wait is left.

    `passphrase`: as read by `people.read_passphrase`. Raises Stale, NoResultFound.
    """
    hashed = people.hashed_passphrase(passphrase)
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        person = _changed(session, act, person_id)
        return _set(session, act, "give passphrase", person, hashed)


def change_passphrase(book: Engine, act: Act, old: str, new: str) -> int:
    """Key of the acting person, whose passphrase is now `new`; signed out everywhere.

    Raises Refused where `old` is not the passphrase; wrong tries count as they do at sign-in.
    """
    with reading(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        person = session.get_one(Person, act.person)
    people.prove(book, person, old, act.at, Problem("old", "This is not your passphrase of now", "that one"))
    hashed = people.hashed_passphrase(new)
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        person = session.get_one(Person, act.person)
        person.revision += 1
        return _set(session, act, "change passphrase", person, hashed)


def _changed(session: Session, act: Act, person_id: int) -> Person:
    person = session.get_one(Person, person_id)
    receipts.current(person.revision, act)
    person.revision += 1
    return person


def _set(session: Session, act: Act, verb: str, person: Person, hashed: str) -> int:
    person.passphrase_hash, person.tries, person.wait_until = hashed, 0, None
    return receipts.sign(session, act, verb, person, *_ended(session, person, act.at))


def _ended(session: Session, person: Person, at: datetime) -> list[SignIn]:
    """The person's sign-ins that were not ended yet, now ended."""
    mine = (SignIn.person_id == person.key, col(SignIn.ended_at).is_(None))
    found = list(session.exec(select(SignIn).where(*mine)))
    for each in found:
        each.ended_at = at
    return found


def _last_lead(session: Session, person: Person) -> bool:
    leads = [each for each in people.working(session) if each.role == Role.LEAD]
    return [each.key for each in leads] == [person.key]
