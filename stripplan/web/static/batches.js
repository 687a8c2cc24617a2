// The batches of a plan: begin, name, delete.
const $ = (selector, within = document) => within.querySelector(selector);
const token = $('meta[name="stripplan-token"]').content;
const plan = $("#begin").dataset.plan;

async function ask(path, given) {
  try {
    const answer = await fetch(path, {
      method: "POST",
      headers: { "content-type": "application/json", accept: "application/json", "x-stripplan-token": token },
      body: JSON.stringify(given),
    });
    const value = await answer.json().catch(() => ({}));
    if (answer.ok) return value;
    $("#said").textContent = (value.faults ?? []).map((each) => each.said).join(" ") || (answer.status === 403 ? "The program was started anew: load this page again." : `The computer answers ${answer.status}.`);
  } catch {
    $("#said").textContent = "The computer does not answer.";
  }
  return null;
}

$("#begin").addEventListener("click", async () => {
  const begun = await ask(`/rig/${plan}/batches`, {});
  if (begun) location.href = begun.to;
});
document.addEventListener("submit", async (event) => {
  const form = event.target.closest("[data-name]");
  if (!form) return;
  event.preventDefault();
  const batch = form.closest("[data-batch]").dataset.batch;
  if (await ask(`/rig/${plan}/${batch}/name`, { name: form.elements.name.value })) location.reload();
});
let chosen = null;
document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-delete]");
  if (!button) return;
  chosen = button.closest("[data-batch]");
  $("#sure span").textContent = $("h2", chosen).textContent;
  $("#sure").returnValue = "";
  $("#sure").showModal();
});
$("#sure").addEventListener("close", async () => {
  if ($("#sure").returnValue !== "delete") return;
  const batch = chosen.dataset.batch;
  if (!await ask(`/rig/${plan}/${batch}/delete`, {})) return;
  try { // what waited on this device for it is gone too
    const begins = `stripplan-waiting-${plan}${batch === "1" ? "" : `.${batch}`}-`;
    for (const each of Object.keys(localStorage).filter((name) => name.startsWith(begins))) localStorage.removeItem(each);
  } catch { /* storage may be off */ }
  location.reload();
});
