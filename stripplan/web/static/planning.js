// Plans of the list: the first at once, better ones as they come, the best so far where one stops; kept and taken along.
import { $, $$, made, send, SILENT } from "./api.js";
import { compare, hold, letGo } from "./beside.js";
import { closed } from "./cuts.js";
import { draft } from "./drafts.js";
import { form, read } from "./list.js";
import { arrived, plateShown } from "./picture.js";
import { showFaults, showWarnings, clearWarnings } from "./said.js";

const owner = [...crypto.getRandomValues(new Uint32Array(4))].join("-");
const state = $("#state"), sight = $("#plan"), rest = $("#rest");
let round = 0, begun = 0, wanted = ""; // `wanted`: the list that is on the screen
let last = ""; // id of the plan that was shown last, to be kept as far as it goes where that is asked
const keeps = $("#keep-order");
export let shown = null; // the plan that is shown: id, list, figures, whether it is the last of its search

export const isStale = () => shown !== null && shown.list !== wanted;

// The list is another one from here on; until the plan of it comes, what is shown belongs to the one before.
export function listIs(digest) {
  wanted = digest;
  mark();
}

export function listChanges() { wanted = ""; round += 1; mark(); }

function mark() {
  const stale = isStale();
  sight.classList.toggle("stale", stale);
  rest.classList.toggle("stale", stale);
  $("#stale").hidden = !stale;
  for (const each of [...$$("[data-belongs]", sight), ...$$("[data-belongs]", rest)]) {
    if (each.tagName === "BUTTON") each.disabled = stale;
    else if (stale) { each.removeAttribute("href"); each.setAttribute("aria-disabled", "true"); }
    else { each.href = address(each.dataset.belongs); each.removeAttribute("aria-disabled"); }
  }
}

// Where a file of the plan that is shown lies; the program looks whether it belongs to the list that is kept.
function address(name) {
  const [file, query = ""] = name.split("?");
  return `/plans/${shown.id}/${file}?${new URLSearchParams([...new URLSearchParams(query), ["job", draft.id]])}`;
}

function say(text, ...buttons) { state.replaceChildren(text, ...buttons.flatMap((each) => [" ", each])); }
export function tell(text) { round += 1; say(text); }

const seconds = () => Math.round((performance.now() - begun) / 1000);
const percent = (gap) => (gap < 0.0995 ? (100 * gap).toFixed(1) : Math.round(100 * gap));
const near = (gap) => (gap === null || gap === undefined ? "" : gap < 0.0005 ? "No plan can be better." : `No plan can be more than ${percent(gap)} % better.`);

function working(told) {
  const share = told?.share ? `, ${Math.round(100 * told.share)} %` : "";
  const first = shown === null || shown.list !== wanted;
  const words = first ? `Working on the first plan: ${told?.words ?? "laying out"}${share}.` : `Looking for a better plan${share}. ${near(shown.gap)}`;
  if ($("#enough")) { state.firstChild.textContent = words; return; }
  const stop = made("button", { type: "button", id: "enough" }, "Stop, this is good enough");
  stop.addEventListener("click", () => { send(`/planning/${owner}/enough`, {}); stop.disabled = true; stop.textContent = "Making the best so far ready …"; });
  say(words, stop);
}

// Plan what is typed; older rounds come to nothing. Of the rest of a plan little changes, unless it is planned `anew`.
export async function begin({ anew = false } = {}) {
  const mine = ++round;
  begun = performance.now();
  try {
    let answer = await send("/planning", { owner, job: read(), keep: !anew && keeps.checked && last ? last : undefined, afresh: anew });
    while (mine === round) {
      for (const each of answer.news ?? []) take(each);
      if (answer.state !== "working") break;
      working(answer.told);
      answer = await send(`/planning/${owner}`);
    }
    if (mine === round) finish(answer);
  } catch {
    if (mine === round) say(SILENT);
  }
}

// Kept no longer, the list is planned afresh.
keeps.addEventListener("change", () => { if (!keeps.checked && shown) begin(); });

export function drop() { round += 1; send(`/planning/${owner}/drop`, {}).catch(() => {}); }

function take(news) {
  if (news.list !== wanted) return; // of another list: that one is planned anew
  if (news.kind === "sketch") sketch(news);
  if (news.kind === "plan") show(news);
}

