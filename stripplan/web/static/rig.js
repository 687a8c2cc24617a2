// The rig view: a run a screen, set once, then its cuts one at a time. What is done is stored on the computer at once; what cannot be stored waits here and is sent later.
const $ = (selector, within = document) => within.querySelector(selector);
const $$ = (selector, within = document) => [...within.querySelectorAll(selector)];
let token = $('meta[name="stripplan-token"]').content;
const { id, batch, cuts, parts, whole, units, post_flow: postFlow, progress: first } = JSON.parse($("#data").textContent);
const MARK = batch === 1 ? id : `${id}.${batch}`, WAITING = `stripplan-waiting-${MARK}-`, HERE = `stripplan-here-${MARK}`;
const ANSWER = 6000, NEWS = 25000, AGAIN = 2000; // how long an answer and news are waited for, and when it is tried again [ms]
const LOCK = 1200; // after a tick the next one waits for so long: a hand that taps thrice ticks one cut [ms]
const last = cuts.length;
let progress = first, lastAt = stamp(first), waiting = stored(), sending = false, count = 0, here = begin();

function stamp(told) { return told.since_last === null ? null : Date.now() - 1000 * told.since_last; }
function begin() { const kept = Number(kind(() => sessionStorage.getItem(HERE))); return kept >= 1 && kept <= last + 1 ? kept : Math.min(first.at, last + 1); }
function kind(doing) { try { return doing(); } catch { return null; } } // storage may be off: then what waits is kept while the page is open

// Each change lies under its own name, so that two pages of one device lose nothing of each other. Names begin with the time: they sort.
function stored() {
  const names = kind(() => Object.keys(localStorage).filter((each) => each.startsWith(WAITING)).sort()) ?? [];
  return names.map((each) => kind(() => JSON.parse(localStorage.getItem(each)))).filter((each) => each?.name && cuts[each.cut - 1]);
}
function forget(names) {
  waiting = waiting.filter((each) => !names.has(each.name));
  for (const name of names) kind(() => localStorage.removeItem(WAITING + name));
}

// --- changes -------------------------------------------------------------------------------------------------------

function change(what, cut, text = "", more = {}) {
  const now = Date.now(), made = { name: `${now}-${String(count++).padStart(5, "0")}-${crypto.getRandomValues(new Uint32Array(1))[0]}`, what, cut, text, now, ...more };
  if (what === "at" && !sending) forget(new Set(waiting.filter((each) => each.what === "at").map((each) => each.name)));
  waiting.push(made);
  kind(() => localStorage.setItem(WAITING + made.name, JSON.stringify(made)));
  apply(made);
  draw();
  sendWaiting();
}

// What the screen shows at once; the computer's answer replaces it.
function apply({ what, cut, text, now, usable }) {
  if (what === "done" && !progress.wrong[cut]) { progress.done = [...new Set([...progress.done, cut])].sort((a, b) => a - b); lastAt = now; }
  if (what === "undone") progress.done = progress.done.filter((each) => each !== cut);
  if (what === "measured") { if (text) progress.measured[cut] = text; else delete progress.measured[cut]; delete progress.verdicts[cut]; }
  if (what === "wrong") {
    if (text) progress.wrong[cut] = text; else delete progress.wrong[cut];
    if (text && usable) progress.usable[cut] = usable; else delete progress.usable[cut];
    if (text) progress.done = progress.done.filter((each) => each !== cut);
  }
}

// An answer of our own; a device that is not let in any more is led elsewhere.
async function asked(path, given, patience) {
  const answer = await fetch(path, { ...given, signal: AbortSignal.timeout?.(patience) });
  if (answer.redirected) throw new Stranger();
  return { status: answer.status, value: await answer.json().catch(() => ({})) };
}
class Stranger extends Error {}

