"""People who work here: the first account, sign-in with a passphrase, sessions that the server can end."""

import hashlib
import hmac
import secrets
from collections.abc import Collection, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from functools import cache
from math import ceil

from argon2 import PasswordHasher
from argon2.exceptions import VerificationError
from sqlalchemy import Engine
from sqlalchemy.exc import OperationalError
from sqlmodel import Session, col, select

from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import reading, writing
from app.ground.tables import Person, Shop, SignIn
from app.trade.problems import Problem, Refused
from app.trade.typed import Reader, Typed

NO_ROLE = "The role is missing"
LONG_ENOUGH = 15  # NIST SP 800-63B-4: a passphrase that stands alone
IDLE = timedelta(minutes=30)
LONGEST = timedelta(hours=12)
FREE_TRIES = 5
_hasher = PasswordHasher(time_cost=2, memory_cost=19 * 1024, parallelism=1)  # OWASP password storage


class Role(StrEnum):
    """What a person does here; a lead also administers."""

    TECHNICIAN = "technician"
    WRITER = "writer"
    LEAD = "lead"


@dataclass(frozen=True)
class Who:
    """The person behind a request, and the sign-in that proves it."""

    id: int
    name: str
    role: Role
    sign_in: int
    form_token: str
    device: str = ""


@dataclass(frozen=True)
class NewPerson:
    """A person as a form describes one, read and found possible."""

    name: str
    role: Role
    passphrase: str


def read_person(typed: Typed, taken: Collection[str] = ()) -> NewPerson:
    """The person that stands in a form; raises Refused with every problem. `taken`: names with an account."""
    read = Reader(typed)
    role = read.choice("role", Role, required=NO_ROLE)
    person = person_in(read, role or Role.TECHNICIAN)
    if person.name in taken:
        read.problems.append(_taken(person.name))
    read.done()
    return person


def person_in(read: Reader, role: Role) -> NewPerson:
    """The person of that role in a form of which more is read; problems go to the reader."""
    return NewPerson(read.text("name", required="The name is missing", most=60), role, read_passphrase(read))


def read_role(typed: Typed) -> Role:
    """The role that stands in a form; raises Refused where none does."""
    read = Reader(typed)
    role = read.choice("role", Role, required=NO_ROLE)
    read.done()
    assert role is not None
    return role


def read_passphrase(read: Reader) -> str:
    """The new passphrase that stands twice in a form, 15 to 200 characters; problems go to the reader."""
    passphrase = read.typed.get("passphrase")
    if len(passphrase) < LONG_ENOUGH:
        read.wrong(
            "passphrase", "This is too short", f"at least {LONG_ENOUGH} characters, such as four words"
        )
    if len(passphrase) > 200:
        read.wrong("passphrase", "This is too long", "at most 200 characters")
    if passphrase != read.typed.get("again"):
        read.wrong("again", "The two do not match", "the same passphrase twice")
    return passphrase


def hashed_passphrase(passphrase: str) -> str:
    """What is kept of a passphrase: its Argon2id hash with a salt of its own."""
    return _hasher.hash(passphrase)


def nobody_yet(book: Engine) -> bool:
    """Whether the shop has no account at all, so that the first page asks for one."""
    with reading(book) as session:
        return session.exec(select(Person.id).limit(1)).first() is None


def open_shop(book: Engine, act: Act, shop: Shop, person: NewPerson) -> int:
    """Keep the shop with its first account, a lead; returns the person's key.

    Raises Refused where there is an account already.
    """
    with writing(book) as session:
        if session.exec(select(Person.id).limit(1)).first() is not None:
            raise Refused([Problem("name", "This shop has its first account already", "signing in")])
        session.add(shop)
        return receipts.sign(session, act, "open shop", _row(person, act.at), shop)


def add_person(book: Engine, act: Act, person: NewPerson) -> int:
    """Keep one more account; returns its key. Raises Refused where the name is taken."""
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        if session.exec(select(Person.id).where(Person.name == person.name)).first() is not None:
            raise Refused([_taken(person.name)])
        return receipts.sign(session, act, "add person", _row(person, act.at))


def _taken(name: str) -> Problem:
    return Problem("name", f"{name} has an account already", "another name")


def _row(person: NewPerson, at: datetime) -> Person:
    hashed = hashed_passphrase(person.passphrase)
    return Person(created_at=at, name=person.name, role=person.role, passphrase_hash=hashed)


def sign_in(book: Engine, name: str, passphrase: str, device: str, at: datetime) -> str:
    """A new random cookie for a person who knows the passphrase; raises Refused otherwise."""
    with reading(book) as session:
        person = session.exec(select(Person).where(Person.name == name)).one_or_none()
    no = Problem("passphrase", "Name and passphrase do not match", "the two as they were set")
    return _begin(book, prove(book, person, passphrase, at, no), device, at)


