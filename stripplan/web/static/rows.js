// Lines of the tables: added, removed, moved, doubled, pasted, and walked through by keys.
import { $, $$ } from "./api.js";
import { addLine, body, fieldsOf, form, isEmpty, lines, read, showUse } from "./list.js";

const changed = () => form.dispatchEvent(new CustomEvent("changed"));
const first = (line) => $("[data-key]", line);

function remove(line) {
  const kind = line.dataset.kind, next = line.nextElementSibling ?? line.previousElementSibling;
  if (kind === "job") { const { value } = first(line); read(); for (const each of lines("part")) if (each.job === value && !isEmpty(each)) each.remove(); }
  line.remove(); // what was said of it stands in it, and goes along
  (next?.matches("tbody.line") ? first(next) : $(`[data-add="${kind}"]`))?.focus();
  changed();
}

function double(line) {
  read();
  const { piece, ...values } = line.given ?? {}; // there is one of a piece of the rack
  for (const field of fieldsOf(line)) {
    if (field.dataset.apart) continue;
    const on = field.type === "checkbox" ? field.checked : field.value.trim() !== "";
    values[field.dataset.key] = on ? (field.type === "checkbox" ? field.dataset.checked !== "false" : field.value) : undefined;
  }
  if (values.name) values.name = free(line.dataset.kind, String(values.name));
  const made = addLine(line.dataset.kind, values, line.nextElementSibling);
  first(made).focus();
  changed();
}

// A name that no other line has: "rail 2" for a second rail.
function free(kind, name) {
  const taken = new Set(lines(kind).map((line) => $('[data-key="name"]', line).value.trim()));
  const stem = name.replace(/ \d+$/, "");
  let number = 2;
  while (taken.has(`${stem} ${number}`)) number += 1;
  return `${stem} ${number}`;
}

function move(line, step) {
  const other = step < 0 ? line.previousElementSibling : line.nextElementSibling;
  if (!other?.matches("tbody.line")) return;
  const focused = document.activeElement;
  if (step < 0) other.before(line); else other.after(line);
  focused?.focus();
  changed();
}

function more(line, open) {
  const row = $(".more-row", line), button = $("[data-more]", line);
  row.hidden = !open;
  button.setAttribute("aria-expanded", String(open));
  showUse(line);
  if (open) $("[data-key]", row)?.focus();
}

form.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button) return;
  if (button.dataset.add) { first(addLine(button.dataset.add)).focus(); return; }
  const line = button.closest("tbody.line");
  if (!line) return;
  if ("remove" in button.dataset) remove(line);
  if ("more" in button.dataset) more(line, $(".more-row", line).hidden);
  if ("double" in button.dataset) double(line);
  if ("move" in button.dataset) move(line, Number(button.dataset.move));
});

form.addEventListener("keydown", (event) => {
  const field = event.target, line = field.closest?.("tbody.line");
  if (!line) return;
  if (event.altKey && ["ArrowUp", "ArrowDown"].includes(event.key)) { event.preventDefault(); move(line, event.key === "ArrowUp" ? -1 : 1); return; }
  if (event.key !== "Enter" || !field.dataset?.key || field.type === "checkbox" || field.tagName === "SELECT") return;
  event.preventDefault();
  const next = line.nextElementSibling;
  first(next?.matches("tbody.line") ? next : addLine(line.dataset.kind)).focus();
});

// Lines copied from a spreadsheet: cells by tabs, lines by line ends, from the cell pasted into.
form.addEventListener("paste", (event) => {
  const text = event.clipboardData?.getData("text/plain") ?? "", field = event.target;
  if (!field.dataset?.key || !/[\t\n]/.test(text.trim())) return;
  event.preventDefault();
  let line = field.closest("tbody.line");
  const kind = line.dataset.kind, keys = $$(".main-row [data-key]", line).map((each) => each.dataset.key);
  const from = keys.indexOf(field.dataset.key);
  for (const row of text.replace(/\r/g, "").replace(/\n+$/, "").split("\n")) {
    line ??= addLine(kind);
    row.split("\t").forEach((cell, at) => {
      const target = keys[from + at] && $(`[data-key="${keys[from + at]}"]`, line);
      if (target && target.type !== "checkbox") target.value = cell.trim();
    });
    line = line.nextElementSibling;
    if (!line?.matches("tbody.line")) line = null;
  }
  changed();
});

form.addEventListener("input", (event) => {
  const line = event.target.closest?.("tbody.line");
  if (line) showUse(line);
  // One line is always free at the end, so that typing on needs no button.
  const kind = line?.dataset.kind;
  if (kind === "part" && line === lines(kind).at(-1) && !isEmpty(line)) addLine(kind);
  body("part").toggleAttribute("data-many", lines("part").length > 14);
});
