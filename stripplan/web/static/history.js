// Undo and redo of edits: what the list was before each, the last hundred.
import { $ } from "./api.js";
import { fill, form, KINDS, lines, read } from "./list.js";

const MOST = 200, TOGETHER = 1200; // typing in one field without a pause of so long [ms] is one edit
let past = [], at = -1, last = { key: "", time: 0 };

const text = (job) => JSON.stringify(job);

function show() {
  $("#undo").disabled = at <= 0;
  $("#redo").disabled = at >= past.length - 1;
}

// Take note of an edit; `key` names the field that was typed into, "" what is an edit of its own.
export function note(key = "") {
  const now = text(read()), time = Date.now();
  if (at >= 0 && past[at] === now) return;
  const on = key !== "" && key === last.key && time - last.time < TOGETHER && at > 0;
  past = past.slice(0, on ? at : at + 1);
  past.push(now);
  if (past.length > MOST) past.shift();
  at = past.length - 1;
  last = { key, time };
  show();
}

// Begin anew: another job.
export function forget() {
  past = [text(read())];
  at = 0;
  last = { key: "", time: 0 };
  show();
}

// Which field an element is, so that it is found again among new ones.
export function placeOf(field) {
  const line = field?.closest?.("tbody.line");
  if (!line) return field?.name ? { name: field.name } : null;
  return { kind: line.dataset.kind, at: lines(line.dataset.kind).indexOf(line), key: field.dataset?.key };
}

export function focusOn(place) {
  if (!place) return;
  if (place.name) { form.elements[place.name]?.focus(); return; }
  if (!KINDS.includes(place.kind)) return;
  const line = lines(place.kind)[Math.min(place.at, lines(place.kind).length - 1)];
  (line && ($(`[data-key="${place.key ?? "name"}"]`, line) ?? $("[data-key]", line)))?.focus();
}

function go(step) {
  const to = at + step;
  if (to < 0 || to >= past.length) return;
  at = to;
  last = { key: "", time: 0 };
  const place = placeOf(document.activeElement);
  fill(JSON.parse(past[at]));
  focusOn(place);
  show();
  form.dispatchEvent(new CustomEvent("turned"));
}

$("#undo").addEventListener("click", () => go(-1));
$("#redo").addEventListener("click", () => go(1));
document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey || document.querySelector("dialog[open]")) return;
  const key = event.key.toLowerCase();
  if (key === "z" || key === "y") { event.preventDefault(); go(key === "y" || event.shiftKey ? 1 : -1); }
});