async function sendWaiting() {
  if (sending || waiting.length === 0) return;
  sending = true;
  const some = waiting.slice(0, 100);
  let again = 0;
  try {
    const { status, value } = await asked(`/rig/${id}/${batch}/progress`, {
      method: "POST",
      headers: { "content-type": "application/json", accept: "application/json", "x-stripplan-token": token },
      body: JSON.stringify({ changes: some.map(({ now, ...each }) => ({ ...each, ago: Math.max(0, (Date.now() - now) / 1000) })) }),
    }, ANSWER);
    const faults = value.faults ?? [], bad = faults.find((each) => each.place?.[0] === "changes");
    if (status === 200) { forget(new Set(some.map((each) => each.name))); take(value); say(value.book); }
    else if (status === 422 && bad) refused(some[bad.place[1]], bad);
    else if (status === 403) { say("The program was started anew: finding the way back to it. What you did is kept here."); again = (await comeBack()) ? 0 : AGAIN; }
    else { say(trouble(status, value)); again = 5 * AGAIN; }
  } catch (error) {
    unheard(error);
    again = AGAIN;
  }
  sending = false;
  if (waiting.length) setTimeout(sendWaiting, again);
}

// After a restart the computer knows this device still, but not what this page was given then: the page asks for it anew.
async function comeBack() {
  try {
    const answer = await fetch(location.pathname, { headers: { accept: "text/html" }, signal: AbortSignal.timeout?.(ANSWER) });
    if (answer.redirected || !answer.ok) throw new Stranger();
    const given = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector('meta[name="stripplan-token"]');
    if (!given || given.content === token) return false;
    token = given.content;
    return true;
  } catch (error) { unheard(error); return false; }
}

// The computer answers, but cannot do it: why, in its own words.
function trouble(status, value) {
  const store = waiting.some((each) => each.what !== "at") ? "Not yet stored: " : "";
  return store + ((value.faults ?? []).map((each) => each.said).join(" ") || `the computer answers ${status}`);
}

function unheard(error) {
  const many = waiting.filter((each) => each.what !== "at").length, store = many ? `Not yet stored on the computer: ${many} ${many === 1 ? "change waits" : "changes wait"} here. ` : "";
  say(store + (error instanceof Stranger ? "The computer does not know this device any more: load this page again and give the code." : "The computer does not answer; it is asked again every few seconds. Go on: what you do is kept here until it does."));
}

// One change that cannot be is left out, and its words are shown where it was made.
function refused(bad, fault) {
  forget(new Set([bad.name]));
  if (bad.what === "measured" && !waiting.some((each) => each.what === "measured" && each.cut === bad.cut)) {
    delete progress.measured[bad.cut];
    verdict(bad.cut, fault.text ? `${fault.text[0].toUpperCase()}${fault.text.slice(1)} (${fault.hint})` : fault.said, "out");
  }
  if (bad.what === "wrong" && bad.usable && !waiting.some((each) => each.what === "wrong" && each.cut === bad.cut)) { // asked once more, with all that was given
    delete progress.wrong[bad.cut];
    delete progress.usable[bad.cut];
    if (here !== bad.cut) go(bad.cut); else draw();
    askWrong(bad, fault.said);
  }
}

function say(text) { if ($("#store").textContent !== text) $("#store").textContent = text; }

function take(given) {
  progress = given;
  lastAt = stamp(given);
  tellHappened(given.happened);
  for (const each of waiting) apply(each);
  draw();
}

// What happened to the plan's files on the computer stays on the screen until somebody has seen to it.
function tellHappened(lines) {
  $("#happened").hidden = lines.length === 0;
  put($("#happened strong"), lines.join(" "));
}
$("#happened button").addEventListener("click", async () => {
  try {
    const { status, value } = await asked(`/rig/${id}/seen`, { method: "POST", headers: { accept: "application/json", "x-stripplan-token": token } }, ANSWER);
    if (status === 200) tellHappened(value.happened);
  } catch (error) { unheard(error); }
});

async function listen() {
  for (;;) {
    const begun = Date.now();
    try {
      const { status, value } = await asked(`/rig/${id}/${batch}/progress?since=${progress.version}`, { headers: { accept: "application/json" } }, NEWS);
      if (status !== 200) {
        say(trouble(status, value));
        await pause(AGAIN);
      } else if (!sending) {
        if (value.version !== progress.version) take(value);
        tellHappened(value.happened);
        if (waiting.length === 0) say(value.book);
      }
      sendWaiting();
    } catch (error) {
      unheard(error);
      await pause(AGAIN);
    }
    if (Date.now() - begun < 100) await pause(100); // never faster than this, whatever the computer answers
  }
}
const pause = (time) => new Promise((done) => setTimeout(done, time));

