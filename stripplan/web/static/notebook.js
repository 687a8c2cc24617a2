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
  for (const each of $$(".said-at")) each.remove();
  for (const each of $$("[aria-invalid]")) { each.removeAttribute("aria-invalid"); each.removeAttribute("aria-describedby"); }
}

function show(faults, form) {
  const list = document.createElement("ul");
  faults.forEach((fault, number) => {
    const key = [...fault.place].reverse().find((each) => typeof each === "string"), field = form?.elements[key];
    if (!field || key === undefined) { const item = document.createElement("li"); item.textContent = fault.said; list.append(item); return; }
    const words = document.createElement("span");
    words.className = "said said-at";
    words.id = `said-${number}`;
    words.textContent = `${fault.text}${fault.hint ? ` (${fault.hint})` : ""}`;
    field.after(words);
    field.setAttribute("aria-invalid", "true");
    field.setAttribute("aria-describedby", words.id);
    if (number === 0) field.focus();
  });
  if (list.children.length) $("#faults").replaceChildren(list);
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!form.dataset.add && !form.dataset.post) return;
  event.preventDefault();
  clear();
  const values = Object.fromEntries(new FormData(form));
  const answer = form.dataset.add
    ? await send(`/notebook/${encodeURIComponent(entry.dataset.rig)}/add`, { kind: form.dataset.add, values, seen: entry.dataset.seen })
    : await send(form.dataset.post, values);
  if (!answer.ok) { show(answer.faults ?? [], form); return; }
  if (form.dataset.add) sessionStorage.setItem("stripplan-form", form.dataset.add);
  if (answer.rig) location.href = `/notebook?rig=${encodeURIComponent(answer.rig)}`; else location.reload();
});

document.addEventListener("click", async (event) => {
  const button = event.target.closest("[data-ignore]");
  if (!button) return;
  clear();
  const answer = await send(`/notebook/${encodeURIComponent(entry.dataset.rig)}/ignore`,
    { kind: button.dataset.ignore, number: Number(button.dataset.number), seen: entry.dataset.seen });
  if (answer.ok) location.reload(); else show(answer.faults ?? []);
});

// After a row was written the same form stands open for the next.
const open = $(`[data-add="${sessionStorage.getItem("stripplan-form")}"]`);
if (open) { for (const each of $$(".entry > details")) if ($("[data-add]", each)) each.open = each.contains(open); $("input", open).focus(); }
