// The rig view: one cut at a time. What is done is stored on the computer at once; what cannot be stored waits here and is sent later.
const $ = (selector, within = document) => within.querySelector(selector);
const $$ = (selector, within = document) => [...within.querySelectorAll(selector)];
const token = $('meta[name="stripplan-token"]').content;
const { id, cuts, post_flow: postFlow, progress: first } = JSON.parse($("#data").textContent);
const WAITING = `stripplan-waiting-${id}`, HERE = `stripplan-here-${id}`;
const last = cuts.length;
let progress = first, lastAt = stamp(first), waiting = stored(), sending = false, here = begin();

function stamp(told) { return told.since_last === null ? null : Date.now() - 1000 * told.since_last; }
function stored() { try { return JSON.parse(localStorage.getItem(WAITING)) ?? []; } catch { return []; } }
function begin() { const kept = Number(sessionStorage.getItem(HERE)); return kept >= 1 && kept <= last + 1 ? kept : Math.min(first.at, last + 1); }
function keepWaiting() { try { localStorage.setItem(WAITING, JSON.stringify(waiting)); } catch { /* storage is off: it is kept while the page is open */ } }

// --- changes -------------------------------------------------------------------------------------------------------

function change(what, cut, text = "") {
  const name = [...crypto.getRandomValues(new Uint32Array(3))].map((each) => each.toString(36)).join("-");
  waiting.push({ name, what, cut, text });
  keepWaiting();
  apply({ what, cut, text });
  sendWaiting();
}

// What the screen shows at once; the computer's answer replaces it.
function apply({ what, cut, text }) {
  if (what === "done") { progress.done = [...new Set([...progress.done, cut])].sort((a, b) => a - b); lastAt = Date.now(); }
  if (what === "undone") progress.done = progress.done.filter((each) => each !== cut);
  if (what === "measured") { progress.measured[cut] = text; delete progress.verdicts[cut]; }
  if (what === "wrong") { if (text) progress.wrong[cut] = text; else delete progress.wrong[cut]; }
  draw();
}

async function sendWaiting() {
  if (sending || waiting.length === 0) return;
  sending = true;
  const batch = waiting.slice(0, 100);
  try {
    const answer = await fetch(`/rig/${id}/progress`, {
      method: "POST",
      headers: { "content-type": "application/json", accept: "application/json", "x-stripplan-token": token },
      body: JSON.stringify({ changes: batch }),
    });
    const given = await answer.json();
    if (answer.ok) { waiting = waiting.slice(batch.length); keepWaiting(); take(given); say(""); }
    else if (answer.status === 422) { refused(batch, given.faults ?? []); }
    else say("Not yet stored: load this page again.");
  } catch {
    say(`Not yet stored on the computer: ${waiting.length} ${waiting.length === 1 ? "change waits" : "changes wait"} here.`);
    setTimeout(sendWaiting, 2000);
  } finally {
    sending = false;
  }
  if (waiting.length && !$("#store").textContent) sendWaiting();
}

// One change that cannot be: it is left out, and its words are shown where it was made.
function refused(batch, faults) {
  const bad = batch.find((each) => each.what === "measured") ?? batch[0];
  waiting = waiting.filter((each) => each.name !== bad.name);
  keepWaiting();
  delete progress.measured[bad.cut];
  verdict(bad.cut, faults.map((each) => each.said).join(" "), "out");
  sending = false;
  sendWaiting();
}

function say(text) { if ($("#store").textContent !== text) $("#store").textContent = text; }

function take(given) {
  if (given.version < progress.version) return;
  progress = given;
  lastAt = stamp(given);
  for (const each of waiting) if (each.what !== "at") apply(each);
  draw();
}

async function listen() {
  for (;;) {
    try {
      const answer = await fetch(`/rig/${id}/progress?since=${progress.version}`, { headers: { accept: "application/json" } });
      if (!answer.ok) throw new Error();
      const given = await answer.json();
      if (!sending && given.version !== progress.version) take(given);
      if (waiting.length) sendWaiting(); else say("");
    } catch {
      if (!$("#store").textContent) say("The computer does not answer. Go on: what you do is kept here until it does.");
      await new Promise((done) => setTimeout(done, 2000));
    }
  }
}

// --- what is seen --------------------------------------------------------------------------------------------------

const section = (cut) => $(`.cut[data-cut="${cut > last ? "end" : cut}"]`);

function go(cut, { tell = true } = {}) {
  here = Math.max(1, Math.min(last + 1, cut));
  sessionStorage.setItem(HERE, String(here));
  draw();
  scrollTo(0, 0);
  if (!tell) return;
  const figures = $$(".big, .next", section(here)).map((each) => each.innerText.replace(/\s+/g, " ")).join(", ");
  $("#said").textContent = here > last ? "All cuts are through." : `Cut ${here} of ${last}. ${figures}`;
  if (here <= last) change("at", here);
}

