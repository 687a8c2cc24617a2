// The plates in sight: which one, how near, and what on it is pointed at. Cuts and parts light up here and in the list.
import { $, $$ } from "./api.js";
import { lines, nameOf } from "./list.js";

const sight = $("#plan"), SMALLEST = 9, NEAREST = 24; // least letters on the screen [px]; greatest zoom
const views = new Map(); // plate: what of it is shown, while plans follow each other
let lit = { cut: "", part: "" };

const figure = () => $("figure.plate:not([hidden])", sight);
const svgOf = (each) => each && $("svg", each);
const whole = (svg) => (svg.dataset.whole ??= svg.getAttribute("viewBox")).split(" ").map(Number);
const boxOf = (svg) => svg.getAttribute("viewBox").split(" ").map(Number);

// Letters that would be too small to read are left out until one comes nearer.
function settle(svg) {
  if (!svg) return;
  const box = boxOf(svg), place = svg.getBoundingClientRect();
  if (!place.width) return;
  const scale = Math.min(place.width / box[2], place.height / box[3]);
  for (const text of $$("text:not(circle + text)", svg)) text.toggleAttribute("data-small", Number(text.getAttribute("font-size")) * scale < SMALLEST);
  numbers(svg, scale);
}

// Numbers of cuts grow to what can be read where they have room beside each other, else they wait for a nearer look.
function numbers(svg, scale) {
  const found = $$("circle[data-cut]", svg).map((circle) => {
    const text = circle.nextElementSibling;
    circle.dataset.r ??= circle.getAttribute("r");
    text.dataset.size ??= text.getAttribute("font-size");
    const size = Math.max(Number(text.dataset.size), (SMALLEST + 1) / scale), grown = size / Number(text.dataset.size);
    return { circle, text, size, r: Math.max(Number(circle.dataset.r), Number(circle.dataset.r) * Math.min(grown, 3)), x: Number(circle.dataset.x ??= circle.getAttribute("cx")), y: Number(circle.dataset.y ??= circle.getAttribute("cy")) };
  });
  const shown = [], to = svg.getScreenCTM();
  const words = $$("text:not(circle + text):not([data-small])", svg).map((each) => each.getBoundingClientRect());
  const over = ({ x, y, r, circle, moved }) => {
    if ((!moved && r <= Number(circle.dataset.r) * 1.02) || !to) return false; // as it was drawn it lies on nothing
    const [atX, atY, reach] = [to.a * x + to.e, to.d * y + to.f, to.a * r];
    return words.some((box) => atX + reach > box.left && atX - reach < box.right && atY + reach > box.top && atY - reach < box.bottom);
  };
  const free = (spot) => !over(spot) && !shown.some((other) => Math.hypot(spot.x - other.x, spot.y - other.y) < spot.r + other.r);
  const asDrawn = found.filter((each) => free(each) && shown.push(each));
  for (const each of found) {
    const stays = asDrawn.includes(each), spot = stays ? each : spots(svg, each).find(free), { circle, text } = each;
    for (const mark of [circle, text]) mark.toggleAttribute("data-small", !spot);
    if (!spot) continue;
    if (!stays) shown.push(spot);
    for (const [mark, key, value] of [[circle, "r", spot.r], [circle, "cx", spot.x], [circle, "cy", spot.y], [text, "font-size", spot.size], [text, "x", spot.x], [text, "y", spot.y + spot.size * 0.36]]) mark.setAttribute(key, value);
  }
}

// Where a number may stand: where it was drawn, else farther along its cut, else beside it.
function spots(svg, each) {
  const line = $(`line[data-cut="${each.circle.dataset.cut}"]`, svg);
  if (!line) return [each];
  const [x1, y1, x2, y2] = ["x1", "y1", "x2", "y2"].map((key) => Number(line.getAttribute(key))), length = Math.hypot(x2 - x1, y2 - y1) || 1;
  const [alongX, alongY] = [(x2 - x1) / length, (y2 - y1) / length], gone = Math.hypot(each.x - x1, each.y - y1), farther = [];
  for (let by = 3 * each.r; gone + by < length - each.r && farther.length < 24; by += each.r) farther.push({ ...each, x: each.x + alongX * by, y: each.y + alongY * by, moved: true });
  const beside = [0, 1.5 * each.r, 3 * each.r].flatMap((by) => [1.3, -1.3].map((side) => ({ ...each, x: each.x + alongX * by - alongY * side * each.r, y: each.y + alongY * by + alongX * side * each.r, moved: true })));
  return [each, ...farther, ...beside];
}

function look(svg, box) {
  const [x, y, w, h] = whole(svg), width = Math.min(w, Math.max(w / NEAREST, box[2])), height = width * h / w;
  const left = Math.min(Math.max(box[0], x), x + w - width), top = Math.min(Math.max(box[1], y), y + h - height);
  svg.setAttribute("viewBox", [left, top, width, height].map((each) => Math.round(each * 100) / 100).join(" "));
  views.set(svg.closest("figure").dataset.plate, svg.getAttribute("viewBox"));
  settle(svg);
}

// Nearer by a factor, around a point of the picture given as shares of what is shown.
function zoom(factor, atX = 0.5, atY = 0.5) {
  const svg = svgOf(figure());
  if (!svg) return;
  const [x, y, w, h] = boxOf(svg);
  look(svg, [x + w * atX * (1 - 1 / factor), y + h * atY * (1 - 1 / factor), w / factor, h / factor]);
}

function shift(dx, dy) {
  const svg = svgOf(figure());
  if (!svg) return;
  const [x, y, w, h] = boxOf(svg);
  look(svg, [x + dx * w, y + dy * h, w, h]);
}

