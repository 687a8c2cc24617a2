// The job that is worked on is kept on the computer at every change, and until that is done in this browser too.
import { $, $$, answered, made, send, SILENT } from "./api.js";
import { read } from "./list.js";

const begun = JSON.parse($("#draft").textContent);
export const draft = { id: begun.id, edition: begun.edition };
const PREFIX = "stripplan-job-", AGAIN = 3000;
let waiting = null, busy = false, timer = 0, listener = () => {}, told = "";

const store = (id) => PREFIX + id;
const say = (text) => { if (text !== told) { told = text; $("#saved").textContent = text; } };

// What was typed here and did not reach the computer any more; null where all of it did.
export function unsent() {
  try { return JSON.parse(localStorage.getItem(store(draft.id)))?.job ?? null; } catch { return null; }
}

// Who is told what the program says of a list that was kept.
export function onChecked(what) { listener = what; }

// Keep what is typed now; the answer comes to who listens.
export function keep(wait = 120) {
  waiting = read();
  try { localStorage.setItem(store(draft.id), JSON.stringify({ job: waiting })); } catch { /* full, or not allowed: the computer still has it */ }
  clearTimeout(timer);
  timer = setTimeout(put, wait);
}

async function put() {
  if (busy || waiting === null) return;
  busy = true;
  const job = waiting, id = draft.id;
  waiting = null;
  try {
    const answer = await send(`/jobs/${id}`, { job, edition: draft.edition });
    busy = false;
    if (answer.state === "kept") {
      draft.edition = answer.edition;
      if (waiting === null) localStorage.removeItem(store(id));
      if (new URL(location.href).searchParams.get("job") !== id) history.replaceState(null, "", `/?job=${id}`);
      say("");
      listener(answer);
    } else if (answer.faults?.some((each) => each.code === "changed")) {
      apart(job);
    } else say(answer.faults?.map((each) => each.said).join(" ") ?? "This is not kept.");
  } catch {
    busy = false;
    waiting ??= job;
    say("The program does not answer. What you type is kept in this browser until it does.");
    timer = setTimeout(put, AGAIN);
    return;
  }
  if (waiting !== null) put();
}

// Another window has written into the same job: what was typed here goes on as a job of its own.
function apart(job) {
  localStorage.removeItem(store(draft.id));
  draft.id = [...crypto.getRandomValues(new Uint8Array(8))].map((each) => each.toString(16).padStart(2, "0")).join("");
  draft.edition = 0;
  const name = document.querySelector('[name="name"]');
  name.value = `${job.name || "job"}, from another window`;
  keep(0);
  say("This job was changed in another window. What you typed here goes on as a job of its own.");
  told = ""; // stands until the next thing is said
}

// --- the jobs that were worked on last -----------------------------------------------------------------------------

const when = (text) => new Date(text).toLocaleString(undefined, { day: "numeric", month: "short", hour: "2-digit", minute: "2-digit" });

function entry(job) {
  const here = job.id === draft.id, name = job.name || "without a name";
  const link = made("a", { href: `/?job=${job.id}`, ...(here ? { "aria-current": "true" } : {}) }, name);
  const about = made("span", { class: "tag" }, `${job.parts} ${job.parts === 1 ? "part" : "parts"}, ${when(job.changed_at)}${here ? ", on the screen" : ""}`);
  const copy = made("button", { type: "button", "data-copy": job.id }, "Copy", made("span", { class: "unseen" }, ` ${name}`));
  const away = made("button", { type: "button", "data-delete": job.id }, "Delete", made("span", { class: "unseen" }, ` ${name}`));
  const tick = made("input", { type: "checkbox", "data-with": job.id, "aria-label": `plan ${name} together with others` });
  Object.assign(tick, { job });
  tick.checked = ticked.has(job.id);
  return made("li", { "data-job": job.id }, tick, link, about, copy, away);
}

// --- some of them planned together ---------------------------------------------------------------------------------

const ticked = new Map(); // the day that each is due, by its id, in the order in which they were ticked

function drawTogether() {
  const some = $$("#job-list [data-with]").filter((each) => each.checked).map((each) => each.job);
  for (const id of [...ticked.keys()]) if (!some.some((each) => each.id === id)) ticked.delete(id);
  for (const each of some) if (!ticked.has(each.id)) ticked.set(each.id, each.due);
  $("#together").hidden = !some.length;
  $("#together-go").disabled = some.length < 2;
  $("#together-said").replaceChildren(...(some.length === 1 ? [made("p", { class: "hint" }, "Tick one more.")] : []));
  $("#together-list").replaceChildren(...[...ticked].map(([id, due]) => {
    const job = some.find((each) => each.id === id), name = job.name || "without a name";
    if (job.jobs) return made("li", {}, made("b", {}, name), made("span", { class: "tag" }, "each by its own day"));
    const field = made("input", { type: "date", value: due || undefined, "aria-label": `${name}, due`, "data-due": id });
    return made("li", {}, made("b", {}, name), made("label", {}, "due", field));
  }));
}
$("#job-list").addEventListener("change", (event) => { if (event.target.matches("[data-with]")) drawTogether(); });
$("#together-list").addEventListener("change", ({ target }) => ticked.set(target.dataset.due, target.value));
$("#together-go").addEventListener("click", async () => {
  const jobs = [...ticked].map(([id, due]) => ({ id, due })), options = { hours_a_day: $("#together-hours").value };
  try {
    const answer = await send("/jobs/together", { jobs, options });
    if (answer.id) { location.href = `/?job=${answer.id}`; return; }
    $("#together-said").replaceChildren(...(answer.faults ?? []).map((each) => made("p", { class: "said" }, each.said)));
  } catch { $("#together-said").replaceChildren(made("p", { class: "said" }, SILENT)); }
});

async function show() {
  const list = $("#job-list");
  try {
    const answer = await send("/jobs");
    list.replaceChildren(...answer.jobs.map(entry), ...answer.said.map((each) => made("li", { class: "said" }, each)));
    if (!list.children.length) list.append(made("li", {}, "No job yet."));
    drawTogether();
  } catch { list.replaceChildren(made("li", { class: "said" }, "The program does not answer.")); }
}

$("#open-jobs").addEventListener("click", async () => { await show(); await answered($("#jobs")); });
$("#job-list").addEventListener("click", async (event) => {
  const { copy, delete: gone, restore } = event.target.closest("button")?.dataset ?? {};
  if (copy) { const answer = await send(`/jobs/${copy}/copy`, {}); if (answer.id) location.href = `/?job=${answer.id}`; }
  if (gone) {
    await send(`/jobs/${gone}/delete`, {});
    const item = event.target.closest("li"), name = $("a", item).textContent;
    if (gone === draft.id) { localStorage.removeItem(store(gone)); draft.edition = 0; }
    item.replaceChildren(made("span", {}, `${name} is deleted.`), made("button", { type: "button", "data-restore": gone }, "Bring it back"));
    $("button", item).focus();
    drawTogether();
  }
  if (restore) { await send(`/jobs/${restore}/restore`, {}); await show(); }
});