// --- what is seen --------------------------------------------------------------------------------------------------

const section = (cut) => $(`.cut[data-cut="${cut > last ? "end" : cut}"]`);

function go(cut, { tell = true } = {}) {
  for (const each of $$("[data-typed]")) delete each.dataset.typed;
  here = Math.max(1, Math.min(last + 1, cut));
  kind(() => sessionStorage.setItem(HERE, String(here)));
  draw();
  scrollTo(0, 0);
  if (here > last) { offerWidths(); offerBook(); }
  if (!tell) return;
  const figures = $$(".run span, .big, .next, .edges p, .first li", section(here)).map((each) => each.innerText.replace(/\s+/g, " ")).join(", ");
  put($("#said"), here > last ? $("#ended").textContent : `${Sort(here)} ${here} of ${last}${counted(cuts[here - 1])}. ${figures}`);
  if (here <= last) change("at", here);
}

const sort = (cut) => (cuts[cut - 1]?.bevel ? "bevel" : "cut"), Sort = (cut) => (cuts[cut - 1]?.bevel ? "Bevel" : "Cut");
const counted = ({ run }) => (run.of > 1 ? `, ${run.at} of ${run.of} with one setting` : "");
const sidesOf = (told) => { const side = told.split(":")[0]; return side === "none" ? [] : side === "left" || side === "right" ? [side] : ["left", "right"]; };

// The cut that spoilt what this one would cut; nothing where its piece is whole.
function blockedBy(cut) {
  for (const [number, told] of Object.entries(progress.wrong)) {
    const { falls } = cuts[number - 1] ?? { falls: {} };
    if (sidesOf(told).some((side) => falls[side]?.later.includes(cut))) return Number(number);
  }
  return 0;
}

function draw() {
  for (const each of $$(".cut")) each.hidden = each !== section(here);
  fit();
  requestAnimationFrame(below);
  put($("#sort"), sort(here));
  put($("#number"), String(here > last ? "end" : here));
  put($("#batch"), progress.name || `batch ${batch}`);
  put($("#plate"), (cuts[here - 1] ?? cuts[last - 1]).plate);
  $("#back").disabled = here === 1;
  const done = new Set(progress.done), wrong = progress.wrong[here], blocked = blockedBy(here);
  put($("#next"), here > last ? "Batches" : wrong || blocked ? "Go on" : done.has(here) ? "Next" : "Done, next");
  for (const each of $$(".all button")) {
    const cut = Number(each.dataset.to), state = progress.wrong[cut] ? "wrong" : blockedBy(cut) ? "blocked" : done.has(cut) ? "done" : "";
    put($("i", each), { wrong: "✗ wrong", blocked: "blocked", done: "✓ done", "": "" }[state]);
    each.dataset.state = state;
    each.toggleAttribute("aria-current", cut === here);
  }
  if (here > last) { drawEnd(done); return; }
  const shown = section(here);
  $(".done-mark", shown).hidden = !done.has(here) || Boolean(wrong);
  $("[data-undo]", shown).hidden = !done.has(here);
  $("[data-wrong]", shown).hidden = Boolean(wrong || blocked);
  $("[data-air]", shown).hidden = done.has(here);
  $(".blocked", shown).hidden = !blocked;
  if (blocked) put($(".blocked", shown), `BLOCKED: ${sort(blocked)} ${blocked} spoilt its piece ${cuts[here - 1].piece}. Do not cut. Plan the rest again at ${sort(blocked)} ${blocked}, or at the end.`);
  $(".trouble", shown).hidden = !wrong;
  if (wrong) put($(".trouble strong", shown), `Went wrong: ${wrong.split(":").slice(1).join(":").trim()}. ${spoils(here, sidesOf(wrong))}${good(progress.usable[here])}`);
  drawWidth(shown);
}

