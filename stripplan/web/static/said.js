// What is wrong with the list, and what a plan warns of, said once, at what it is about.
import { $, $$, made } from "./api.js";
import { fieldAt, form, lines, nameOf } from "./list.js";

const faults = $("#faults");

export function clearFaults() {
  faults.replaceChildren();
  for (const row of $$(".said-row.wrong", form)) row.remove();
  for (const field of $$("[aria-invalid]", form)) { field.removeAttribute("aria-invalid"); field.removeAttribute("aria-describedby"); }
}

const under = (line, kind, ...inside) => {
  const cell = made("td", { colspan: "9", class: "said" }, ...inside);
  const row = made("tr", { class: `said-row ${kind}` }, cell);
  line.append(row);
  return cell;
};

// Each fault at its field; what has no field, or lies behind something folded, is said above the plan.
export function showFaults(all) {
  clearFaults();
  const list = made("ul");
  all.forEach((fault, number) => {
    const { line, field } = fieldAt(fault.place ?? []), id = `said-${number}`;
    if (line && field) {
      field.setAttribute("aria-invalid", "true");
      field.setAttribute("aria-describedby", id);
      const label = field.getAttribute("aria-label")?.split(", ").at(-1) ?? field.closest("label")?.firstChild.textContent.trim() ?? field.dataset.key;
      under(line, "wrong", `${label}: ${fault.text}${fault.hint ? ` (${fault.hint})` : ""}`).id = id;
      const more = field.closest(".more-row");
      if (more?.hidden) $("[data-more]", line).click();
      return;
    }
    const item = made("li", { id }, fault.said);
    if (fault.code === "no_process") item.append(" ", made("button", { type: "button", "data-process-for": fault.place?.[1] ?? "" }, "Add a process for this plate"));
    list.append(item);
    if (!field) return;
    field.setAttribute("aria-invalid", "true");
    field.setAttribute("aria-describedby", id);
    const folded = field.closest("details");
    if (folded) folded.open = true;
  });
  const inLines = all.length - list.children.length;
  if (inLines) list.prepend(made("li", {}, `${inLines === 1 ? "One field" : `${inLines} fields`} of the list cannot be used: see what is said there.`));
  if (list.children.length) faults.replaceChildren(list);
}

// --- warnings ------------------------------------------------------------------------------------------------------

const READ = "stripplan-read", first = (text) => /^.*?[.](?=\s[A-Z]|$)/.exec(text)?.[0] ?? text;
const known = () => { try { return new Set(JSON.parse(localStorage.getItem(READ)) ?? []); } catch { return new Set(); } };

export function clearWarnings() { for (const row of $$(".said-row.mind", form)) row.remove(); }

// What a plan warns of stands under the part that it is about. What was read once is folded from then on.
export function showWarnings(rest) {
  clearWarnings();
  const parts = new Map(lines("part").filter((line) => line.at !== null).map((line) => [nameOf(line), line]));
  for (const item of $$(".mind [data-part]", rest)) {
    const line = parts.get(item.dataset.part), text = item.textContent.trim(), short = first(text);
    if (!line) continue;
    const said = short === text ? [`Mind: ${text}`] : [made("details", {}, made("summary", {}, `Mind: ${short}`), text.slice(short.length).trim())];
    under(line, "mind", ...said);
    const list = item.parentElement;
    item.remove();
    if (!list.children.length) list.closest(".kind")?.remove();
  }
  const fold = $(".mind", rest);
  if (!fold) return;
  for (const each of $$(".kind", fold)) if (!each.children.length) each.remove();
  const at = $$(".said-row.mind", form).length, cuts = $$(".mind-cut", rest).length;
  const elsewhere = [at && `${at} under the parts`, cuts && `${cuts} at ${cuts === 1 ? "its cut" : "their cuts"}`].filter(Boolean).join(", ");
  if (elsewhere) $("summary", fold).append(`; of them ${elsewhere}`);
  if (!$$(".kind", fold).length && at) { fold.remove(); return; }
  const kinds = $$(".kind", fold).map((each) => each.dataset.kind), read = known();
  fold.open = kinds.some((kind) => !read.has(kind));
  fold.addEventListener("toggle", () => {
    if (!fold.open) try { localStorage.setItem(READ, JSON.stringify([...new Set([...known(), ...kinds])])); } catch { /* it is unfolded again */ }
  });
}
