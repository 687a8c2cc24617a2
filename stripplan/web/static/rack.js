// The rack: pieces are chosen, found by their label, put right, put in one by one or from a list; then the list and its
// sums are fetched anew.
import { $, $$, answered, base64, LARGEST, made, send, SILENT } from "./api.js";

const main = $("#main"), said = $("#said"), faults = $("#faults"), units = $("#add").dataset.units;
const chosen = () => $$("input[name=piece]:checked").map((each) => each.value);

function count() {
  const some = chosen();
  if ($("#chosen")) $("#chosen").textContent = some.length ? `${some.length} chosen` : "none chosen";
  for (const each of $$("#plan, #change, [data-what]")) each.disabled = !some.length;
}

// The program's own page, all that a person typed escaped in it: what is new of it takes the place of what was there.
async function again() {
  const text = await (await fetch(location.href, { headers: { accept: "text/html" } })).text();
  const fresh = new DOMParser().parseFromString(text, "text/html");
  for (const id of ["pieces", "sums"]) $(`#${id}`).replaceWith($(`#${id}`, fresh));
  count();
}

// Ask for a change, one at a time, so that a second tap puts nothing in twice; what is wrong is said at the fields of the
// form, and together in a place of it.
let asking = false;
async function ask(path, body, form = null, place = faults) {
  if (asking) return false;
  asking = true;
  try { return await changed(path, body, form, place); } finally { asking = false; }
}

// What is sent again after its answer was lost has the name that it had: it is done once.
let lost = { text: "", once: "" };
const name = () => [...crypto.getRandomValues(new Uint32Array(4))].map((each) => each.toString(16)).join("-");

async function changed(path, body, form, place) {
  const text = JSON.stringify([path, body]), once = lost.text === text ? lost.once : name();
  lost = { text, once };
  said.textContent = "";
  place.replaceChildren();
  for (const each of $$("[aria-invalid]", form ?? main)) each.removeAttribute("aria-invalid");
  try {
    const answer = await send(path, { units, once, ...body });
    lost = { text: "", once: "" };
    if (answer.state === "done") { await again(); said.textContent = answer.said; return true; }
    tell(answer.faults ?? [], form, place);
  } catch { tell([{ said: SILENT }], null, place); }
  return false;
}