// What is lost where pieces beside a cut are spoilt.
function spoils(cut, sides) {
  if (!sides.length) return "Nothing is spoilt: make the cut again, then say that it was right.";
  const fallen = sides.map((side) => cuts[cut - 1].falls[side]).filter(Boolean), later = fallen.flatMap((each) => each.later).sort((a, b) => a - b);
  const what = fallen.map((each) => each.told).join(" and ") || "nothing that is kept";
  return `Spoilt: ${what}.${later.length ? ` Blocked: cut${later.length > 1 ? "s" : ""} ${ranges(later)}.` : ""}`;
}

// What is still good of it.
const good = (usable) => (usable ? ` Still good, once trimmed: ${usable.replaceAll(";", ",").replace(/(?<=[\d"])\s*[xX]\s*(?=\d)/g, " \u00d7 ")}.` : "");

// 3, 4, 5, 8 as "3 to 5, 8".
function ranges(numbers) {
  const rows = [];
  for (const each of numbers) { const row = rows.at(-1); if (row && row[1] === each - 1) row[1] = each; else rows.push([each, each]); }
  return rows.map(([from, to]) => (from === to ? from : to === from + 1 ? `${from}, ${to}` : `${from} to ${to}`)).join(", ");
}

function drawWidth(shown) {
  const field = $(".measure input", shown);
  if (!field) return;
  const forecast = progress.expected?.[here], place = $(".forecast", shown);
  place.hidden = !forecast;
  if (forecast) put(place, `By cut${forecast.cuts.length > 1 ? "s" : ""} ${ranges(forecast.cuts)} expect ${forecast.width}${units === "in" ? "" : " mm"}${forecast.good ? "." : ": OUT of the band. Check the fence before the arc."}`);
  place.classList.toggle("out", Boolean(forecast) && !forecast.good);
  if (field.dataset.typed) return; // what is being typed stays
  const width = progress.measured[here] ?? "", said = progress.verdicts[here];
  if (width || !$(".verdict.out", shown)) field.value = width; // what was refused stays to be mended
  if (said) verdict(here, said === "go" ? "GO: within the band." : "OUT: stop, check the fence, measure the kerf, plan again.", said);
  else if (width) verdict(here, "Kept here; the computer has yet to check it.", "");
  else if (!field.value) verdict(here, "", "");
}

// The end: what was really made, by the cuts that were made and what they spoilt.
function drawEnd(done) {
  const wrongs = Object.keys(progress.wrong).map(Number), blocked = cuts.map((each) => each.number).filter((each) => blockedBy(each));
  const again = wrongs.filter((each) => !sidesOf(progress.wrong[each]).length);
  const open = cuts.map((each) => each.number).filter((each) => !done.has(each) && !wrongs.includes(each) && !blocked.includes(each));
  const made = cuts.filter(({ number }) => !blocked.includes(number) && (done.has(number) || (wrongs.includes(number) && !again.includes(number))));
  const count = {}, kept = new Set(), gone = new Set();
  for (const name of whole) count[name] = (count[name] ?? 0) + 1;
  for (const each of made) {
    const spoilt = progress.wrong[each.number] ? sidesOf(progress.wrong[each.number]) : [];
    if (each.bevel) { // it makes no piece, but may spoil one
      const { part, piece } = each.falls.right;
      if (spoilt.length && !gone.has(piece)) { gone.add(piece); count[part] = Math.max(0, (count[part] ?? 0) - 1); }
      continue;
    }
    for (const side of ["right", "left"]) {
      const fall = each.falls[side];
      if (!fall || spoilt.includes(side)) continue;
      if (fall.kind === "part") count[fall.part] = (count[fall.part] ?? 0) + 1;
      kept.add(fall.piece);
    }
  }
  put($("#ended"), open.length || again.length ? "Not all cuts are done" : wrongs.length ? "All cuts are through, not all of them right" : "All cuts are through");
  put($("#missing"), [open.length ? `Not ticked as done: ${ranges(open)}.` : "", again.length ? `To be made again: ${ranges(again)}.` : ""].filter(Boolean).join(" "));
  const lost = wrongs.filter((each) => !again.includes(each));
  $("#lost").hidden = !lost.length;
  put($("#lost strong"), lost.length ? `Spoilt at cut${lost.length > 1 ? "s" : ""} ${ranges(lost)}.${blocked.length ? ` Not cut for it: ${ranges(blocked)}.` : ""}` : "");
  fill($("#made"), parts.map(({ name, wanted, filler }) => {
    const got = count[name] ?? 0;
    return { text: filler ? `${name}: ${got} (filler)` : `${name}: ${got} of ${wanted}`, bad: !filler && got < wanted };
  }));
  const racked = $$("#offcuts [data-piece]");
  for (const each of racked) each.hidden = !kept.has(each.dataset.piece);
  $("#offcuts [data-none]").hidden = racked.some((each) => !each.hidden);
  put($("#minutes"), progress.minutes ? `Took ${progress.minutes.taken}, breaks left out; by the plan ${progress.minutes.planned} for the cuts done.` : "");
}

