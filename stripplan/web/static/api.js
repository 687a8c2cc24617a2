// What all scripts of the planning view share: looking things up on the page, and asking the program.
export const $ = (selector, within = document) => within.querySelector(selector);
export const $$ = (selector, within = document) => [...within.querySelectorAll(selector)];
export const SILENT = "The page's program does not answer. Is it still running on the computer?";

const token = $('meta[name="stripplan-token"]').content;

// Ask the program; without a body it is asked for news. What is no JSON, or no answer at all, is an error.
export async function send(path, body, more = {}) {
  const answer = await fetch(path, {
    method: body === undefined ? "GET" : "POST",
    headers: { "content-type": "application/json", accept: "application/json", "x-stripplan-token": token },
    body: body === undefined ? undefined : JSON.stringify(body),
    ...more,
  });
  return { ok: answer.ok, ...(await answer.json()) };
}

// An element with attributes and what is in it; texts stay texts.
export function made(name, attributes = {}, ...inside) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) if (value !== undefined && value !== false) element.setAttribute(key, value === true ? "" : value);
  element.append(...inside);
  return element;
}

// A dialog that is answered by one of its buttons: its value, or "" where it is closed without an answer.
export function answered(dialog) {
  return new Promise((resolve) => {
    dialog.returnValue = "";
    dialog.addEventListener("close", () => resolve(dialog.returnValue), { once: true });
    dialog.showModal();
  });
}