function draw() {
  for (const each of $$(".cut")) each.hidden = each !== section(here);
  $("#number").textContent = here > last ? "end" : here;
  $("#back").disabled = here === 1;
  const done = new Set(progress.done);
  $("#next").textContent = here > last ? "Kept plans" : done.has(here) ? "Next" : "Done, next";
  for (const each of $$(".all button")) {
    const cut = Number(each.dataset.to);
    $("i", each).textContent = progress.wrong[cut] ? "wrong" : done.has(cut) ? "✓ done" : "";
    each.toggleAttribute("aria-current", cut === here);
  }
  if (here > last) {
    const open = cuts.filter((each) => !done.has(each.number)).map((each) => each.number);
    $("#missing").textContent = open.length ? `Not ticked as done: ${open.join(", ")}.` : "";
    return;
  }
  const shown = section(here), wrong = progress.wrong[here];
  $(".done-mark", shown).hidden = !done.has(here);
  $("[data-undo]", shown).hidden = !done.has(here);
  $(".trouble", shown).hidden = !wrong;
  if (wrong) { const [side, ...what] = wrong.split(":"); $(".trouble strong", shown).textContent = `Went wrong: ${what.join(":").trim()} (spoilt: ${side}).`; }
  const field = $(".measure input", shown);
  if (field && document.activeElement !== field) field.value = progress.measured[here] ?? "";
  const said = progress.verdicts[here];
  if (said) verdict(here, said === "go" ? "GO: within the band." : "OUT: stop, check the fence, measure the kerf, plan again.", said);
  else if (field && !field.value) verdict(here, "", "");
}

function verdict(cut, text, kind) {
  const place = $(".verdict", section(cut));
  if (!place || place.textContent === text) return;
  place.textContent = text;
  place.className = `verdict ${kind}`;
}

// --- clocks --------------------------------------------------------------------------------------------------------

const shownTime = (left) => (left >= 60 ? `${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")}` : `${left} s`);
let airUntil = 0;
setInterval(() => {
  if (here > last) return;
  const clock = $("[data-rest]", section(here)), air = $("[data-air]", section(here));
  if (clock && lastAt !== null) {
    const left = Math.ceil(cuts[here - 1].rest - (Date.now() - lastAt) / 1000);
    clock.textContent = left > 0 ? shownTime(left) : "over";
  }
  const left = Math.ceil((airUntil - Date.now()) / 1000);
  air.textContent = airUntil && left > 0 ? `Air: ${shownTime(left)}` : airUntil ? "Air is over" : `Air after the cut: ${postFlow} s`;
}, 250);

// --- hands ---------------------------------------------------------------------------------------------------------

function next() {
  if (here > last) { location.href = "/plans"; return; }
  if (!progress.done.includes(here)) change("done", here);
  airUntil = 0;
  go(here + 1);
}
$("#next").addEventListener("click", next);
$("#back").addEventListener("click", () => go(here - 1));
document.addEventListener("keydown", (event) => {
  if (event.target.closest("input, dialog, textarea") || event.ctrlKey || event.altKey || event.metaKey) return;
  if (event.key === "ArrowRight") { event.preventDefault(); next(); }
  if (event.key === "ArrowLeft") { event.preventDefault(); go(here - 1); }
});
$("#all").addEventListener("click", () => { $("#list").showModal(); $("#list [aria-current]")?.focus(); });
$("#list").addEventListener("click", (event) => {
  const to = event.target.closest("[data-to]");
  if (to) { $("#list").close(); go(Number(to.dataset.to)); }
  if (event.target.closest("[data-close]")) $("#list").close();
});
document.addEventListener("submit", (event) => {
  const form = event.target.closest("[data-measure]");
  if (!form) return;
  event.preventDefault();
  change("measured", Number(form.dataset.measure), form.elements.width.value.trim());
});
$("#main").addEventListener("click", (event) => {
  if (event.target.closest("[data-air]")) airUntil = Date.now() + 1000 * postFlow;
  if (event.target.closest("[data-undo]")) change("undone", here);
  if (event.target.closest("[data-right]")) change("wrong", here, "");
  if (event.target.closest("[data-wrong]")) $("#wrong").showModal();
});
$("#wrong").addEventListener("close", () => {
  if ($("#wrong").returnValue !== "store") return;
  const given = new FormData($("#wrong form"));
  change("wrong", here, `${given.get("side")}: ${given.get("what")}`);
});

// Dark by itself, light by hand.
const light = $("#light");
function shine(lit) { document.body.classList.toggle("lit", lit); light.textContent = lit ? "Dark" : "Light"; try { localStorage.setItem("stripplan-lit", lit ? "1" : ""); } catch { /* not kept */ } }
light.addEventListener("click", () => shine(!document.body.classList.contains("lit")));
try { shine(localStorage.getItem("stripplan-lit") === "1"); } catch { shine(false); }

// The screen stays on where the browser allows it: only on this computer or over a secure connection.
async function stayAwake() { try { await navigator.wakeLock?.request("screen"); } catch { /* not allowed now */ } }
document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible") stayAwake(); });
stayAwake();

for (const each of $$(".big strong, .next strong")) if (each.textContent.length > (each.closest(".big") ? 7 : 6)) each.parentElement.classList.add("long");
go(here, { tell: false });
if (waiting.length) sendWaiting();
listen();