function fill(list, rows) {
  list.replaceChildren(...rows.map(({ text, bad }) => {
    const row = document.createElement("li");
    row.textContent = bad ? `${text}: SHORT` : text;
    row.classList.toggle("short", bad);
    return row;
  }));
}

// Widths that were measured on the fence are offered to a notebook, once the end is reached.
async function offerWidths() {
  try {
    const { status, value } = await asked(`/rig/${id}/${batch}/notebook`, { headers: { accept: "application/json" } }, ANSWER);
    const form = $("#widths");
    form.hidden = status !== 200 || !value.checks.length;
    if (form.hidden) return;
    const boxes = value.checks.map(({ cut, reading, width }) => {
      const label = document.createElement("label"), box = document.createElement("input");
      label.className = "check";
      Object.assign(box, { type: "checkbox", name: "cut", value: String(cut), checked: progress.verdicts[cut] !== "out" });
      label.append(box, ` cut ${cut}: fence ${reading} mm, strip ${width}${units === "in" || /[a-z"]/i.test(width) ? "" : " mm"}`);
      return label;
    });
    $("fieldset", form).replaceChildren($("legend", form), ...boxes);
    $("select", form).replaceChildren(...value.rigs.map((each) => new Option(each, each, false, each === value.rig)));
    put($(".said", form), value.rigs.length ? "" : "No rig of yours has a notebook: begin one in the notebook view.");
    $(".row", form).hidden = !value.rigs.length;
  } catch (error) { unheard(error); }
}
$("#widths").addEventListener("submit", async (event) => {
  event.preventDefault();
  const form = $("#widths"), chosen = $$("input:checked", form).map((each) => Number(each.value)), rig = $("select", form).value;
  if (!chosen.length) { put($(".verdict", form), "None is chosen."); return; }
  try {
    const { status, value } = await asked(`/rig/${id}/${batch}/notebook`, {
      method: "POST",
      headers: { "content-type": "application/json", accept: "application/json", "x-stripplan-token": token },
      body: JSON.stringify({ rig, cuts: chosen }),
    }, ANSWER);
    put($(".verdict", form), status === 200 ? `${value.count} written into the notebook of ${rig}.` : trouble(status, value));
    if (status === 200) for (const each of $$("input:checked", form)) { each.checked = false; each.disabled = true; }
  } catch (error) { unheard(error); }
});