function tell(wrong, form, place) {
  place.replaceChildren(...wrong.map((each) => made("p", { class: "said" }, each.said)));
  const fields = wrong.map((each) => form?.elements[each.place?.[0]]).filter(Boolean);
  for (const each of fields) { each.setAttribute("aria-invalid", "true"); for (let fold = each.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true; }
  fields[0]?.focus();
}

main.addEventListener("change", (event) => { if (event.target.matches("input[name=piece]")) count(); });
main.addEventListener("click", ({ target }) => {
  const what = target.closest("[data-what]")?.dataset.what;
  if (what) ask(`/rack/pieces/${what}`, { pieces: chosen(), job: $("#job").value, why: $("#why").value });
  if (target.closest("#plan")) location.href = `/?rack=${encodeURIComponent(chosen().join(","))}`;
  if (target.closest("#change")) { const some = chosen(); if (some.length === 1) look(some[0]); else openSeveral(some); }
  const piece = target.closest("[data-piece]");
  if (piece) look(piece.dataset.piece);
});

// --- put in --------------------------------------------------------------------------------------------------------

$("#add").addEventListener("submit", async (event) => {
  event.preventDefault();
  const form = event.target;
  if (await ask("/rack/add", Object.fromEntries(new FormData(form)), form, $("#add-said"))) {
    for (const each of ["size", "count", "cost", "note", "code", "outline"]) form.elements[each].value = ""; // material and place are often those of the next
    form.elements.size.focus();
  }
});

$("#list").addEventListener("change", async ({ target }) => {
  const file = target.files[0];
  if (!file) return;
  said.textContent = "";
  faults.replaceChildren();
  if (file.size > LARGEST) tell([{ said: `${file.name} is larger than can be read here: at most ${LARGEST / 1e6} MB. Read it with stripplan rack read.` }], null, faults);
  else { said.textContent = `Reading ${file.name} …`; await readList(file).catch(() => { said.textContent = ""; tell([{ said: SILENT }], null, faults); }); }
  target.value = "";
});

// A list is shown as it is understood before it is put in.
async function readList(file) {
  const data = await base64(file), dialog = $("#list-dialog"), asked = $$("[data-how]", dialog);
  for (const each of asked) each.value = "";
  for (;;) {
    const how = Object.fromEntries(asked.map((each) => [each.dataset.how, each.value]));
    const answer = await send("/rack/list", { name: file.name, data, units, how });
    said.textContent = "";
    showList(file.name, answer);
    const choice = await answered(dialog);
    if (choice === "again") continue;
    if (choice === "take" && answer.state === "listed") await ask("/rack/list", { name: file.name, data, how, take: true });
    return;
  }
}

function showList(name, answer) {
  const dialog = $("#list-dialog"), read = answer.state === "listed";
  const notes = read ? [...answer.notes, ...(answer.more ? [`And ${answer.more} more lines.`] : [])] : (answer.faults ?? []).map((each) => each.said);
  $("h2", dialog).textContent = name;
  $("#list-count").textContent = read ? `${answer.count} ${answer.count === 1 ? "piece" : "pieces"}, understood like this:` : "This cannot be read as it is, and nothing of it is put in:";
  $("#list-notes").replaceChildren(...notes.map((each) => made("li", read ? {} : { class: "said" }, each)));
  $("#list-table").replaceChildren(...(read ? [made("table", { class: "order" }, made("thead", {}, made("tr", {}, ...answer.heads.map((each) => made("th", { scope: "col" }, each)))), made("tbody", {}, ...answer.rows.map((row) => made("tr", {}, ...row.map((each) => made("td", {}, each))))))] : []));
  $("[value=take]", dialog).hidden = !read;
  $("#list-how").open = !read;
}

// --- found, and put right ------------------------------------------------------------------------------------------

const dialog = $("#piece-dialog"), form = $("form", dialog), several = $("#pieces-dialog"), all = $("form", several);
let shown = { name: "", texts: {} }, some = [];

async function look(named) {
  said.textContent = "";
  faults.replaceChildren();
  $("#not-there").hidden = true;
  let answer;
  try { answer = await send(`/rack/piece?${new URLSearchParams({ named, units })}`); } catch { tell([{ said: SILENT }], null, faults); return; }
  if (answer.state === "found") openPiece(answer);
  else if (answer.state === "not there") notThere(answer);
  else tell(answer.faults ?? [], null, faults);
}

function openPiece(answer) {
  shown = answer;
  $("h2", dialog).textContent = answer.name;
  $(".about", dialog).replaceChildren(...answer.about.map((each) => made("li", {}, each)));
  $(".happened", dialog).replaceChildren(...answer.happened.map((each) => made("li", {}, each)));
  $("details", dialog).open = false;
  for (const [key, value] of Object.entries(answer.texts)) form.elements[key].value = value;
  form.elements.why.value = "";
  opened(dialog, form);
}

function openSeveral(names) {
  some = names;
  $("h2", several).textContent = names.length > 6 ? `${names.slice(0, 6).join(", ")} and ${names.length - 6} more` : names.join(", ");
  all.reset();
  all.elements.code.closest("label").hidden = true; // a label is on one piece
  opened(several, all);
}

function opened(box, within) {
  $(".said", box).replaceChildren();
  for (const each of $$("[aria-invalid]", box)) each.removeAttribute("aria-invalid");
  if (!box.open) box.showModal(); // the heading has the focus: what a scanner types meanwhile falls into no field
  within.scrollTop = 0;
}

form.addEventListener("submit", async (event) => {
  event.preventDefault();
  const anew = Object.keys(shown.texts).filter((key) => form.elements[key].value.trim() !== shown.texts[key]);
  if (!anew.length) { dialog.close(); return; }
  const values = Object.fromEntries(anew.map((key) => [key, form.elements[key].value]));
  if (await ask("/rack/pieces/change", { pieces: [shown.name], values }, form, $(".said", dialog))) dialog.close();
});
all.addEventListener("submit", async (event) => {
  event.preventDefault();
  const values = Object.fromEntries([...new FormData(all)].filter(([, value]) => value.trim()));
  if (await ask("/rack/pieces/change", { pieces: some, values }, all, $(".said", several))) several.close();
});
$("[data-write-off]", dialog).addEventListener("click", async () => {
  if (await ask("/rack/pieces/write-off", { pieces: [shown.name], why: form.elements.why.value }, form, $(".said", dialog))) dialog.close();
});
for (const each of $$("[data-close]")) each.addEventListener("click", () => each.closest("dialog").close());
dialog.addEventListener("close", () => $("#find").elements.named.select());

// What a scanner types ends with Enter; the next code takes the place of the last.
$("#find").addEventListener("submit", async (event) => {
  event.preventDefault();
  const field = event.target.elements.named;
  await look(field.value);
  field.select();
});

let offered = "";
function notThere(answer) {
  offered = answer.code;
  $("#not-there p").textContent = answer.said;
  $("#not-there input").value = "";
  $("#not-there").hidden = false;
}
$("#not-there button").addEventListener("click", async () => {
  if (await ask("/rack/label", { code: offered, place: $("#not-there input").value })) { $("#not-there").hidden = true; $("#find").elements.named.value = ""; $("#find").elements.named.focus(); }
});
count();