function finish(answer) {
  if (answer.state === "refused") { say(""); showFaults(answer.faults ?? []); return; }
  if (answer.state !== "made" || shown === null) return;
  const took = seconds();
  const notes = shown.notes ?? [], words = [near(shown.gap), took > 1 ? `Searched for ${took} s.` : "", ...(notes.length > 1 ? [] : notes)].filter(Boolean).join(" ");
  const list = notes.length > 1 ? [made("ul", { class: "plain notes-of" }, ...notes.map((each) => made("li", {}, each)))] : [];
  say(words, ...list, ...(shown.afresh ? [afresh()] : []));
}

// Where keeping is dearer than a plan made afresh, that one is ready too.
function afresh() {
  const button = made("button", { type: "button", id: "afresh" }, read().again ? "Take the cheaper one" : "Take the plan made afresh");
  button.addEventListener("click", () => { keeps.checked = false; begin({ anew: true }); });
  return button;
}

// The parts on their plates, before cuts are in order: a sight, and nothing to cut by.
function sketch({ plates }) {
  const before = plateShown();
  const figures = plates.map((each, at) => {
    const figure = made("figure", { class: "plate", "data-plate": each.id, tabindex: "0", hidden: at > 0 });
    figure.innerHTML = each.svg; // the program's own picture: names in it are escaped
    figure.prepend(made("figcaption", {}, `${each.id}: ${each.stock}${each.count > 1 ? `, ${each.count} alike` : ""}`));
    return figure;
  });
  const tabs = made("div", { class: "row plates", role: "group", "aria-label": "Plates" }, ...(plates.length > 1 ? plates.map((each) => made("button", { type: "button", "data-show-plate": each.id }, each.id)) : []));
  const first = made("p", { class: "headline" }, made("b", {}, "First layout"), " – the parts on their plates; the cuts are being put in order.");
  sight.replaceChildren(made("div", { class: "sketch" }, first, made("div", { class: "glance" }, tabs, ...figures, made("p", { class: "pointed tag" }))));
  rest.replaceChildren();
  shown = null;
  mark();
  arrived(before);
}

// A plan takes the place of the one before; what was unfolded and looked at stays so.
export function show(news) {
  const before = plateShown(), open = $$("#rest details[open]").map((each) => each.dataset.fold).filter(Boolean);
  shown = { id: news.id, list: news.list, gap: news.gap, last: news.last, notes: news.notes, afresh: news.afresh, ...news.compare };
  last = news.id;
  $("#keep-row").hidden = false;
  const holder = made("div");
  holder.innerHTML = news.html; // a template of the program's, all that a person typed is escaped in it
  clearWarnings();
  closed();
  const more = $(".rest", holder);
  more.remove();
  rest.replaceChildren(...more.children);
  sight.replaceChildren($(".plan", holder));
  for (const each of open) { const fold = $(`#rest [data-fold="${each}"]`); if (fold) fold.open = true; }
  const firstRow = $$("#rest table.order").map((each) => $("tr[data-cut]", each));
  for (const each of firstRow) if (each) each.tabIndex = 0;
  mark();
  showWarnings(rest);
  arrived(before);
  compare(shown);
}

async function keep(id, list) {
  const answer = list === wanted ? await send("/planning/keep", { id, job: read() }).catch(() => ({ faults: [{ said: SILENT, place: [] }] })) : { faults: [{ said: "The list has changed since that plan was made.", place: [] }] };
  if (answer.state === "kept") location.href = `/rig/${answer.id}`; else showFaults(answer.faults ?? []);
}

sight.addEventListener("click", (event) => {
  if (event.target.closest("[data-keep]") && !isStale()) keep(shown.id, shown.list);
  if (event.target.closest("[data-beside]")) { hold(shown, $$("figure.plate", sight)); compare(shown); }
});
$("#beside").addEventListener("click", (event) => {
  const kept = event.target.closest("[data-keep-held]");
  if (kept) keep(kept.dataset.keepHeld, kept.dataset.list);
  if (event.target.closest("[data-let-go]")) letGo();
});

// The sheet on other paper, shorter, without the cautions that hang at the rig, or some of its cuts.
sight.addEventListener("change", (event) => {
  const sheet = event.target.closest(".paper");
  if (!sheet) return;
  const asked = Object.fromEntries($$("[data-paper]", sheet).map((each) => [each.dataset.paper, each.value.trim()]).filter(([, value]) => value));
  const query = new URLSearchParams(asked);
  for (const each of $$("[data-with-paper]", sheet)) each.dataset.belongs = `${each.dataset.withPaper}?${query}`;
  mark();
});
form.addEventListener("submit", (event) => event.preventDefault());
export { owner };
