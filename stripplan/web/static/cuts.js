// The order of work: runs that unfold, cuts that light up, how a piece lies, and why a cut stands where it does.
import { $, $$, made, send } from "./api.js";
import { light, showPlate } from "./picture.js";

const rest = $("#rest"), sight = $("#plan"), panel = $("#cut");
let asked = 0;

const planId = () => $("#rest .orders")?.dataset.of;
const rowOf = (number) => $(`#rest tr[data-cut="${CSS.escape(String(number))}"]`);

// A cut lights up in the picture and in its run; how its piece lies stands beside.
export async function show(number, { open = false } = {}) {
  light({ cut: number });
  const row = rowOf(number);
  if (!row) { panel.hidden = true; return; }
  if (open) {
    row.closest("details.run").open = true;
    row.scrollIntoView({ block: "nearest" });
  }
  const plate = row.dataset.plate;
  if (plate && !$(`#plan figure.plate:not([hidden])[data-plate="${plate}"]`)) { showPlate(plate); light({ cut: number }); }
  const mine = ++asked;
  $("h3", panel).textContent = `Cut ${number}`;
  $("#cut-why").dataset.cut = number;
  if (panel.dataset.cut !== String(number)) { $("#cut-said").textContent = ""; panel.dataset.cut = number; }
  panel.hidden = false;
  const answer = await fetch(`/plans/${planId()}/lie/${number}`).catch(() => null);
  if (mine !== asked || !answer?.ok) return;
  $("#lie").innerHTML = await answer.text(); // the program's own picture: names in it are escaped
}

export function closed() { panel.hidden = true; asked += 1; }

let timer = 0;
const soon = (number) => { clearTimeout(timer); timer = setTimeout(() => show(number), 60); };
sight.addEventListener("cut", (event) => soon(event.detail));
sight.addEventListener("click", (event) => { const cut = event.target.closest("[data-cut]"); if (cut) show(cut.dataset.cut, { open: true }); });
rest.addEventListener("pointerover", (event) => { const row = event.target.closest("tr[data-cut]"); if (row) soon(row.dataset.cut); });
rest.addEventListener("focusin", (event) => { const row = event.target.closest("tr[data-cut]"); if (row) show(row.dataset.cut); });
rest.addEventListener("keydown", (event) => {
  const row = event.target.closest("tr[data-cut]"), step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
  if (!row || !step) return;
  const rows = $$("#rest tr[data-cut]"), to = rows[rows.indexOf(row) + step]; // over the heads of runs
  if (!to) return;
  event.preventDefault();
  to.closest("details.run").open = true;
  row.tabIndex = row === $("tr[data-cut]", row.closest("table")) ? 0 : -1;
  to.tabIndex = 0;
  to.focus();
});

$("#cut-why").addEventListener("click", async ({ target }) => {
  const said = $("#cut-said");
  said.textContent = "Looking it up …";
  try {
    const answer = await send(`/plans/${planId()}/why/${target.dataset.cut}`);
    said.replaceChildren(...(answer.said ? [answer.said] : (answer.faults ?? []).map((each) => made("span", { class: "said" }, each.said))));
  } catch { said.textContent = "The program does not answer."; }
});
$("#cut-close").addEventListener("click", closed);
