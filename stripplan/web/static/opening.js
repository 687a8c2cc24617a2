// What comes from elsewhere: job files, lists and drawings, settings of a rig, other units.
import { $, $$, answered, base64, LARGEST, made, send, SILENT } from "./api.js";
import { addLine, fieldsOf, fill, form, isEmpty, lines, read } from "./list.js";
import { forget as forgetEdits } from "./history.js";

const changed = (detail) => form.dispatchEvent(new CustomEvent("changed", { detail }));

// --- files ---------------------------------------------------------------------------------------------------------

const opened = (said, wrong = false) => { const place = $("#opened"); place.textContent = said; place.classList.toggle("said", wrong); };
const words = (answer) => (answer.faults ?? []).map((each) => each.said).join("\n") || SILENT;

$("#open").addEventListener("change", async ({ target }) => {
  const file = target.files[0];
  if (!file) return;
  opened(`Reading ${file.name} …`);
  try {
    if (file.size > LARGEST) opened(`${file.name} is larger than can be opened here.`, true);
    else if (/\.toml$/i.test(file.name)) await jobFile(file);
    else await listFile(file);
  } catch { opened(SILENT, true); }
  target.value = "";
});

async function jobFile(file) {
  const answer = await send("/planning/open", { name: file.name, text: await file.text() });
  if (answer.state !== "opened") { opened(words(answer), true); return; }
  form.dispatchEvent(new CustomEvent("newjob"));
  fill(answer.job);
  forgetEdits();
  opened([`${file.name} is opened as a job of its own.`, ...answer.notes].join(" "));
  $('[data-table="part"] input').focus();
  changed();
}

// A list is shown as it is understood before it is taken; what a drawing holds that is no part is asked about.
async function listFile(file) {
  const data = await base64(file), dialog = $("#as-read"), how = {};
  for (const each of $$("[data-how]", dialog)) { if (each.type === "checkbox") each.checked = false; else each.value = ""; }
  for (;;) {
    const answer = await send("/planning/list", { name: file.name, data, job_units: form.elements.units.value, how });
    opened("");
    const read_ = answer.state === "listed" ? answer : null;
    tell(file.name, answer, read_);
    const choice = await answered(dialog);
    if (choice === "again") {
      for (const each of $$("[data-how]", dialog)) {
        const value = each.type === "checkbox" ? each.checked : each.value;
        if (value) how[each.dataset.how] = value; else delete how[each.dataset.how];
      }
      continue;
    }
    if (read_ && (choice === "instead" || choice === "beside")) takeParts(read_, choice === "instead", file.name);
    return;
  }
}

const COLUMNS = ["name", "width", "length", "quantity", "thickness", "material", "note"];

function tell(name, answer, list) {
  const dialog = $("#as-read");
  $("h2", dialog).textContent = name;
  const notes = list ? list.notes : (answer.faults ?? []).map((each) => each.said);
  $("#read-notes").replaceChildren(...notes.map((each) => made("li", list ? {} : { class: "said" }, each)));
  const used = list ? COLUMNS.filter((key) => list.parts.some((each) => each[key] !== undefined)) : [];
  const row = (each) => made("tr", {}, ...used.map((key) => made("td", {}, String(each[key] ?? (key === "length" ? "as the plate" : key === "quantity" ? (each.filler ? "as many as fit" : 1) : "")))));
  $("#read-table").replaceChildren(...(list ? [made("table", { class: "order" }, made("thead", {}, made("tr", {}, ...used.map((key) => made("th", { scope: "col" }, key)))), made("tbody", {}, ...list.parts.map(row)))] : []));
  const count = list?.parts.reduce((sum, each) => sum + (each.filler ? 0 : Number(each.quantity ?? 1)), 0);
  $("#read-count").textContent = list ? `${list.parts.length} ${list.parts.length === 1 ? "line" : "lines"}, ${count} ${count === 1 ? "part" : "parts"}, understood like this:` : "This cannot be read as it is:";
  for (const each of $$("[value=instead], [value=beside]", dialog)) each.hidden = !list;
  $("#read-how").open = !list;
}

export function takeParts(list, instead, name) {
  if (instead) for (const line of lines("part")) line.remove();
  for (const line of lines("part")) if (isEmpty(line)) line.remove();
  for (const each of list.parts) addLine("part", each);
  addLine("part");
  const job = read();
  if (list.left_out.length) { fill({ ...job, not_planned: [...((!instead && job.not_planned) || []), ...list.left_out] }); }
  opened(`${list.parts.length} lines of ${name} are in the list.${list.left_out.length ? ` Left out, and said on the sheet: ${list.left_out.map((each) => `${each.quantity} × ${each.name}`).join(", ")}.` : ""}`);
  changed();
}

// --- units ---------------------------------------------------------------------------------------------------------

let units = "mm";
export const unitsAre = () => { units = form.elements.units.value; };

form.elements.units.addEventListener("change", async (event) => {
  event.stopPropagation();
  const to = form.elements.units.value, dialog = $("#other-units");
  if (to === units) return;
  const bare = [...lines("part"), ...lines("plate")].some((line) => fieldsOf(line).some((each) => each.type !== "checkbox" && !["name", "quantity", "material"].includes(each.dataset.key) && /\d/.test(each.value)));
  $("b", dialog).textContent = to === "in" ? "inches" : "mm";
  const choice = bare ? await answered(dialog) : "as-they-are";
  form.elements.units.value = units;
  if (choice === "convert") {
    const answer = await send("/planning/units", { job: read(), to }).catch(() => ({}));
    if (answer.state === "converted") { fill(answer.job); units = to; changed(); }
  } else if (choice === "as-they-are") { form.elements.units.value = units = to; changed(); }
});

// --- the rig -------------------------------------------------------------------------------------------------------

export const rigShown = () => { $("#rig-own").hidden = form.elements.rig.value !== "*"; };
let rig = "";
export const rigIs = () => { rig = form.elements.rig.value; rigShown(); };

// Settings of one's own begin with those of the profile that was chosen before, its processes among them.
async function own() {
  const answer = await send("/planning/rig", { rig: rig === "*" ? "" : rig });
  const job = read();
  job.rig = answer.state === "read" ? answer.rig : {};
  if (!rig) job.rig = { process: job.rig.process }; // the built-in figures are assumed, and stay marked as such
  fill(job);
  rigIs();
}

form.elements.rig.addEventListener("change", async (event) => {
  event.stopPropagation();
  if (form.elements.rig.value === "*") await own().catch(() => opened(SILENT, true)); else rigIs();
  changed();
});

// A plate for which the rig has no process is no dead end: the line for it is begun, kerf and speed are the person's.
document.addEventListener("click", async (event) => {
  const asked = event.target.closest("[data-process-for]");
  if (!asked) return;
  const plates = lines("plate").filter((line) => !isEmpty(line)), line = plates[Number(asked.dataset.processFor) || 0] ?? plates[0];
  const value = (key) => (line ? $(`[data-key="${key}"]`, line).value.trim() : "");
  const [thickness, material] = [value("thickness"), value("material")];
  if (form.elements.rig.value !== "*") await own().catch(() => opened(SILENT, true));
  const made_ = addLine("process", { name: [material || "plate", thickness].filter(Boolean).join("-").slice(0, 40), material: material || "mild steel", thickness });
  for (let each = made_.closest("details"); each; each = each.parentElement.closest("details")) each.open = true;
  $('[data-key="kerf"]', made_).focus();
  changed();
});