// What was cut goes into the stock book once: plates are used up, offcuts get their numbers.
async function offerBook() {
  try {
    const { status, value } = await asked(`/rig/${id}/${batch}/book`, { headers: { accept: "application/json" } }, ANSWER);
    const form = $("#book");
    form.hidden = status !== 200;
    $(".row", form).hidden = $(".hint", form).hidden = value.done;
    if (value.done && !$(".verdict", form).textContent) put($(".verdict", form), "It is in the stock book.");
    put($("[data-promised]", form), value.pieces ? `, and what was promised and not touched of ${value.pieces} is free` : "");
  } catch (error) { unheard(error); }
}
$("#book").addEventListener("submit", async (event) => {
  event.preventDefault();
  const form = $("#book");
  try {
    const { status, value } = await asked(`/rig/${id}/${batch}/book`, {
      method: "POST",
      headers: { "content-type": "application/json", accept: "application/json", "x-stripplan-token": token },
      body: JSON.stringify({ place: form.elements.place.value }),
    }, ANSWER);
    if (status !== 200) { put($(".verdict", form), trouble(status, value)); return; }
    put($(".verdict", form), ["It is in the stock book.", value.used && `Used up: ${value.used}.`, value.free && `Free again: ${value.free}.`, value.offcuts.length ? "On the rack; write the number on each:" : ""].filter(Boolean).join(" "));
    fill($("ul", form), value.offcuts.map((each) => ({ text: `${each.name}: ${each.piece}, ${each.size}`, bad: false })));
    offerBook();
  } catch (error) { unheard(error); }
});

function verdict(cut, text, look) {
  const place = $(".verdict", section(cut));
  if (!place || place.textContent === text) return;
  place.textContent = text;
  place.className = `verdict ${look}`;
}

// Figures as large as the screen lets them be: widths of their characters in ems (DejaVu Sans Condensed Bold).
const EMS = { " ": 0.31, ".": 0.34, ",": 0.34, "/": 0.33, '"': 0.47, m: 0.94 };
const ems = (text) => [...text].reduce((sum, each) => sum + (EMS[each] ?? 0.63), 0);
const wide = (figure) => ems(figure.firstChild.data) + ($("small", figure) ? ems($("small", figure).textContent) / 2 : 0); // a unit is half as high
for (const each of $$(".begins .big strong, .begins .next strong")) each.style.setProperty("--ems", wide(each).toFixed(2));
const LEAST = 70; // size [px] whose capitals are 8 mm on a phone of 6.3 px a mm
function fit() {
  const pair = $(".pair-of", section(here));
  if (!pair) return;
  pair.classList.remove("above", "first-alone");
  const figures = $$("strong", pair), tooWide = (each) => wide(each) * LEAST > pair.clientWidth / 2 - 7, upright = innerHeight > innerWidth;
  pair.classList.toggle("above", upright && figures.some(tooWide));
  pair.classList.toggle("first-alone", upright && figures.length === 3 && tooWide(figures[0]) && !figures.slice(1).some(tooWide));
}
addEventListener("resize", fit);

// What lies under the foot and the hands is told where it goes under: how many things are still to be done, and that piece and cut stand below.
function below() {
  const shown = section(here), sign = $("[data-more]", shown), upright = innerHeight > innerWidth;
  if (!sign) return;
  const top = (each) => each.getBoundingClientRect().top;
  $("[data-how]", shown).hidden = top($(".how", shown)) + 40 < (upright ? top($(".hands")) : innerHeight); // the foot is as high as it has buttons
  const low = (upright ? top($(".foot", shown)) : innerHeight) + 4, under = $$(".first li", shown).filter((each) => each.getBoundingClientRect().bottom > low);
  sign.hidden = !under.length;
  put(sign, `\u25BC ${under.length} more`);
}
addEventListener("resize", below);
addEventListener("scroll", below, { passive: true });

// --- clocks --------------------------------------------------------------------------------------------------------

