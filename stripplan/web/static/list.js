// The list as it is typed: what stands in the fields, and fields filled from a job.
import { $, $$ } from "./api.js";

export const form = $("#list");
export const KINDS = ["job", "part", "plate", "process"];
const LONG = 14; // letters of a name that its field shows everywhere
let rest = {}; // what a job holds beside what the page has fields for

export const body = (kind) => $(`[data-table="${kind}"]`);
export const lines = (kind) => $$(`[data-table="${kind}"] > tbody.line`);
export const fieldsOf = (line) => $$("[data-key]", line);
export const isEmpty = (line) => Object.keys(valuesOf(line)).length === 0;
const named = () => [...form.elements].filter((each) => /\./.test(each.name) || ["name", "units", "currency", "inch_fraction", "from_rack"].includes(each.name));

// What a field says; what it says where nobody touched it is left out.
function valueOf(field) {
  if (field.tagName === "SELECT" && field.name !== "units") {
    return field.value === field.options[0].value ? undefined : { true: true, false: false }[field.value] ?? field.value;
  }
  if (field.type !== "checkbox") return field.value.trim() === "" ? undefined : field.value;
  return field.checked ? field.dataset.checked !== "false" : undefined;
}

function put(field, value) {
  if (field.type === "checkbox") field.checked = value !== undefined && value !== null && String(value) === (field.dataset.checked ?? "true");
  else if (field.tagName === "SELECT") field.value = [...field.options].some((each) => each.value === String(value)) ? String(value) : field.options[0].value;
  else field.value = value === undefined || value === null ? "" : asText(field.dataset.key, value);
}

// A list in a field: its entries with semicolons between them, a pair as "x, y", what is clipped off a corner as "a x b".
function asText(key, value) {
  if (!Array.isArray(value)) return String(value);
  if (key === "bevels") return value.map(asBevel).join("; ");
  return value.map((each) => (Array.isArray(each) ? each.join(key === "corners" ? " x " : ", ") : String(each))).join("; ");
}

// A bevel that a job says as a table, in a few words: "long 30/2 both".
function asBevel(each) {
  if (typeof each !== "object" || each === null) return String(each);
  const root = each.depth ? ` deep ${each.depth}` : each.root_face ? `/${each.root_face}` : "", face = each.face && each.face !== "first" ? ` ${each.face}` : "";
  return `${each.edge} ${each.angle}${root}${face}`;
}

// What stands in a line: what its fields say, and what was given with it that has no field.
function valuesOf(line) {
  const values = {}, fields = fieldsOf(line);
  for (const field of fields) {
    const value = valueOf(field);
    if (value !== undefined && !field.dataset.apart) values[field.dataset.key] = value;
  }
  const apart = fields.some((field) => field.dataset.apart && field.checked);
  if (Object.keys(values).length === 0 && !apart) return {};
  const own = new Set(fields.map((field) => field.dataset.key));
  return { ...Object.fromEntries(Object.entries(line.given ?? {}).filter(([key]) => !own.has(key))), ...values };
}

// Name of what stands in a line, as plans call it: of jobs planned together a part is called by its job.
export function nameOf(line) {
  const own = $('[data-key="name"]', line).value.trim() || `${line.dataset.kind} ${line.at + 1}`;
  return line.job ? `${line.job}: ${own}` : own;
}

export function addLine(kind, values = {}, before = null) {
  const line = $(`#${kind}-line`).content.firstElementChild.cloneNode(true);
  line.given = values;
  for (const field of fieldsOf(line)) if (!field.dataset.apart) put(field, values[field.dataset.key]);
  body(kind).insertBefore(line, before);
  showUse(line);
  return line;
}

// What is set behind "more" stands under its line in a few words, so that nothing counts unseen.
export function showUse(line) {
  const said = [], called = $('[data-key="name"]', line).value.trim();
  for (const field of $$(".more-row [data-key]", line)) {
    const value = valueOf(field);
    if (value === undefined) continue;
    const label = field.closest("label").dataset.short ?? field.closest("label").firstChild.textContent.trim();
    said.push(field.type === "checkbox" ? label : `${label} ${field.tagName === "SELECT" ? field.selectedOptions[0].textContent : value}`);
  }
  if (line.given?.piece) said.push(`${line.given.piece} off the rack`);
  const holes = line.given?.holes?.length;
  if (holes) said.push(`${holes} ${holes === 1 ? "hole" : "holes"} to drill later`);
  const row = $(".use-row", line);
  if (!row) return;
  const long = called.length > LONG; // its field cuts it off on a narrow screen
  row.hidden = (said.length === 0 && !long) || !$(".more-row", line).hidden;
  row.toggleAttribute("data-name-alone", long && said.length === 0);
  row.firstElementChild.replaceChildren(...(long ? [Object.assign(document.createElement("b"), { textContent: called }), " "] : []), said.join("; "));
}

