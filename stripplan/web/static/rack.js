// The rack: pieces are chosen, and something is done with them; then the list and its sums are fetched anew.
import { $, $$, made, send, SILENT } from "./api.js";

const main = $("#main"), said = $("#said"), faults = $("#faults");
const chosen = () => $$("input[name=piece]:checked").map((each) => each.value);

function count() {
  const some = chosen();
  if ($("#chosen")) $("#chosen").textContent = some.length ? `${some.length} chosen` : "none chosen";
  for (const each of $$("#plan, [data-what]")) each.disabled = !some.length;
}

// The program's own page, all that a person typed escaped in it: what is new of it takes the place of what was there.
async function again() {
  const text = await (await fetch(location.href, { headers: { accept: "text/html" } })).text();
  const fresh = new DOMParser().parseFromString(text, "text/html");
  for (const id of ["pieces", "sums"]) $(`#${id}`).replaceWith($(`#${id}`, fresh));
  count();
}

async function ask(path, body) {
  said.textContent = "";
  faults.replaceChildren();
  try {
    const answer = await send(path, body);
    if (answer.state === "done") { await again(); said.textContent = answer.said; return true; }
    faults.replaceChildren(...(answer.faults ?? []).map((each) => made("p", { class: "said" }, each.said)));
  } catch { faults.replaceChildren(made("p", { class: "said" }, SILENT)); }
  return false;
}

main.addEventListener("change", (event) => { if (event.target.matches("input[name=piece]")) count(); });
main.addEventListener("click", ({ target }) => {
  const what = target.closest("[data-what]")?.dataset.what;
  if (what) ask(`/rack/pieces/${what}`, { pieces: chosen(), job: $("#job").value, why: $("#why").value });
  if (target.closest("#plan")) location.href = `/?rack=${encodeURIComponent(chosen().join(","))}`;
});
$("#add").addEventListener("submit", async (event) => {
  event.preventDefault();
  const form = event.target;
  if (await ask("/rack/add", { ...Object.fromEntries(new FormData(form)), measured: form.elements.measured.checked })) {
    for (const each of ["size", "count", "cost", "note"]) form.elements[each].value = ""; // material and place are often those of the next
    form.elements.size.focus();
  }
});
count();
