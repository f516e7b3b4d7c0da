"""The demo's canvas orders of `seed_data/demo_canvas.toml`, played in by the acts of the canvas room."""

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Engine
from sqlmodel import select

from app.canvas import facts, making, plans, priced, promised, said, shown, steps
from app.canvas.materials import materials_of
from app.canvas.roll import USUAL_ROLL, read_roll
from app.canvas.rules import How
from app.estimate.facts import guard
from app.estimate.rows import works_of
from app.ground.acting import Act
from app.ground.book import reading
from app.ground.forms import Sent
from app.ground.settings import folder
from app.intake.tables import Unit, WorkOrder
from app.trade.canvas.readiness import Kind
from app.trade.typed import Texts

Acting = Callable[[str, datetime, int], Act]


@dataclass(frozen=True)
class Loft:
    """The canvas room being furnished. `act`: makes an act of a role at a time over a revision."""

    book: Engine
    act: Acting
    today: datetime

    def measure(self) -> None:
        """All canvas orders of the demo, for its folding tent trailer."""
        told = tomllib.loads((folder("seed_data") / "demo_canvas.toml").read_text())
        loft = Sent([(name, f"{text}") for name, several in told["loft"].items() for text in several])
        promised.set_loft(
            self.book, self.act("lead", self.today - timedelta(days=60), 0), promised.read_loft(loft)
        )
        with reading(self.book) as session:
            asked = select(WorkOrder.id).join(Unit).where(Unit.kind == "tent")
            tent = session.exec(asked).one()
        for each in told["order"]:
            self._order(tent or 0, each)

    def _order(self, tent: int, told: Mapping[str, Any]) -> None:
        at = self.today - timedelta(days=told["days"])
        with reading(self.book) as session:
            lines = facts.findings_about_canvas(session, tent)
            finding = next((line.id for line in lines if line.check == told.get("finding")), None)
        key = steps.open_order(self.book, self.act("writer", at, 0), tent, finding)
        steps.save_order(self.book, self.act("writer", at, 0), key, said.read_order(Texts(told["said"])))
        for each in told["part"]:
            self._part(key, each, at)
        for each in told["piece"]:
            self._piece(key, each, at)
        for each in told.get("seam", ()):
            self._seam(key, each, at)
        for kind, answers in told["answers"].items():  # the owner signs what was measured
            self._answer(key, Kind(kind), answers, at)
        if told.get("released"):
            self._release(key, at + timedelta(hours=3))
            self._lay(key, told["roll"], at + timedelta(hours=4))
        if needs := told.get("needs"):
            self._promise(key, needs, at + timedelta(hours=5))
        if work := told.get("priced"):
            self._price(tent, key, work, at + timedelta(hours=5))
        for turn, (stage, hours, note) in enumerate(told.get("made", ())):
            said_done = making.StageSaid(making.Stage(stage), hours, note)
            making.keep_stage(
                self.book, self.act("technician", at + timedelta(days=turn), turn), key, said_done
            )

    def _promise(self, order: int, needs: Mapping[str, str], at: datetime) -> None:
        """What the order needs; where it can be promised, the day that its owner is told."""
        act = self.act("writer", at, 0)
        promised.set_hours(self.book, act, order, self._hours(order, needs))
        with reading(self.book) as session:
            place = promised.place_of(session, order, at.date())
        if place.figure is None:
            return
        day = place.figure.value.promised.isoformat()
        typed = Texts({"promised": day, "how": "at the counter, with the order signed"})
        promised.tell(self.book, self.act("writer", at, 0), order, typed, at.date())

    def _hours(self, order: int, needs: Mapping[str, str]) -> promised.HoursSaid:
        """What an order needs; a material of which nothing is told is here."""
        with reading(self.book) as session:
            materials = materials_of(facts.canvas_order(session, order))
        here = {name: "0" for it in materials for name in it.fields}
        return promised.read_hours(Texts({**here, **needs}), (), materials)

    def _answer(self, order: int, kind: Kind, answers: Mapping[str, str], at: datetime) -> None:
        with reading(self.book) as session:
            (part,) = facts.canvas_order(session, order).of_kind(kind)
        texts = Texts({**shown.part_texts(part), **answers})
        act = self.act("technician", at, part.revision)
        steps.save_part(self.book, act, part.key, said.read_part(texts, kind))

    def _part(self, order: int, told: Mapping[str, str], at: datetime) -> None:
        kind = Kind(told["kind"])
        key = steps.add_part(self.book, self.act("technician", at, 0), order, kind, told["place"])
        with reading(self.book) as session:
            abouts = shown.abouts_of(facts.canvas_order(session, order).parts)
        about = next((f"{key}" for key, name in abouts.items() if name == told.get("at")), "")
        texts = Texts({**told, "at": about})
        steps.save_part(self.book, self.act("technician", at, 0), key, said.read_part(texts, kind, abouts))

    def _piece(self, order: int, told: Mapping[str, Any], at: datetime) -> None:
        with reading(self.book) as session:
            it = facts.canvas_order(session, order)
        names = {piece.name: piece.key for piece in it.pieces}
        new = said.NewPiece(
            told["name"],
            How(told["how"]),
            int(told.get("corners", 4)),
            "mm",
            names.get(told.get("mirror_of", "")),
        )
        key = steps.add_piece(self.book, self.act("technician", at, 0), order, new)
        if "typed" not in told:
            return
        measures = said.PieceSaid(told["name"], dict(told["typed"]), [])
        steps.save_measures(self.book, self.act("technician", at, 0), key, measures)
        cloth = {part.place: part.key for part in it.of_kind(Kind.CLOTH)}[told["cloth"]]
        edges = said.EdgesSaid(told.get("edges", {}), told.get("known", {}), cloth, "0", 1)
        steps.save_edges(self.book, self.act("technician", at, 1), key, edges)

    def _seam(self, order: int, told: Mapping[str, Any], at: datetime) -> None:
        with reading(self.book) as session:
            pieces = {piece.name: piece.key for piece in facts.canvas_order(session, order).pieces}
        one, other = ([f"{pieces[told[side][0]]}:{told[side][1]}"] for side in ("one", "other"))
        seam = said.SeamSaid(told["name"], one, other)
        steps.add_seam(self.book, self.act("technician", at, 0), order, seam)

    def _lay(self, order: int, roll: Mapping[str, str], at: datetime) -> None:
        with reading(self.book) as session:
            it = facts.canvas_order(session, order)
        (cloth,) = it.of_kind(Kind.CLOTH)
        texts = Texts({**USUAL_ROLL, **roll})
        plans.lay(self.book, self.act("technician", at, it.version), it, cloth, read_roll(texts))

    def _price(self, tent: int, key: int, title: str, at: datetime) -> None:
        """Name the work of the estimate that prices an order."""
        with reading(self.book) as session:
            works, seen = works_of(session, tent), guard(session, tent)
        (work,) = (it for it, row in works.items() if row.title.startswith(title))
        priced.price_order(self.book, self.act("writer", at, seen), key, priced.PriceSaid(work))

    def _release(self, order: int, at: datetime) -> None:
        with reading(self.book) as session:
            it = facts.canvas_order(session, order)
        kept = [problem.says for problem in it.holds_back]
        steps.release(self.book, self.act("lead", at, it.version), order, kept)
