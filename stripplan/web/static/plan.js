// The planning view: reads the tables, asks for a plan as one types, and puts it beside them.
const $ = (selector, within = document) => within.querySelector(selector);
const $$ = (selector, within = document) => [...within.querySelectorAll(selector)];
const token = $('meta[name="stripplan-token"]').content;
const owner = crypto.getRandomValues(new Uint32Array(4)).join("-");
const form = $("#list"), state = $("#state"), faults = $("#faults"), beside = $("#beside");
const OPTIONS = ["trim", "aim", "price_per_minute", "seconds", "partial"];
let round = 0, timer = 0, held = null, shown = null, opened = []; // `opened`: what was said of a file that was opened

async function send(path, body) {
  const answer = await fetch(path, {
    method: body === undefined ? "GET" : "POST",
    headers: { "content-type": "application/json", accept: "application/json", "x-stripplan-token": token },
    body: body === undefined ? undefined : JSON.stringify(body),
  });
  return answer.json();
}

// --- the list ------------------------------------------------------------------------------------------------------

function addRow(kind, values = {}, before = null) {
  const row = $(`#${kind}-row`).content.firstElementChild.cloneNode(true);
  for (const field of $$("[data-key]", row)) {
    const value = values[field.dataset.key];
    if (field.type === "checkbox") field.checked = Boolean(value);
    else if (value !== undefined && value !== null) field.value = String(value);
  }
  row.given = values;
  $(`[data-table="${kind}"] tbody`).insertBefore(row, before);
  return row;
}

// The next row that is typed into: what is said of a row stands between.
function nextRow(row) {
  let next = row.nextElementSibling;
  while (next?.classList.contains("said-row")) next = next.nextElementSibling;
  return next;
}

// A decimal comma where it has one meaning; 1,200 has two, and is asked about.
function pointed(text) {
  const found = /^\s*([0-9]+),([0-9]+)(?![0-9.,])/.exec(text);
  return found && (found[2].length !== 3 || found[1] === "0") ? text.replace(",", ".") : text;
}

function number(text) {
  const plain = pointed(text).trim();
  return /^[0-9]+(\.[0-9]+)?$/.test(plain) ? Number(plain) : plain;
}

function tableValues(kind) {
  const rows = [];
  for (const row of $$(`[data-table="${kind}"] tbody tr:not(.said-row)`)) {
    const values = {};
    for (const field of $$("[data-key]", row)) {
      if (field.type === "checkbox") { if (field.checked) values[field.dataset.key] = true; }
      else if (field.value.trim() !== "") values[field.dataset.key] = ["name", "material"].includes(field.dataset.key) ? field.value.trim() : number(field.value);
    }
    const typed = Object.keys(values).length > 0;
    for (const [key, value] of Object.entries(row.given ?? {})) if (!$(`[data-key="${key}"]`, row) && typed) values[key] = value;
    row.at = typed ? rows.push(values) - 1 : null;
  }
  return rows;
}

let rest = {};

function job() {
  const made = { ...rest, name: form.elements.name.value.trim(), units: form.elements.units.value };
  made.part = tableValues("part");
  made.plate = tableValues("plate");
  made.rig = form.elements.rig.value;
  const options = { ...(rest.options ?? {}) };
  for (const key of OPTIONS) {
    const field = form.elements[`options.${key}`];
    if (field.type === "checkbox") options[key] = field.checked;
    else if (field.value.trim() === "") delete options[key];
    else options[key] = field.tagName === "SELECT" ? field.value : number(field.value);
  }
  made.options = options;
  return made;
}

function fill(given) {
  const { name, units, part = [], plate = [], rig, options = {}, ...others } = given;
  rest = { ...others, options };
  form.elements.name.value = name ?? "";
  form.elements.units.value = units ?? "mm";
  if (rig) form.elements.rig.value = rig;
  for (const key of OPTIONS) {
    const field = form.elements[`options.${key}`], value = options[key];
    if (value === undefined) continue;
    if (field.type === "checkbox") field.checked = Boolean(value); else field.value = String(value);
  }
  for (const each of part) addRow("part", each);
  for (const each of plate) addRow("plate", each);
  addRow("part");
}

$("#open").addEventListener("change", async ({ target }) => {
  const file = target.files[0];
  if (!file) return;
  clearFaults();
  const answer = file.size > 500000 ? { faults: [{ said: `${file.name} is too large for a job file.`, place: [] }] } : await send("/planning/open", { name: file.name, text: await file.text() });
  target.value = "";
  if (answer.state !== "opened") { showFaults(answer.faults ?? []); return; }
  for (const each of $$(".typed tbody")) each.replaceChildren();
  form.reset();
  fill(answer.job);
  opened = answer.notes;
  $("[data-table='part'] input").focus();
  later(0);
});

