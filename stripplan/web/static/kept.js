// Plans that were kept: one is forgotten, after it was asked whether that is meant.
import { $, answered, send, SILENT } from "./api.js";

document.addEventListener("click", async (event) => {
  const item = event.target.closest("[data-forget]")?.closest("[data-plan]");
  if (!item) return;
  $("#sure span").textContent = `the plan of ${$(".main", item).textContent}`;
  if ((await answered($("#sure"))) !== "forget") return;
  const answer = await send(`/plans/${item.dataset.plan}/forget`, {}).catch(() => ({ faults: [{ said: SILENT }] }));
  if (answer.state === "forgotten") location.reload();
  else $("#said").textContent = (answer.faults ?? []).map((each) => each.said).join(" ");
});
