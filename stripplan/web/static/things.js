// Parts of a thing that is welded of strips: its sizes are typed, its pieces and their picture shown, then taken.
import { $, $$, answered, made, send, SILENT } from "./api.js";
import { form } from "./list.js";
import { takeParts } from "./opening.js";

const dialog = $("#thing"), kind = $("#thing-kind"), said = $("#thing-said"), sight = $("#thing-shown");
const figures = () => $$("[data-of]", dialog).filter((each) => !each.hidden).map((each) => $("[data-figure]", each));
const typed = () => Object.fromEntries(figures().map((each) => [each.dataset.figure, each.value]));
let found = null, asked = 0, timer = 0;

function fit() {
  for (const each of $$("[data-of]", dialog)) each.hidden = !each.dataset.of.split(" ").includes(kind.value);
}

function take(list) {
  found = list;
  for (const each of $$("[value=instead], [value=beside]", dialog)) each.disabled = !list;
  if (!list) sight.replaceChildren();
}

// Pieces and picture of what is typed; a figure that is not typed yet is no fault.
async function look() {
  const mine = ++asked;
  const answer = await send("/planning/thing", { kind: kind.value, figures: typed(), units: form.elements.units.value }).catch(() => ({ faults: [{ said: SILENT, place: [] }] }));
  if (mine !== asked) return;
  const faults = (answer.faults ?? []).filter((each) => !each.place.length || $$("[data-figure]", dialog).some((field) => field.dataset.figure === each.place[0] && field.value.trim()));
  said.replaceChildren(...faults.map((each) => made("p", { class: "said" }, each.said)));
  if (answer.state !== "made") { take(null); return; }
  take(answer);
  const cell = (sum, size) => made("td", {}, sum === String(size) ? sum : `${sum} = ${size}`);
  const row = (each, at) => made("tr", {}, made("td", {}, each.name), cell(answer.sums[at][0], each.width), cell(answer.sums[at][1], each.length), made("td", {}, String(each.thickness)), made("td", {}, String(each.quantity)));
  const heads = ["piece", "width", "length", "thick", "how many"].map((each) => made("th", { scope: "col" }, each));
  const picture = made("div", { class: "thing-picture" });
  picture.innerHTML = answer.svg; // the program's own picture: names in it are escaped
  sight.replaceChildren(made("table", { class: "order" }, made("thead", {}, made("tr", {}, ...heads)), made("tbody", {}, ...answer.parts.map(row))), picture);
}

dialog.addEventListener("input", () => { clearTimeout(timer); timer = setTimeout(look, 150); });
kind.addEventListener("change", () => { fit(); take(null); look(); });
// Enter in a field shows the pieces rather than take them unseen.
dialog.addEventListener("keydown", (event) => { if (event.key === "Enter" && event.target.tagName === "INPUT") { event.preventDefault(); look(); } });

$("#make").addEventListener("click", async () => {
  fit();
  look();
  const choice = await answered(dialog);
  if (found && (choice === "instead" || choice === "beside")) takeParts({ ...found, left_out: [] }, choice === "instead", kind.selectedOptions[0].textContent);
});