form.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (button?.dataset.add) { $("input", addRow(button.dataset.add)).focus(); return; }
  if (button && "remove" in button.dataset) {
    const row = button.closest("tr"), table = row.closest("table"), next = row.nextElementSibling ?? row.previousElementSibling;
    row.remove();
    (next ? $("input", next) : $(`[data-add="${table.dataset.table}"]`))?.focus();
    later();
  }
});

form.addEventListener("keydown", (event) => {
  const field = event.target;
  if (event.key !== "Enter" || !field.dataset?.key || field.type === "checkbox") return;
  event.preventDefault();
  const row = field.closest("tr"), kind = row.closest("table").dataset.table;
  const next = nextRow(row) ?? addRow(kind);
  ($(`[data-key="${field.dataset.key}"]`, next) ?? $("input", next)).focus();
});

// Rows copied from a spreadsheet: cells by tabs, rows by line ends, from the cell pasted into.
form.addEventListener("paste", (event) => {
  const text = event.clipboardData?.getData("text/plain") ?? "", field = event.target;
  if (!field.dataset?.key || !/[\t\n]/.test(text.trim())) return;
  event.preventDefault();
  const keys = $$("[data-key]", field.closest("tr")).map((each) => each.dataset.key);
  const first = keys.indexOf(field.dataset.key), kind = field.closest("table").dataset.table;
  let row = field.closest("tr");
  for (const line of text.replace(/\r/g, "").replace(/\n+$/, "").split("\n")) {
    row ??= addRow(kind);
    line.split("\t").forEach((cell, at) => {
      const target = keys[first + at] && $(`[data-key="${keys[first + at]}"]`, row);
      if (target && target.type !== "checkbox") target.value = cell.trim();
    });
    row = nextRow(row);
  }
  later(0);
});

form.addEventListener("input", () => later());
form.addEventListener("change", () => later());
form.addEventListener("submit", (event) => { event.preventDefault(); later(0); });

// --- the plan ------------------------------------------------------------------------------------------------------

function later(wait = 250) {
  clearTimeout(timer);
  timer = setTimeout(planNow, wait);
}

async function planNow() {
  const mine = ++round;
  const given = job();
  if (given.part.length === 0 || given.plate.length === 0) {
    say(given.part.length === 0 ? "Enter a part." : "Enter a plate.");
    return;
  }
  $("#plan .plan")?.classList.add("stale");
  try {
    let answer = await send("/planning", { owner, job: given });
    while (mine === round && answer.state === "working") {
      const told = answer.told ?? {};
      say(`Planning: ${told.words ?? "laying out"} … ${told.share ? Math.round(100 * told.share) + " %" : ""}`, true);
      answer = await send(`/planning/${owner}`);
    }
    if (mine === round) show(answer);
  } catch {
    if (mine === round) say("The page's program does not answer. Is it still running on the computer?");
  }
}

function say(text, stoppable = false) {
  state.textContent = text;
  if (stoppable) {
    const stop = document.createElement("button");
    stop.type = "button";
    stop.textContent = "Stop";
    stop.addEventListener("click", () => { round++; send(`/planning/${owner}/drop`, {}); say("Stopped."); });
    state.append(" ", stop);
  }
}

function show(answer) {
  clearFaults();
  if (answer.state === "dropped") return;
  if (answer.state !== "made") { say(""); showFaults(answer.faults ?? []); return; }
  say([...opened, ...answer.notes].join(" "));
  $("#plan").innerHTML = answer.html;
  showWarnings();
  shown = { id: answer.id, ...answer.compare };
  compare();
}

function clearFaults() {
  faults.replaceChildren();
  for (const row of $$(".said-row")) row.remove();
  for (const field of $$("[aria-invalid]", form)) { field.removeAttribute("aria-invalid"); field.removeAttribute("aria-describedby"); }
}

function fieldOf(place) {
  const [table, at, key] = place;
  if (table === "part" || table === "plate") {
    const row = $$(`[data-table="${table}"] tbody tr:not(.said-row)`).find((each) => each.at === at);
    return row && ($(`[data-key="${key}"]`, row) ?? $("input", row));
  }
  return form.elements[place.join(".")] ?? null;
}

// What a plan warns of stands under the part that it is about, too.
function showWarnings() {
  const rows = $$('[data-table="part"] tbody tr:not(.said-row)').filter((each) => each.at !== null);
  for (const warning of $$("#plan .warnings [data-part]")) {
    const row = rows.find((each) => ($('[data-key="name"]', each).value.trim() || `part ${each.at + 1}`) === warning.dataset.part);
    if (row) row.after(said(`Mind: ${warning.textContent}`, "said mind"));
  }
}

function said(text, kind) {
  const under = document.createElement("tr"), cell = document.createElement("td");
  under.className = "said-row";
  cell.className = kind;
  cell.colSpan = 9;
  cell.textContent = text;
  under.append(cell);
  return under;
}