const shownTime = (left) => (left >= 60 ? `${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")}` : `${left} s`);
function put(place, text) { if (place.textContent !== text) place.textContent = text; }
let airUntil = 0, running = new Set();
// The end of a clock is heard and felt: a person at the rig looks at the plate. A page makes no sound before it was first touched.
function over(name, left) {
  if (left > 0) { running.add(name); return; }
  if (!running.delete(name)) return;
  if (!navigator.userActivation?.hasBeenActive) return;
  navigator.vibrate?.([300, 100, 300]);
  kind(() => {
    const sound = new AudioContext(), tone = sound.createOscillator(), loud = sound.createGain();
    tone.frequency.value = 880;
    loud.gain.value = 0.3;
    tone.connect(loud).connect(sound.destination);
    tone.start();
    tone.stop(sound.currentTime + 0.5);
    tone.onended = () => sound.close();
  });
}
setInterval(() => {
  if (here > last) return;
  const clock = $("[data-rest]", section(here)), air = $("[data-air]", section(here));
  if (clock && lastAt !== null) {
    const left = Math.ceil(cuts[here - 1].wait - (Date.now() - lastAt) / 1000);
    put(clock, left > 0 ? `arc in ${shownTime(left)}` : "rest is over");
    over(`rest ${here}`, left);
  }
  const left = Math.ceil((airUntil - Date.now()) / 1000);
  if (airUntil) over("air", left);
  put(air, airUntil && left > 0 ? `Air: ${shownTime(left)}` : airUntil ? "Air is over" : `Air after: ${postFlow} s`);
  below(); // fonts, widths, buttons and answers that come later move what stands there
}, 250);

// --- hands ---------------------------------------------------------------------------------------------------------

let lockedUntil = 0;
function lock() {
  lockedUntil = performance.now() + LOCK;
  $("#next").setAttribute("aria-disabled", "true");
  setTimeout(() => $("#next").removeAttribute("aria-disabled"), LOCK);
}
function next() {
  if (performance.now() < lockedUntil) return;
  if (here > last) { location.href = `/rig/${id}/batches`; return; }
  const form = $(".measure", section(here));
  if (form && $("input", form).dataset.typed) { form.requestSubmit(); return; } // first what is typed is checked
  if (!progress.done.includes(here) && !progress.wrong[here] && !blockedBy(here)) { change("done", here); lock(); }
  airUntil = 0;
  let to = here + 1;
  while (to <= last && blockedBy(to)) to += 1; // nothing is to be done there
  go(to);
}
$("#next").addEventListener("click", (event) => { if (event.detail < 2) next(); }); // a glove that bounces ticks one cut
$("#back").addEventListener("click", () => go(here - 1));
document.addEventListener("keydown", (event) => {
  if (event.target.closest("input, dialog, textarea") || event.ctrlKey || event.altKey || event.metaKey) return;
  const forth = event.key === "ArrowRight" || (event.key === " " && !event.target.closest("button, a"));
  if (!forth && event.key !== "ArrowLeft") return;
  event.preventDefault();
  if (event.repeat) return; // a key that is held down ticks one cut
  if (forth) next(); else go(here - 1);
});
$("#all").addEventListener("click", () => { $("#list").showModal(); $("#list [aria-current]")?.focus(); });
$("#list").addEventListener("click", (event) => {
  const to = event.target.closest("[data-to]");
  if (to) { $("#list").close(); go(Number(to.dataset.to)); }
  if (event.target.closest("[data-close]")) $("#list").close();
});
document.addEventListener("input", (event) => {
  const form = event.target.closest("[data-measure]");
  if (!form) return;
  event.target.dataset.typed = "yes";
  verdict(Number(form.dataset.measure), "", ""); // what was said of another width does not stand beside this one
});
document.addEventListener("submit", (event) => {
  const form = event.target.closest("[data-measure]");
  if (!form) return;
  event.preventDefault();
  delete form.elements.width.dataset.typed;
  change("measured", Number(form.dataset.measure), form.elements.width.value.trim());
});
$("#main").addEventListener("click", (event) => {
  if (event.target.closest("[data-air]")) airUntil = Date.now() + 1000 * postFlow;
  if (event.target.closest("[data-more]")) scrollBy(0, Math.max(60, $(".first", section(here)).getBoundingClientRect().bottom - (innerHeight > innerWidth ? $(".foot", section(here)).getBoundingClientRect().top : innerHeight - 8)));
  if (event.target.closest("[data-how]")) scrollTo(0, document.body.scrollHeight);
  if (event.target.closest("[data-undo]")) change("undone", here);
  if (event.target.closest("[data-right]")) change("wrong", here, "");
  if (event.target.closest("[data-wrong]")) askWrong();
});

