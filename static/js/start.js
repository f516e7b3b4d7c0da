// Starts the small modules that a page asks for. Without any of this every form still posts.
import { start as digitPad } from "./digit-pad.js";
import { start as light } from "./light.js";
import { start as told } from "./told.js";
import { start as focus } from "./focus.js";
import { start as signature } from "./signature.js";
import { start as agreed } from "./agreed.js";
import { start as photos } from "./photos.js";
import { start as outbox } from "./outbox.js";
import { start as news } from "./news.js";
import { start as star } from "./star.js";
import { start as photoMarks } from "./photo-marks.js";

light(document.querySelectorAll(".light input"));
told(document);
focus(document);
outbox(document);
news(document);

function within(root) {
  root.querySelectorAll("form:has(.walk-pad)").forEach(digitPad);
  root.querySelectorAll("[data-signature]").forEach(signature);
  root.querySelectorAll("form[data-agreed]").forEach(agreed);
  root.querySelectorAll("[data-photos]").forEach(photos);
  root.querySelectorAll("form[data-star]").forEach(star);
  root.querySelectorAll("[data-photo-marks]").forEach(photoMarks);
}

within(document);
document.addEventListener("htmx:after:swap", ({ target }) => within(target.parentElement ?? document));
