// Starts the small modules that a page asks for. Without any of this every form still posts.
import { start as digitPad } from "./digit-pad.js";
import { start as light } from "./light.js";
import { start as told } from "./told.js";
import { start as focus } from "./focus.js";
import { start as signature } from "./signature.js";
import { start as agreed } from "./agreed.js";
import { start as photos } from "./photos.js";

light(document.querySelectorAll(".light input"));
told(document);
focus(document);

function within(root) {
  root.querySelectorAll("form:has(.walk-pad)").forEach(digitPad);
  root.querySelectorAll("[data-signature]").forEach(signature);
  root.querySelectorAll("form[data-agreed]").forEach(agreed);
  root.querySelectorAll("[data-photos]").forEach(photos);
}

within(document);
document.addEventListener("htmx:after:swap", ({ target }) => within(target.parentElement ?? document));