def prove(book: Engine, person: Person | None, passphrase: str, at: datetime, no: Problem) -> int:
    """Key of the person whose passphrase this is; raises Refused with `no`, in as much time, where it is not.

    After five wrong tries in a row the wait doubles from 30 seconds to an hour; it outlives a restart.
    """
    if person and person.wait_until and at < person.wait_until:
        seconds = ceil((person.wait_until - at).total_seconds())
        raise Refused([Problem(no.field, "Too many wrong tries", f"the next try in {seconds} seconds")])
    right = _matches(person.passphrase_hash if person else _nobody(), passphrase)
    if person and person.active and right:
        return person.key
    if person:
        _count_try(book, person.key, at)
    raise Refused([no])


@cache
def _nobody() -> str:
    """A hash to compare with where the name is unknown, so that the answer takes as long."""
    return _hasher.hash(secrets.token_hex(16))


def _matches(hashed: str, passphrase: str) -> bool:
    try:
        return _hasher.verify(hashed, passphrase)
    except VerificationError:
        return False


def _count_try(book: Engine, person_id: int, at: datetime) -> None:
    with writing(book) as session:
        person = session.get_one(Person, person_id)
        person.tries += 1
        if person.tries >= FREE_TRIES:
            doublings = min(person.tries - FREE_TRIES, 7)
            person.wait_until = at + timedelta(seconds=min(30 * 2**doublings, 3600))
        session.add(person)


def _begin(book: Engine, person_id: int, device: str, at: datetime) -> str:
    cookie = secrets.token_urlsafe(32)
    with writing(book) as session:
        person = session.get_one(Person, person_id)
        person.tries, person.wait_until = 0, None
        session.add(person)
        session.add(
            SignIn(
                created_at=at,
                person_id=person_id,
                cookie_hash=hashed_cookie(cookie),
                form_token=secrets.token_urlsafe(24),
                device=device[:80],
                used_at=at,
                ends_at=at + LONGEST,
            )
        )
    return cookie


def hashed_cookie(cookie: str) -> str:
    """What is kept of a cookie: its SHA-256, so that the book alone signs nobody in."""
    return hashlib.sha256(cookie.encode()).hexdigest()


def who(book: Engine, cookie: str, at: datetime, *, used: bool = True) -> Who | None:
    """The person signed in by a cookie, or None where it is unknown, ended, idle too long or too old.

    `used` False: nobody is at the page that asks, so that asking keeps no sign-in awake.
    """
    if not cookie:
        return None
    with reading(book) as session:
        found = session.exec(
            select(SignIn, Person)
            .join(Person, col(SignIn.person_id) == col(Person.id))
            .where(SignIn.cookie_hash == hashed_cookie(cookie))
        ).one_or_none()
    if found is None or not _open(*found, at):
        return None
    signed, person = found
    if used and at - signed.used_at > timedelta(minutes=1):
        with suppress(OperationalError):  # a full disk must not close the pages that can still be read
            _use(book, signed.key, at)
    return Who(person.key, person.name, Role(person.role), signed.key, signed.form_token, signed.device)


def _open(signed: SignIn, person: Person, at: datetime) -> bool:
    return person.active and signed.ended_at is None and at < signed.ends_at and at - signed.used_at < IDLE


def signed_in(session: Session, person: Person, at: datetime) -> list[SignIn]:
    """The devices on which a person is signed in, the newest sign-in first."""
    mine = select(SignIn).where(SignIn.person_id == person.key).order_by(col(SignIn.id).desc())
    return [signed for signed in session.exec(mine) if _open(signed, person, at)]


def _use(book: Engine, sign_in_id: int, at: datetime) -> None:
    with writing(book) as session:
        signed = session.get_one(SignIn, sign_in_id)
        signed.used_at = at
        session.add(signed)


def sign_out(book: Engine, sign_in_id: int, at: datetime) -> None:
    """End one sign-in on the server."""
    with writing(book) as session:
        signed = session.get_one(SignIn, sign_in_id)
        signed.ended_at = at
        session.add(signed)


def same(token: str, expected: str) -> bool:
    """Whether two tokens are equal, compared in constant time."""
    return hmac.compare_digest(token.encode(), expected.encode())


def form_is_of(book: Engine, who: Who, token: str, at: datetime) -> bool:
    """Whether a form's token was given to this person: now, or by a sign-in that only ran out.

    So a form that stood open while a session ran out can be saved after a new sign-in, with what was typed.
    A sign-in that was ended counts no more, nor one that began more than a day ago.
    """
    if same(token, who.form_token):
        return True
    mine = (SignIn.person_id == who.id, col(SignIn.ended_at).is_(None), SignIn.created_at > at - timedelta(1))
    with reading(book) as session:
        earlier = session.exec(select(SignIn.form_token).where(*mine)).all()
    return any(same(token, each) for each in earlier)


def known(session: Session) -> set[str]:
    """Names that have an account, of people who left too."""
    return set(session.exec(select(Person.name)))


def names(session: Session) -> Mapping[int, str]:
    """Names of all people by key, for papers and pages."""
    return {person.key: person.name for person in session.exec(select(Person))}


def working(session: Session) -> list[Person]:
    """The people who work here now, by name."""
    return list(session.exec(select(Person).where(Person.active).order_by(col(Person.name))))


def several(session: Session) -> bool:
    """Whether the shop has two people or more, so that a second person can be asked for."""
    return len(working(session)) > 1