function showFaults(all) {
  const list = document.createElement("ul");
  all.forEach((fault, number) => {
    const field = fieldOf(fault.place ?? []), id = `said-${number}`;
    const item = document.createElement("li");
    item.textContent = fault.said;
    list.append(item);
    if (!field) return;
    field.setAttribute("aria-invalid", "true");
    field.setAttribute("aria-describedby", id);
    const row = field.closest("tr");
    if (!row) { item.id = id; return; }
    const under = said(`${field.dataset.key}: ${fault.text}${fault.hint ? ` (${fault.hint})` : ""}`, "said");
    under.firstElementChild.id = id;
    row.after(under);
  });
  faults.replaceChildren(list);
  $("#plan .plan")?.classList.add("stale");
}

// --- cut, row and picture light up together ------------------------------------------------------------------------

function light(number) {
  for (const each of $$("#plan .lit")) each.classList.remove("lit");
  const lie = $("#lie");
  if (!number) { if (lie) lie.hidden = true; return; }
  for (const each of $$(`#plan [data-cut="${number}"]`)) each.classList.add("lit");
  const picture = $(`#plan template[data-lie="${number}"]`);
  if (lie && picture) { lie.replaceChildren(picture.content.cloneNode(true)); lie.hidden = false; }
}

const result = $("#plan");
result.addEventListener("pointerover", (event) => { const each = event.target.closest("[data-cut]"); if (each) light(each.dataset.cut); });
result.addEventListener("focusin", (event) => { const each = event.target.closest("[data-cut]"); if (each) light(each.dataset.cut); });
result.addEventListener("keydown", (event) => {
  const row = event.target.closest("tr[data-cut]"), step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
  if (!row || !step) return;
  const rows = $$("#plan tr[data-cut]"), to = rows[rows.indexOf(row) + step]; // over the heads of runs
  if (!to) return;
  event.preventDefault();
  row.tabIndex = -1; to.tabIndex = 0; to.focus();
});
result.addEventListener("click", async (event) => {
  const cut = event.target.closest("[data-cut]");
  if (cut) { light(cut.dataset.cut); if (!cut.matches("tr")) $(`#plan tr[data-cut="${cut.dataset.cut}"]`)?.scrollIntoView({ block: "nearest" }); }
  const keep = event.target.closest("[data-keep]");
  if (keep) {
    const answer = await send("/planning/keep", { id: keep.dataset.keep });
    if (answer.state === "kept") location.href = `/rig/${answer.id}`; else showFaults(answer.faults ?? []);
  }
  if (event.target.closest("[data-beside]")) { held = { ...shown, html: plates() }; compare(); }
});

// --- two plans beside each other -----------------------------------------------------------------------------------

const plates = () => $$("#plan figure.plate").map((each) => each.outerHTML).join("");
const MEASURES = [["plates", "plates", 0], ["cost", "plate cost", 2], ["minutes", "minutes at the rig", 1], ["offcut_area", "kept as offcuts", 3]];

function compare() {
  beside.hidden = !held;
  if (!held) return;
  const inches = shown.units === "in", square = inches ? "ft²" : "m²";
  const rows = MEASURES.map(([key, words, digits]) => {
    const area = key === "offcut_area", scale = area ? (inches ? 1 / 304.8 ** 2 : 1e-6) : 1, [one, two] = [held[key] * scale, shown[key] * scale];
    const sign = area ? -1 : 1, apart = Math.abs(one - two) > 10 ** -digits / 2 ? sign * (one - two) : 0;
    const cell = (value, better) => `<td${better ? ' class="better"' : ""}>${value.toFixed(digits)}</td>`;
    return `<tr><th scope="row">${words}${area ? `, ${square}` : ""}</th>${cell(one, apart < 0)}${cell(two, apart > 0)}</tr>`;
  });
  beside.innerHTML = `<table class="compare"><caption>Held beside it: plan ${held.id}</caption><thead><tr><th></th><th scope="col">held</th><th scope="col">now</th></tr></thead>
    <tbody>${rows.join("")}</tbody></table><details><summary>Plates of the plan that is held</summary>${held.html}</details>
    <p class="row"><button type="button" data-keep-held>Keep the one that is held</button> <button type="button" data-let-go>Let it go</button></p>`;
}

beside.addEventListener("click", async (event) => {
  if (event.target.closest("[data-let-go]")) { held = null; compare(); }
  if (event.target.closest("[data-keep-held]")) {
    const answer = await send("/planning/keep", { id: held.id });
    if (answer.state === "kept") location.href = `/rig/${answer.id}`; else showFaults(answer.faults ?? []);
  }
});

fill(JSON.parse($("#job").textContent));
later(0);
