// The notebook view: sends a row, says at its field what is wrong with it, and loads the page again when it is written.
const $ = (selector, within = document) => within.querySelector(selector);
const $$ = (selector, within = document) => [...within.querySelectorAll(selector)];
const token = $('meta[name="stripplan-token"]').content, entry = $("#entry");

async function send(path, body) {
  try {
    const answer = await fetch(path, {
      method: "POST",
      headers: { "content-type": "application/json", accept: "application/json", "x-stripplan-token": token },
      body: JSON.stringify(body),
    });
    return { ok: answer.ok, ...(await answer.json()) };
  } catch {
    return { ok: false, faults: [{ said: "The page's program does not answer. Is it still running on the computer?", place: [] }] };
  }
}

function clear() {
  $("#faults").replaceChildren();
  $("#done")?.replaceChildren();
  for (const each of $$(".form-said")) each.replaceChildren();
  for (const each of $$(".said-at")) each.remove();
  for (const each of $$("[aria-invalid]")) { each.removeAttribute("aria-invalid"); each.removeAttribute("aria-describedby"); }
}

// The field that a fault is about: its key, and its number where there are several of that key.
function fieldOf(place, form) {
  const at = place.findLastIndex((each) => typeof each === "string");
  const found = at < 0 ? null : form?.querySelectorAll(`[name="${CSS.escape(place[at])}"]`);
  return found?.[place[at + 1] ?? 0];
}

function show(faults, form) {
  const list = document.createElement("ul");
  let first = null;
  faults.forEach((fault, number) => {
    const field = fieldOf(fault.place, form);
    if (!field) { const item = document.createElement("li"); item.textContent = fault.said; list.append(item); return; }
    const words = document.createElement("span");
    words.className = "said said-at";
    words.id = `said-${number}`;
    words.textContent = `${fault.text}${fault.hint ? ` (${fault.hint})` : ""}`;
    field.after(words);
    field.setAttribute("aria-invalid", "true");
    field.setAttribute("aria-describedby", words.id);
    const folded = field.closest("details");
    if (folded) folded.open = true;
    first ??= field;
  });
  first?.focus();
  if (!list.children.length) return;
  const place = (form && $(".form-said", form)) || $("#faults");
  place.replaceChildren(list);
  if (!first) place.scrollIntoView({ block: "center" });
}

// A row that would take a figure away is written only where the person says so once more.
function ask(faults, form) {
  if (!faults.some((each) => each.code === "takes_away")) return;
  const button = document.createElement("button");
  button.type = "submit";
  button.dataset.anyway = "";
  button.textContent = "Write it down all the same";
  $(".form-said", form).append(button);
  button.focus();
}

// What is remembered over the loading of the page: what was done, so that it is said, and where the work goes on.
const remember = (what) => sessionStorage.setItem("stripplan-notebook", JSON.stringify(what));

function typed(form) {
  const data = new FormData(form), columns = (form.dataset.columns ?? "").split(" ").filter(Boolean);
  return { ...Object.fromEntries(data), ...Object.fromEntries(columns.map((key) => [key, data.getAll(key)])) };
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!form.dataset.add && !form.dataset.post) return;
  event.preventDefault();
  clear();
  const button = $('[type="submit"]', form);
  if (button.getAttribute("aria-disabled")) return;
  button.setAttribute("aria-disabled", "true");
  const values = typed(form), anyway = event.submitter?.dataset.anyway !== undefined;
  const answer = form.dataset.add
    ? await send(`/notebook/${encodeURIComponent(entry.dataset.rig)}/add`, { kind: form.dataset.add, values, seen: entry.dataset.seen, anyway })
    : await send(form.dataset.post, values);
  if (!answer.ok) { button.removeAttribute("aria-disabled"); show(answer.faults ?? [], form); ask(answer.faults ?? [], form); return; }
  if (form.dataset.add) remember({ done: "Written down.", form: form.dataset.add, process: values.process ?? "" });
  if (answer.rig) location.href = `/notebook?rig=${encodeURIComponent(answer.rig)}`; else location.reload();
});

// One form stands open, its first field ready for the keys.
function openForm(kind, values = {}) {
  const form = $(`[data-add="${CSS.escape(kind)}"]`);
  if (!form) return;
  for (const each of $$(".entry > details")) if ($("[data-add]", each)) each.open = each.contains(form);
  for (const [key, value] of Object.entries(values)) if (value && form.elements[key]) form.elements[key].value = value;
  const empty = $$("input, select", form).find((each) => !each.value);
  (empty ?? $("input, select", form)).focus();
}

document.addEventListener("click", async (event) => {
  const { process, speed, number, ignore, another } = event.target.closest("button")?.dataset ?? {};
  if (speed !== undefined) openForm("test_cut", { process, travel_speed: speed });
  if (another !== undefined) {
    const places = $(".places", event.target.closest("form")), made = places.lastElementChild.cloneNode(true);
    for (const each of $$("input", made)) { each.value = ""; each.removeAttribute("aria-invalid"); each.removeAttribute("aria-describedby"); }
    for (const each of $$(".said-at", made)) each.remove();
    $("legend span", made).textContent = places.children.length + 1;
    places.append(made);
    $("input", made).focus();
  }
  if (ignore === undefined) return;
  clear();
  const answer = await send(`/notebook/${encodeURIComponent(entry.dataset.rig)}/ignore`, { kind: ignore, number: Number(number), seen: entry.dataset.seen });
  if (!answer.ok) { show(answer.faults ?? []); return; }
  remember({ done: "The row is changed.", ignore, number });
  location.reload();
});

const was = JSON.parse(sessionStorage.getItem("stripplan-notebook") ?? "{}");
sessionStorage.removeItem("stripplan-notebook");
if (was.done) $("#done").textContent = was.done;
if (was.form) openForm(was.form, { process: was.process });
if (was.ignore) {
  const button = $(`[data-ignore="${CSS.escape(was.ignore)}"][data-number="${CSS.escape(was.number)}"]`);
  if (button) { button.closest("details").open = true; button.focus(); }
}
