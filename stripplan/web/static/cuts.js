// The order of work: runs that unfold, cuts that light up, how a piece lies, why a cut stands where it does, and what
// could be done in its place.
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

// Why a cut stands here, and what could be done in its place: worked out when it is asked. An answer that comes after
// another cut was shown is left out.
for (const button of $$("[data-ask]", panel)) button.addEventListener("click", async () => {
  const said = $("#cut-said"), number = panel.dataset.cut;
  said.replaceChildren(made("p", {}, "Looking it up …"));
  let words;
  try {
    const answer = await send(`/plans/${planId()}/${button.dataset.ask}/${number}`);
    words = answer.said ? [answer.said].flat() : (answer.faults ?? []).map((each) => each.said);
  } catch { words = ["The program does not answer."]; }
  if (panel.dataset.cut === number) said.replaceChildren(...words.map((each) => made("p", {}, each)));
});
$("#cut-close").addEventListener("click", closed);
