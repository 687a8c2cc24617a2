// Other plans for the same list: a table and a small chart of time and plate, and behind each point its plan.
import { $, $$, send, SILENT } from "./api.js";
import { read } from "./list.js";
import { isStale, owner as page, show } from "./planning.js";

const place = $("#choices"), owner = `${page}-choices`, plans = new Map();
let round = 0;

const say = (text) => { $("#choices-state").textContent = text; };

export function forget() {
  round += 1;
  plans.clear();
  $("#choices-found").replaceChildren();
  say("");
  send(`/planning/${owner}/drop`, {}).catch(() => {});
}

async function find() {
  const mine = ++round;
  plans.clear();
  $("#choices-found").replaceChildren();
  say("Looking for other plans …");
  try {
    let answer = await send("/planning", { owner, job: read(), want: "choices" });
    while (mine === round) {
      for (const each of answer.news ?? []) take(each);
      if (answer.state !== "working") break;
      if (!$("#choices-found").children.length) say(`Looking for other plans: ${answer.told?.words ?? "laying out"} …`);
      answer = await send(`/planning/${owner}`);
    }
    if (mine === round && answer.state === "refused") say((answer.faults ?? []).map((each) => each.said).join(" "));
  } catch { if (mine === round) say(SILENT); }
}

function take(news) {
  if (news.kind === "choices") {
    $("#choices-found").innerHTML = news.html; // a template of the program's
    say("The plans behind them are being made …");
  }
  if (news.kind !== "choice") return;
  plans.set(String(news.number), news);
  for (const each of $$(`[data-choice="${news.number}"]`, place)) { each.removeAttribute("aria-disabled"); if ("disabled" in each) each.disabled = false; }
  const left = $$("button[data-choice]", place).filter((each) => each.disabled).length;
  say(left ? `${left} more on the way …` : "Each can be looked at, and kept.");
}

place.addEventListener("click", (event) => {
  if (event.target.closest("#choices-find")) { find(); return; }
  const number = event.target.closest("[data-choice]")?.dataset.choice, plan = plans.get(number);
  if (!plan || isStale()) return;
  show(plan);
  for (const each of $$("[data-choice]", place)) each.classList.toggle("taken", each.dataset.choice === number);
});
place.addEventListener("keydown", (event) => {
  if (event.target.matches("g[data-choice]") && ["Enter", " "].includes(event.key)) { event.preventDefault(); event.target.dispatchEvent(new MouseEvent("click", { bubbles: true })); }
});