// Nothing is chosen beforehand: what is written down is what somebody has seen.
function askWrong(before = null, said = "") {
  const { falls, bevel } = cuts[here - 1], form = $("#wrong form");
  form.reset();
  for (const side of ["left", "right"]) {
    put($(`#wrong [data-told="${side}"]`), falls[side]?.told ?? "nothing falls there");
    $(`#wrong [value="${side}"]`).disabled = !falls[side];
    put($(`#wrong [data-side="${side}"]`), bevel ? "the part" : side);
  }
  for (const side of ["left", "both"]) $(`#wrong [value="${side}"]`).closest("label").hidden = Boolean(bevel);
  $('#wrong [value="both"]').disabled = !falls.left || !falls.right;
  if (before) {
    const [side, what] = before.text.split(": ");
    form.elements.side.value = side;
    form.elements.what.value = what;
    for (const each of before.usable.split(";")) { const [, of, size] = /^\s*(left|right) (.*)$/.exec(each) ?? []; if (of) form.elements[`good-${of}`].value = size; }
  }
  askGood();
  put($("#spoils"), said);
  $("#wrong").returnValue = "";
  $("#wrong").showModal();
}
$("#wrong").addEventListener("change", () => {
  const side = new FormData($("#wrong form")).get("side");
  put($("#spoils"), side ? spoils(here, sidesOf(`${side}:`)) : "");
  askGood();
});
// What is still good is asked of the pieces that are spoilt.
function askGood() {
  const side = new FormData($("#wrong form")).get("side"), sides = side ? sidesOf(`${side}:`) : [];
  $("#usable").hidden = !sides.length || Boolean(cuts[here - 1].bevel);
  for (const each of $$("[data-good]")) each.hidden = !sides.includes(each.dataset.good);
}
$("#wrong").addEventListener("close", () => {
  if ($("#wrong").returnValue !== "store") return;
  $("#wrong").returnValue = "";
  const given = new FormData($("#wrong form"));
  const sides = sidesOf(`${given.get("side")}:`), usable = sides.filter((side) => given.get(`good-${side}`).trim()).map((side) => `${side} ${given.get(`good-${side}`).trim()}`).join("; ");
  change("wrong", here, `${given.get("side")}: ${given.get("what")}`, usable ? { usable } : {});
  scrollTo(0, 0);
});

// The whole plate, the line of this cut lit.
$("#plates").addEventListener("click", () => {
  const { plate, number } = cuts[here - 1] ?? cuts[last - 1];
  put($("#whole-name"), `Plate ${plate}, ${sort(number)} ${number}`);
  for (const each of $$("#whole .plate")) each.hidden = each.dataset.plate !== plate;
  for (const each of $$("#whole [data-cut]")) {
    each.classList.toggle("lit", Number(each.dataset.cut) === number && here <= last);
    each.classList.toggle("past", progress.done.includes(Number(each.dataset.cut)));
  }
  $("#whole").showModal();
});
$("#whole").addEventListener("click", () => $("#whole").close());

// Dark by itself, light by hand.
const light = $("#light");
function shine(lit) { document.body.classList.toggle("lit", lit); light.textContent = lit ? "Dark" : "Light"; kind(() => localStorage.setItem("stripplan-lit", lit ? "1" : "")); }
light.addEventListener("click", () => shine(!document.body.classList.contains("lit")));
shine(kind(() => localStorage.getItem("stripplan-lit")) === "1");

// The screen stays on where the browser allows it: only on this computer or over a secure connection.
async function stayAwake() {
  const may = "wakeLock" in navigator;
  if (may && document.visibilityState !== "visible") return;
  try {
    if (!may) throw new Error();
    await navigator.wakeLock.request("screen");
    $("#awake").textContent = "The screen stays on while this page is open.";
  } catch {
    $("#awake").textContent = `The screen may go dark by itself: ${may ? "the device does not allow it to stay on now" : "a browser keeps it on only over a secure connection"}. Set a longer time in the device's own settings.`;
  }
}
document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible") { stayAwake(); sendWaiting(); } });
addEventListener("online", () => sendWaiting());
stayAwake();

for (const each of waiting) apply(each);
tellHappened(first.happened);
say(first.book);
go(here, { tell: false });
sendWaiting();
listen();
