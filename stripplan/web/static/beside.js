// Two plans beside each other: one is held while the list changes.
import { $, made } from "./api.js";

const place = $("#beside");
const MEASURES = [["plates", "plates", 0], ["cost", "plate cost", 2], ["minutes", "minutes at the rig", 1], ["offcut_area", "kept as offcuts", 3]];
let held = null;

export function hold(plan, figures) {
  held = { ...plan, figures: figures.map((each) => { const copy = each.cloneNode(true); copy.hidden = false; copy.removeAttribute("tabindex"); return copy; }) };
}

export function letGo() { held = null; place.hidden = true; }

export function compare(plan) {
  place.hidden = !held;
  if (!held || !plan) return;
  const inches = plan.units === "in", square = inches ? "ft²" : "m²";
  const rows = MEASURES.map(([key, words, digits]) => {
    const area = key === "offcut_area", scale = area ? (inches ? 1 / 304.8 ** 2 : 1e-6) : 1, [one, two] = [held[key] * scale, plan[key] * scale];
    const apart = Math.abs(one - two) > 10 ** -digits / 2 ? (area ? -1 : 1) * (one - two) : 0;
    const cell = (value, better) => made("td", better ? { class: "better" } : {}, value.toFixed(digits));
    return made("tr", {}, made("th", { scope: "row" }, `${words}${area ? `, ${square}` : ""}`), cell(one, apart < 0), cell(two, apart > 0));
  });
  const head = made("tr", {}, made("td"), made("th", { scope: "col" }, "held"), made("th", { scope: "col" }, "now"));
  const table = made("table", { class: "compare" }, made("caption", {}, `Held beside it: plan ${held.id}`), made("thead", {}, head), made("tbody", {}, ...rows));
  const keep = made("button", { type: "button", "data-keep-held": held.id, "data-list": held.list }, "Keep the one that is held");
  place.replaceChildren(
    made("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": "Two plans" }, table),
    made("details", {}, made("summary", {}, "Plates of the plan that is held"), ...held.figures),
    made("p", { class: "row" }, keep, made("button", { type: "button", "data-let-go": true }, "Let it go")),
  );
}