function table(kind) {
  const rows = [];
  for (const line of lines(kind)) {
    const values = valuesOf(line);
    line.at = Object.keys(values).length || ticked(line) ? rows.push(values) - 1 : null;
  }
  return rows;
}

const ticked = (line) => fieldsOf(line).some((field) => field.dataset.apart && field.checked);

// A place such as "options.keep.0" in a job.
function setAt(job, path, value) {
  const keys = path.split("."), last = keys.pop();
  let at = job;
  for (const key of keys) {
    if (value === undefined && (at[key] === undefined || at[key] === null)) return;
    at = at[key] ??= /^\d+$/.test(keys[keys.indexOf(key) + 1] ?? last) ? [] : {};
  }
  if (value !== undefined) at[last] = value;
  else if (Array.isArray(at)) at[last] = "";
  else delete at[last];
}

function getAt(job, path) {
  return path.split(".").reduce((at, key) => (at === undefined || at === null ? undefined : at[key]), job);
}

// The job as it is typed; texts are as they stand in the fields.
export function read() {
  const job = structuredClone(rest), rig = form.elements.rig.value;
  if (rig === "*") { if (typeof job.rig !== "object" || job.rig === null) job.rig = {}; } else job.rig = rig;
  for (const field of named()) {
    if (field.name.startsWith("rig.") && rig !== "*") continue;
    setAt(job, field.name, valueOf(field));
  }
  if (job.options?.keep && !job.options.keep.some(Boolean)) delete job.options.keep;
  job.part = table("part");
  job.plate = table("plate");
  const jobs = table("job");
  if (jobs.length) { job.job = jobs; underJobs(job.part, jobs); } else delete job.job;
  $("#jobs-of").hidden = !jobs.length;
  if (rig === "*") { const rows = table("process"); if (rows.length) job.rig.process = rows; else delete job.rig.process; }
  const options = { ...(job.options ?? {}) };
  const first = lines("part").filter((line) => line.at !== null && ticked(line)).map(nameOf);
  if (first.length) options.first = first; else delete options.first;
  const plates = lines("plate").filter((line) => line.at !== null), one = plates.filter(ticked), others = plates.filter((line) => !ticked(line));
  if (one.length) options.before = one.flatMap((a) => others.map((b) => [nameOf(a), nameOf(b)]));
  else if (!rest.before_kept) delete options.before;
  delete job.before_kept;
  job.options = options;
  return job;
}

// A part that says nothing of its job belongs to that of the line above it.
function underJobs(parts, jobs) {
  let of = jobs[0].name;
  for (const each of parts) of = each.job ??= of;
  for (const line of lines("part")) line.job = line.at === null ? "" : parts[line.at].job;
}

// Fill all fields from a job; what they do not show is kept as it is.
export function fill(given) {
  const { part = [], plate = [], job = [], ...others } = structuredClone(given);
  rest = others;
  for (const kind of KINDS) for (const line of lines(kind)) line.remove();
  form.reset();
  const own = typeof others.rig === "object" && others.rig !== null && !Array.isArray(others.rig);
  put(form.elements.rig, own ? "*" : others.rig ?? "");
  for (const field of named()) put(field, getAt(others, field.name));
  for (const each of job) addLine("job", each);
  for (const each of part) addLine("part", each);
  for (const each of plate) addLine("plate", each);
  for (const each of (own && others.rig.process) || []) addLine("process", each);
  addLine("part");
  if (plate.length === 0) addLine("plate");
  read(); // numbers the lines
  tick("part", new Set(others.options?.first ?? []));
  const pairs = others.options?.before ?? [], firsts = new Set(pairs.map(([one]) => one));
  const rows = lines("plate").filter((line) => line.at !== null).map(nameOf), rows2 = rows.filter((name) => !firsts.has(name));
  const plain = pairs.length === firsts.size * rows2.length && pairs.every(([, other]) => rows2.includes(other));
  rest.before_kept = pairs.length > 0 && !plain;
  if (plain) tick("plate", firsts);
  for (const kind of KINDS) for (const line of lines(kind)) showUse(line);
}

function tick(kind, names) {
  for (const line of lines(kind)) for (const field of fieldsOf(line)) if (field.dataset.apart) field.checked = line.at !== null && names.has(nameOf(line));
}

// The field of a place in the job, and the line that it is in.
export function fieldAt(place) {
  const at = place[0] === "rig" && place[1] === "process" ? place.slice(1) : place;
  if (KINDS.includes(at[0])) {
    const line = lines(at[0]).find((each) => each.at === at[1]);
    const field = line && ($(`[data-key="${CSS.escape(String(at[2]))}"]`, line) ?? $("[data-key]", line));
    return { line, field };
  }
  return { line: null, field: form.elements[place.join(".")] ?? form.elements[place.slice(0, 1).join(".")] ?? null };
}