export function showPlate(plate) {
  for (const each of $$("figure.plate", sight)) each.hidden = each.dataset.plate !== plate;
  for (const each of $$("[data-show-plate]", sight)) each.setAttribute("aria-pressed", String(each.dataset.showPlate === plate));
  settle(svgOf(figure()));
}

// A new plan or sketch stands there: the same plate, as near as before where its size is the same.
export function arrived(before) {
  const plates = $$("figure.plate", sight).map((each) => each.dataset.plate);
  for (const each of $$("figure.plate svg", sight)) {
    const kept = views.get(each.closest("figure").dataset.plate), [, , w] = whole(each);
    if (kept && Number(kept.split(" ")[2]) < w) look(each, kept.split(" ").map(Number));
  }
  if (plates.length) showPlate(plates.includes(before) ? before : plates[0]);
  light(lit);
}

export const plateShown = () => figure()?.dataset.plate;

// --- lighting up ---------------------------------------------------------------------------------------------------

export function light({ cut = "", part = "" }) {
  lit = { cut, part };
  for (const each of $$(".lit")) each.classList.remove("lit");
  if (cut) for (const each of $$(`#plan [data-cut="${cut}"], #rest [data-cut="${cut}"]`)) each.classList.add("lit");
  if (part) {
    for (const each of $$("#plan polygon[data-part]")) each.classList.toggle("lit", each.dataset.part === part);
    for (const each of lines("part")) each.classList.toggle("lit", each.at !== null && nameOf(each) === part);
  }
  const counts = part && $$("#plan figure.plate").map((each) => [each.dataset.plate, $$("polygon.lit", each).length]).filter(([, count]) => count);
  if (counts?.length) say(`${part}: ${counts.map(([plate, count]) => `${count} on ${plate}`).join(", ")}`);
  else if (!cut) say("");
}

const say = (text) => { const place = $("#plan .pointed"); if (place) place.textContent = text; };

sight.addEventListener("pointerover", (event) => {
  const piece = event.target.closest("polygon[data-kind]"), cut = event.target.closest("[data-cut]");
  if (cut) sight.dispatchEvent(new CustomEvent("cut", { detail: cut.dataset.cut }));
  else if (piece?.dataset.part) light({ part: piece.dataset.part });
  else if (piece) { light({}); say(piece.dataset.kind === "offcut" ? `offcut ${piece.dataset.piece ?? ""}` : "scrap"); }
});

// A part that is worked on in the list lights up on the plates; where it lies on another, that one comes into sight.
export function pointAt(line) {
  if (!line || line.dataset.kind !== "part" || line.at === null || line.at === undefined) { light({}); return; }
  const part = nameOf(line);
  const on = $$("#plan polygon[data-part]").filter((each) => each.dataset.part === part).map((each) => each.closest("figure").dataset.plate);
  if (on.length && !on.includes(plateShown())) showPlate(on[0]);
  light({ part });
}

// --- buttons, keys, dragging ---------------------------------------------------------------------------------------

const DOES = {
  near: () => zoom(1.5), far: () => zoom(1 / 1.5), whole: () => { const svg = svgOf(figure()); if (svg) look(svg, whole(svg)); },
  full: () => { if (document.fullscreenElement) document.exitFullscreen(); else $("#plan .glance")?.requestFullscreen?.(); },
};
sight.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (button?.dataset.zoom) DOES[button.dataset.zoom]();
  if (button?.dataset.showPlate) showPlate(button.dataset.showPlate);
});
sight.addEventListener("keydown", (event) => {
  if (!event.target.matches("figure.plate") || event.ctrlKey || event.metaKey || event.altKey) return;
  const does = { "+": DOES.near, "=": DOES.near, "-": DOES.far, 0: DOES.whole, ArrowLeft: () => shift(-0.15, 0), ArrowRight: () => shift(0.15, 0), ArrowUp: () => shift(0, -0.15), ArrowDown: () => shift(0, 0.15) }[event.key];
  if (does) { event.preventDefault(); does(); }
});
sight.addEventListener("wheel", (event) => {
  const svg = event.target.closest("svg");
  if (!svg || !(event.ctrlKey || document.fullscreenElement)) return; // else the wheel moves the page
  event.preventDefault();
  const place = svg.getBoundingClientRect();
  zoom(event.deltaY < 0 ? 1.2 : 1 / 1.2, (event.clientX - place.left) / place.width, (event.clientY - place.top) / place.height);
}, { passive: false });

const held = new Map(); // fingers and mouse on the picture
let apart = 0;
sight.addEventListener("pointerdown", (event) => {
  const svg = event.target.closest("figure.plate svg");
  if (!svg || event.button) return;
  held.set(event.pointerId, [event.clientX, event.clientY]);
  if (held.size === 2) apart = spread();
});
const spread = () => { const [a, b] = [...held.values()]; return Math.hypot(a[0] - b[0], a[1] - b[1]); };
sight.addEventListener("pointermove", (event) => {
  const before = held.get(event.pointerId), svg = svgOf(figure());
  if (!before || !svg) return;
  held.set(event.pointerId, [event.clientX, event.clientY]);
  const place = svg.getBoundingClientRect();
  if (held.size === 1) shift((before[0] - event.clientX) / place.width, (before[1] - event.clientY) / place.height);
  if (held.size === 2) { const now = spread(); if (apart) zoom(now / apart); apart = now; }
});
for (const name of ["pointerup", "pointercancel", "pointerleave"]) sight.addEventListener(name, (event) => { held.delete(event.pointerId); apart = 0; });

new ResizeObserver(() => settle(svgOf(figure()))).observe(sight);
document.addEventListener("fullscreenchange", () => settle(svgOf(figure())));
