// The planning view: its parts put together. What is typed is kept and looked at at once, and planned when it is sound.
import { $ } from "./api.js";
import { forget as forgetChoices } from "./choices.js";
import "./cuts.js";
import { draft, keep, onChecked, unsent } from "./drafts.js";
import { forget, note, placeOf } from "./history.js";
import { body, fill, form, lines } from "./list.js";
import { rigIs, unitsAre } from "./opening.js";
import { pointAt } from "./picture.js";
import { begin, drop, listChanges, listIs, shown, tell } from "./planning.js";
import "./rows.js";
import "./things.js";
import { clearFaults, showFaults } from "./said.js";

const PAUSE = 200; // a plan is begun when nothing was typed for so long [ms]
let timer = 0, planned = "";

function changes(key = "", wait = 120) {
  note(key);
  listChanges();
  clearTimeout(timer);
  clearFaults();
  keep(wait);
  $("#begin").hidden = true;
  body("part").toggleAttribute("data-many", lines("part").length > 14);
}

onChecked(({ list, faults, lacks }) => {
  listIs(list);
  showFaults(faults);
  if (faults.length || lacks.length) {
    if (planned && planned !== list) drop();
    planned = "";
    tell(faults.length ? "" : lacks.includes("part") ? "Type a part: a name, a width, how many." : "Type a plate that the parts are cut from.");
    return;
  }
  if (list === planned && shown?.list === list && shown.last) return;
  if (list !== planned) forgetChoices();
  planned = list;
  clearTimeout(timer);
  timer = setTimeout(begin, PAUSE);
});

const keyOf = (field) => JSON.stringify(placeOf(field)) ?? "";
form.addEventListener("input", (event) => { if (!event.target.matches("select, [type=checkbox]")) changes(keyOf(event.target)); });
form.elements.name.addEventListener("input", () => changes("name")); // it stands above the form
form.addEventListener("change", (event) => { if (event.target.matches("select, [type=checkbox]")) changes(); });
form.addEventListener("changed", () => changes("", 0));
form.addEventListener("turned", () => { unitsAre(); rigIs(); listChanges(); clearFaults(); keep(0); });
form.addEventListener("newjob", () => {
  draft.id = [...crypto.getRandomValues(new Uint8Array(8))].map((each) => each.toString(16).padStart(2, "0")).join("");
  draft.edition = 0;
});
form.addEventListener("focusin", (event) => pointAt(event.target.closest("tbody.line")));
form.addEventListener("pointerover", (event) => { const line = event.target.closest("tbody.line"); if (line) pointAt(line); });
form.addEventListener("pointerover", ({ target }) => { if (target.matches(".main-row input")) target.title = target.scrollWidth > target.clientWidth ? target.value : ""; }); // what its field cuts off

$("#example").addEventListener("click", () => {
  fill(JSON.parse($("#example-job").textContent));
  unitsAre();
  rigIs();
  changes("", 0);
  $('[data-table="part"] input').focus();
});
$("#to-plate").addEventListener("click", () => $(".sight").scrollIntoView({ block: "start" }));
window.addEventListener("pagehide", () => keep(0));

const job = JSON.parse($("#job").textContent), kept = unsent();
fill(kept ?? job);
forget();
unitsAre();
rigIs();
body("part").toggleAttribute("data-many", lines("part").length > 14);
const empty = !(kept ?? job).part?.length && !(kept ?? job).plate?.length;
$("#begin").hidden = !empty;
if (empty) { tell("Type a part: a name, a width, how many."); $('[data-table="part"] input').focus({ preventScroll: true }); } else { listChanges(); keep(0); }
